package schedule

// What the facts of each activity, hold and order mean to the planner.

// activity makes an activity's node.
func (m *model) activity(a *Activity) node {
	crews := m.site.CrewsOf(a)
	n := node{id: a.ID, kind: ActivityNode, cal: m.hours(a, crews), dur: m.site.WorkOf(a)}
	if len(crews) > 0 {
		n.crew = crews[0]
	}
	if a.Twice {
		n.cuts = 1
	}
	whole := n.dur
	if n.dur == 0 {
		n.shape = point
	} else {
		m.demands(&n, a, crews)
	}
	done := int64(min(max(a.Done, 0), 100))
	n.dur = (whole*(100-done) + 99) / 100
	switch {
	case a.Finished != 0:
		m.finished(&n, a, whole)
	case a.Started != 0:
		m.running(&n, a, whole)
	default:
		if n.dur == 0 {
			n.shape = point
		}
		m.ahead(&n, a)
	}
	return n
}

func (m *model) demands(n *node, a *Activity, crews []string) {
	for _, c := range crews {
		n.uses = append(n.uses, use{m.resource(c, false), 1})
	}
	if r := m.resource(a.Place, true); r >= 0 {
		amount := int32(1)
		if a.Whole {
			amount = m.res[r].cap
		}
		n.uses = append(n.uses, use{r, amount})
	}
}

// finished: a fact. Where only the end was written down, it began one piece of work earlier.
func (m *model) finished(n *node, a *Activity, whole int64) {
	n.fixed, n.frozen = true, true
	n.start, n.finish = a.Started, a.Finished
	if n.start == 0 {
		n.start, _ = n.cal.SubWork(n.finish, whole)
		if n.start == 0 {
			n.start = n.finish
		}
	}
	n.start = min(n.start, n.finish)
}

// running: the start is a fact. Nobody counts shares all day, so without a share the work takes as
// long as planned; with one, what is left is counted from when it was said.
func (m *model) running(n *node, a *Activity, whole int64) {
	n.fixed, n.frozen, n.runs = true, true, true
	n.start = a.Started
	planned := n.cal.AddWork(a.Started, whole)
	if a.Done > 0 {
		n.finish = n.cal.AddWork(m.leftFrom(a), n.dur)
	} else {
		n.finish = planned
	}
	n.finish = max(m.ended(n, n.finish), n.start)
	if planned < m.now {
		m.problem(ProblemOverdue, planned, a.ID)
	}
	if n.finish >= Never {
		n.finish = max(m.now, n.start)
		m.problem(ProblemNever, 0, a.ID, n.crew)
	}
}

// leftFrom is the moment from which the rest of running work is counted: when its share was said, or,
// where nobody wrote that down, the morning of today. Not now: the rest would shrink all day and grow
// back at night.
func (m *model) leftFrom(a *Activity) Minute {
	at := a.DoneAt
	if at == 0 || at > m.now {
		at = m.now.Day().Start()
	}
	return max(at, a.Started)
}

// ended is when running work whose time is up at the moment at is taken to end. Nobody runs to mark a
// thing the minute it is done: until the evening it is believed to have ended when it should have, and
// everybody else keeps the hours they were told. From the next day on it is still at work, until the end
// of the half day.
func (m *model) ended(n *node, at Minute) Minute {
	switch {
	case at >= m.now || at.Day() == m.now.Day():
		return at
	case n.cal.Open(m.now):
		return n.cal.windowEnd(m.now)
	}
	return m.now
}

// ahead: work still to be placed.
func (m *model) ahead(n *node, a *Activity) {
	m.bothBounds(n)
	if a.NotBefore > 0 {
		n.release = append(n.release, Reason{Kind: BecauseDate, At: a.NotBefore})
	}
	n.anchor = a.Laid
	if n.anchor == 0 && a.Booking != Pencilled {
		n.anchor = a.ToldStart
	}
	n.today = n.anchor != 0 && n.anchor < m.now && n.anchor.Day() == m.now.Day() &&
		n.anchor >= m.site.Start.Start() && n.anchor >= a.NotBefore
}

// bothBounds are the bounds of everything that is still to be placed: the site's start, and now.
func (m *model) bothBounds(n *node) {
	if m.site.Start > 0 {
		n.release = append(n.release, Reason{Kind: BecauseStart, At: m.site.Start.Start()})
	}
	n.release = append(n.release, Reason{Kind: BecauseNow, At: m.now})
}

func (n *node) settleReleases() {
	for _, r := range n.release {
		n.low = max(n.low, r.At)
	}
}

// hold adds a hold's node: a visit that takes one window.
func (m *model) hold(h *Hold) {
	n := node{id: h.ID, kind: HoldNode, shape: slot, cal: m.visits(h)}
	called, visit := h.CalledIn, h.Visit
	if (h.Result == Fail || h.Result == Partial) && h.ResultAt != 0 {
		// What was agreed for the visit that failed says nothing about the next.
		if called <= h.ResultAt {
			called = 0
		}
		if visit <= h.ResultAt {
			visit = 0
		}
	}
	switch {
	case h.Result == Pass:
		n.fixed, n.frozen = true, true
		n.finish = firstSet(h.ResultAt, h.Visit, m.now)
		n.start = n.finish
		if h.Visit != 0 && h.Visit < n.finish {
			n.start = h.Visit
		}
	case visit != 0 && visit <= m.now:
		m.visitBegun(&n, h, visit)
	default:
		m.visitAhead(&n, h, called, visit)
	}
	m.nodes = append(m.nodes, n)
}

func firstSet(times ...Minute) Minute {
	for _, t := range times {
		if t != 0 {
			return t
		}
	}
	return 0
}

func (m *model) visits(h *Hold) *Calendar {
	if h.Hours == nil {
		return m.home
	}
	return m.site.HoldCalendar(h, m.about)
}

// visitBegun: the agreed window has begun and nobody wrote what the inspector said. Until then the
// gate opens no earlier than now.
func (m *model) visitBegun(n *node, h *Hold, visit Minute) {
	n.fixed, n.frozen = true, true
	n.start = visit
	n.finish = max(n.cal.windowEnd(visit), m.now)
	if n.cal.windowEnd(visit) < m.now {
		m.problem(ProblemOverdue, visit, h.ID)
	}
}

// halfDay is how long a visit agreed outside every window is taken to last.
const halfDay = 4 * 60

// windowEnd is the end of the window that holds m; half a day on where none does.
func (c *Calendar) windowEnd(m Minute) Minute {
	for _, w := range c.WindowsOf(m.Day()) {
		if t := m.OfDay(); w.From <= t && t < w.To {
			return m.Day().At(w.To)
		}
	}
	return m + halfDay
}

func (m *model) visitAhead(n *node, h *Hold, called, visit Minute) {
	n.anchor = h.Laid
	if visit != 0 && m.site.shutOn(visit.Day()) { // nobody would let the inspector in: to be agreed anew
		n.off, called, visit = visit, 0, 0
	}
	if visit != 0 { // what was agreed stands, whatever notice it had
		n.visit, n.visitEnd, n.again = visit, n.cal.windowEnd(visit), max(m.noticed(h, m.now), m.site.Start.Start())
		n.release = append(n.release, Reason{Kind: BecauseNow, At: m.now})
		return
	}
	asked := m.now
	if called != 0 {
		asked = min(called, m.now)
	}
	m.bothBounds(n)
	n.release = append(n.release, Reason{Kind: BecauseNotice, At: m.noticed(h, asked)})
}

// noticed is the earliest a visit can be when the call is made at asked.
func (m *model) noticed(h *Hold, asked Minute) Minute {
	day := asked.Day()
	if h.Cutoff > 0 && asked.OfDay() >= h.Cutoff {
		day++
	}
	day = m.home.AddDays(day, 0)
	if h.Notice > 0 && day != 0 {
		day = m.home.AddDays(day, int(h.Notice))
	}
	if day == 0 {
		return Never
	}
	return max(day.Start(), asked)
}

// order adds an order's node: a delivery in the first window of a working day.
func (m *model) order(o *Order) {
	n := node{id: o.ID, kind: OrderNode, shape: slot, cal: m.door}
	today := m.now.Day()
	switch {
	case o.Arrived != 0:
		n.fixed, n.frozen = true, true
		n.start = o.Arrived.Start()
		if w := m.door.WindowsOf(o.Arrived); len(w) > 0 {
			n.start = o.Arrived.At(w[0].From)
		}
		n.finish = n.start
	case o.Ordered != 0:
		due := o.Due
		if due == 0 {
			due = o.Ordered + o.leadDays()
		}
		if due < today {
			m.problem(ProblemOverdue, due.Start(), o.ID)
		}
		n.fixed = true
		n.start, n.finish = m.door.NextWindow(max(due, today).Start())
		if n.start < m.now {
			n.finish = max(n.finish, m.now)
		}
		if n.start >= Never {
			m.problem(ProblemNever, 0, o.ID, "")
		}
	default:
		m.bothBounds(&n)
		n.lead = int64(o.leadDays()) * MinutesPerDay
		n.release = append(n.release, Reason{Kind: BecauseLead, At: (today + o.leadDays()).Start()})
		n.asked = o.Laid
	}
	m.nodes = append(m.nodes, n)
}

// leadDays is the lead within reason: beyond the horizon nothing is planned anyway.
func (o *Order) leadDays() Day { return Day(min(max(o.Lead, 0), daysBack+daysAhead)) }

// firstWindows keeps only the first window of each day.
func (c *Calendar) firstWindows() *Calendar {
	out := &Calendar{base: c.base, kind: c.kind}
	for _, set := range c.sets {
		out.sets = append(out.sets, set[:min(1, len(set))])
	}
	out.total()
	return out
}

func (m *model) problem(kind ProblemKind, at Minute, ids ...string) {
	m.found = append(m.found, Problem{Kind: kind, IDs: ids, At: at})
}
