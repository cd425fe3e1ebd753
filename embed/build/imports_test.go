package main

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const module = "batterboard/"

// rule is one line of testdata/imports.txt.
type rule struct {
	pure bool
	may  []string
}

// readRules reads testdata/imports.txt: folder -> rule, and what a pure folder may not import.
func readRules(t *testing.T, root string) (rules map[string]rule, impure []string) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(root, "testdata", "imports.txt"))
	if err != nil {
		t.Fatal(err)
	}
	rules = map[string]rule{}
	for line := range strings.Lines(string(b)) {
		line, _, _ = strings.Cut(line, "#")
		left, right, ok := strings.Cut(line, ":")
		words := strings.Fields(left)
		switch {
		case !ok && len(words) == 0:
		case !ok || len(words) == 0 || len(words) > 2:
			t.Fatalf("testdata/imports.txt: %q is not FOLDER [pure]: IMPORTS", line)
		case words[0] == "not":
			impure = strings.Fields(right)
		default:
			rules[words[0]] = rule{pure: len(words) == 2, may: strings.Fields(right)}
		}
	}
	if len(rules) == 0 || len(impure) == 0 {
		t.Fatal("testdata/imports.txt says nothing")
	}
	return rules, impure
}

type listed struct {
	ImportPath, Dir string
	Imports, Deps   []string
	GoFiles         []string
}

func list(t *testing.T, root string, env []string, args ...string) (packages []listed) {
	t.Helper()
	c := exec.Command("go", append([]string{"list", "-json=ImportPath,Dir,Imports,Deps,GoFiles"}, args...)...)
	c.Dir, c.Env = root, append(os.Environ(), env...)
	out, err := c.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p listed
		switch err := d.Decode(&p); err {
		case nil:
			packages = append(packages, p)
		case io.EOF:
			return packages
		default:
			t.Fatal(err)
		}
	}
}

// TestImports holds the code against testdata/imports.txt.
func TestImports(t *testing.T) {
	root, err := findRoot()
	if err != nil {
		t.Fatal(err)
	}
	rules, impure := readRules(t, root)
	seen := map[string]bool{}
	packages := list(t, root, nil, "./...")
	packages = append(packages, list(t, root, []string{"GOOS=js", "GOARCH=wasm"}, "./client/wasm", "./client/engine", "./sync", "./schedule")...)
	for _, p := range packages {
		folder := strings.TrimPrefix(p.ImportPath, module)
		if len(p.GoFiles) == 0 {
			continue // tests only
		}
		r, ok := rules[folder]
		if !ok {
			t.Errorf("%s is not in testdata/imports.txt", folder)
			continue
		}
		seen[folder] = true
		for _, imported := range p.Imports {
			ours, isOurs := strings.CutPrefix(imported, module)
			switch {
			case isOurs && !slices.Contains(r.may, ours):
				t.Errorf("%s imports %s", folder, ours)
			case !isOurs && strings.Contains(imported, ".") && !slices.ContainsFunc(r.may, func(m string) bool {
				return imported == m || strings.HasPrefix(imported, m+"/")
			}):
				t.Errorf("%s imports %s", folder, imported)
			case r.pure && slices.Contains(impure, imported):
				t.Errorf("%s is to be pure and imports %s", folder, imported)
			}
		}
		if r.pure {
			noGoroutines(t, folder, p)
		}
	}
	for folder := range rules {
		if !seen[folder] {
			t.Errorf("testdata/imports.txt speaks of %s, which is not there", folder)
		}
	}
}

// noGoroutines looks for the word go in front of a call. A pure folder has none.
func noGoroutines(t *testing.T, folder string, p listed) {
	t.Helper()
	for _, name := range p.GoFiles {
		b, err := os.ReadFile(filepath.Join(p.Dir, name))
		if err != nil {
			t.Fatal(err)
		}
		for n, line := range strings.Split(string(b), "\n") {
			if strings.HasPrefix(strings.TrimSpace(line), "go ") {
				t.Errorf("%s/%s:%d starts a goroutine", folder, name, n+1)
			}
		}
	}
}

// The store weighs 19 MB as WebAssembly: nothing of others may come along to the phone.
func TestPhoneCarriesOnlyOurs(t *testing.T) {
	root, err := findRoot()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range list(t, root, []string{"GOOS=js", "GOARCH=wasm"}, "./client/wasm") {
		for _, dep := range p.Deps {
			if first, _, _ := strings.Cut(dep, "/"); strings.Contains(first, ".") {
				t.Errorf("client/wasm carries %s", dep)
			}
		}
	}
}
