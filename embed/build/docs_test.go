package main

import (
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

func doc(t *testing.T, root, name string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(root, name))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// TestDocsNameWhatIsThere: a path written in README.md or DEVELOPERS.md exists, and so does what they
// link to. A page that leads nowhere is worse than none.
func TestDocsNameWhatIsThere(t *testing.T) {
	root, err := findRoot()
	if err != nil {
		t.Fatal(err)
	}
	ours := regexp.MustCompile(`^(schedule|sync|client|embed|server|testdata)(/[A-Za-z0-9_.*-]+)*/?$`)
	code, link := regexp.MustCompile("`([^`\n]+)`"), regexp.MustCompile(`\]\(([^)#:]+)\)`)
	n := 0
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		text := doc(t, root, name)
		paths := []string{}
		for _, m := range code.FindAllStringSubmatch(text, -1) {
			if ours.MatchString(m[1]) {
				paths = append(paths, m[1])
			}
		}
		for _, m := range link.FindAllStringSubmatch(text, -1) {
			paths = append(paths, m[1])
		}
		for _, p := range paths {
			n++
			if found, err := filepath.Glob(filepath.Join(root, p)); err != nil || len(found) == 0 {
				t.Errorf("%s speaks of %s, which is not there", name, p)
			}
		}
	}
	if n < 30 {
		t.Errorf("only %d paths found in the two pages", n)
	}
}

// fileNamed finds a file by its name alone, as the pages say it where the folder is plain.
func fileNamed(root string) map[string]bool {
	names := map[string]bool{}
	filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() && (d.Name() == "node_modules" || d.Name() == "dist" || d.Name() == ".git" || d.Name() == "bin") {
			return fs.SkipDir
		}
		names[filepath.Base(path)] = true
		return nil
	})
	return names
}

// A file that DEVELOPERS.md names without its folder is somewhere.
func TestDocsNameFilesThatAreThere(t *testing.T) {
	root, err := findRoot()
	if err != nil {
		t.Fatal(err)
	}
	names, n := fileNamed(root), 0
	for _, m := range regexp.MustCompile("`([A-Za-z0-9_-]+\\.(go|ts|tsx|json|css|mjs|html|txt|md))`").FindAllStringSubmatch(doc(t, root, "DEVELOPERS.md"), -1) {
		n++
		if !names[m[1]] {
			t.Errorf("DEVELOPERS.md speaks of %s, which is nowhere", m[1])
		}
	}
	if n < 30 {
		t.Errorf("only %d files found in the page", n)
	}
}

// Every command that the pages tell people to type does something: each part of a pattern finds a test, each
// variable and each flag is read by the code.
func TestDocsTellCommandsThatWork(t *testing.T) {
	root, err := findRoot()
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Builder{}
	for _, dir := range []string{"schedule", "sync", "client/engine", "server", "embed"} {
		filepath.WalkDir(filepath.Join(root, dir), func(path string, d fs.DirEntry, err error) error {
			if err == nil && strings.HasSuffix(path, ".go") {
				b, _ := os.ReadFile(path)
				all.Write(b)
			}
			return nil
		})
	}
	code := all.String()
	line := regexp.MustCompile("(?m)`([^`\n]*go (?:test|run) \\./[^`\n]*|[^`\n]*go test [^`\n]*)`|^((?:[A-Z_]+=\\S+ )*(?:nice -n 19 )?go (?:test|run) .*)$")
	n := 0
	for _, name := range []string{"README.md", "DEVELOPERS.md"} {
		for _, m := range line.FindAllStringSubmatch(doc(t, root, name), -1) {
			command, _, _ := strings.Cut(m[1]+m[2], "#")
			if strings.Contains(command, "golang.org") {
				continue // somebody else's
			}
			n++
			checkCommand(t, root, name+": "+strings.TrimSpace(command), strings.Fields(command), code)
		}
	}
	if n < 15 {
		t.Errorf("only %d commands found in the two pages", n)
	}
}

func checkCommand(t *testing.T, root, said string, words []string, code string) {
	t.Helper()
	funcs, args := "", false
	for i, w := range words {
		next := ""
		if i+1 < len(words) {
			next = strings.Trim(words[i+1], "'\"")
		}
		if name, _, ok := strings.Cut(w, "="); ok && name == strings.ToUpper(name) && !strings.Contains(code, `"`+name+`"`) {
			t.Errorf("%s: nothing reads %s", said, name)
		}
		switch {
		case strings.HasPrefix(w, "./"):
			files, _ := filepath.Glob(filepath.Join(root, w, "*.go"))
			if len(files) == 0 && !strings.HasSuffix(w, "...") {
				t.Errorf("%s: there is no package %s", said, w)
			}
			for _, f := range files {
				b, _ := os.ReadFile(f)
				funcs += string(b)
			}
			if w == "./embed/build" && next != "" && next[0] != '[' && !strings.HasPrefix(next, "-") && !strings.Contains(usage, "\n  "+next+" ") {
				t.Errorf("%s: the build tool has no %q", said, next)
			}
		case w == "-args":
			args = true
		case args && strings.HasPrefix(w, "-") && !strings.Contains(code, `("`+strings.TrimLeft(w, "-")+`",`):
			t.Errorf("%s: nothing reads the flag %s", said, w)
		}
	}
	for i, w := range words {
		kind := map[string]string{"-run": "Test|Fuzz|Example", "-bench": "Benchmark", "-fuzz": "Fuzz"}[w]
		if kind == "" || i+1 == len(words) || words[i+1] == "XXX" || funcs == "" {
			continue
		}
		for _, pattern := range strings.Split(strings.Trim(words[i+1], "'\""), "|") {
			if !found(funcs, kind, pattern) {
				t.Errorf("%s: nothing is called %s", said, pattern)
			}
		}
	}
}

func found(funcs, kind, pattern string) bool {
	for _, m := range regexp.MustCompile(`(?m)^func ((?:`+kind+`)\w*)\(`).FindAllStringSubmatch(funcs, -1) {
		if ok, err := regexp.MatchString(pattern, m[1]); err == nil && ok {
			return true
		}
	}
	return false
}

// Every direct dependency stands in DEVELOPERS.md with a sentence of why.
func TestEveryDependencyHasItsReason(t *testing.T) {
	root, err := findRoot()
	if err != nil {
		t.Fatal(err)
	}
	text := doc(t, root, "DEVELOPERS.md")
	var direct []string
	for line := range strings.Lines(doc(t, root, "go.mod")) {
		words := strings.Fields(line)
		if len(words) == 2 && strings.Contains(words[0], ".") && strings.HasPrefix(words[1], "v") {
			direct = append(direct, words[0])
		}
	}
	var npm struct{ Dependencies, DevDependencies map[string]string }
	if err := json.Unmarshal([]byte(doc(t, root, "client/package.json")), &npm); err != nil {
		t.Fatal(err)
	}
	for _, m := range []map[string]string{npm.Dependencies, npm.DevDependencies} {
		for name := range m {
			direct = append(direct, name)
		}
	}
	if len(direct) < 8 {
		t.Fatalf("found only %v", direct)
	}
	for _, name := range direct {
		if !regexp.MustCompile(`(?m)^- \*\*` + regexp.QuoteMeta(name) + `( [^*]*)?\*\*: \S`).MatchString(text) {
			t.Errorf("DEVELOPERS.md does not say why %s is there", name)
		}
	}
}
