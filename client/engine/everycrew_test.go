package engine

import (
	"slices"
	"strings"
	"testing"

	"batterboard/schedule"
)

// Every crew of the Old Laundry cancels: its first day, its first visit, a week, a fortnight, days in the
// middle and its last one. Whatever the answer is, its cards are worth choosing between, and say of
// themselves what is true.
func TestEveryCrewCancels(t *testing.T) {
	for _, lang := range []string{"en", "es"} {
		e := openDemo(t, lang)
		asks, ways := 0, 0
		for _, c := range show(t, e, "cant", "").Cant.Crews {
			for _, span := range cancelled(c.Booked) {
				if lang == "es" && asks >= 12 { // the same plan in other words
					continue
				}
				asks++
				v := askedOut(t, e, Change{Kind: "away", Crew: c.ID, From: span[0], To: span[1]})
				ways += len(v.Cards)
				checkCards(t, e, c.ID+" "+span[0].String()+" to "+span[1].String(), v)
			}
		}
		t.Logf("%s: %d cancellations, %d ways", lang, asks, ways)
	}
}

// cancelled are spans of days a crew may call off, by the days it is booked.
func cancelled(booked []schedule.Day) (spans [][2]schedule.Day) {
	if len(booked) == 0 {
		return nil
	}
	first, run := booked[0], 0
	for run+1 < len(booked) && booked[run+1] <= booked[run]+3 {
		run++
	}
	last, mid := booked[len(booked)-1], booked[len(booked)/2]
	for _, s := range [][2]schedule.Day{{first, first}, {first, booked[run]}, {first, first + 6}, {first, first + 13}, {mid, mid + 1}, {last, last},
		{booked[min(1, len(booked)-1)], booked[min(1, len(booked)-1)]}} {
		if !slices.Contains(spans, s) {
			spans = append(spans, s)
		}
	}
	return spans
}

// askedOut asks until the planner has said its last word.
func askedOut(t *testing.T, e *Engine, c Change) *WaysView {
	t.Helper()
	v := do(t, e, Request{Do: "ways", Change: &c, Screen: "ways"}).View.Ways
	for n := 0; v != nil && v.More; n++ {
		if n > 1000 {
			t.Fatal("the search does not end")
		}
		v = do(t, e, Request{Do: "more", Token: v.Token, Screen: "ways"}).View.Ways
	}
	if v == nil || len(v.Cards) == 0 {
		t.Fatalf("%+v: no way", c)
	}
	return v
}

func checkCards(t *testing.T, e *Engine, about string, v *WaysView) {
	t.Helper()
	best := 0
	for i, c := range v.Cards {
		w := e.asked.handed[c.Key]
		if c.Best {
			best++
		}
		for j, o := range v.Cards {
			x := e.asked.handed[o.Key]
			same := lastDay(0, x.Finish) == lastDay(0, w.Finish) && x.Calls == w.Calls && x.Cost == w.Cost
			if i != j && lastDay(0, x.Finish) <= lastDay(0, w.Finish) && x.Calls <= w.Calls && x.Cost <= w.Cost && (same || !isPush(w)) {
				t.Errorf("%s: %q is not worth choosing beside %q", about, c.Name, o.Name)
			}
		}
		var called []string // a crew is called once, an inspector for each visit
		for _, r := range c.Rows {
			who := r.Who
			if e.sheet.holds[r.ID] != nil {
				who = r.ID
			}
			if r.Call && !slices.Contains(called, who) {
				called = append(called, who)
			}
			if r.When == "" || strings.TrimPrefix(r.From, "← from ") == r.When || strings.Contains(r.When+r.From, "%!") || r.Who == "" || r.What == "" {
				t.Errorf("%s: %q says %+v", about, c.Name, r)
			}
		}
		want := e.words().Count("calls", int64(len(called)))
		if len(called) == 0 {
			want = e.words().Say("calls.none")
		}
		if c.Calls != want {
			t.Errorf("%s: %q says %q and lists %v", about, c.Name, c.Calls, called)
		}
		if (c.Cost != "") && c.Extra == "" {
			t.Errorf("%s: %q costs %q and does not say for what", about, c.Name, c.Cost)
		}
		for _, o := range w.Openings {
			if name := e.sheet.crewName(o.Crew); !slices.Contains(called, name) || !strings.Contains(c.Extra, name) {
				t.Errorf("%s: %q has %s work extra and does not say so: %q, calls %v", about, c.Name, name, c.Extra, called)
			}
		}
	}
	if best != 1 {
		t.Errorf("%s: %d ways are the best one", about, best)
	}
}

// Carpentry is in the middle of the hung ceiling when it calls off the day: the rest of it lands on the next
// day it comes, and the way says so. Mechanical's pad is all there is of it, so it is all that way says.
func TestWhatIsUnderWayRunsOn(t *testing.T) {
	e := openDemo(t, "en")
	for crew, want := range map[string]WayRow{
		"carpentry":  {ID: "frame-ceiling", Who: "Carpentry", When: "until Wed 7", From: "not Tue 6", What: "Hung ceiling", Call: true},
		"mechanical": {ID: "outdoor-pad", Who: "Mechanical", When: "until Wed 7", From: "not Tue 6", What: "Unit pad", Call: true},
	} {
		v := askedOut(t, e, Change{Kind: "away", Crew: crew, From: day("2027-04-06"), To: day("2027-04-06")})
		got := v.Cards[0].Rows[0]
		got.Phone = ""
		if got != want {
			t.Errorf("%s: %+v", crew, got)
		}
	}
}

// Who comes twice comes on two days, not from one to the other.
func TestTwoVisitsAreTwoDays(t *testing.T) {
	e := openDemo(t, "en")
	v := askedOut(t, e, Change{Kind: "away", Crew: "electric", From: day("2027-04-07"), To: day("2027-04-07")})
	for _, c := range v.Cards {
		for _, r := range c.Rows {
			if r.ID == "rough-electric" && r.When == "Tue 6 and Thu 8" {
				if c.Cost == "" || !strings.Contains(c.Extra, "Electric comes twice") {
					t.Errorf("a second visit for nothing: %+v", c)
				}
				return
			}
		}
	}
	t.Errorf("nobody comes on Tuesday and on Thursday: %+v", v.Cards)
}
