package exact

// learner turns a contradiction into a clause: the last literal of the current level that all roads
// to the contradiction pass through, and what the lower levels added.
type learner struct {
	need    []int32 // for each step of the trail: the bound that is needed of it, if marked
	marked  []bool
	lower   []int32 // marked steps of lower levels
	current int     // marked steps of the current level still open
	ground  bool    // something of level 1, the question's own bounds, was used
	buf     []lit
	clause  []lit
	level   int32 // the level being analysed

	verdict []int8 // for each step: 0 unknown, 1 follows from the clause, 2 does not
	tried   []int32
	drop    []int32
	levels  []int64 // for counting different levels
	stamp   int64
}

// learn analyses s.dead, a contradiction at a level above 1, undoes up to the level where the learned
// clause has one free literal, and asserts that literal. It returns false when s.dead holds at
// level 1 already: the question has no answer.
func (s *Solver) learn() bool {
	top := s.highest(s.dead)
	if top <= 1 {
		if top == 0 {
			s.impossible = true
		}
		return false
	}
	s.undo(top)
	a := &s.learner
	a.begin(s)
	for _, l := range s.dead {
		a.mark(s, l)
	}
	uip := a.resolve(s)
	a.shrink(s, uip)
	joins, back := a.finish(s, uip)
	s.heap.decay()
	s.assertLearned(joins, back)
	return true
}

// highest is the highest level among literals that are all true.
func (s *Solver) highest(ls []lit) int32 {
	top := int32(0)
	for _, l := range ls {
		if i := s.find(l); i >= 0 {
			top = max(top, s.trail[i].level)
		}
	}
	return top
}

// find is the step that made a true literal true, or -1 when it always was.
func (s *Solver) find(l lit) int32 {
	i := s.last[l.x]
	for i >= 0 && s.trail[i].old >= l.t {
		i = s.trail[i].prev
	}
	return i
}

func (a *learner) begin(s *Solver) {
	for len(a.need) < len(s.trail)+1 {
		a.need = append(a.need, 0)
		a.marked = append(a.marked, false)
		a.verdict = append(a.verdict, 0)
	}
	a.lower, a.tried, a.clause = a.lower[:0], a.tried[:0], a.clause[:0]
	a.current, a.ground, a.level = 0, false, s.level
}

// mark notes that a true literal is needed.
func (a *learner) mark(s *Solver, l lit) {
	i := s.find(l)
	if i < 0 {
		return
	}
	e := &s.trail[i]
	switch {
	case e.level == 0:
		return
	case e.level == 1:
		a.ground = true
		return
	}
	t := min(s.round(l.x, l.t), e.t)
	if a.marked[i] {
		a.need[i] = max(a.need[i], t)
		return
	}
	a.marked[i], a.need[i] = true, t
	s.heap.bump(s, l.x, t)
	if e.level == a.level {
		a.current++
	} else {
		a.lower = append(a.lower, i)
	}
}

// resolve replaces marked steps of the current level by their causes until one is left.
func (a *learner) resolve(s *Solver) lit {
	for {
		i := len(s.trail) - 1
		for !a.marked[i] {
			s.pop()
			i--
		}
		e := s.trail[i]
		u := lit{e.x, a.need[i]}
		a.marked[i] = false
		if a.current == 1 {
			return u
		}
		a.current--
		s.pop()
		a.buf = s.reasons(a.buf[:0], u.x, u.t, e.why, e.a, e.b)
		for _, l := range a.buf {
			a.mark(s, l)
		}
	}
}

// shrink drops literals of lower levels that follow from the others.
func (a *learner) shrink(s *Solver, uip lit) {
	keep := a.lower[:0]
	a.drop = a.drop[:0]
	for _, i := range a.lower {
		e := &s.trail[i]
		if e.x == uip.x && a.need[i] <= uip.t || e.why != byChoice && a.follows(s, i, a.need[i], 0) {
			a.drop = append(a.drop, i)
			continue
		}
		keep = append(keep, i)
	}
	// Marks are taken back only now: a dropped literal may still carry others.
	for _, i := range a.drop {
		a.marked[i] = false
	}
	a.lower = keep
	for _, i := range a.tried {
		a.verdict[i] = 0
	}
	a.tried = a.tried[:0]
}

// deepest bounds the recursion of follows.
const deepest = 40

// follows says whether bound t of step i is implied by marked literals.
func (a *learner) follows(s *Solver, i, t int32, depth int) bool {
	e := s.trail[i]
	if e.why == byChoice || depth > deepest {
		return false
	}
	base := len(a.buf)
	a.buf = s.reasons(a.buf, e.x, t, e.why, e.a, e.b)
	end := len(a.buf)
	ok := true
	for k := base; k < end && ok; k++ {
		ok = a.implied(s, a.buf[k], depth)
	}
	a.buf = a.buf[:base]
	return ok
}

func (a *learner) implied(s *Solver, l lit, depth int) bool {
	j := s.find(l)
	if j < 0 || s.trail[j].level == 0 {
		return true
	}
	if s.trail[j].level == 1 {
		a.ground = true
		return true
	}
	t := s.round(l.x, l.t)
	if a.marked[j] && a.need[j] >= t || a.verdict[j] == 1 {
		return true
	}
	if a.verdict[j] == 2 {
		return false
	}
	t = min(t, s.trail[j].t)
	full := s.trail[j].t // the verdict is remembered for the whole step
	ok := a.follows(s, j, full, depth+1)
	a.verdict[j] = 2
	if ok {
		a.verdict[j] = 1
	}
	a.tried = append(a.tried, j)
	return ok || t < full && a.follows(s, j, t, depth+1)
}

// finish writes the clause, the free literal first and one of the level to return to second.
func (a *learner) finish(s *Solver, uip lit) (joins, back int32) {
	a.clause = append(a.clause, uip.not())
	a.stamp++
	joins = 1
	for _, i := range a.lower {
		e := &s.trail[i]
		if a.stronger(s, i) {
			continue
		}
		a.clause = append(a.clause, lit{e.x, a.need[i]}.not())
		if n := len(a.clause) - 1; e.level > back {
			back = e.level
			a.clause[1], a.clause[n] = a.clause[n], a.clause[1]
		}
		for int(e.level) >= len(a.levels) {
			a.levels = append(a.levels, 0)
		}
		if a.levels[e.level] != a.stamp {
			a.levels[e.level] = a.stamp
			joins++
		}
	}
	for _, i := range a.lower {
		a.marked[i] = false
	}
	return joins, back
}

// stronger says whether a later marked step of the same bound stands in the clause.
func (a *learner) stronger(s *Solver, i int32) bool {
	for j := s.last[s.trail[i].x]; j > i; j = s.trail[j].prev {
		if a.marked[j] {
			return true
		}
	}
	return false
}

// assertLearned goes back and asserts the free literal of the clause just learned.
func (s *Solver) assertLearned(joins, back int32) {
	a := &s.learner
	if a.ground {
		a.clause = append(a.clause, s.groundLits...)
		back = max(back, 1)
	}
	s.undo(back)
	first := a.clause[0]
	s.conflicts++
	if len(a.clause) == 1 {
		s.set(first.x, first.t, byChoice, 0, 0)
		return
	}
	c := s.addClause(a.clause, joins)
	s.set(first.x, first.t, byClause, c, 0)
}
