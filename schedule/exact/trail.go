package exact

// Each variable v (a start, the finish, the cost, a call, an ordering) has two bounds that only grow
// until they are taken back: bound[2v] is its least value and bound[2v+1] the negative of its
// greatest. So "start >= t" and "start <= t" are the same kind of thing.

// lit says that a bound is at least t.
type lit struct{ x, t int32 }

func (l lit) not() lit { return lit{l.x ^ 1, 1 - l.t} }

func atLeast(v, t int32) lit { return lit{2 * v, t} }
func atMost(v, t int32) lit  { return lit{2*v + 1, -t} }

// none is no literal.
var none = lit{-1, 0}

func (s *Solver) holds(l lit) bool { return s.bound[l.x] >= l.t }
func (s *Solver) fails(l lit) bool { return s.bound[l.x^1] >= 1-l.t }

// why says what raised a bound.
type why uint8

const (
	byChoice why = iota // the search, or the question asked
	byClause            // a: the clause
	byRule              // a: the rule
	byOrder             // a: the rule that cannot hold, b: the bound of its src at the time
	byStored            // a, b: from where and how many in the store of reasons
)

// step is one raised bound on the trail.
type step struct {
	x, old, t int32
	prev      int32 // the trail step that raised x before, or -1
	level     int32
	a, b      int32
	why       why
}

// set raises bound x to t. It returns false on a contradiction and leaves its causes in s.dead.
func (s *Solver) set(x, t int32, w why, a, b int32) bool {
	if s.bound[x] >= t {
		return true
	}
	t = s.round(x, t)
	if t > -s.bound[x^1] {
		t = 1 - s.bound[x^1] // no more is needed, and causes exist for no more
		s.dead = append(s.dead[:0], lit{x ^ 1, 1 - t})
		s.dead = s.reasons(s.dead, x, t, w, a, b)
		return false
	}
	s.trail = append(s.trail, step{x: x, old: s.bound[x], t: t, prev: s.last[x], level: s.level, a: a, b: b, why: w})
	s.last[x] = int32(len(s.trail) - 1)
	s.bound[x] = t
	s.steps++
	return true
}

// round moves a bound over times at which its node cannot start: "start >= noon" and "start >= 12:30"
// are one literal where the lunch break is closed.
func (s *Solver) round(x, t int32) int32 {
	v := x >> 1
	if !s.holed[v] {
		return t
	}
	if x&1 == 0 {
		return s.shapes[v].up(t)
	}
	return -s.shapes[v].down(-t)
}

// choose opens a level and raises a bound by choice.
func (s *Solver) choose(l lit) bool {
	s.level++
	s.marks = append(s.marks, mark{int32(len(s.trail)), int32(len(s.store))})
	return s.set(l.x, l.t, byChoice, 0, 0)
}

type mark struct{ trail, store int32 }

// undo takes back every level above the given one.
func (s *Solver) undo(level int32) {
	if s.level <= level {
		return
	}
	m := s.marks[level]
	for len(s.trail) > int(m.trail) {
		s.pop()
	}
	s.store = s.store[:m.store]
	s.marks = s.marks[:level]
	s.level = level
	s.head = min(s.head, len(s.trail))
	s.clearQueue()
}

// pop takes back the last step of the trail.
func (s *Solver) pop() {
	n := len(s.trail) - 1
	e := &s.trail[n]
	v := e.x >> 1
	if s.bound[2*v] == -s.bound[2*v+1] {
		s.phase[v] = s.bound[2*v]
	}
	s.heap.restore(s, e)
	s.bound[e.x] = e.old
	s.last[e.x] = e.prev
	s.trail = s.trail[:n]
}

// reasons appends what made bound x reach t, as literals that were true before.
func (s *Solver) reasons(out []lit, x, t int32, w why, a, b int32) []lit {
	switch w {
	case byClause:
		s.used(a)
		for _, l := range s.clause(a)[1:] {
			out = append(out, l.not())
		}
	case byRule:
		out = append(out, s.cause(a, t))
		if on := s.rules[a].when; on.x >= 0 {
			out = append(out, on)
		}
	case byOrder:
		q := &s.rules[a]
		out = append(out, lit{q.src, b}, lit{q.dst ^ 1, 1 - min(q.image(b), never)})
	case byStored:
		out = append(out, s.store[a:a+b]...)
	}
	return out
}

// propagate draws every conclusion. It returns false on a contradiction, its causes in s.dead.
func (s *Solver) propagate() bool {
	for {
		for s.head < len(s.trail) {
			i := s.head
			s.head++
			if !s.visit(i) {
				return false
			}
			e := &s.trail[i]
			if s.bound[e.x] != e.t {
				continue // a later step says more
			}
			if !s.follow(e.x) {
				return false
			}
			for _, r := range s.uses[e.x>>1] {
				s.wake(r)
			}
		}
		r, ok := s.nextWoken()
		if !ok {
			return true
		}
		if !s.share(r) {
			return false
		}
	}
}
