package check_test

import (
	"fmt"
	"strings"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
	"batterboard/schedule/randsite"
)

// A site with one of everything, on its first Monday.
func site() (*schedule.Site, schedule.Minute) {
	s, err := schedule.ParseSite([]byte(`{"start":"2027-03-01",
		"crews":[{"id":"electric"},{"id":"board"}],"places":[{"id":"room"}],
		"activities":[
			{"id":"wires","crew":"electric","place":"room","labour":{"typical":960}},
			{"id":"lamps","crew":"electric","labour":{"typical":240}},
			{"id":"hang","crew":"board","place":"room","labour":{"typical":480},"notBefore":"2027-03-04T00:00"},
			{"id":"strip","crew":"board","labour":{"typical":480},"started":"2027-02-26T08:00","finished":"2027-02-26T16:30"}],
		"holds":[{"id":"rough","notice":1}],
		"orders":[{"id":"sheets","lead":2}],
		"links":[{"id":"l1","from":"wires","to":"rough"},{"id":"l2","from":"rough","to":"hang"},{"id":"l3","from":"sheets","to":"hang"},
			{"id":"l4","from":"wires","to":"lamps","lag":120,"kind":"FF"}]}`))
	if err != nil {
		panic(err)
	}
	return s, schedule.DateOf(2027, 3, 1).At(400)
}

func copied(p *schedule.Plan) *schedule.Plan {
	out := *p
	out.Lines = append([]schedule.Line(nil), p.Lines...)
	return &out
}

// TestBroken: each broken promise is seen, and by its name.
func TestBroken(t *testing.T) {
	s, now := site()
	plan := schedule.Lay(s, now)
	if faults := check.Plan(s, plan); len(faults) > 0 {
		t.Fatalf("a good plan: %v", faults)
	}
	const day = schedule.MinutesPerDay
	for _, c := range []struct {
		kind string
		harm func(p *schedule.Plan)
	}{
		{"lines", func(p *schedule.Plan) { p.Lines = p.Lines[1:] }},
		{"lines", func(p *schedule.Plan) { p.Lines[0], p.Lines[1] = p.Lines[1], p.Lines[0] }},
		{"lines", func(p *schedule.Plan) { p.Line("wires").Finish = p.Line("wires").Start - 1 }},
		{"lines", func(p *schedule.Plan) { p.Line("wires").Start, p.Line("wires").Finish = schedule.Never, schedule.Never }},
		{"past", func(p *schedule.Plan) { p.Line("wires").Start -= 7 * day }},
		{"hours", func(p *schedule.Plan) { p.Line("wires").Start -= 30 }},
		{"hours", func(p *schedule.Plan) { p.Line("wires").Finish += 30 }},
		{"hours", func(p *schedule.Plan) { p.Line("lamps").Finish -= 60 }},
		{"date", func(p *schedule.Plan) { p.Line("hang").Start -= 2 * day; p.Line("hang").Finish -= 2 * day }},
		{"link", func(p *schedule.Plan) { p.Line("rough").Start -= day; p.Line("rough").Finish -= day }},
		{"link", func(p *schedule.Plan) { p.Line("hang").Start = p.Line("rough").Finish - 60 }},
		{"crew", func(p *schedule.Plan) { p.Line("lamps").Start = p.Line("wires").Finish - 60 }},
		{"place", func(p *schedule.Plan) { p.Line("hang").Start = p.Line("wires").Finish - 60 }},
		{"fact", func(p *schedule.Plan) { p.Line("strip").Finish += 30 }},
		{"fact", func(p *schedule.Plan) { p.Line("strip").Frozen = false }},
		{"visit", func(p *schedule.Plan) { p.Line("rough").Start += 30 }},
		{"visit", func(p *schedule.Plan) { p.Line("rough").Start -= 2 * day; p.Line("rough").Finish -= 2 * day }},
		{"delivery", func(p *schedule.Plan) { p.Line("sheets").Start -= 2 * day; p.Line("sheets").Finish -= 2 * day }},
		{"finish", func(p *schedule.Plan) { p.Finish += 30 }},
		{"slack", func(p *schedule.Plan) { p.Line("hang").Float = -1 }},
		{"slack", func(p *schedule.Plan) { p.Line("hang").LateStart = p.Line("hang").Start - 1 }},
		{"slack", func(p *schedule.Plan) { p.Line("hang").EarlyStart = p.Line("hang").Start + 1 }},
	} {
		p := copied(plan)
		c.harm(p)
		seen := false
		faults := check.Plan(s, p)
		for _, f := range faults {
			seen = seen || f.Kind == c.kind
		}
		if !seen {
			t.Errorf("a broken %s went unseen; found %v", c.kind, faults)
		}
	}
}

// TestSplit: work on both sides of days away is seen.
func TestSplit(t *testing.T) {
	s, now := site()
	plan := schedule.Lay(s, now)
	day := schedule.DateOf(2027, 3, 2)
	s.Away = []schedule.Away{{ID: "x", Crew: "electric", From: day, To: day}}
	l := plan.Line("wires")
	l.Finish += schedule.MinutesPerDay // Monday and Wednesday
	for _, f := range check.Plan(s, plan) {
		if f.Kind == "hours" && f.IDs[0] == "wires" {
			return
		}
	}
	t.Error("work split over a day away went unseen")
}

// TestTwice: where a second visit was agreed one span of days away may lie in the middle of a line, and no second one.
func TestTwice(t *testing.T) {
	s, now := site()
	plan := schedule.Lay(s, now)
	l := plan.Line("wires")
	cut := func(d schedule.Day) schedule.Away {
		return schedule.Away{ID: d.String(), Crew: "electric", From: d, To: d}
	}
	split := func() (n int) {
		for _, f := range check.Plan(s, plan) {
			if f.Kind == "hours" && f.IDs[0] == "wires" && strings.Contains(f.Said, "days away") {
				n++
			}
		}
		return n
	}
	l.Finish += schedule.MinutesPerDay // Monday and Wednesday
	s.Away = []schedule.Away{cut(l.Start.Day() + 1)}
	s.Activity("wires").Twice = true
	if split() > 0 {
		t.Error("an agreed second visit is a fault")
	}
	l.Finish += 2 * schedule.MinutesPerDay // Monday, Wednesday, Friday
	s.Away = append(s.Away, cut(l.Start.Day()+3))
	if split() == 0 {
		t.Error("a third visit went unseen")
	}
}

// TestRain: outdoor work on a day shut for it is seen; the same work indoors is none the worse.
func TestRain(t *testing.T) {
	s, now := site()
	plan := schedule.Lay(s, now)
	day := plan.Line("hang").Start.Day()
	s.Shut = append(s.Shut, schedule.Shut{ID: "rain", From: day, To: day, Outdoor: true})
	if faults := check.Plan(s, plan); len(faults) > 0 {
		t.Errorf("rain outside is a fault indoors: %v", faults)
	}
	s.Activity("hang").Outdoor = true
	for _, f := range check.Plan(s, plan) {
		if f.Kind == "hours" && f.IDs[0] == "hang" {
			return
		}
	}
	t.Error("outdoor work in the rain went unseen")
}

// TestNudged: in random plans, a line that is half an hour too short is always seen.
func TestNudged(t *testing.T) {
	shape := randsite.Shape{Activities: 8, Holds: 2, Crews: 2, Places: 1, NoFacts: true}
	seen, all := 0, 0
	for n := range uint64(300) {
		s, now := randsite.Site(n, shape)
		plan := schedule.Lay(s, now)
		r := randsite.Rand(n)
		l := &plan.Lines[r.Int(len(plan.Lines))]
		if l.Start >= schedule.Never || l.Start == l.Finish {
			continue
		}
		l.Finish -= 30
		all++
		if len(check.Plan(s, plan)) > 0 {
			seen++
		}
	}
	if seen < all {
		t.Errorf("a line half an hour too short was seen in %d of %d plans", seen, all)
	}
}

func ExamplePlan() {
	s, now := site()
	plan := schedule.Lay(s, now)
	fmt.Println(len(check.Plan(s, plan)), "faults")
	plan.Line("lamps").Finish -= 60
	fmt.Println(check.Plan(s, plan)[0].Kind)
	// Output:
	// 0 faults
	// hours
}
