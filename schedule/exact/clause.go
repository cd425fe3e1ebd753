package exact

import "slices"

// Clauses lie one after another in one slice: a header (length, then how many levels it joins and how
// often it was used lately), then the literals. The first two literals are watched. A clause that raised
// a bound has that literal first.

func (s *Solver) clause(c int32) []lit {
	return s.clauses[c+1 : c+1+s.clauses[c].x]
}

const (
	glue    = 2 // clauses that join at most this many levels are kept for ever, as are the problem's own
	oneUse  = 1 << 16
	maxUses = 1 << 14 * oneUse
)

// joins is how many levels the clause with this header joins.
func (h lit) joins() int32 { return h.t & (oneUse - 1) }

// used counts that a clause helped to learn another.
func (s *Solver) used(c int32) {
	if h := &s.clauses[c]; h.t < maxUses {
		h.t += oneUse
	}
}

func (s *Solver) addClause(ls []lit, joins int32) int32 {
	c := int32(len(s.clauses))
	s.clauses = append(s.clauses, lit{int32(len(ls)), min(joins, oneUse-1)})
	s.clauses = append(s.clauses, ls...)
	if joins > glue {
		s.learned++
	}
	s.watch(c, ls[0], ls[1])
	s.watch(c, ls[1], ls[0])
	return c
}

// nowhere is where the literals of a variable lie that nobody spoke of yet.
const nowhere int32 = -1 << 31

// literals is how many literals a bound has.
func (s *Solver) literals(x int32) int32 { return max(0, -s.first[x^1]-s.first[x]) }

// watcher is a clause to look at when a literal becomes false, and another of its literals: while
// that is true there is nothing to do.
type watcher struct {
	clause int32
	other  lit
}

// watch makes the clause be visited when l becomes false, that is when the opposite bound gets there.
func (s *Solver) watch(c int32, l, other lit) {
	n := l.not()
	if s.at[n.x] == nowhere {
		s.at[n.x] = int32(len(s.watched)) - s.first[n.x] - 1
		s.watched = append(s.watched, make([]int32, s.literals(n.x))...)
	}
	k := s.at[n.x] + n.t
	if s.watched[k] == 0 {
		s.lists = append(s.lists, nil)
		s.watched[k] = int32(len(s.lists) - 1)
	}
	i := s.watched[k]
	s.lists[i] = append(s.lists[i], watcher{c, other})
}

// visit looks at the clauses in which step i of the trail made a watched literal false.
func (s *Solver) visit(i int) bool {
	e := s.trail[i]
	at := s.at[e.x]
	if at == nowhere {
		return true
	}
	for t, k := range s.watched[at+e.old+1 : at+e.t+1] {
		if k != 0 && !s.visitList(k, lit{e.x ^ 1, -e.old - int32(t)}) {
			return false
		}
	}
	return true
}

// visitList visits the clauses that watch the literal l, which is false now.
func (s *Solver) visitList(k int32, l lit) bool {
	ws, bound := s.lists[k], s.bound
	keep := 0
	for n, w := range ws {
		if bound[w.other.x] >= w.other.t {
			ws[keep] = w
			keep++
			continue
		}
		ls := s.clause(w.clause)
		if ls[0] == l {
			ls[0], ls[1] = ls[1], l
		}
		first := ls[0]
		if first != w.other && bound[first.x] >= first.t {
			ws[keep] = watcher{w.clause, first}
			keep++
			continue
		}
		if s.rewatch(w.clause, ls) {
			continue
		}
		ws[keep] = watcher{w.clause, first}
		keep++
		if !s.set(first.x, first.t, byClause, w.clause, 0) {
			keep += copy(ws[keep:], ws[n+1:])
			s.lists[k] = ws[:keep]
			return false
		}
	}
	if keep < len(ws) {
		s.lists[k] = ws[:keep]
	}
	return true
}

// rewatch puts a literal that is not false into second place and watches it.
func (s *Solver) rewatch(c int32, ls []lit) bool {
	bound := s.bound
	for i := 2; i < len(ls); i++ {
		if l := ls[i]; bound[l.x^1] < 1-l.t {
			ls[1], ls[i] = l, ls[1]
			s.watch(c, l, ls[0])
			return true
		}
	}
	return false
}

// forget drops the half of the learned clauses that join many levels and were of little use since the last
// time. Only at level 1 or below, where no step of the trail is asked for its reasons any more.
func (s *Solver) forget() {
	type rank struct{ c, worth, size int32 }
	var all []rank
	for c := int32(0); int(c) < len(s.clauses); c += 1 + s.clauses[c].x {
		h := &s.clauses[c]
		if h.joins() > glue {
			all = append(all, rank{c, 2*min(h.t/oneUse, 4) - h.joins(), h.x})
		}
		h.t = h.joins()
	}
	slices.SortFunc(all, func(a, b rank) int {
		if a.worth != b.worth {
			return int(b.worth - a.worth)
		}
		if a.size != b.size {
			return int(a.size - b.size)
		}
		return int(b.c - a.c)
	})
	for _, r := range all[len(all)/2:] {
		s.clauses[r.c].t = -1
	}
	s.rebuild()
}

// rebuild closes the gaps that forgotten clauses left and watches the others anew.
func (s *Solver) rebuild() {
	for i := range s.lists {
		s.lists[i] = s.lists[i][:0]
	}
	old := s.clauses
	s.clauses = old[:0]
	s.learned = 0
	for c := 0; c < len(old); {
		head := old[c]
		n := int(head.x)
		ls := old[c+1 : c+1+n]
		c += 1 + n
		if head.t < 0 {
			continue
		}
		at := int32(len(s.clauses))
		s.clauses = append(s.clauses, head)
		s.clauses = append(s.clauses, ls...) // moves down in place
		ls = s.clause(at)
		if head.joins() > glue {
			s.learned++
		}
		s.watch(at, ls[0], ls[1])
		s.watch(at, ls[1], ls[0])
	}
}
