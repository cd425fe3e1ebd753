package engine

import (
	"testing"

	"batterboard/schedule"
)

// Anna opens the odds of the Old Laundry: the first picture is there at once and settles portion by
// portion; the dots are a hundred all the time, and the marks come in order.
func TestOddsSettle(t *testing.T) {
	e := openDemo(t, "en")
	v := show(t, e, "odds", "").Odds
	if v.Runs != oddsFirst || !v.More || v.Of != oddsRuns {
		t.Fatalf("first %d of %d, more %v", v.Runs, v.Of, v.More)
	}
	for n := 0; v.More; n++ {
		if n > 20 {
			t.Fatal("never settles")
		}
		hundred(t, v)
		v = do(t, e, Request{Do: "odds", Screen: "odds"}).View.Odds
	}
	hundred(t, v)
	if v.Runs != oddsRuns {
		t.Errorf("%d runs", v.Runs)
	}
	if len(v.Taut) == 0 || v.Taut[0].Share < 50 || v.Promise == "" || v.Plan == "" {
		t.Errorf("%+v", v)
	}
	again := show(t, e, "odds", "").Odds // shown again, nothing is rolled anew
	if again.Line != v.Line || again.More {
		t.Errorf("%q, then %q", v.Line, again.Line)
	}
	whole := openDemo(t, "en") // at once, as the shell asks, the answer is the same
	at := do(t, whole, Request{Do: "odds", Screen: "odds", Key: "1", Count: oddsRuns}).View.Odds
	if at.Line != v.Line || at.Made != v.Made || at.Taut[3] != v.Taut[3] {
		t.Errorf("in portions %q, at once %q", v.Line, at.Line)
	}
}

func hundred(t *testing.T, v *OddsView) {
	t.Helper()
	dots, marks := int32(0), 0
	for i, d := range v.Days {
		dots += d.Dots
		marks += len(d.Marks)
		if i > 0 && d.Day <= v.Days[i-1].Day {
			t.Error("days out of order")
		}
	}
	if dots != 100 || marks != 3 || len(v.Marks) != 3 || v.Marks[0].Day > v.Marks[1].Day || v.Marks[1].Day > v.Marks[2].Day {
		t.Errorf("%d dots, %d marks: %+v", dots, marks, v.Marks)
	}
}

// A change of the plan asks anew; looking at it a quarter of an hour later does, too.
func TestOddsAskedAnew(t *testing.T) {
	e := openDemo(t, "en")
	do(t, e, Request{Do: "odds", Screen: "odds", Key: "9", Count: 300})
	if v := show(t, e, "odds", "").Odds; v.Runs != 300 {
		t.Errorf("%d runs", v.Runs)
	}
	do(t, e, Request{Do: "note", Said: "rain"})
	if v := show(t, e, "odds", "").Odds; v.Runs != oddsFirst {
		t.Errorf("after a change %d runs", v.Runs)
	}
	do(t, e, Request{Do: "odds", Screen: "odds"})
	later := do(t, e, Request{Do: "show", Screen: "odds", Now: demoNow + oddsFresh}).View.Odds
	if later.Runs != oddsFirst {
		t.Errorf("a quarter of an hour later %d runs", later.Runs)
	}
	for _, r := range []Request{{Count: 5}, {Key: "x", Count: 5}, {Key: "1", Count: schedule.MaxRuns + 1}, {Key: "1", Count: -1}} {
		r.Do, r.Screen = "odds", "odds"
		if v := do(t, e, r).View; v.Refused == "" {
			t.Errorf("key %q, count %d was not refused", r.Key, r.Count)
		}
	}
}

// An empty site has nothing to guess; a site without any chance says so and finishes as planned.
func TestOddsOfAQuietSite(t *testing.T) {
	doc := `{"format":1,"name":"Shed","start":"2027-04-05","crews":[{"id":"a","name":"A","trade":"board"}]`
	for _, c := range []struct{ doc, line string }{
		{doc + `}`, "Nothing is left to do, so there is nothing to guess."},
		{doc + `,"activities":[{"id":"x","name":"Hang","crew":"a","labour":{"typical":960}}]}`,
			"Nothing here is uncertain as far as it is written down: every run finishes Wed 7 Apr."},
		{doc + `,"activities":[{"id":"x","name":"Hang","crew":"a","labour":{"typical":60000,"high":3000000}}]}`, ""}, // years
	} {
		e := New()
		r := e.Do(Request{Do: "open", Site: "shed", Device: 2, Role: "owner", Lang: "en", Now: demoNow, Wall: wall(demoNow), Ops: opsOf(t, []byte(c.doc), 1, demoNow-1440)})
		if r.Failed != "" {
			t.Fatal(r.Failed)
		}
		if v := show(t, e, "odds", "").Odds; c.line != "" && v.Line != c.line {
			t.Errorf("%q", v.Line)
		} else if v.Most > 100 || len(v.Days) > 200 {
			t.Errorf("%d rows", len(v.Days))
		}
	}
}
