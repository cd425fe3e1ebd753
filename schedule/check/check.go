// Package check says whether a plan keeps its promises. It is the second opinion: it shares no code
// with the planner and uses only the plain data of package schedule and its dates. It counts minutes of
// each day one by one, where the planner uses sums and formulas.
//
// [Plan] is the only door. Every plan that is shown passes it; a plan with a fault is a defect of the
// planner, never of the site.
package check

import (
	"fmt"

	"batterboard/schedule"
)

// Fault is one broken promise. Kind is one of: lines, past, date, hours, link, crew, place, fact,
// visit, delivery, finish, slack.
type Fault struct {
	Kind string
	IDs  []string
	Said string
}

func (f Fault) String() string { return fmt.Sprintf("%s %v: %s", f.Kind, f.IDs, f.Said) }

// checker holds one site and one plan while they are compared.
type checker struct {
	site   *schedule.Site
	plan   *schedule.Plan
	lines  map[string]*schedule.Line
	lost   map[string]bool // lines that find no time, by the plan's own problems
	never  map[string]bool // those of them that lie nowhere: running ones began somewhere
	aside  map[string]bool // links that were set aside
	days   map[string]*[1440]bool
	faults []Fault
}

// Plan lists what is wrong with a plan of a site; nothing, when all is well.
func Plan(site *schedule.Site, plan *schedule.Plan) []Fault {
	c := &checker{site: site, plan: plan, lines: map[string]*schedule.Line{}, lost: map[string]bool{}, never: map[string]bool{},
		aside: map[string]bool{}, days: map[string]*[1440]bool{}}
	c.problems()
	if !c.listed() {
		return c.faults
	}
	for i := range site.Activities {
		c.activity(&site.Activities[i])
	}
	for i := range site.Holds {
		c.hold(&site.Holds[i])
	}
	for i := range site.Orders {
		c.order(&site.Orders[i])
	}
	for i := range site.Links {
		c.link(&site.Links[i])
	}
	c.shared()
	c.whole()
	return c.faults
}

func (c *checker) fault(bad bool, kind, said string, ids ...string) {
	if bad {
		c.faults = append(c.faults, Fault{kind, ids, said})
	}
}

func (c *checker) problems() {
	for _, p := range c.plan.Problems {
		switch {
		case p.Kind == schedule.ProblemNever && len(p.IDs) > 0:
			c.lost[p.IDs[0]] = true
		case p.Kind == schedule.ProblemCircle:
			c.aside[p.Link] = true
		}
	}
}

// listed checks that each thing has exactly one line, in order of ID.
func (c *checker) listed() bool {
	want := len(c.site.Activities) + len(c.site.Holds) + len(c.site.Orders)
	c.fault(len(c.plan.Lines) != want, "lines", fmt.Sprintf("%d lines for %d things", len(c.plan.Lines), want))
	for i := range c.plan.Lines {
		l := &c.plan.Lines[i]
		c.fault(i > 0 && c.plan.Lines[i-1].ID >= l.ID, "lines", "not in order of ID", l.ID)
		c.fault(l.Finish < l.Start, "lines", "finishes before it starts", l.ID)
		c.fault(l.Start >= schedule.Never && !c.lost[l.ID], "lines", "lies beyond all time, and no problem says so", l.ID)
		c.never[l.ID] = l.Start >= schedule.Never
		c.lines[l.ID] = l
	}
	return len(c.faults) == 0
}

func (c *checker) activity(a *schedule.Activity) {
	l := c.lines[a.ID]
	if l == nil {
		c.fault(true, "lines", "has no line", a.ID)
		return
	}
	c.fault(l.Frozen != (a.Started != 0 || a.Finished != 0), "fact", "frozen is wrong", a.ID)
	switch {
	case a.Finished != 0:
		c.fault(l.Finish != a.Finished, "fact", "a finished line was moved", a.ID)
		c.fault(a.Started != 0 && a.Started <= a.Finished && l.Start != a.Started, "fact", "the start of a finished line was moved", a.ID)
	case a.Started != 0:
		c.fault(l.Start != a.Started, "fact", "the start of a running line was moved", a.ID)
		c.fault(l.Finish < c.plan.Now.Day().Start(), "past", "running work ends before today", a.ID)
	case !c.never[a.ID]:
		told := a.Laid
		if told == 0 && a.Booking != schedule.Pencilled {
			told = a.ToldStart
		}
		c.ahead(l, told)
		c.fault(l.Start < a.NotBefore, "date", "starts before its not-before date", a.ID)
		c.hours(a, l)
	}
}

// ahead: nothing that is still open starts in the past, unless it was laid to a start earlier today.
func (c *checker) ahead(l *schedule.Line, laid schedule.Minute) {
	today := l.Start == laid && laid.Day() == c.plan.Now.Day()
	c.fault(l.Start < c.plan.Now && !today, "past", "starts before now: "+l.Start.String(), l.ID)
	c.fault(l.Start < c.site.Start.Start(), "date", "starts before the site does", l.ID)
}

// hours: work begins and ends in open time of all its crews, and has as many open minutes as it needs.
func (c *checker) hours(a *schedule.Activity, l *schedule.Line) {
	need := c.work(a)
	crews := c.crews(a)
	if need == 0 {
		c.fault(l.Finish != l.Start, "hours", "takes no time and yet lasts", a.ID)
		c.fault(!c.open(crews, l.Start) && !c.open(crews, l.Start-1), "hours", "a milestone in closed time: "+l.Start.String(), a.ID)
		return
	}
	c.fault(!c.open(crews, l.Start), "hours", "starts in closed time: "+l.Start.String(), a.ID)
	c.fault(!c.open(crews, l.Finish-1), "hours", "ends in closed time: "+l.Finish.String(), a.ID)
	visits := 1
	if a.Twice {
		visits = 2
	}
	c.fault(c.visitsOf(crews, l) > visits, "hours", "is begun before days away and finished after them", a.ID)
	has := c.count(crews, l.Start, l.Finish)
	c.fault(has != need, "hours", fmt.Sprintf("has %d open minutes from %s to %s and needs %d", has, l.Start, l.Finish, need), a.ID)
}

// act is the activity with this ID, nil when there is none; goods the order.
func (c *checker) act(id string) *schedule.Activity {
	for i := range c.site.Activities {
		if c.site.Activities[i].ID == id {
			return &c.site.Activities[i]
		}
	}
	return nil
}

func (c *checker) goods(id string) *schedule.Order {
	for i := range c.site.Orders {
		if c.site.Orders[i].ID == id {
			return &c.site.Orders[i]
		}
	}
	return nil
}

// work is how many minutes are left to do.
func (c *checker) work(a *schedule.Activity) int64 {
	hands := int64(a.Hands)
	for i := range c.site.Crews {
		if hands <= 0 && c.site.Crews[i].ID == a.Crew {
			hands = int64(c.site.Crews[i].Size)
		}
	}
	if hands <= 0 {
		hands = 1
	}
	need := int64(a.Labour.Typical)
	if need <= 0 || a.Done >= 100 {
		return 0
	}
	if need%hands != 0 {
		need += hands
	}
	need /= hands
	if a.Done > 0 {
		left := need * int64(100-a.Done)
		if need = left / 100; left%100 != 0 {
			need++
		}
	}
	return need
}

// crews is the known crews an activity needs, each once; the street, where it is loud and that has hours; and
// the open sky, where it can rain on it.
func (c *checker) crews(a *schedule.Activity) []string {
	out := c.hired(a)
	loud := a.Noisy && c.site.Noise != nil
	if len(out) == 0 && (loud || a.Outdoor) {
		out = append(out, "")
	}
	if loud {
		out = append(out, street)
	}
	if a.Outdoor {
		out = append(out, sky)
	}
	return out
}

func (c *checker) hired(a *schedule.Activity) []string {
	var out []string
	for _, id := range append([]string{a.Crew}, a.With...) {
		known := false
		for i := range c.site.Crews {
			known = known || c.site.Crews[i].ID == id
		}
		for _, o := range out {
			known = known && o != id
		}
		if known {
			out = append(out, id)
		}
	}
	return out
}

// whole: the plan's finish is that of its last line, and slack is not negative.
func (c *checker) whole() {
	last := schedule.Minute(0)
	for i := range c.plan.Lines {
		l := &c.plan.Lines[i]
		if c.never[l.ID] {
			continue
		}
		last = max(last, l.Finish)
		c.fault(l.Float < 0 || l.FreeFloat < 0 || l.FreeFloat > l.Float, "slack", fmt.Sprintf("slack %d, free %d", l.Float, l.FreeFloat), l.ID)
		c.fault(l.EarlyStart > l.Start || l.LateStart < l.Start || l.LateFinish > max(c.plan.Finish, l.Finish), "slack",
			fmt.Sprintf("early %s, planned %s, late %s to %s", l.EarlyStart, l.Start, l.LateStart, l.LateFinish), l.ID)
	}
	c.fault(c.plan.Finish != last, "finish", fmt.Sprintf("the plan ends %s, its last line %s", c.plan.Finish, last))
}
