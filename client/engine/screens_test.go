package engine

import (
	"encoding/json"
	"strings"
	"testing"
)

// Every screen of the demo, in both languages, says something everywhere: no missing sentence, no
// list that is null, no gap that was not filled.
func TestEveryScreenSpeaks(t *testing.T) {
	for _, lang := range []string{"en", "es"} {
		e := openDemo(t, lang)
		for _, s := range []struct{ screen, id string }{
			{"today", ""}, {"cant", ""}, {"strings", ""}, {"block", "rough-electric"}, {"block", "board-ceiling-1"}, {"holds", ""},
			{"holds", "board-ceiling-1"}, {"texts", ""}, {"setup", ""}, {"log", ""}, {"odds", ""},
			{"readings", ""}, {"orders", ""}, {"orders", "board-goods"}, {"rules", ""}, {"review", ""}, {"week", ""},
		} {
			v := show(t, e, s.screen, s.id)
			raw := string(encode(Reply{View: v}))
			if v.Screen != s.screen {
				t.Errorf("%s %s: came out as %s: %s", lang, s.screen, v.Screen, v.Refused)
			}
			for _, bad := range []string{`"[`, "[because", "[problem", "null", "{what}", "{when}", "{n}", "{who}", "%!"} {
				if strings.Contains(raw, bad) {
					i := strings.Index(raw, bad)
					t.Errorf("%s %s has %q: …%s…", lang, s.screen, bad, raw[max(0, i-120):min(len(raw), i+120)])
				}
			}
			if testing.Verbose() {
				v.Head = Head{}
				b, _ := json.MarshalIndent(v, "", " ")
				if lang == "en" && len(b) < 30000 {
					t.Logf("%s %s", s.screen, b)
				}
			}
		}
	}
}
