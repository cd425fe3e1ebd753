package exact

// Solve answers q with the best schedule found in q.Steps bound changes.
func (s *Solver) Solve(q Ask) Answer {
	if q.By <= 0 || q.By > s.p.Horizon {
		q.By = s.p.Horizon
	}
	if s.cost < 0 && q.Want == Cost {
		q.Want = Any // nobody to call: every schedule costs nothing
	}
	again := true
	if now := (question{q.Want, q.By, q.Cost, q.Limit}); now != s.asked {
		s.asked, s.patience, again = now, patience, false
	}
	a := Answer{}
	begin, conflicts := s.steps, s.conflicts
	s.useHint(&q, &a, again)
	for !a.Found || q.Want != Any {
		switch s.search(s.grounds(&q, &a), begin+q.Steps) {
		case found:
			s.record(&a)
			continue
		case refuted:
			a.Proved = true
			s.remember(&q, &a)
		}
		break
	}
	a.Proved = a.Proved || a.Found && q.Want == Any
	a.Lower = s.lower(&q, &a)
	a.Steps, a.Conflicts = s.steps-begin, s.conflicts-conflicts
	return a
}

// question is what an Ask is about: the same again goes on where the last one stopped.
type question struct {
	want     Want
	by, cost int32
	limit    bool
}

// grounds are the bounds of the question, strictly better than what was found.
func (s *Solver) grounds(q *Ask, a *Answer) []lit {
	by, cost := q.By, q.Cost
	limit := q.Limit && s.cost >= 0
	if a.Found {
		switch {
		case q.Want == Finish:
			by = a.Finish - 1
		case q.Want == Cost:
			cost, limit = a.Cost-1, true
		}
	}
	out := []lit{atMost(s.sink, by)}
	if limit {
		out = append(out, atMost(s.cost, cost))
	}
	return out
}

// record takes the schedule the search has arrived at.
func (s *Solver) record(a *Answer) {
	a.Found = true
	a.Starts, a.Ends = make([]int32, s.n), make([]int32, s.n)
	for v := int32(0); v < s.n; v++ {
		a.Starts[v] = s.bound[2*v]
		a.Ends[v] = s.shapes[v].finish(a.Starts[v])
	}
	a.Finish, a.Cost = s.p.Value(a.Starts, a.Ends)
	for v := range s.phase {
		s.phase[v] = s.bound[2*v]
	}
	s.bestStarts = a.Starts
}

// useHint takes a hint as the first schedule when it is one within the bounds, and as a guide anyway. Asked
// the same again, the search is its own guide.
func (s *Solver) useHint(q *Ask, a *Answer, again bool) {
	if q.Hint == nil {
		q.Hint = s.bestStarts
	}
	if len(q.Hint) != int(s.n) {
		return
	}
	if !again {
		s.undo(0)
		for v, t := range q.Hint {
			s.phase[v] = max(s.bound[2*v], min(t, -s.bound[2*v+1]))
		}
	}
	ends, err := Check(s.p, q.Hint)
	if err != nil {
		return
	}
	f, c := s.p.Value(q.Hint, ends)
	if f <= q.By && (!q.Limit || c <= q.Cost) {
		a.Found, a.Finish, a.Cost = true, f, c
		a.Starts, a.Ends = append([]int32(nil), q.Hint...), ends
	}
}

// remember keeps a proved bound for later questions.
func (s *Solver) remember(q *Ask, a *Answer) {
	s.undo(0)
	var c []lit
	for _, l := range s.grounds(q, a) {
		if n := l.not(); !s.fails(n) {
			c = append(c, n)
		} else if s.holds(n) {
			return
		}
	}
	if len(c) == 1 && !s.impossible {
		s.set(c[0].x, c[0].t, byChoice, 0, 0)
	}
}

// lower is the proved lower bound of what was asked.
func (s *Solver) lower(q *Ask, a *Answer) int32 {
	switch {
	case q.Want == Any:
		return 0
	case a.Proved && a.Found && q.Want == Finish:
		return a.Finish
	case a.Proved && a.Found:
		return a.Cost
	case q.Want == Finish:
		return s.floor(s.sink)
	}
	return s.floor(s.cost)
}

// floor is the least value of a variable whatever is asked: what its bound would be with every level undone.
func (s *Solver) floor(v int32) int32 {
	t := s.bound[2*v]
	for i := s.last[2*v]; i >= 0 && s.trail[i].level > 0; i = s.trail[i].prev {
		t = s.trail[i].old
	}
	return t
}
