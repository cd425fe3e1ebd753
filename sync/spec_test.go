package opsync

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestSpecAndTestsNameEachOther: every rule has a test, every named rule is in the page.
func TestSpecAndTestsNameEachOther(t *testing.T) {
	page, err := os.ReadFile("SPEC.md")
	if err != nil {
		t.Fatal(err)
	}
	rules := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^- \*\*([A-Z]\d+)\*\*`).FindAllStringSubmatch(string(page), -1) {
		rules[m[1]] = false
	}
	var files []string
	for _, dir := range []string{"*_test.go", "sim/*_test.go", "laws/*_test.go", "../server/photos*_test.go"} {
		list, _ := filepath.Glob(dir)
		files = append(files, list...)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`(?m)^func Test.*// SPEC (.*)$`).FindAllStringSubmatch(string(text), -1) {
			for _, rule := range namedRules(m[1]) {
				if _, ok := rules[rule]; !ok {
					t.Errorf("%s names rule %s, which is not in SPEC.md", file, rule)
				}
				rules[rule] = true
			}
		}
	}
	for rule, tested := range rules {
		if !tested {
			t.Errorf("no test names rule %s", rule)
		}
	}
}

// namedRules reads "M1, T1-T4".
func namedRules(s string) (list []string) {
	for _, part := range strings.Split(s, ",") {
		from, to, isRange := strings.Cut(strings.TrimSpace(part), "-")
		if !isRange {
			to = from
		}
		for n := from[1]; n <= to[1]; n++ {
			list = append(list, from[:1]+string(n))
		}
	}
	return list
}
