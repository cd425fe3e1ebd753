package schedule

// because finds the one thing that keeps node i from starting earlier. What another line does comes
// before a date that was merely set: it tells whom to talk to.
func (m *model) because(g *graph, i int32) Reason {
	n, l := &m.nodes[i], g.l
	switch {
	case n.visit != 0 && l.start[i] == n.visit:
		return Reason{Kind: BecauseVisit, At: n.visit}
	case n.fixed && n.kind == OrderNode && !n.frozen:
		return Reason{Kind: BecauseLead, At: n.start}
	case n.fixed:
		return Reason{Kind: BecauseFact, At: n.start}
	case l.start[i] >= Never:
		return m.neverBecause(l, i)
	}
	if r := m.linkReason(l, i); r.At != 0 {
		return m.closed(n, l.start[i], r)
	}
	if r := m.shareReason(l, i); r.At != 0 {
		return m.closed(n, l.start[i], r)
	}
	return m.dateReason(n, l.start[i])
}

// linkReason is the link that binds the start of i, if one does: the one that lets go last.
func (m *model) linkReason(l *layout, i int32) (r Reason) {
	n := &m.nodes[i]
	for _, k := range n.in {
		a := &m.arcs[k]
		ref, finish := m.soonest(l, a.from)
		if a.fromEnd {
			ref = finish
		}
		at := m.bound(a, ref)
		low, end := at, Minute(0)
		if a.toEnd {
			low, end = 0, at
		}
		if s, _ := m.earliest(n, low, end); s == l.start[i] && at > r.At {
			r = Reason{Kind: BecauseLink, By: m.nodes[a.from].id, Link: a.link, At: at}
		}
	}
	return r
}

// soonest is where node i lies; of goods that come as late as they may, where they could: what keeps others waiting
// is that they cannot come sooner, not when they come.
func (m *model) soonest(l *layout, i int32) (start, finish Minute) {
	n := &m.nodes[i]
	if n.kind != OrderNode || n.fixed {
		return l.start[i], l.finish[i]
	}
	low := n.low
	for _, k := range n.in {
		if a := &m.arcs[k]; a.fromEnd {
			low = max(low, m.bound(a, l.finish[a.from]))
		} else {
			low = max(low, m.bound(a, l.start[a.from]))
		}
	}
	if start, finish = m.earliest(n, low, 0); start > l.start[i] {
		return l.start[i], l.finish[i]
	}
	return start, finish
}

// shareReason is the line on the same crew or place that had to be gone first.
func (m *model) shareReason(l *layout, i int32) (r Reason) {
	n := &m.nodes[i]
	for _, u := range n.uses {
		for _, b := range l.busy[u.res] {
			if b.n == i || b.finish > l.start[i] || b.finish <= r.At || b.finish <= m.now && !m.nodes[b.n].runs { // nobody is kept waiting by what is over
				continue
			}
			if s, _ := m.earliest(n, b.finish, 0); s != l.start[i] || l.spare(u, b, i) {
				continue
			}
			kind := BecauseCrew
			if m.res[u.res].place {
				kind = BecausePlace
			}
			r = Reason{Kind: kind, By: m.nodes[b.n].id, Who: m.res[u.res].id, At: b.finish}
		}
	}
	return r
}

// spare tells whether there was room for i beside b all the same.
func (l *layout) spare(u use, b busy, i int32) bool {
	var others []busy
	for _, o := range l.busy[u.res] {
		if o.n != i {
			others = append(others, o)
		}
	}
	return l.inUse(others, b.finish-1)+u.amount <= l.m.res[u.res].cap
}

// dateReason is what is left: a date.
func (m *model) dateReason(n *node, start Minute) Reason {
	best := Reason{Kind: BecauseNow, At: m.now}
	found := false
	for _, r := range n.release {
		if s, _ := m.earliest(n, r.At, 0); s == start && (!found || r.At >= best.At) {
			best, found = r, true
		}
	}
	if n.anchor != 0 && (!found || n.anchor > best.At) {
		if s, _ := m.earliest(n, n.anchor, 0); s == start {
			return m.closed(n, start, Reason{Kind: BecauseLaid, At: n.anchor})
		}
	}
	if !found && n.kind == OrderNode {
		if n.asked != 0 && n.asked.Day() == start.Day() {
			return Reason{Kind: BecauseLaid, At: n.asked}
		}
		return Reason{Kind: BecauseLead, At: n.low} // it could come sooner, and would stand about
	}
	return m.closed(n, start, best)
}

// closed turns a reason into one of the calendar where the site works in between and the crew, or the
// inspector, does not.
func (m *model) closed(n *node, start Minute, r Reason) Reason {
	if n.shape == point || n.kind == OrderNode || r.Kind == BecauseNotice || n.cal == m.home ||
		r.At >= start || m.home.WorkBetween(max(r.At, m.now), start) <= 0 {
		return r
	}
	from := r.At
	r.Kind, r.Who = BecauseCalendar, n.crew
	if n.kind != ActivityNode {
		return r
	}
	a := m.site.Activity(n.id)
	crews := m.site.CrewsOf(a)
	if m.site.loud(a) && n.cal.WorkBetween(max(from, m.now), start) == 0 && m.calendar(crews, a.Outdoor, false).WorkBetween(max(from, m.now), start) > 0 {
		r.Kind, r.Who = BecauseNoise, ""
		return r
	}
	if a.Outdoor && n.cal.WorkBetween(max(from, m.now), start) == 0 && m.calendar(crews, false, m.site.loud(a)).WorkBetween(max(from, m.now), start) > 0 {
		r.Kind, r.Who = BecauseWeather, ""
		return r
	}
	for _, c := range crews {
		if cal := m.calendar([]string{c}, false, false); cal.WorkBetween(from, start) == 0 {
			r.Who = c
			break
		}
	}
	return r
}

func (m *model) neverBecause(l *layout, i int32) Reason {
	n := &m.nodes[i]
	for _, k := range n.in {
		if from := m.arcs[k].from; l.start[from] >= Never {
			return Reason{Kind: BecauseLink, By: m.nodes[from].id, Link: m.arcs[k].link, At: Never}
		}
	}
	return Reason{Kind: BecauseCalendar, Who: n.crew, At: Never}
}

// taut marks one chain without slack, from the last finish back to now, each line started by the one
// before it, and every other line that has no slack either. Where a crew's calendar keeps a line waiting
// over a whole working day and what comes before it could wait too, the calendar is what binds: the
// chain begins there.
func (m *model) taut(l *layout, p *Plan) {
	last := int32(-1)
	for i := range p.Lines {
		n := &m.nodes[i]
		if l.start[i] < Never && (last < 0 || l.finish[i] > l.finish[last]) {
			last = int32(i)
		}
		p.Lines[i].Taut = p.Lines[i].Float == 0 && !n.fixed && n.visit == 0
	}
	seen := make([]bool, len(m.nodes))
	for last >= 0 && !seen[last] && l.finish[last] > m.now {
		seen[last] = true
		p.Lines[last].Taut = true
		p.Taut = append(p.Taut, p.Lines[last].ID)
		because, start := p.Lines[last].Because, l.start[last]
		last = m.find(because.By)
		if last >= 0 && because.Kind == BecauseCalendar && p.Lines[last].Float > 0 &&
			len(m.home.WorkingDays(because.At.Day()+1, start.Day()-1)) > 0 {
			break
		}
	}
	for i, j := 0, len(p.Taut)-1; i < j; i, j = i+1, j-1 {
		p.Taut[i], p.Taut[j] = p.Taut[j], p.Taut[i]
	}
	if p.Taut == nil {
		p.Taut = []string{}
	}
}
