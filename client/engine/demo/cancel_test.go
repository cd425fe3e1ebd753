package demo_test

import (
	"testing"

	"batterboard/client/engine/demo"
	"batterboard/schedule"
)

// Twenty to seven on Tuesday: Electric can't come today and tomorrow. What the Old Laundry is made to
// show: one way holds the finish for three calls, because Carpentry can swap the porch for the dusty
// work while the room is empty; one leaves Carpentry alone and costs a day; one buys a day with the
// board crew's Saturday.
func TestElectricCannotCome(t *testing.T) {
	was := parse(t, demo.Document())
	changed := parse(t, demo.Document())
	changed.Away = append(changed.Away, schedule.Away{ID: "cancelled", Crew: "electric", From: demo.Today, To: demo.Today + 1})
	plan := schedule.Lay(was, demo.Told)
	found := schedule.FindWays(was, changed, demo.Told, 1_000_000)
	if n := len(found.Ways); n < 3 || n > 5 {
		t.Fatalf("%d ways, want three to five", n)
	}
	last := plan.Finish.Day()
	var holds, fewest, soonest, push *schedule.Way
	for i := range found.Ways {
		w := &found.Ways[i]
		switch day := w.Finish.Day(); {
		case day == last && w.Cost == 0:
			holds = w
		case day < last && w.Cost > 0:
			soonest = w
		}
		if fewest == nil || w.Calls < fewest.Calls {
			fewest = w
		}
		if w.Key == "push" {
			push = w
		}
	}
	if holds == nil || soonest == nil || push == nil {
		t.Fatalf("holds %v, soonest %v, push %v", holds, soonest, push)
	}
	if fewest.Calls >= holds.Calls || fewest.Finish.Day() <= last {
		t.Errorf("fewest: %d calls, finish %v; holds: %d calls, finish %v", fewest.Calls, fewest.Finish, holds.Calls, holds.Finish)
	}
	if push.Finish.Day() <= last {
		t.Errorf("just pushing costs nothing: %v", push.Finish)
	}
	start := map[string]schedule.Minute{}
	for _, l := range holds.Laid {
		start[l.ID] = l.At
	}
	if got := start["vent-patch"].Day(); got != demo.Today+1 {
		t.Errorf("the dusty work lies on %v, not in the empty room on Wednesday", got)
	}
	if got := start["board-ceiling-1"]; got != plan.Line("board-ceiling-1").Start {
		t.Errorf("the board moves to %v", got)
	}
	if len(soonest.Openings) == 0 || soonest.Openings[0].Crew != "board" || soonest.Openings[0].Day.Weekday() != 5 {
		t.Errorf("the soonest way opens %+v, not a Saturday of the board crew", soonest.Openings)
	}
}

// A failed visit keeps everything behind it shut: rough electrical fails on its first visit, so framing,
// insulation and board wait for a second one, at the earliest one working day after the fix and a new
// call (IRC R109.1.2, R109.1.4, R109.4; notice of a working day: City of Moorpark CA FAQ 137).
func TestRoughElectricalFails(t *testing.T) {
	s := parse(t, demo.Document())
	visit := schedule.Lay(s, demo.Told).Line("rough-electrical")
	h, a := s.Hold("rough-electrical"), s.Activity("rough-electric")
	a.Started, a.Finished, a.Done, a.Acked = a.ToldStart, a.ToldFinish, 100, "Marit"
	h.CalledIn, h.Visit = demo.Told+12*60, visit.Start
	h.Result, h.ResultAt, h.Fails, h.Laid = schedule.Fail, visit.Finish, 1, 0
	now := visit.Finish
	s.Activities = append(s.Activities, schedule.Activity{ID: "fix", Name: "Fix: nail plates", Crew: "electric",
		Place: "classroom", Labour: schedule.Range{Typical: 240}, Hands: 2})
	s.Links = append(s.Links, schedule.Link{ID: "fix.rough-electrical", From: "fix", To: "rough-electrical"})
	plan := schedule.Lay(s, now)
	second := plan.Line("rough-electrical")
	if fixed := plan.Line("fix").Finish; second.Start < fixed || second.Start.Day() <= visit.Start.Day() {
		t.Errorf("second visit %v after a failed one %v, fixed %v", second.Start, visit.Start, fixed)
	}
	for _, id := range []string{"framing", "batts", "insulation", "channel-ceiling", "board-ceiling-1", "tape-1"} {
		if got := plan.Line(id).Start; got < second.Finish {
			t.Errorf("%s starts %v, before the second visit is over %v", id, got, second.Finish)
		}
	}
}
