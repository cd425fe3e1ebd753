package schedule_test

import (
	"strings"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
)

// A small site for stories: Monday is 1 March 2027; hours are the default ones.
func small(t *testing.T, doc string) *schedule.Site {
	t.Helper()
	site, err := schedule.ParseSite([]byte(`{"start":"2027-03-01","crews":[
		{"id":"electric","trade":"electric"},{"id":"board","trade":"board"},
		{"id":"owner","own":true,"hours":[["18:00-21:00"],["18:00-21:00"],["18:00-21:00"],["18:00-21:00"],["18:00-21:00"],["09:00-13:00"]]}],` + doc + `}`))
	if err != nil {
		t.Fatal(err)
	}
	return site
}

// lies plans a site and compares lines written as "id start finish why".
func lies(t *testing.T, site *schedule.Site, now string, want ...string) *schedule.Plan {
	t.Helper()
	at, err := schedule.ParseMinute(now)
	if err != nil {
		t.Fatal(err)
	}
	plan := schedule.Lay(site, at)
	if faults := check.Plan(site, plan); len(faults) > 0 {
		t.Errorf("%v", faults)
	}
	for _, w := range want {
		l := plan.Line(strings.Fields(w)[0])
		got := strings.Join([]string{l.ID, l.Start.String(), l.Finish.String(), string(l.Because.Kind), l.Because.By, l.Because.Who}, " ")
		if got = strings.TrimRight(strings.ReplaceAll(got, "  ", " "), " "); got != w {
			t.Errorf("%q, want %q", got, w)
		}
	}
	return plan
}

func problem(p *schedule.Plan, kind schedule.ProblemKind) string {
	for _, q := range p.Problems {
		if q.Kind == kind {
			return strings.Join(q.IDs, " ")
		}
	}
	return ""
}

// Two days of wiring, the visit called in with a day's notice, then the board.
const holdDoc = `
	"activities":[{"id":"wires","crew":"electric","labour":{"typical":960}},{"id":"hang","crew":"board","labour":{"typical":480}}],
	"holds":[{"id":"rough","notice":1,"cutoff":720 HOLD}],
	"links":[{"id":"l1","from":"wires","to":"rough"},{"id":"l2","from":"rough","to":"hang"}]`

func holdSite(t *testing.T, hold string) *schedule.Site {
	return small(t, strings.Replace(holdDoc, "HOLD", hold, 1))
}

func TestHoldStory(t *testing.T) {
	p := lies(t, holdSite(t, ""), "2027-03-01T06:40",
		"wires 2027-03-01T08:00 2027-03-02T16:30 now",
		"rough 2027-03-03T08:00 2027-03-03T12:00 link wires",
		"hang 2027-03-03T12:30 2027-03-04T12:00 link rough")
	if by := p.Line("rough").CallBy.String(); by != "2027-03-02T12:00" {
		t.Errorf("call in by %s: one working day before the visit, before the cut-off", by)
	}
	if got := strings.Join(p.Taut, " "); got != "wires rough hang" {
		t.Errorf("the taut chain is %s", got)
	}
	// Called after the cut-off, the call counts for the next day: Tuesday; so the visit is on Wednesday.
	done := holdSite(t, "")
	done.Activities[0].Finished = schedule.DateOf(2027, 3, 1).At(600)
	lies(t, done, "2027-03-01T13:00", "rough 2027-03-03T08:00 2027-03-03T12:00 notice")
	lies(t, done, "2027-03-01T11:00", "rough 2027-03-02T08:00 2027-03-02T12:00 notice")
	// Over a weekend: Friday afternoon counts as Monday, the visit is on Tuesday.
	lies(t, done, "2027-03-05T15:00", "rough 2027-03-09T08:00 2027-03-09T12:00 notice")
}

func TestAgreedVisit(t *testing.T) {
	lies(t, holdSite(t, `,"calledIn":"2027-03-01T09:00","visit":"2027-03-04T12:30"`), "2027-03-01T10:00",
		"rough 2027-03-04T12:30 2027-03-04T16:30 visit",
		"hang 2027-03-05T08:00 2027-03-05T16:30 link rough")
	// Agreed too early: it is moved, and that is a problem.
	p := lies(t, holdSite(t, `,"calledIn":"2027-03-01T09:00","visit":"2027-03-02T08:00"`), "2027-03-01T10:00",
		"rough 2027-03-03T12:30 2027-03-03T16:30 link wires")
	if got := problem(p, schedule.ProblemVisit); got != "rough" {
		t.Errorf("a visit agreed too early is no problem: %v", p.Problems)
	}
}

func TestVisitResults(t *testing.T) {
	passed := holdSite(t, `,"visit":"2027-03-01T08:00","result":"pass","resultAt":"2027-03-01T09:30"`)
	lies(t, passed, "2027-03-01T10:00", "rough 2027-03-01T08:00 2027-03-01T09:30 fact", "hang 2027-03-01T10:00 2027-03-02T10:00 now")
	// A failed visit keeps the gate shut: a new call, a new visit.
	failed := holdSite(t, `,"calledIn":"2027-02-26T09:00","visit":"2027-03-01T08:00","result":"fail","resultAt":"2027-03-01T09:30","fails":1`)
	failed.Activities[0].Finished = schedule.DateOf(2027, 2, 26).At(990)
	lies(t, failed, "2027-03-01T10:00", "rough 2027-03-02T08:00 2027-03-02T12:00 notice", "hang 2027-03-02T12:30 2027-03-03T12:00 link rough")
	// The window has begun and nobody wrote what was said: the gate opens no earlier than now.
	waiting := holdSite(t, `,"calledIn":"2027-02-26T09:00","visit":"2027-03-01T08:00"`)
	p := lies(t, waiting, "2027-03-02T10:00", "rough 2027-03-01T08:00 2027-03-02T10:00 fact")
	if got := problem(p, schedule.ProblemOverdue); got != "rough" {
		t.Errorf("problems %v", p.Problems)
	}
}

func TestOrderStory(t *testing.T) {
	doc := `"activities":[{"id":"hang","crew":"board","labour":{"typical":480},"notBefore":"2027-03-10T00:00"}],
		"orders":[{"id":"sheets","goods":"board","lead":3 ORDER}],"links":[{"id":"l","from":"sheets","to":"hang"}]`
	with := func(order string) *schedule.Site { return small(t, strings.Replace(doc, "ORDER", order, 1)) }
	// Not ordered: it comes the working day before it is needed, and must be ordered by Saturday: Friday.
	p := lies(t, with(""), "2027-03-01T08:00", "sheets 2027-03-09T08:00 2027-03-09T12:00 lead", "hang 2027-03-10T08:00 2027-03-10T16:30 notBefore")
	if by := p.Line("sheets").CallBy.String(); by != "2027-03-05T16:30" {
		t.Errorf("order by %s", by)
	}
	// Needed at once: the lead binds.
	soon := with("")
	soon.Activities[0].NotBefore = 0
	lies(t, soon, "2027-03-01T08:00", "sheets 2027-03-04T08:00 2027-03-04T12:00 lead", "hang 2027-03-04T12:30 2027-03-05T12:00 link sheets")
	// Ordered and promised for the 11th; overdue from the 12th on.
	lies(t, with(`,"ordered":"2027-03-01","due":"2027-03-11"`), "2027-03-02T08:00", "sheets 2027-03-11T08:00 2027-03-11T12:00 lead", "hang 2027-03-11T12:30 2027-03-12T12:00 link sheets")
	p = lies(t, with(`,"ordered":"2027-03-01","due":"2027-03-11"`), "2027-03-12T13:00", "hang 2027-03-12T13:00 2027-03-15T13:00 link sheets")
	if got := problem(p, schedule.ProblemOverdue); got != "sheets" {
		t.Errorf("problems %v", p.Problems)
	}
	lies(t, with(`,"ordered":"2027-03-01","arrived":"2027-03-03"`), "2027-03-04T08:00", "sheets 2027-03-03T08:00 2027-03-03T08:00 fact")
}

func TestReasons(t *testing.T) {
	site := small(t, `"places":[{"id":"room","room":2}],
		"activities":[
			{"id":"a","crew":"electric","place":"room","labour":{"typical":240}},
			{"id":"b","crew":"electric","labour":{"typical":480}},
			{"id":"c","crew":"board","place":"room","whole":true,"labour":{"typical":240}},
			{"id":"d","crew":"owner","labour":{"typical":60}},
			{"id":"e","crew":"owner","labour":{"typical":60}}],
		"links":[{"id":"l1","from":"a","to":"b"},{"id":"l2","from":"c","to":"d","lag":1440,"clock":true},{"id":"l3","from":"a","to":"c","kind":"SS"}],
		"away":[{"id":"x","crew":"electric","from":"2027-03-02","to":"2027-03-03"}]`)
	lies(t, site, "2027-03-01T06:00",
		"a 2027-03-01T08:00 2027-03-01T12:00 now",
		"b 2027-03-04T08:00 2027-03-04T16:30 calendar a electric", // half on Monday, half on Thursday would be two visits
		"c 2027-03-01T12:30 2027-03-01T16:30 place a room",
		"d 2027-03-02T18:00 2027-03-02T19:00 link c",
		"e 2027-03-01T18:00 2027-03-01T19:00 calendar owner")
}

func TestRunningWork(t *testing.T) {
	doc := `"activities":[{"id":"a","crew":"electric","labour":{"typical":960},"started":"2027-03-01T08:00" DONE},{"id":"b","crew":"electric","labour":{"typical":240}}]`
	with := func(done string) *schedule.Site { return small(t, strings.Replace(doc, "DONE", done, 1)) }
	lies(t, with(""), "2027-03-02T10:00", "a 2027-03-01T08:00 2027-03-02T16:30 fact", "b 2027-03-03T08:00 2027-03-03T12:00 crew a electric")
	lies(t, with(`,"done":75`), "2027-03-02T08:00", "a 2027-03-01T08:00 2027-03-02T12:00 fact")
	// What is left counts from when the share was said, else from the morning; it does not shrink with the day.
	lies(t, with(`,"done":25,"doneAt":"2027-03-02T12:30"`), "2027-03-02T12:30", "a 2027-03-01T08:00 2027-03-03T16:30 fact")
	lies(t, with(`,"done":25,"doneAt":"2027-03-02T12:30"`), "2027-03-03T15:50", "a 2027-03-01T08:00 2027-03-03T16:30 fact")
	for _, now := range []string{"2027-03-02T07:00", "2027-03-02T12:30", "2027-03-02T15:50"} {
		lies(t, with(`,"done":25`), now, "a 2027-03-01T08:00 2027-03-03T12:00 fact")
	}
	// Nobody marked it: it ended when it should have, as far as anybody knows, until the evening; the next day
	// it is at work to the end of the half day.
	lies(t, with(""), "2027-03-02T17:10", "a 2027-03-01T08:00 2027-03-02T16:30 fact", "b 2027-03-03T08:00 2027-03-03T12:00 crew a electric")
	lies(t, with(""), "2027-03-03T06:40", "a 2027-03-01T08:00 2027-03-03T06:40 fact", "b 2027-03-03T08:00 2027-03-03T12:00 crew a electric")
	p := lies(t, with(""), "2027-03-03T10:00", "a 2027-03-01T08:00 2027-03-03T12:00 fact", "b 2027-03-03T12:30 2027-03-03T16:30 crew a electric")
	if got := problem(p, schedule.ProblemOverdue); got != "a" {
		t.Errorf("problems %v", p.Problems)
	}
}

// Laid to this morning and not marked started: it stays there until the day is over.
func TestLaidThisMorning(t *testing.T) {
	site := small(t, `"activities":[{"id":"a","crew":"electric","labour":{"typical":240},"laid":"2027-03-02T08:00"}]`)
	lies(t, site, "2027-03-02T15:00", "a 2027-03-02T08:00 2027-03-02T12:00 laid")
	lies(t, site, "2027-03-03T07:00", "a 2027-03-03T08:00 2027-03-03T12:00 now")
}

func TestEarliestFor(t *testing.T) {
	site := holdSite(t, "")
	now, _ := schedule.ParseMinute("2027-03-01T06:40")
	wish, _ := schedule.ParseMinute("2027-03-02T08:00")
	e := schedule.EarliestFor(site, now, "hang", wish)
	var chain []string
	for _, r := range e.Chain {
		chain = append(chain, string(r.Kind)+" "+r.By)
	}
	if got := e.At.String() + ": " + strings.Join(chain, ", "); got != "2027-03-03T12:30: link rough, link wires, now " {
		t.Errorf("%s", got)
	}
	later, _ := schedule.ParseMinute("2027-03-08T08:00")
	if e := schedule.EarliestFor(site, now, "hang", later); e.At != later || len(e.Chain) > 0 {
		t.Errorf("a wish that can be granted: %s, %v", e.At, e.Chain)
	}
	if e := schedule.EarliestFor(site, now, "ghost", later); e.At != 0 {
		t.Errorf("what is not there starts at %s", e.At)
	}
}
