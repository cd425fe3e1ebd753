package main

import (
	"encoding/json"
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
