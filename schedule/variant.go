package schedule

// variant is the changed site with one set of extras, ready to be laid out in many ways.
type variant struct {
	m        *model
	use      []extra
	before   *Plan
	base     []Minute // per node, where it lay before the change; Never for what is new
	promises []promise
	of       []int32 // per node, its first promise; -1 for none. A node's promises lie side by side
	level    []int32 // per person, what the call counts that is needed in any case
}

// variant prepares one set of extras. Lines that the pushed plan keeps at a start earlier today have
// begun, as far as anybody knows: they stay. Only of the first heard extras somebody need be told.
func (s *Search) variant(use []extra, heard int) *variant {
	v := &variant{m: s.base.with(use), use: use, before: s.before}
	n := len(v.m.nodes)
	v.base, v.of, v.level = make([]Minute, n), make([]int32, n), make([]int32, len(s.people.keys))
	for _, i := range v.m.topo {
		node := &v.m.nodes[i]
		v.base[i], v.of[i] = Never, -1
		if l := s.before.Line(node.id); l != nil {
			v.base[i] = l.Start
		}
		v.begun(s, node)
		node.loose = node.visit != 0
		v.promise(s, i)
	}
	for i := range use[:heard] {
		v.hear(s, &use[i])
	}
	return v
}

// begun fixes a line that was laid to earlier today and that nothing still open holds.
func (v *variant) begun(s *Search, n *node) {
	l := s.push.Line(n.id)
	ok := n.today && l != nil && l.Start < s.now
	for _, k := range n.in {
		ok = ok && v.m.nodes[v.m.arcs[k].from].fixed
	}
	if ok {
		n.fixed, n.start, n.finish = true, l.Start, l.Finish
	}
	n.today = false
}

// promise adds what was told about node i, one promise for each person who was.
func (v *variant) promise(s *Search, i int32) {
	n := &v.m.nodes[i]
	if n.fixed {
		return
	}
	if n.visit != 0 {
		if p := s.people.of("hold/" + n.id); p >= 0 {
			v.add(promise{i, n.visit, n.visit, p, CallWeight(Firm, n.visit, s.now)})
		}
		return
	}
	if p := s.people.of("hold/" + n.id); n.off != 0 && p >= 0 {
		v.level[p] = max(v.level[p], CallWeight(Firm, n.off, s.now))
	}
	a := s.changed.Activity(n.id)
	if a == nil || a.Booking == Pencilled {
		return
	}
	t := toldOf(a, s.before)
	if t.start == 0 {
		return
	}
	from, to, ok := v.m.span(n, t)
	ok = ok && v.m.site.Activity(n.id).Crew == a.Crew // nobody stands in
	for _, crew := range s.changed.CrewsOf(a) {
		p, w := s.people.of("crew/"+crew), CallWeight(a.Booking, t.start, s.now)
		switch {
		case p < 0:
		case !ok && s.push.Line(n.id).Start < s.now:
			v.add(promise{i, Never, 0, p, w}) // only the pushed plan leaves it where it may have begun
		case !ok:
			v.level[p] = max(v.level[p], w)
		default:
			v.add(promise{i, from, to, p, w})
		}
	}
}

func (v *variant) add(p promise) {
	if v.of[p.node] < 0 {
		v.of[p.node] = int32(len(v.promises))
	}
	v.promises = append(v.promises, p)
}

// hear: a crew asked in for an extra must hear of it. What is extra about a line counts from where the line
// lay; about new work, from now.
func (v *variant) hear(s *Search, e *extra) {
	crews, at := []string{e.opening.Crew}, e.opening.Day.At(e.opening.From)
	if e.opening.Crew == "" {
		id := e.twice
		if crews[0] = e.standIn.Crew; id == "" {
			id = e.standIn.Activity
		} else {
			crews = s.changed.CrewsOf(s.changed.Activity(id))
		}
		at = s.now
		if l := s.before.Line(id); l != nil {
			at = l.Start
		}
	}
	for _, crew := range crews {
		if p := s.people.of("crew/" + crew); p >= 0 {
			v.level[p] = max(v.level[p], CallWeight(Asked, at, s.now))
		}
	}
}

// mark is what a layout is judged by.
type mark struct {
	finish        Minute
	weight, calls int32
	cost, drift   int64
}

// judge marks a layout.
func (v *variant) judge(l *layout) (k mark) {
	level := append([]int32(nil), v.level...)
	for _, p := range v.promises {
		if at := l.start[p.node]; at >= v.m.now && (at < p.from || at > p.to) {
			level[p.person] = max(level[p.person], p.weight)
		}
	}
	for _, w := range level {
		k.weight += w
		if w > 0 {
			k.calls++
		}
	}
	for _, e := range v.use {
		k.cost += e.cost()
	}
	for i := range l.start {
		if l.start[i] >= Never {
			k.finish = Never
		} else if v.base[i] < Never {
			d := int64(l.start[i].Day() - v.base[i].Day())
			k.drift += max(d, -d)
		}
	}
	k.finish = max(k.finish, l.finishOf())
	return k
}

// beats tells whether k is nowhere worse than o: days, calls, cost.
func (k mark) beats(o mark) bool {
	return lastDay(k.finish) <= lastDay(o.finish) && k.weight <= o.weight && k.cost <= o.cost
}

// lay lays the variant out with some promises kept, as soon as the rest allows. ok tells whether all of
// them could be.
func (v *variant) lay(keep []bool) (l *layout, ok bool) {
	wish, due := make([]Minute, len(v.m.nodes)), make([]Minute, len(v.m.nodes))
	for i := range due {
		due[i] = Never
	}
	for i, p := range v.promises {
		if keep[i] {
			wish[p.node], due[p.node] = max(wish[p.node], p.from), min(due[p.node], p.to)
		}
	}
	v.m.due = due
	l = v.m.best(wish)
	v.m.due = nil
	for i := range due {
		if due[i] < Never && l.start[i] > due[i] {
			return l, false
		}
	}
	return l, true
}

// settle lets every line that came earlier than it lay before slip back towards there, as far as
// nothing else has to move and no kept promise breaks: who need not move stays.
func (v *variant) settle(l *layout) {
	m := v.m
	g, last := newGraph(m, l), l.finishOf()
	for k := len(g.order) - 1; k >= 0; k-- {
		i := g.order[k]
		n := &m.nodes[i]
		if n.fixed || n.visit != 0 || n.kind == OrderNode || l.start[i] >= Never || v.base[i] >= Never || v.base[i] <= l.start[i] {
			continue
		}
		high, end := g.limits(i, last, l.start, l.finish)
		high = min(high, v.base[i], v.promisedUntil(i, l.start[i]))
		if at, ok := m.back(n, l.start[i], high, end); ok {
			l.start[i], l.finish[i] = at, n.endAt(at)
		}
	}
	m.lateOrders(l)
}

// promisedUntil is the last start that keeps the promises of node i which start keeps.
func (v *variant) promisedUntil(i int32, start Minute) Minute {
	until := Never
	for k := v.of[i]; k >= 0 && int(k) < len(v.promises) && v.promises[k].node == i; k++ {
		if p := &v.promises[k]; p.from <= start && start <= p.to {
			until = min(until, p.to)
		}
	}
	return until
}

// back is the place of node n nearest to high that starts after start: high itself, or else the first
// of the last day possible, since crews come in the morning.
func (m *model) back(n *node, start, high, end Minute) (Minute, bool) {
	at, ok := m.latest(n, high, end)
	if !ok || at <= start {
		return 0, false
	}
	if at != high {
		at, _ = m.earliest(n, max(at.Day().Start(), start), 0)
	}
	return at, at > start && at <= high && n.endAt(at) <= end
}
