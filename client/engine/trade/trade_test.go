package trade_test

import (
	"testing"

	"batterboard/client/engine/trade"
)

func TestEveryCautionIsWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range trade.Cautions() {
		if c.ID == "" || seen[c.ID] {
			t.Errorf("caution %q: no ID, or the ID twice", c.ID)
		}
		seen[c.ID] = true
		for _, s := range []string{c.Text.En, c.Text.Es, c.Defer.En, c.Defer.Es, c.Source} {
			if s == "" {
				t.Errorf("caution %s: a text, a deciding party or the source is missing", c.ID)
			}
		}
		switch c.Severity {
		case trade.Stop, trade.Warn, trade.Info:
		default:
			t.Errorf("caution %s: severity %q", c.ID, c.Severity)
		}
		switch c.Mark {
		case trade.Published, trade.SecondHand, trade.CommonPractice, trade.FromMemory:
		default:
			t.Errorf("caution %s: mark %q", c.ID, c.Mark)
		}
		if c.Mark == trade.CommonPractice && c.Source != "common practice, no source" {
			t.Errorf("caution %s: common practice has no source, the file names %q", c.ID, c.Source)
		}
	}
}

// What must never be started unasked: the causes of death on small sites (gas, current, collapse,
// lead and asbestos dust, falls) and the one act that cannot be undone, covering up.
func TestWhatCanKillStops(t *testing.T) {
	for _, id := range []string{"asbestos", "lead", "gas", "air", "lockoff", "bearing",
		"overhead", "edges", "trench", "digging", "foam", "cover"} {
		c, ok := trade.ByID(id)
		if !ok || c.Severity != trade.Stop {
			t.Errorf("caution %s must exist and stop, got %+v", id, c)
		}
	}
}

func TestLanguages(t *testing.T) {
	w := trade.Words{En: "Stop", Es: "Alto"}
	for lang, want := range map[string]string{"en": "Stop", "es": "Alto", "": "Stop", "fr": "Stop"} {
		if got := w.In(lang); got != want {
			t.Errorf("in %q: %q, want %q", lang, got, want)
		}
	}
	if got := (trade.Words{En: "only"}).In("es"); got != "only" {
		t.Errorf("a text without Spanish falls back to English, got %q", got)
	}
	if _, ok := trade.ByID("no-such-caution"); ok {
		t.Error("found a caution that is not there")
	}
}
