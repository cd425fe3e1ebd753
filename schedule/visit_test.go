package schedule_test

import (
	"testing"

	"batterboard/schedule"
)

// TestVisitSooner: an agreed visit may be asked for on an earlier day, which is a call; the fewest calls leave it. Once
// taken, the visit is to be agreed anew.
func TestVisitSooner(t *testing.T) {
	site := small(t, `"holds":[{"id":"rough","notice":1,"calledIn":"2027-02-26T10:00","visit":"2027-03-04T08:00"}],
		"activities":[{"id":"hang","crew":"board","labour":{"typical":480},"laid":"2027-03-04T12:30"}],"links":[{"id":"l","from":"rough","to":"hang"}]`)
	now, _ := schedule.ParseMinute("2027-03-01T06:40")
	ways := schedule.FindWays(site, site, now, 100_000)
	if len(ways.Ways) != 2 || !ways.Whole {
		t.Fatalf("%d ways, whole %v", len(ways.Ways), ways.Whole)
	}
	soon, few := &ways.Ways[0], &ways.Ways[1]
	if soon.Finish.String() != "2027-03-03T12:00" || soon.Calls != 1 || soon.Weight != schedule.CallWeight(schedule.Firm, schedule.DateOf(2027, 3, 4).At(480), now) {
		t.Errorf("soonest: %s with %d calls of %d", soon.Finish, soon.Calls, soon.Weight)
	}
	if few.Finish.String() != "2027-03-05T12:00" || few.Calls != 0 {
		t.Errorf("fewest: %s with %d calls", few.Finish, few.Calls)
	}
	for i := range ways.Ways {
		taken(t, 0, site, now, &ways.Ways[i])
		honest(t, 0, site, site, now, &ways.Ways[i])
	}
	if h := schedule.Taken(site, soon).Hold("rough"); h.Visit != 0 || h.Laid.String() != "2027-03-02T08:00" {
		t.Errorf("the visit is agreed for %s and laid to %s", h.Visit, h.Laid)
	}
}

// TestTwoVisits: electric is to work on Monday and Tuesday and cannot come on Tuesday. Coming twice, it is done on
// Wednesday; that is asked of it and costs what it says.
func TestTwoVisits(t *testing.T) {
	site := small(t, `"activities":[{"id":"wires","crew":"electric","labour":{"typical":960},"laid":"2027-03-01T08:00"}]`)
	site.Crew("electric").Twice = &schedule.Twice{Cost: 4000}
	after := *site
	after.Away = []schedule.Away{{ID: "ill", Crew: "electric", From: schedule.DateOf(2027, 3, 2), To: schedule.DateOf(2027, 3, 2)}}
	now, _ := schedule.ParseMinute("2027-03-01T06:40")
	ways := schedule.FindWays(site, &after, now, 100_000)
	if !ways.Whole || len(ways.Ways) != 2 {
		t.Fatalf("%d ways, whole %v", len(ways.Ways), ways.Whole)
	}
	w := &ways.Ways[0]
	if w.Finish.String() != "2027-03-03T16:30" || w.Cost != 4000 || w.Calls != 1 || len(w.Twice) != 1 || w.Twice[0] != "wires" || !w.Proved.Soonest {
		t.Errorf("%+v", w)
	}
	if free := &ways.Ways[1]; free.Finish.String() != "2027-03-04T16:30" || free.Cost != 0 || len(free.Twice) > 0 {
		t.Errorf("%+v", free)
	}
	taken(t, 0, &after, now, w)
	honest(t, 0, site, &after, now, w)
}

// TestVisitShut: the site is shut on the day of an agreed visit: it cannot stand, and the inspector must hear.
func TestVisitShut(t *testing.T) {
	site := small(t, `"holds":[{"id":"rough","notice":1,"calledIn":"2027-02-26T10:00","visit":"2027-03-03T08:00"}]`)
	after := *site
	after.Shut = []schedule.Shut{{ID: "frost", From: schedule.DateOf(2027, 3, 3), To: schedule.DateOf(2027, 3, 3)}}
	p := lies(t, &after, "2027-03-01T06:40", "rough 2027-03-02T08:00 2027-03-02T12:00 notice")
	if got := problem(p, schedule.ProblemVisit); got != "rough" {
		t.Errorf("problem %q", got)
	}
	ways := schedule.FindWays(site, &after, p.Now, 100_000)
	for i := range ways.Ways {
		if w := &ways.Ways[i]; w.Calls != 1 {
			t.Errorf("%s: %d calls", w.Key, w.Calls)
		}
		taken(t, 0, &after, p.Now, &ways.Ways[i])
		honest(t, 0, site, &after, p.Now, &ways.Ways[i])
	}
}
