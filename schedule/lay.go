package schedule

// Lay plans the site as seen at now. It is a pure function of the two: the order of the site's slices,
// the machine and earlier plans do not matter.
//
// Facts stay where they happened. A line that was laid (a way taken, a move by hand) or told to a crew
// never starts earlier than that, and a change pushes only what it must. Lines without a laid start are
// placed as soon as links, calendars, crews and places allow, by the best of several orders. What
// cannot be kept is a Problem beside the plan; there is always a plan.
func Lay(site *Site, now Minute) *Plan {
	m := compile(site, now)
	l := m.best(m.anchors())
	m.lateOrders(l)
	return m.plan(l)
}

// lateOrders lets deliveries that nobody ordered yet come one working day before they are needed, not
// as soon as they could: goods that stand about are in the way. A day the owner laid them to is kept as
// long as it is in time.
func (m *model) lateOrders(l *layout) {
	for k := len(m.topo) - 1; k >= 0; k-- {
		i := m.topo[k]
		n := &m.nodes[i]
		if n.kind != OrderNode || n.fixed || l.start[i] >= Never {
			continue
		}
		need, _ := m.need(l, i)
		if !m.deliver(l, i, n.asked, need) && need < Never {
			m.deliver(l, i, m.door.SubDays(need.Day(), 1).Start(), need)
		}
	}
}

// deliver moves a delivery later, to the first door at or after at, if that is in time for the need.
func (m *model) deliver(l *layout, i int32, at, need Minute) bool {
	start, end := m.door.NextWindow(at)
	if at == 0 || start < l.start[i] || end > need || end >= Never {
		return false
	}
	l.start[i], l.finish[i] = start, end
	return true
}

// need is the latest moment node i may finish, and start, so that everything behind it stays in place.
func (m *model) need(l *layout, i int32) (end, high Minute) {
	end, high = Never, Never
	for _, k := range m.nodes[i].out {
		a := &m.arcs[k]
		if m.settled(a) {
			continue
		}
		lim := l.start[a.to]
		if a.toEnd {
			lim = l.finish[a.to]
		}
		if lim >= Never {
			continue
		}
		if lim = m.limit(a, lim); a.fromEnd {
			end = min(end, lim)
		} else {
			high = min(high, lim)
		}
	}
	return min(end, high), high
}

// places is a plan with where lines lie, and nothing else.
func (m *model) places(l *layout) *Plan {
	p := &Plan{Now: m.now, Finish: l.finishOf(), Lines: make([]Line, len(m.nodes))}
	for i := range m.nodes {
		n := &m.nodes[i]
		p.Lines[i] = Line{ID: n.id, Kind: n.kind, Start: l.start[i], Finish: l.finish[i], Frozen: n.frozen}
	}
	return p
}

// plan writes a layout down.
func (m *model) plan(l *layout) *Plan {
	g := newGraph(m, l)
	last := l.finishOf()
	p := &Plan{Now: m.now, Finish: last, Lines: make([]Line, len(m.nodes))}
	late := &pass{}
	late.early, late.earlyEnd = g.forward()
	late.start, late.finish = g.backward(last)
	for i := range m.nodes {
		p.Lines[i] = m.line(g, late, int32(i), last)
	}
	m.taut(l, p)
	m.wishes(l)
	p.Problems = sorted(append(m.site.oddities(), m.found...))
	return p
}

func (m *model) line(g *graph, late *pass, i int32, last Minute) Line {
	n, l := &m.nodes[i], g.l
	line := Line{ID: n.id, Kind: n.kind, Start: l.start[i], Finish: l.finish[i], Frozen: n.frozen,
		EarlyStart: late.early[i], EarlyFinish: late.earlyEnd[i], LateStart: late.start[i], LateFinish: late.finish[i]}
	line.Because = m.because(g, i)
	if l.start[i] >= Never {
		m.problem(ProblemNever, 0, n.id, n.crew)
		return line
	}
	if n.fixed {
		line.Float = max(n.cal.WorkBetween(line.Finish, line.LateFinish), 0)
		line.FreeFloat = line.Float
		if high, end := g.limits(i, last, l.start, l.finish); n.frozen && line.Float > 0 {
			line.FreeFloat = max(n.cal.WorkBetween(line.Finish, max(min(high, end), line.Finish)), 0)
		}
		return line
	}
	line.Float = n.cal.WorkBetween(line.Start, line.LateStart)
	high, end := g.limits(i, last, l.start, l.finish)
	if s, ok := m.latest(n, high, end); ok && s > line.Start && !(n.visit != 0 && line.Start == n.visit) {
		line.FreeFloat = min(n.cal.WorkBetween(line.Start, s), line.Float)
	}
	line.CallBy = m.callBy(n, &line)
	return line
}

// callBy is the last moment of the next call for a visit that is not agreed, or goods not ordered.
func (m *model) callBy(n *node, line *Line) Minute {
	switch n.kind {
	case HoldNode:
		h := m.site.Hold(n.id)
		if n.visit == line.Start && n.visit != 0 || h.CalledIn != 0 && h.Result == NoResult && n.visit == 0 {
			return 0
		}
		day := m.home.SubDays(line.Start.Day(), max(int(h.Notice), 0))
		if h.Cutoff > 0 {
			return day.At(h.Cutoff)
		}
		return m.closing(day)
	case OrderNode:
		if o := m.site.Order(n.id); o.Ordered == 0 && o.Arrived == 0 {
			return m.closing(line.Start.Day() - Day(n.lead/MinutesPerDay))
		}
	}
	return 0
}

// closing is the end of the last working hour on a day, or on the working day before it.
func (m *model) closing(day Day) Minute {
	if day = m.home.SubDays(day, 0); day == 0 {
		return 0
	}
	w := m.home.WindowsOf(day)
	return day.At(w[len(w)-1].To)
}

// wishes adds the problems of what was promised or wished and is not so.
func (m *model) wishes(l *layout) {
	for i := range m.nodes {
		n := &m.nodes[i]
		if n.kind == HoldNode && n.visit != 0 && l.start[i] != n.visit {
			m.problem(ProblemVisit, n.visit, n.id)
		}
		if n.off != 0 {
			m.problem(ProblemVisit, n.off, n.id)
		}
		if n.kind != ActivityNode {
			continue
		}
		a := m.site.Activity(n.id)
		if a.MustBy != 0 && l.start[i] < Never && l.finish[i] > (a.MustBy+1).Start() {
			m.problem(ProblemLate, (a.MustBy + 1).Start(), n.id)
		}
		if n.fixed {
			m.early(l, int32(i), a)
		} else if a.Booking != Pencilled && a.ToldStart != 0 && !sameDays(a, l.start[i], l.finish[i]) {
			m.problem(ProblemMoved, a.ToldStart, n.id)
		}
	}
}

// sameDays tells whether the days a crew was told still stand.
func sameDays(a *Activity, start, finish Minute) bool {
	return start.Day() == a.ToldStart.Day() && (a.ToldFinish == 0 || lastDay(finish) == lastDay(a.ToldFinish))
}

// lastDay is the day on which something that ends at m was last worked at: midnight ends the day before.
func lastDay(m Minute) Day { return (m - 1).Day() }

// early names the work that began before what it waits for was done.
func (m *model) early(l *layout, i int32, a *Activity) {
	if a.Finished != 0 {
		return
	}
	for _, k := range m.nodes[i].in {
		c := &m.arcs[k]
		ref := l.start[c.from]
		if c.fromEnd {
			ref = l.finish[c.from]
		}
		at := m.bound(c, ref)
		if c.toEnd && ref < Never && at >= Never {
			m.problem(ProblemNever, 0, a.ID, m.nodes[i].crew)
		}
		if !c.toEnd && !m.done(c.from) && at > l.start[i] {
			m.problem(ProblemOutOfOrder, l.start[i], a.ID, m.nodes[c.from].id)
		}
	}
}

// done tells whether nothing of node i is still to come.
func (m *model) done(i int32) bool {
	n := &m.nodes[i]
	switch n.kind {
	case ActivityNode:
		return m.site.Activity(n.id).Finished != 0
	case HoldNode:
		return m.site.Hold(n.id).Result == Pass
	}
	return m.site.Order(n.id).Arrived != 0
}
