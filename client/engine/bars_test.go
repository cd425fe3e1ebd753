package engine

import (
	"slices"
	"strings"
	"testing"

	"batterboard/schedule"
)

// A hold point that is not signed lies across every crew with work behind it, however far behind; the
// oracle walks the links of the document itself, one step at a time, until nothing is added.
func TestBarsLieAcrossAllTheyKeepShut(t *testing.T) {
	site, err := schedule.ParseSite(demoDoc(t))
	if err != nil {
		t.Fatal(err)
	}
	e := openDemo(t, "en")
	v := show(t, e, "strings", "").Strings
	tried := 0
	for _, b := range v.Bars {
		if b.State == "signed" {
			continue
		}
		behind := map[string]bool{b.ID: true}
		for grown := true; grown; {
			grown = false
			for _, k := range site.Links {
				if behind[k.From] && !behind[k.To] {
					behind[k.To], grown = true, true
				}
			}
		}
		var want []string
		for _, a := range site.Activities {
			if behind[a.ID] && a.Started == 0 && a.Finished == 0 {
				want = append(want, append([]string{a.Crew}, a.With...)...)
			}
		}
		if len(want) == 0 { // a final keeps nothing shut
			continue
		}
		tried++
		for _, c := range want {
			if c != "" && !slices.Contains(b.Blocks, c) {
				t.Errorf("%s: %s works behind it, but it lies across %v", b.Name, c, b.Blocks)
			}
		}
		for _, c := range b.Blocks {
			if !slices.Contains(want, c) {
				t.Errorf("%s lies across %s, who has nothing behind it", b.Name, c)
			}
		}
	}
	if tried < 3 {
		t.Fatalf("%d hold points with work behind them: too few to say anything", tried)
	}
}

// What stands on a bar is the first thing to do, in a few words, with the same weekday as the full label.
func TestBarsAreBrief(t *testing.T) {
	for _, lang := range []string{"en", "es"} {
		for _, b := range show(t, openDemo(t, lang), "strings", "").Strings.Bars {
			if n := len([]rune(b.Brief)); n == 0 || n > 24 {
				t.Errorf("%s %s: %q is no word for a bar", lang, b.Name, b.Brief)
			}
			if words := strings.Fields(b.Brief); b.State == "notAsked" && len(words) > 1 && !strings.Contains(b.Label, words[1]) {
				t.Errorf("%s %s: %q, but %q", lang, b.Name, b.Brief, b.Label)
			}
		}
	}
}

// The taut line says from when on it is taut, unless that is today or tomorrow.
func TestTautFrom(t *testing.T) {
	e := openDemo(t, "en")
	v := show(t, e, "strings", "")
	var first schedule.Day
	for _, b := range v.Strings.Blocks {
		if b.ID == v.Strings.Taut[0][0] {
			first = b.Start.Day()
		}
	}
	_, _, day := first.Date()
	if line := v.Head.TautLine; !strings.HasPrefix(line, "taut from ") || !strings.Contains(line, " "+itoa(day)+":") {
		t.Errorf("the chain begins on %s, the line says %q", first, line)
	}
}
