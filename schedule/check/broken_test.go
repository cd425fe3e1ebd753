package check_test

import (
	"slices"
	"strings"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
)

// Monday is 1 March 2027; hours are the default ones. Each case is a site, a moment, what is done to its plan (or to
// the site, once the plan is made), and what must be seen then: a kind and an ID. A case without a kind does no harm.
var broken = []struct {
	what, doc, now string
	harm           func(s *schedule.Site, p *schedule.Plan)
	kind, id       string
}{
	{"a running line begins elsewhere", running, "2027-03-02T10:00", func(s *schedule.Site, p *schedule.Plan) { p.Line("a").Start += 30 }, "fact", "a"},
	{"a running line ended yesterday", running, "2027-03-03T10:00", func(s *schedule.Site, p *schedule.Plan) { p.Line("a").Finish = schedule.DateOf(2027, 3, 2).At(1439) }, "past", "a"},
	{"a running line ended this night", running, "2027-03-03T10:00", func(s *schedule.Site, p *schedule.Plan) { p.Line("a").Finish = schedule.DateOf(2027, 3, 3).Start() }, "", "a"},
	{"running work is in the way of what comes next", running, "2027-03-03T10:00", func(s *schedule.Site, p *schedule.Plan) { p.Line("b").Start = schedule.DateOf(2027, 3, 3).At(11 * 60) }, "crew", "b"},
	{"so it is where it should end later today", running, "2027-03-02T10:00", func(s *schedule.Site, p *schedule.Plan) { p.Line("b").Start = schedule.DateOf(2027, 3, 2).At(16 * 60) }, "crew", "b"},
	{"so is the rest of it from when a share was said", strings.Replace(running, `"started"`, `"done":50,"doneAt":"2027-03-02T12:30","started"`, 1), "2027-03-02T13:00",
		func(s *schedule.Site, p *schedule.Plan) { p.Line("b").Start = schedule.DateOf(2027, 3, 3).At(11 * 60) }, "crew", "b"},
	{"frozen, and only planned", running, "2027-03-02T10:00", func(s *schedule.Site, p *schedule.Plan) { p.Line("b").Frozen = true }, "fact", "b"},
	{"a finished line begins elsewhere", finished, "2027-03-03T10:00", func(s *schedule.Site, p *schedule.Plan) { p.Line("a").Start += 30 }, "fact", "a"},
	{"a finished line ends elsewhere", finished, "2027-03-03T10:00", func(s *schedule.Site, p *schedule.Plan) { p.Line("a").Finish -= 30 }, "fact", "a"},
	{"a milestone lasts", milestone, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { p.Line("m").Finish += 30 }, "hours", "m"},
	{"a milestone at night", milestone, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { p.Line("m").Start += 120; p.Line("m").Finish += 120 }, "hours", "m"},
	{"a milestone when work has just stopped", milestone, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) {}, "", "m"},
	{"a link of a milestone", milestone, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { p.Line("m").Start -= 30; p.Line("m").Finish -= 30 }, "link", "m"},
	{"laid to yesterday is no excuse", `"activities":[{"id":"a","labour":{"typical":240},"laid":"2027-03-02T08:00"}]`, "2027-03-03T07:00",
		func(s *schedule.Site, p *schedule.Plan) { p.Line("a").Start -= 1440; p.Line("a").Finish -= 1440 }, "past", "a"},
	{"laid to this morning is", `"activities":[{"id":"a","labour":{"typical":240},"laid":"2027-03-03T08:00"}]`, "2027-03-03T10:00", func(s *schedule.Site, p *schedule.Plan) {}, "", "a"},
	{"told for this morning is too", `"activities":[{"id":"a","labour":{"typical":240},"booking":"asked","toldStart":"2027-03-03T08:00"}]`, "2027-03-03T10:00", func(s *schedule.Site, p *schedule.Plan) {}, "", "a"},
	{"pencilled is not told", `"activities":[{"id":"a","labour":{"typical":240},"booking":"asked","toldStart":"2027-03-03T08:00"}]`, "2027-03-03T10:00", func(s *schedule.Site, p *schedule.Plan) { s.Activities[0].Booking = "" }, "past", "a"},
	{"before the site begins", `"start":"2027-03-08","activities":[{"id":"a","labour":{"typical":240}}]`, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) {
		p.Line("a").Start -= 1440 * 3
		p.Line("a").Finish -= 1440 * 3
	}, "date", "a"},
	{"on a day away", `"crews":[{"id":"c"}],"activities":[{"id":"a","crew":"c","labour":{"typical":240}}]`, "2027-03-01T06:40",
		func(s *schedule.Site, p *schedule.Plan) { s.Away = []schedule.Away{{Crew: "c", From: p.Now.Day()}} }, "hours", "a"},
	{"on another crew's day away", `"crews":[{"id":"c"},{"id":"d"}],"activities":[{"id":"a","crew":"c","labour":{"typical":240}}]`, "2027-03-01T06:40",
		func(s *schedule.Site, p *schedule.Plan) { s.Away = []schedule.Away{{Crew: "d", From: p.Now.Day()}} }, "", "a"},
	{"on a day away of the second crew", `"crews":[{"id":"c"},{"id":"d"}],"activities":[{"id":"a","crew":"c","with":["d"],"labour":{"typical":240}}]`, "2027-03-01T06:40",
		func(s *schedule.Site, p *schedule.Plan) { s.Away = []schedule.Away{{Crew: "d", From: p.Now.Day()}} }, "hours", "a"},
	{"the site is shut", `"activities":[{"id":"a","labour":{"typical":240}}]`, "2027-03-01T06:40",
		func(s *schedule.Site, p *schedule.Plan) { s.Shut = []schedule.Shut{{From: p.Now.Day()}} }, "hours", "a"},
	{"the site was shut the day before", `"activities":[{"id":"a","labour":{"typical":240}}]`, "2027-03-01T06:40",
		func(s *schedule.Site, p *schedule.Plan) { s.Shut = []schedule.Shut{{From: p.Now.Day() - 1}} }, "", "a"},
	{"in an opening of another crew", `"crews":[{"id":"c"},{"id":"d"}],"activities":[{"id":"a","crew":"c","labour":{"typical":240}}],"openings":[{"id":"o","crew":"c","day":"2027-03-06","from":480,"to":720}]`, "2027-03-06T06:40",
		func(s *schedule.Site, p *schedule.Plan) { s.Openings[0].Crew = "d" }, "hours", "a"},
	{"in an opening of another day", `"crews":[{"id":"c"}],"activities":[{"id":"a","crew":"c","labour":{"typical":240}}],"openings":[{"id":"o","crew":"c","day":"2027-03-06","from":480,"to":720}]`, "2027-03-06T06:40",
		func(s *schedule.Site, p *schedule.Plan) { s.Openings[0].Day++ }, "hours", "a"},
	{"in an hour that the site does not have", `"activities":[{"id":"a","labour":{"typical":240}}]`, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { s.Hours[0] = []schedule.Window{{From: 540, To: 780}} }, "hours", "a"},
	{"before noise is allowed", loud, "2027-03-01T06:40", later("a", -60), "hours", "a"},
	{"after it", loud, "2027-03-01T06:40", later("a", 60), "hours", "a"},
	{"with its end in the quiet", loud, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { s.Noise[0][0].To -= 30 }, "hours", "a"},
	{"over a quiet noon", loud, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) {
		s.Noise[0] = []schedule.Window{{From: 540, To: 600}, {From: 630, To: 990}}
	}, "hours", "a"},
	{"on a day on which noise is never allowed", loud, "2027-03-01T06:40", later("a", 1440), "hours", "a"},
	{"in an opening of its crew, and not in noise hours", loud + `,"openings":[{"id":"o","crew":"c","day":"2027-03-01","from":990,"to":1200}]`, "2027-03-01T06:40", later("a", 360), "hours", "a"},
	{"quiet work then", strings.Replace(loud, `"noisy":true`, `"noisy":false`, 1), "2027-03-01T06:40", later("a", 60), "", "a"},
	{"nobody's work is loud", `"noise":[["09:00-17:00"]],"activities":[{"id":"a","noisy":true,"labour":{"typical":240}}]`, "2027-03-01T06:40", later("a", -60), "hours", "a"},
	{"less than its work", `"crews":[{"id":"c","size":2}],"activities":[{"id":"a","crew":"c","labour":{"typical":480}}]`, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { s.Crews[0].Size = 1 }, "hours", "a"},
	{"with fewer hands than its crew has", `"crews":[{"id":"c","size":2}],"activities":[{"id":"a","crew":"c","labour":{"typical":480}}]`, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { s.Activities[0].Hands = 1 }, "hours", "a"},
	{"more than is left", `"activities":[{"id":"a","labour":{"typical":480}}]`, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { s.Activities[0].Done = 1 }, "hours", "a"},
	{"nothing is left and yet it lasts", `"activities":[{"id":"a","labour":{"typical":480}}]`, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { s.Activities[0].Done = 100 }, "hours", "a"},

	// Links of every kind, their lags by the clock and in working time: half an hour too soon is seen.
	{"finish to start", pair(""), "2027-03-01T06:40", later("b", -30), "link", "l"},
	{"start to start", pair(`,"kind":"SS","lag":60`), "2027-03-01T06:40", later("b", -30), "link", "l"},
	{"finish to finish", pair(`,"kind":"FF","lag":60`), "2027-03-01T06:40", later("b", -30), "link", "l"},
	{"start to finish", pair(`,"kind":"SF","lag":540`), "2027-03-01T06:40", later("b", -30), "link", "l"},
	{"a lag by the clock", pair(`,"lag":150,"clock":true`), "2027-03-01T06:40", later("b", -30), "link", "l"},
	{"a lag in working time", pair(`,"lag":120`), "2027-03-01T06:40", later("b", -30), "link", "l"},
	{"a lead by the clock", pair(`,"lag":-60,"clock":true`), "2027-03-01T06:40", later("b", -30), "link", "l"},
	{"a lead in working time", pair(`,"lag":-60`), "2027-03-01T06:40", later("b", -30), "link", "l"},
	{"a link that a problem of another kind excuses nothing of", pair(""), "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) {
		p.Problems = append(p.Problems, schedule.Problem{Kind: schedule.ProblemMoved, IDs: []string{"b"}})
		later("b", -30)(s, p)
	}, "link", "l"},
	{"a link that leads nowhere", pair(""), "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) {
		s.Links = append(s.Links, schedule.Link{ID: "x", From: "a", To: "ghost"}, schedule.Link{ID: "y", From: "ghost", To: "b"})
	}, "", "l"},
	{"a link set aside for a circle", pair(""), "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) {
		p.Problems = append(p.Problems, schedule.Problem{Kind: schedule.ProblemCircle, IDs: []string{"a", "b"}, Link: "l"})
		later("b", -30)(s, p)
	}, "", "l"},

	{"a signed visit is moved", `"holds":[{"id":"h","result":"pass","resultAt":"2027-03-01T09:00"}]`, "2027-03-01T10:00", func(s *schedule.Site, p *schedule.Plan) { p.Line("h").Finish += 30 }, "fact", "h"},
	{"a visit that began is moved", `"holds":[{"id":"h","calledIn":"2027-02-26T09:00","visit":"2027-03-01T08:00"}]`, "2027-03-01T10:00", func(s *schedule.Site, p *schedule.Plan) { p.Line("h").Start += 30 }, "visit", "h"},
	{"its gate opens in the past", `"holds":[{"id":"h","calledIn":"2027-02-26T09:00","visit":"2027-03-01T08:00"}]`, "2027-03-01T10:00", func(s *schedule.Site, p *schedule.Plan) { p.Line("h").Finish = p.Now - 1 }, "visit", "h"},
	{"a call at the cut-off counts for the next day", `"holds":[{"id":"h","notice":1,"cutoff":720}]`, "2027-03-01T12:00", earlierVisit(1), "visit", "h"},
	{"a call just before it does not", `"holds":[{"id":"h","notice":1,"cutoff":720}]`, "2027-03-01T11:59", func(s *schedule.Site, p *schedule.Plan) {}, "", "h"},
	{"with a day's notice less", `"holds":[{"id":"h","notice":2}]`, "2027-03-01T06:40", earlierVisit(1), "visit", "h"},
	{"notice is counted in working days", `"holds":[{"id":"h","notice":1}]`, "2027-03-05T15:00", earlierVisit(2), "visit", "h"},
	{"a call on a day off counts for the next", `"holds":[{"id":"h","notice":1}]`, "2027-03-06T06:40", earlierVisit(1), "visit", "h"},
	{"what was called in before it failed says nothing", `"holds":[{"id":"h","notice":2,"calledIn":"2027-02-24T09:00","visit":"2027-03-01T08:00","result":"fail","resultAt":"2027-03-01T08:00"}]`, "2027-03-01T10:00", earlierVisit(1), "visit", "h"},
	{"nor before it passed in part", `"holds":[{"id":"h","notice":2,"calledIn":"2027-03-01T08:00","result":"partial","resultAt":"2027-03-01T08:00"}]`, "2027-03-01T10:00", earlierVisit(1), "visit", "h"},
	{"called in again, it does", `"holds":[{"id":"h","notice":2,"calledIn":"2027-03-01T08:01","result":"fail","resultAt":"2027-03-01T08:00"}]`, "2027-03-02T10:00", func(s *schedule.Site, p *schedule.Plan) {}, "", "h"},
	{"over a weekend too", `"holds":[{"id":"h","notice":2}]`, "2027-03-05T15:00", earlierVisit(1), "visit", "h"},
	{"an agreed visit is put elsewhere, between two windows", `"holds":[{"id":"h","calledIn":"2027-02-26T09:00","visit":"2027-03-03T08:00"}]`, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { p.Line("h").Start += 30 }, "visit", "h"},
	{"a visit before the site begins", `"start":"2027-03-08","holds":[{"id":"h"}]`, "2027-03-01T06:40", later("h", -3*1440), "date", "h"},
	{"in the middle of a window", `"holds":[{"id":"h"}]`, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { p.Line("h").Start += 30 }, "visit", "h"},
	{"to the middle of a window", `"holds":[{"id":"h"}]`, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { p.Line("h").Finish -= 30 }, "visit", "h"},
	{"an agreed visit on a day the site is shut", `"holds":[{"id":"h","calledIn":"2027-02-26T09:00","visit":"2027-03-03T08:00"}]`, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { s.Shut = []schedule.Shut{{From: s.Holds[0].Visit.Day()}} }, "visit", "h"},

	{"goods that are here are moved", `"orders":[{"id":"o","arrived":"2027-03-01"}]`, "2027-03-02T10:00", func(s *schedule.Site, p *schedule.Plan) { p.Line("o").Start += 1440; p.Line("o").Finish += 1440 }, "fact", "o"},
	{"goods come before they can", `"orders":[{"id":"o","lead":3}]`, "2027-03-01T10:00", later("o", -1440), "delivery", "o"},
	{"ordered goods come before the day promised", `"orders":[{"id":"o","lead":1,"ordered":"2027-03-01","due":"2027-03-04"}]`, "2027-03-01T10:00", later("o", -1440), "delivery", "o"},
	{"or before their lead, with no day promised", `"orders":[{"id":"o","lead":3,"ordered":"2027-03-01"}]`, "2027-03-01T10:00", later("o", -1440), "delivery", "o"},
	{"goods come on a Sunday", `"orders":[{"id":"o","lead":3}]`, "2027-03-01T10:00", later("o", 3*1440), "delivery", "o"},
	{"goods not ordered come in the past", `"orders":[{"id":"o"}]`, "2027-03-02T06:00", later("o", -1440), "past", "o"},
	{"an order waits for what it is ordered after", `"activities":[{"id":"a","labour":{"typical":480}}],"orders":[{"id":"o","lead":3}],"links":[{"id":"l","from":"a","to":"o"}]`, "2027-03-01T06:40", later("o", -1440), "link", "l"},

	{"an order waits for that with a lead of one day", `"activities":[{"id":"a","labour":{"typical":480}}],"orders":[{"id":"o","lead":1}],"links":[{"id":"l","from":"a","to":"o"}]`, "2027-03-01T06:40", later("o", -1440), "link", "l"},
	{"slack below nothing", pair(""), "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { p.Line("a").FreeFloat = -1 }, "slack", "a"},
	{"more free slack than slack", pair(""), "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { p.Line("a").FreeFloat = p.Line("a").Float + 1 }, "slack", "a"},
	{"finished too late at its latest", pair(""), "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { p.Line("a").LateFinish = p.Finish + 1 }, "slack", "a"},

	{"three in a room for two", room, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { move(p, "c", p.Line("a").Start) }, "place", "c"},
	{"two in a room for two", room, "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) {}, "", "c"},
	{"one beside one that takes the whole room", strings.Replace(room, `"place":"r"`, `"place":"r","whole":true`, 1), "2027-03-01T06:40", func(s *schedule.Site, p *schedule.Plan) { move(p, "b", p.Line("a").Start) }, "place", "b"},
	{"three for two teams", `"crews":[{"id":"k","teams":2}],"activities":[{"id":"a","crew":"k","labour":{"typical":240}},{"id":"b","crew":"k","labour":{"typical":240}},{"id":"c","crew":"k","labour":{"typical":240}}]`, "2027-03-01T06:40",
		func(s *schedule.Site, p *schedule.Plan) { move(p, "c", p.Line("a").Start) }, "crew", "c"},
	{"the second crew of one is the first of another", `"crews":[{"id":"k"},{"id":"j"}],"activities":[{"id":"a","crew":"k","labour":{"typical":240}},{"id":"b","crew":"j","with":["k"],"labour":{"typical":240}}]`, "2027-03-01T06:40",
		func(s *schedule.Site, p *schedule.Plan) { move(p, "b", p.Line("a").Start) }, "crew", "b"},
}

const (
	running   = `"crews":[{"id":"c"}],"activities":[{"id":"a","crew":"c","labour":{"typical":960},"started":"2027-03-01T08:00"},{"id":"b","crew":"c","labour":{"typical":240}}]`
	finished  = `"activities":[{"id":"a","labour":{"typical":960},"started":"2027-03-01T08:00","finished":"2027-03-02T15:00"}]`
	milestone = `"activities":[{"id":"a","labour":{"typical":480}},{"id":"m"}],"links":[{"id":"l","from":"a","to":"m"}]`
	loud      = `"noise":[["09:00-16:30"],[]],"crews":[{"id":"c"}],"activities":[{"id":"a","crew":"c","noisy":true,"labour":{"typical":420}}]`
	room      = `"places":[{"id":"r","room":2}],"activities":[{"id":"a","place":"r","labour":{"typical":240}},{"id":"b","place":"r","labour":{"typical":240}},{"id":"c","place":"r","labour":{"typical":240}}]`
)

// pair is three hours of work and an hour of other work that waits for it.
func pair(link string) string {
	return `"activities":[{"id":"a","labour":{"typical":180}},{"id":"b","labour":{"typical":60}}],"links":[{"id":"l","from":"a","to":"b"` + link + `}]`
}

func move(p *schedule.Plan, id string, to schedule.Minute) {
	l := p.Line(id)
	l.Start, l.Finish = to, to+l.Finish-l.Start
}

func later(id string, by schedule.Minute) func(*schedule.Site, *schedule.Plan) {
	return func(_ *schedule.Site, p *schedule.Plan) { move(p, id, p.Line(id).Start+by) }
}

// earlierVisit moves the visit so many working days sooner.
func earlierVisit(days int) func(*schedule.Site, *schedule.Plan) {
	return func(_ *schedule.Site, p *schedule.Plan) {
		for l := p.Line("h"); days > 0; {
			if move(p, "h", l.Start-1440); l.Start.Day().Weekday() < 5 {
				days--
			}
		}
	}
}

// TestBrokenEachWay: every promise, broken in a small way, is seen; what is just right is not blamed.
func TestBrokenEachWay(t *testing.T) {
	for _, c := range broken {
		s, err := schedule.ParseSite([]byte("{" + c.doc + "}"))
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		now, _ := schedule.ParseMinute(c.now)
		plan := schedule.Lay(s, now)
		if faults := check.Plan(s, plan); len(faults) > 0 {
			t.Errorf("%s: before anything was done: %v", c.what, faults)
			continue
		}
		c.harm(s, plan)
		faults := slices.DeleteFunc(check.Plan(s, plan), func(f check.Fault) bool { return f.Kind != c.kind && (f.Kind == "slack" || f.Kind == "finish") })
		seen := slices.ContainsFunc(faults, func(f check.Fault) bool { return f.Kind == c.kind && slices.Contains(f.IDs, c.id) })
		if c.kind != "" && !seen || c.kind == "" && len(faults) > 0 {
			t.Errorf("%s: want %s of %s, found %v", c.what, c.kind, c.id, faults)
		}
	}
}
