package exact

// This file shortens a schedule by solving windows of it: all but a few nodes that lie next to each other in
// time stay as they are, what comes later moves one unit sooner in one piece, and the search says whether the
// few fit into what is left.
// Source: windows of a schedule as problems of their own, Debels, Vanhoucke, "A decomposition-based genetic
// algorithm for the resource-constrained project-scheduling problem", Operations Research 55 (2007) 457-469;
// solved by search, Palpant, Artigues, Michelon, "LSSPER: solving the resource-constrained project scheduling
// problem with large neighbourhood search", Annals of Operations Research 131 (2004) 237-257.

// fitter shortens schedules of one plain problem.
type fitter struct {
	l      *lister
	side   []side
	at     []int32 // the schedule in hand, its later part pushed against the end
	free   []int32 // by time, then resource: room beside what is laid
	sub    []int32 // number of a node in the window's problem
	inside []int32
	p      Problem
	hint   []int32
	base   int32 // the time that is 0 in the window's problem
	size   int32 // how many nodes a window takes
	failed int32 // windows of this size since the last that fitted
}

// side says where a node lies, seen from the window.
type side uint8

const (
	sooner side = iota
	inside
	later
)

// Measured on published instances of 120 activities.
const (
	leastWindow = 20   // nodes: windows begin with so many,
	widen       = 5    // and take so many more when none fits,
	mostWindow  = 60   // up to this,
	windowSteps = 4000 // and give up after so many steps
	poseSteps   = 20   // to write down one node takes as long as so many steps
)

func newFitter(p *Problem) *fitter {
	l := newLister(p)
	if l == nil {
		return nil
	}
	f := &fitter{l: l, side: make([]side, l.n), at: make([]int32, l.n), sub: make([]int32, l.n), size: leastWindow,
		free: make([]int32, int(l.length)*len(l.caps))}
	for _, c := range l.caps {
		f.p.Resources = append(f.p.Resources, Resource{Cap: c})
	}
	return f
}

// shorten looks for a window that fits for about so many steps. It returns the steps it took and whether
// starts is now a schedule that finishes sooner than end.
func (f *fitter) shorten(starts []int32, end int32, steps int64) (spent int64, shorter bool) {
	for spent < steps && !shorter {
		size := min(f.size, f.l.n)
		first := max(0, min(f.l.random(f.l.n-size/2)-size/4, f.l.n-size))
		n, ok := f.fit(starts, end, first, size, windowSteps)
		spent, shorter = spent+n+1, ok
		if f.failed++; f.failed > f.l.n && f.size < mostWindow {
			f.failed, f.size = 0, f.size+widen
		}
	}
	if shorter {
		f.failed = 0
		copy(f.l.key, starts)
		f.l.byKey(1)
		f.l.serial(f.l.order, starts, 0)
		spent += int64(f.l.n)
	}
	return spent, shorter
}

// fit tries to make a schedule that ends at end one unit shorter by solving the size nodes that come in
// time from number first on, within so many steps.
func (f *fitter) fit(starts []int32, end, first, size int32, steps int64) (spent int64, shorter bool) {
	l := f.l
	copy(f.at, starts)
	for i := range l.n {
		l.key[i] = 2*starts[i] + l.dur[i]
	}
	l.byKey(1)
	for k, i := range l.order {
		f.side[i] = inside
		if int32(k) < first {
			f.side[i] = sooner
		} else if int32(k) >= first+size {
			f.side[i] = later
		}
	}
	spent = f.push(end)
	f.settle()
	ok := f.pose(end)
	spent += poseSteps * int64(len(f.p.Nodes))
	if !ok {
		return spent, false
	}
	s, err := New(&f.p)
	if err != nil {
		panic("exact: a window makes no sense; this cannot be: " + err.Error())
	}
	a := s.Solve(Ask{Want: Any, Hint: f.hint, Steps: steps})
	spent += a.Steps
	if !a.Found {
		return spent, false
	}
	for i := range l.n {
		switch f.side[i] {
		case later:
			starts[i] = f.at[i] - 1
		case inside:
			starts[i] = a.Starts[f.sub[i]] + f.base
		}
	}
	return spent, true
}

// take changes the room while node i is laid from t on: by 1 it is laid, by -1 lifted.
func (f *fitter) take(i, t, by int32) {
	k := int32(len(f.l.caps))
	for u := t; u < t+f.l.dur[i]; u++ {
		for _, use := range f.l.uses[i] {
			f.free[u*k+use.Node] -= by * use.Demand
		}
	}
}

// blocked is a time at which there is no room for node i when it lies from t on, or -1.
func (f *fitter) blocked(i, t int32) int32 {
	k := int32(len(f.l.caps))
	for u := t; u < t+f.l.dur[i]; u++ {
		for _, use := range f.l.uses[i] {
			if f.free[u*k+use.Node] < use.Demand {
				return u
			}
		}
	}
	return -1
}

// push moves what comes later as late as it goes without the end coming later, the last first.
func (f *fitter) push(end int32) (laid int64) {
	l, k := f.l, len(f.l.caps)
	for t := 0; t < int(end); t++ {
		copy(f.free[t*k:(t+1)*k], l.caps)
	}
	for i := range l.n {
		f.take(i, f.at[i], 1)
		l.key[i] = -(f.at[i] + l.dur[i])
	}
	l.byKey(-1)
	for _, i := range l.order {
		if f.side[i] != later {
			continue
		}
		laid++
		f.take(i, f.at[i], -1)
		t := end - l.dur[i]
		for _, h := range l.ahead[1][i] {
			t = min(t, f.before(i, h, f.at[h.node]))
		}
		for u := f.blocked(i, t); u >= 0; u = f.blocked(i, t) {
			t = u - l.dur[i]
		}
		f.at[i] = t
		f.take(i, t, 1)
	}
	return laid
}

// before is the latest start of node i when h, which waits for it, starts at t.
func (f *fitter) before(i int32, h hop, t int32) int32 {
	return t - (h.dist - f.l.dur[h.node]) - f.l.dur[i]
}

// settle takes into the window what would be in the way of the later part as it moves.
func (f *fitter) settle() {
	l, soon := f.l, int32(never)
	for i := range l.n {
		if f.side[i] == later && l.dur[i] > 0 {
			soon = min(soon, f.at[i]-1)
		}
	}
	f.inside = f.inside[:0]
	for i := range l.n {
		if f.side[i] == sooner && f.at[i]+l.dur[i] > soon {
			f.side[i] = inside
		}
		if f.side[i] == inside {
			f.sub[i] = int32(len(f.inside))
			f.inside = append(f.inside, i)
		}
	}
}

// early is when node i may start for what comes before the window.
func (f *fitter) early(i int32) int32 {
	t := int32(0)
	for _, h := range f.l.ahead[0][i] {
		if f.side[h.node] == sooner {
			t = max(t, f.at[h.node]+h.dist)
		}
	}
	return t
}

// late is when node i must start for what comes after the window, one unit sooner than it lies.
func (f *fitter) late(i, end int32) int32 {
	t := end - 1 - f.l.dur[i]
	for _, h := range f.l.ahead[1][i] {
		if f.side[h.node] == later {
			t = min(t, f.before(i, h, f.at[h.node]-1))
		}
	}
	return t
}

// pose writes the window down as a problem: what lies inside it, and as facts what lies beside it. It
// returns false when something cannot fit.
func (f *fitter) pose(end int32) bool {
	l, p := f.l, &f.p
	p.Nodes, p.Arcs, f.hint = p.Nodes[:0], p.Arcs[:0], f.hint[:0]
	for k := range p.Resources {
		p.Resources[k].Uses = p.Resources[k].Uses[:0]
	}
	from, to := int32(never), int32(0)
	for _, i := range f.inside {
		a, z := f.early(i), f.late(i, end)
		if a > z {
			return false
		}
		from, to = min(from, a), max(to, z+l.dur[i])
	}
	f.base = from - 1 // so that no latest start is 0, which would mean none
	p.Horizon = to - f.base
	for _, i := range f.inside {
		a, z := f.early(i), f.late(i, end)
		f.node(Node{Dur: l.dur[i], Min: a - f.base, Max: z - f.base}, i, min(max(f.at[i], a), z)-f.base)
		for _, h := range l.ahead[0][i] {
			if f.side[h.node] == inside {
				p.Arcs = append(p.Arcs, Arc{From: f.sub[h.node], To: f.sub[i], FromEnd: true, Lag: h.dist - l.dur[h.node]})
			}
		}
	}
	for i := range l.n {
		if f.side[i] != inside && !f.beside(i, from, to) {
			return false
		}
	}
	return len(f.inside) > 0
}

// beside adds a node that lies beside the window as a fact; false when it would come too soon after what
// it waits for.
func (f *fitter) beside(i, from, to int32) bool {
	l, start := f.l, f.at[i]
	if f.side[i] == later {
		start--
		for _, h := range l.ahead[0][i] {
			if f.side[h.node] == sooner && f.at[h.node]+h.dist > start {
				return false
			}
		}
	}
	if start < 0 {
		return false
	}
	start, finish := max(start, from), min(start+l.dur[i], to)
	if start < finish && len(l.uses[i]) > 0 {
		f.node(Node{Fixed: true, Start: start - f.base, Finish: finish - f.base}, i, start-f.base)
	}
	return true
}

func (f *fitter) node(n Node, i, hint int32) {
	k := int32(len(f.p.Nodes))
	f.p.Nodes = append(f.p.Nodes, n)
	f.hint = append(f.hint, hint)
	for _, u := range f.l.uses[i] {
		r := &f.p.Resources[u.Node]
		r.Uses = append(r.Uses, Use{k, u.Demand})
	}
}
