package engine

import (
	"strings"
	"testing"

	"batterboard/client/engine/words"
	"batterboard/schedule"
)

// Every kind of reason has its sentence, in both languages, whether or not it names somebody.
func TestEveryReasonForbidsInWords(t *testing.T) {
	kinds := []schedule.ReasonKind{schedule.BecauseStart, schedule.BecauseNow, schedule.BecauseLink, schedule.BecauseCrew, schedule.BecausePlace,
		schedule.BecauseCalendar, schedule.BecauseWeather, schedule.BecauseNoise, schedule.BecauseDate, schedule.BecauseNotice, schedule.BecauseLead, schedule.BecauseVisit,
		schedule.BecauseLaid, schedule.BecauseFact}
	e := openDemo(t, "en")
	e.refresh(demoNow)
	for _, code := range words.Codes {
		s := *e.sheet
		s.w = words.In(code)
		for _, k := range kinds {
			for _, r := range []schedule.Reason{{Kind: k, By: "frame-ceiling", Who: "carpentry", At: demoNow}, {Kind: k, At: demoNow}, {Kind: k, At: schedule.Never}} {
				said := s.forbid("batts", r)
				if said == "" || strings.ContainsAny(said, "[]{}") || !strings.HasSuffix(said, ".") {
					t.Errorf("%s %+v: %q", code, r, said)
				}
			}
		}
	}
}

// A wished day in the middle of what forbids it: the chain goes back link by link, and ends in what could be otherwise.
func TestTheChainOfAWishGoesBack(t *testing.T) {
	e := openDemo(t, "en")
	v := do(t, e, Request{Do: "wish", ID: "board-ceiling-1", From: day("2027-04-08"), Screen: "block", For: "board-ceiling-1"}).View
	w := v.Block.Wish
	if w == nil || w.At != nil || len(w.Why) < 2 || !strings.HasPrefix(w.Change, "What would have to be otherwise: ") {
		t.Fatalf("%+v", w)
	}
	if !strings.HasPrefix(w.Why[0], "Board, ceiling 1") {
		t.Errorf("the chain begins with %q", w.Why[0])
	}
	if v.Refused != "" || v.Head.Undo != "" {
		t.Errorf("asking changed something: %q %q", v.Refused, v.Head.Undo)
	}
}
