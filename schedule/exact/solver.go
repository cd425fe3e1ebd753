package exact

// Solver answers questions about one problem and keeps what it learned in between. It is used by one
// caller at a time.
type Solver struct {
	p      *Problem
	grids  []*grid
	shapes []*shape // of the nodes, then of the finish
	n      int32    // nodes: variables 0 to n-1 are their starts
	sink   int32    // the variable of the latest finish
	cost   int32    // the variable of the cost, or -1
	calls  int32    // the first variable of the calls
	holed  []bool   // variables that cannot take every value

	bound, last []int32
	phase       []int32
	trail       []step
	marks       []mark
	store       []lit
	level       int32
	head        int
	dead        []lit

	rules  []rule
	always [][]effect // rules by what they read
	maybe  [][]option
	opens  [][]int32 // rules by the ordering literal they need

	resources []resource
	uses      [][]int32 // resources by node
	queue     []int32
	covers    []Use
	ruler     ruler

	clauses []lit
	learned int32
	first   []int32 // the bounds when the tables were made
	at      []int32 // where the thresholds of a bound lie in watched, or nowhere
	watched []int32
	lists   [][]watcher

	learner
	heap       heap
	groundLits []lit // the opposites of the question's bounds
	impossible bool
	begun      bool

	steps, conflicts int64
	hot              int64 // choose the smallest start until this many contradictions
	quota            int32 // learned clauses to keep before forgetting
	patience         int64 // contradictions until the next restart
	restart          int64 // the count of contradictions at which it comes
	bestStarts       []int32
	asked            question
	asking           []lit // the bounds of the question the search stands in
}

// New checks a problem and prepares to search it.
func New(p *Problem) (*Solver, error) { return newSolver(nil, p) }

func newSolver(m *Memory, p *Problem) (*Solver, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	s := &Solver{p: p, n: int32(len(p.Nodes)), cost: -1}
	s.makeShapes(m)
	s.makeVars()
	s.makeArcs()
	s.firstSchedule()
	s.narrow()
	s.energyBound()
	pairs := s.makeResources()
	s.ruler = newRuler(p.Horizon)
	s.makePairs(pairs)
	s.makeTables()
	if !s.makePromises() {
		s.impossible = true
	}
	return s, nil
}

func (s *Solver) makeShapes(m *Memory) {
	s.grids = []*grid{{always: true}}
	for _, c := range s.p.Calendars {
		s.grids = append(s.grids, m.grid(c, s.p.Horizon))
	}
	for _, n := range s.p.Nodes {
		h := &shape{g: s.grids[n.Cal], dur: n.Dur, slot: n.Slot && n.Cal != Always}
		if len(n.Places) > 0 {
			h.places = n.Places
		}
		if n.Fixed {
			h = &shape{g: s.grids[0], fixed: true, start: n.Start, end: n.Finish}
		}
		s.shapes = append(s.shapes, h)
	}
	s.shapes = append(s.shapes, &shape{g: s.grids[0]})
}

// addVar adds a variable with its first bounds.
func (s *Solver) addVar(lo, hi int32) int32 {
	v := int32(len(s.bound) / 2)
	s.bound = append(s.bound, lo, -hi)
	s.last = append(s.last, -1, -1)
	s.phase = append(s.phase, lo)
	s.holed = append(s.holed, false)
	s.always = append(s.always, nil, nil)
	s.maybe = append(s.maybe, nil, nil)
	s.opens = append(s.opens, nil, nil)
	s.uses = append(s.uses, nil)
	if lo > hi {
		s.impossible = true
	}
	return v
}

func (s *Solver) makeVars() {
	for i := range s.p.Nodes {
		n, h := &s.p.Nodes[i], s.shapes[i]
		if n.Fixed {
			s.addVar(n.Start, n.Start)
			continue
		}
		hi := s.p.Horizon
		if n.Max > 0 {
			hi = min(hi, n.Max)
		}
		v := s.addVar(h.up(n.Min), min(h.down(hi), h.to(s.p.Horizon)))
		s.holed[v] = !h.g.always || h.places != nil
	}
	s.sink = s.addVar(0, s.p.Horizon)
	if len(s.p.Calls) == 0 {
		return
	}
	all := int32(0)
	for _, w := range s.p.Calls {
		all += w
	}
	s.cost = s.addVar(0, all)
	for i := range s.p.Calls {
		v := s.addVar(0, 1)
		if i == 0 {
			s.calls = v
		}
	}
}

func (s *Solver) makeArcs() {
	for _, a := range s.p.Arcs {
		if s.p.Nodes[a.To].Fixed {
			continue
		}
		f := &bend{s.shapes[a.From], s.shapes[a.To], a.FromEnd, a.ToEnd, wait{s.grids[a.Cal], a.Lag}, a.After}
		s.link(a.From, a.To, f)
	}
	for i := range s.p.Nodes {
		f := &bend{s.shapes[i], s.shapes[s.sink], true, false, wait{s.grids[0], 0}, nil}
		s.link(int32(i), s.sink, f)
	}
}

// link adds an arc that always holds; one from a fact is only an earliest start.
func (s *Solver) link(i, j int32, f *bend) {
	if f.from.fixed {
		s.raise(2*j, f.push(f.from.start))
		return
	}
	s.addRule(i, j, f, none)
}

// listSchedules is how many lists are tried before the search.
const listSchedules = 60

// firstSchedule finds a schedule of a plain problem; the search need not look at later finishes.
func (s *Solver) firstSchedule() {
	if l := newLister(s.p); l != nil {
		starts, end := l.sample(listSchedules)
		s.bestStarts = starts
		s.raise(2*s.sink+1, -end)
		s.steps += l.laid
	}
}

// raise tightens a bound before the search exists.
func (s *Solver) raise(x, t int32) bool {
	if t <= s.bound[x] {
		return false
	}
	t = s.round(x, t)
	if t > -s.bound[x^1] {
		s.impossible = true
		return false
	}
	s.bound[x] = t
	return true
}

// narrow tightens the bounds along the arcs, so that the tables of the search are small.
func (s *Solver) narrow() {
	for round := int32(0); round <= s.n+1; round++ {
		changed := false
		for i := range s.rules {
			q := &s.rules[i]
			changed = s.raise(q.dst, q.image(s.bound[q.src])) || changed
			if s.impossible {
				return
			}
		}
		if !changed {
			return
		}
	}
}

// makeTables prepares a place for each order literal of each variable. A variable gets its places when one of
// its literals is first spoken of: most questions of a small plan speak of few.
func (s *Solver) makeTables() {
	for v := range s.phase {
		s.phase[v] = s.bound[2*v]
	}
	s.at = make([]int32, len(s.bound))
	for x := range s.at {
		s.at[x] = nowhere
	}
	s.first = append([]int32(nil), s.bound...)
	s.heap = newHeap(len(s.phase))
	s.lists = [][]watcher{nil}
	s.quota, s.hot, s.patience = 8000, 500, patience
	for r := range s.resources {
		s.wake(int32(r))
	}
}

// makePromises says that a call is made unless all its promises are kept.
func (s *Solver) makePromises() bool {
	for _, k := range s.p.Promises {
		if s.p.Nodes[k.Node].Fixed {
			continue // nobody is called about a fact
		}
		call := atLeast(s.calls+k.Call, 1)
		for _, l := range []lit{atLeast(k.Node, k.From), atMost(k.Node, k.To)} {
			l.t = s.round(l.x, l.t)
			switch {
			case s.holds(l):
			case s.fails(l):
				if !s.set(call.x, call.t, byChoice, 0, 0) {
					return false
				}
			default:
				s.addClause([]lit{call, l}, 0)
			}
		}
	}
	return true
}

// weigh keeps the cost at least the weight of the calls that are made, and the calls within it.
func (s *Solver) weigh() bool {
	if s.cost < 0 {
		return true
	}
	sum, from, before := int32(0), int32(len(s.store)), len(s.trail)
	for i, w := range s.p.Calls {
		if v := s.calls + int32(i); s.bound[2*v] > 0 && w > 0 {
			sum += w
			s.store = append(s.store, atLeast(v, 1))
		}
	}
	n := int32(len(s.store)) - from
	if !s.set(2*s.cost, sum, byStored, from, n) {
		return false
	}
	room := -s.bound[2*s.cost+1] - sum
	for i, w := range s.p.Calls {
		v := s.calls + int32(i)
		if w <= room || s.bound[2*v] > 0 || s.bound[2*v+1] == 0 {
			continue
		}
		at := int32(len(s.store))
		s.store = append(s.store, s.store[from:from+n]...)
		s.store = append(s.store, atMost(s.cost, sum+w-1))
		if !s.set(2*v+1, 0, byStored, at, n+1) {
			return false
		}
	}
	if before == len(s.trail) {
		s.store = s.store[:from]
	}
	return true
}
