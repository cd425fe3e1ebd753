package schedule

import (
	"cmp"
	"slices"
)

// pass is the early and late places of every node, given who follows whom on each crew and place.
type pass struct {
	early, earlyEnd []Minute
	start, finish   []Minute // late
}

// follows are the arcs that the order on crews and places adds to a layout: who waits for whom to be
// gone. A resource of several is taken as that many pegs, and each line hangs on the pegs that became
// free last.
func (l *layout) follows(arcs []arc) []arc {
	for r := range l.busy {
		if len(l.busy[r]) > 1 {
			arcs = l.pegs(arcs, r)
		}
	}
	return arcs
}

func (l *layout) pegs(arcs []arc, r int) []arc {
	k := &l.m.desk
	k.pegs = k.pegs[:0]
	for range l.m.res[r].cap {
		k.pegs = append(k.pegs, busy{n: -1})
	}
	k.list = append(k.list[:0], l.busy[r]...)
	free, list := k.pegs, k.list
	slices.SortStableFunc(list, func(a, b busy) int {
		if a.start != b.start {
			return cmp.Compare(a.start, b.start)
		}
		return cmp.Compare(a.n, b.n)
	})
	for _, b := range list {
		slices.SortStableFunc(free, func(a, b busy) int { return cmp.Compare(a.finish, b.finish) })
		last := -1
		for i := range free {
			if free[i].finish <= b.start {
				last = i
			}
		}
		left := b.amount
		for ; left > 0 && last >= 0; left-- {
			if from := free[last].n; from >= 0 && !l.m.nodes[b.n].fixed {
				arcs = append(arcs, arc{from: from, to: b.n, fromEnd: true, gone: free[last].finish})
			}
			free[last] = b
			last--
		}
		crowd(free, b, left)
	}
	return arcs
}

// crowd puts a line on left more pegs than are free, which facts can do: on each, who stays longest counts.
func crowd(free []busy, b busy, left int32) {
	for i := range free {
		if left <= 0 {
			return
		}
		if free[i].n == b.n {
			continue
		}
		if left--; free[i].finish < b.finish {
			free[i] = b
		}
	}
}

// bothPasses makes the early and late pass over a layout. Early places leave out where lines were laid;
// late places keep the layout's last finish.
func (m *model) bothPasses(l *layout) *pass {
	g := newGraph(m, l)
	p := &pass{}
	p.early, p.earlyEnd = g.forward()
	p.start, p.finish = g.backward(l.finishOf())
	return p
}

// lateOf makes the late pass alone.
func (m *model) lateOf(l *layout) *pass {
	g := newGraph(m, l)
	p := &pass{}
	p.start, p.finish = g.backward(l.finishOf())
	return p
}

// graph is the model's arcs and those of the order on crews and places, over one layout.
type graph struct {
	m       *model
	l       *layout
	arcs    []arc
	in, out [][]int32 // arcs by the node they lead to, and from
	order   []int32   // by planned start
}

// desk is where a model does its sums: memory that is used again and again. What lies on it is good until the
// next of its kind is made.
type desk struct {
	graph      graph
	lists      []int32
	pegs, list []busy
	keys       []item
	need       []Minute
	waits      []int32
	ready      heap
	spare      []*layout
}

// newGraph draws the graph of a layout. The one before it is gone then.
func newGraph(m *model, l *layout) *graph {
	k := &m.desk
	g := &k.graph
	g.m, g.l, g.arcs = m, l, l.follows(append(g.arcs[:0], m.arcs...))
	n := len(m.nodes)
	if len(g.in) < n {
		g.in, g.out = make([][]int32, n), make([][]int32, n)
	}
	sizes := zeroed(&k.waits, 2*n)
	for i := range g.arcs {
		sizes[g.arcs[i].to]++
		sizes[n+int(g.arcs[i].from)]++
	}
	if cap(k.lists) < 2*len(g.arcs) {
		k.lists = make([]int32, 2*len(g.arcs)+n)
	}
	at := 0
	for i := range n {
		g.in[i] = k.lists[at : at : at+int(sizes[i])]
		at += int(sizes[i])
		g.out[i] = k.lists[at : at : at+int(sizes[n+i])]
		at += int(sizes[n+i])
	}
	for i := range g.arcs {
		a := &g.arcs[i]
		g.in[a.to] = append(g.in[a.to], int32(i))
		g.out[a.from] = append(g.out[a.from], int32(i))
	}
	g.order = append(g.order[:0], m.topo...)
	slices.SortStableFunc(g.order, func(a, b int32) int { return cmp.Compare(l.start[a], l.start[b]) })
	return g
}

// zeroed is n zeros in memory that is used again.
func zeroed(list *[]int32, n int) []int32 {
	if cap(*list) < n {
		*list = make([]int32, n)
	}
	*list = (*list)[:n]
	clear(*list)
	return *list
}

// rounds bounds how often a pass goes round. A link with a lead can point back in time and make a ring
// with the order on a crew; a ring that does not settle keeps the planned places.
const rounds = 40

// forward is the earliest place of every node.
func (g *graph) forward() (start, finish []Minute) {
	start, finish = twoLists(len(g.order))
	for range rounds {
		changed := false
		for _, i := range g.order {
			s, f := g.earliest(i, start, finish)
			if s != start[i] || f != finish[i] {
				start[i], finish[i], changed = s, f, true
			}
		}
		if !changed {
			return start, finish
		}
	}
	return append([]Minute(nil), g.l.start...), append([]Minute(nil), g.l.finish...)
}

func (g *graph) earliest(i int32, start, finish []Minute) (Minute, Minute) {
	n := &g.m.nodes[i]
	if n.fixed || g.l.start[i] >= Never {
		return g.l.start[i], g.l.finish[i]
	}
	low, end := n.low, Minute(0)
	if g.l.start[i] < low { // laid to earlier today
		low = g.l.start[i]
	}
	for _, k := range g.in[i] {
		a := &g.arcs[k]
		ref := start[a.from]
		if a.fromEnd {
			ref = finish[a.from]
		}
		if a.gone != 0 && g.m.nodes[a.from].runs {
			ref = a.gone
		}
		if at := g.m.bound(a, ref); a.toEnd {
			end = max(end, at)
		} else {
			low = max(low, at)
		}
	}
	return g.m.earliest(n, low, end)
}

// backward is the latest place of every node that keeps the last finish.
func (g *graph) backward(last Minute) (start, finish []Minute) {
	start, finish = twoLists(len(g.order))
	for i := range start {
		start[i], finish[i] = last, last
	}
	for range rounds {
		changed := false
		for k := len(g.order) - 1; k >= 0; k-- {
			i := g.order[k]
			s, f := g.latest(i, last, start, finish)
			if s != start[i] || f != finish[i] {
				start[i], finish[i], changed = s, f, true
			}
		}
		if !changed {
			return start, finish
		}
	}
	return append([]Minute(nil), g.l.start...), append([]Minute(nil), g.l.finish...)
}

// latest is the latest place of node i, given the latest places of what waits for it.
func (g *graph) latest(i int32, last Minute, start, finish []Minute) (Minute, Minute) {
	n := &g.m.nodes[i]
	if g.l.start[i] >= Never {
		return g.l.start[i], g.l.finish[i]
	}
	high, end := g.limits(i, last, start, finish)
	if n.runs {
		return n.start, max(min(end, last), g.l.finish[i]) // running: it may still finish late
	}
	if n.fixed || n.visit != 0 && g.l.start[i] == n.visit {
		return g.l.start[i], g.l.finish[i]
	}
	s, ok := g.m.latest(n, high, end)
	if !ok || s < g.l.start[i] {
		return g.l.start[i], g.l.finish[i]
	}
	return s, n.endAt(s)
}

func (g *graph) limits(i int32, last Minute, start, finish []Minute) (high, end Minute) {
	high, end = last, last
	for _, k := range g.out[i] {
		a := &g.arcs[k]
		if g.m.settled(a) || g.l.start[a.to] >= Never {
			continue
		}
		lim := start[a.to]
		if a.toEnd {
			lim = finish[a.to]
		}
		if lim = g.m.limit(a, lim); a.fromEnd {
			end = min(end, lim)
		} else {
			high = min(high, lim)
		}
	}
	return high, end
}

// endAt is when a node that starts at a place of its own finishes.
func (n *node) endAt(start Minute) Minute {
	switch n.shape {
	case work:
		return n.cal.AddWork(start, n.dur)
	case point:
		return start
	}
	if n.visit == start && n.visit != 0 {
		return n.visitEnd
	}
	return n.cal.windowEnd(start)
}

// twoLists is two lists of n moments.
func twoLists(n int) (a, b []Minute) {
	both := make([]Minute, 2*n)
	return both[:n:n], both[n:]
}
