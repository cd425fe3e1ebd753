package check

import (
	"fmt"

	"batterboard/schedule"
)

// link: what waits, waits.
func (c *checker) link(l *schedule.Link) {
	from, to := c.lines[l.From], c.lines[l.To]
	if from == nil || to == nil || c.aside[l.ID] || c.never[l.From] || c.lost[l.To] {
		return
	}
	ref, at := from.Finish, to.Start
	if l.Kind == schedule.SS || l.Kind == schedule.SF {
		ref = from.Start
	}
	end := l.Kind == schedule.FF || l.Kind == schedule.SF
	if end {
		at = to.Finish
	}
	if c.settled(to, end) {
		return
	}
	said := fmt.Sprintf("%s %+d: from %s, to %s", l.Kind, l.Lag, ref, at)
	c.fault(!c.waited(l, ref, at), "link", said, l.ID, l.From, l.To)
}

// settled tells whether the end of a line that a link would hold is a fact.
func (c *checker) settled(l *schedule.Line, end bool) bool {
	switch l.Kind {
	case schedule.ActivityNode:
		a := c.act(l.ID)
		return a.Finished != 0 || a.Started != 0 && !end
	case schedule.HoldNode:
		return l.Frozen
	}
	o := c.goods(l.ID)
	return o.Ordered != 0 || o.Arrived != 0
}

// waited tells whether at comes late enough after ref.
func (c *checker) waited(l *schedule.Link, ref, at schedule.Minute) bool {
	lag := int64(min(max(l.Lag, -2*366*1440), 2*366*1440))
	crews := []string(nil)
	if a := c.act(l.To); a != nil {
		crews = c.crews(a)
	}
	if o := c.goods(l.To); o != nil && o.Lead > 0 {
		for !c.waitedFor(lag, l.Clock, nil, ref, at-schedule.Minute(o.Lead)*1440) {
			// The order is placed during its day: the day counts, not the hour.
			if at.OfDay() == 1439 {
				return false
			}
			at++
		}
		return true
	}
	return c.waitedFor(lag, l.Clock, crews, ref, at)
}

func (c *checker) waitedFor(lag int64, clock bool, crews []string, ref, at schedule.Minute) bool {
	switch {
	case lag == 0:
		return at >= ref
	case clock:
		return int64(at-ref) >= lag
	case lag > 0:
		return at > ref && c.count(crews, ref, at) >= lag
	}
	return at >= ref || c.count(crews, at, ref) <= -lag
}

// hold: a visit takes one whole window, and was called in with notice.
func (c *checker) hold(h *schedule.Hold) {
	l := c.lines[h.ID]
	if l == nil {
		c.fault(true, "lines", "has no line", h.ID)
		return
	}
	called, visit := h.CalledIn, h.Visit
	if (h.Result == schedule.Fail || h.Result == schedule.Partial) && h.ResultAt != 0 {
		if called <= h.ResultAt {
			called = 0
		}
		if visit <= h.ResultAt {
			visit = 0
		}
	}
	switch {
	case h.Result == schedule.Pass:
		c.fault(h.ResultAt != 0 && l.Finish != h.ResultAt, "fact", "a signed hold was moved", h.ID)
		return
	case visit != 0 && visit <= c.plan.Now:
		c.fault(l.Start != visit || l.Finish < c.plan.Now, "visit", "a visit that began was moved, or its gate opens in the past", h.ID)
		return
	case c.never[h.ID] || visit != 0 && l.Start == visit && !c.shut(visit.Day()):
		return
	}
	c.ahead(l, 0)
	whole := false
	for _, w := range c.visits(h, l.Start.Day()) {
		whole = whole || l.Start == l.Start.Day().At(w.From) && l.Finish == l.Start.Day().At(w.To)
	}
	c.fault(!whole, "visit", fmt.Sprintf("%s to %s is not a visit window", l.Start, l.Finish), h.ID)
	if called == 0 || visit != 0 {
		called = c.plan.Now
	}
	c.fault(!c.noticed(h, min(called, c.plan.Now), l.Start), "visit", "too little notice for "+l.Start.String(), h.ID)
}

// noticed counts working days from the call to the visit.
func (c *checker) noticed(h *schedule.Hold, called, visit schedule.Minute) bool {
	day := called.Day()
	if h.Cutoff > 0 && called.OfDay() >= h.Cutoff {
		day++
	}
	for !c.working(day) && day < visit.Day() {
		day++
	}
	days := int32(0)
	for d := day + 1; d <= visit.Day(); d++ {
		if c.working(d) {
			days++
		}
	}
	return visit.Day() >= day && days >= h.Notice
}

// order: goods come on a working day, not before they can.
func (c *checker) order(o *schedule.Order) {
	l := c.lines[o.ID]
	if l == nil {
		c.fault(true, "lines", "has no line", o.ID)
		return
	}
	if o.Arrived != 0 {
		c.fault(l.Start.Day() != o.Arrived, "fact", "goods that arrived were moved", o.ID)
		return
	}
	if c.never[o.ID] {
		return
	}
	due := o.Due
	if due == 0 {
		due = o.Ordered + schedule.Day(min(max(o.Lead, 0), 1000))
	}
	if o.Ordered == 0 {
		c.ahead(l, 0)
		due = c.plan.Now.Day() + schedule.Day(min(max(o.Lead, 0), 1000))
	}
	c.fault(l.Start.Day() < due, "delivery", "comes before it can: "+l.Start.String(), o.ID)
	c.fault(!c.working(l.Start.Day()), "delivery", "comes on a day nobody is there: "+l.Start.String(), o.ID)
}
