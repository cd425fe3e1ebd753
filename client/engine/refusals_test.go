package engine

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"batterboard/client/engine/words"
)

// Every code that sync can refuse with has a sentence in both languages, and there is no sentence
// without a code.
func TestEveryRefusalIsWorded(t *testing.T) {
	src, err := os.ReadFile("../../sync/refusal.go")
	if err != nil {
		t.Fatal(err)
	}
	codes := regexp.MustCompile(`(?m)^\tWhy\w+\s+= "(\w+)"`).FindAllStringSubmatch(string(src), -1)
	if len(codes) < 13 {
		t.Fatalf("%d codes in sync/refusal.go", len(codes))
	}
	for _, c := range codes {
		en, es := words.In("en"), words.In("es")
		if !en.Has("rejected."+c[1]) || !es.Has("rejected."+c[1]) {
			t.Errorf("%q has no sentence", c[1])
			continue
		}
		if e := en.Say("rejected." + c[1]); !strings.HasSuffix(e, ".") || e == es.Say("rejected."+c[1]) {
			t.Errorf("%q: %s", c[1], e)
		}
	}
	e := New()
	e.lang = "es"
	if got := e.whyWords("role", "This phone may look."); !strings.HasPrefix(got, "Este teléfono puede ver") {
		t.Errorf("in Spanish: %s", got)
	}
	if got := e.whyWords("tomorrow", "A later server says this."); got != "A later server says this." {
		t.Errorf("a code of a later server: %s", got)
	}
}
