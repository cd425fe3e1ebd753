package schedule

// bound holds the proofs that count for ways of a cost: each prover looked at everything such a way
// could use at once, for nothing. What even that does not reach, no way does.
type bound struct {
	cost    int64
	provers []*prover
}

// tooMany is more stand-ins than are proved about one by one, each set of them being a proof of its own: more
// are let loose, as if whoever may do the work could do it, in anybody's hours and beside anything else.
const tooMany = 3

// relaxed lines up one bound for each cost among the best trades.
func (s *Search) relaxed() bool {
	for _, c := range s.found {
		s.bound(c.mark.cost)
	}
	return false
}

// bound puts the proofs for one cost right behind the task that runs, once.
func (s *Search) bound(cost int64) {
	if s.boundOf(cost) == nil {
		b := bound{cost: cost}
		s.insert(s.freeForAll(&b))
		s.bounds = append(s.bounds, b)
	}
}

func (s *Search) boundOf(cost int64) *bound {
	for i := range s.bounds {
		if s.bounds[i].cost == cost {
			return &s.bounds[i]
		}
	}
	return nil
}

// freeForAll makes the provers of one bound: every opening and second visit that any crew allows at this cost
// is free as far ahead as anything is planned, with each set of stand-ins.
func (s *Search) freeForAll(b *bound) (tasks []task) {
	var open []extra
	for _, e := range s.far() {
		if e.standIn.Crew == "" && e.cost() <= b.cost {
			open = append(open, e)
		}
	}
	sets, all := s.standSets()
	switch {
	case !all:
		b.provers = append(b.provers, &prover{use: open, anybody: s.stands(), cost: b.cost})
	case len(open) == 0 && b.cost == 0 && len(s.runs) == len(sets):
		b.provers = s.runs // nothing is free: those proofs are there
		return nil
	default:
		for _, use := range sets {
			b.provers = append(b.provers, &prover{use: append(use[:len(use):len(use)], open...), paid: len(use), cost: b.cost})
		}
	}
	for _, p := range b.provers {
		if !s.runs[0].whole {
			p.budget = early
		}
		tasks = append(tasks, s.prove(p)...)
	}
	return tasks
}

// far is the extras all the way to the finish.
func (s *Search) far() []extra {
	if s.distant == nil {
		s.distant = s.base.extras(s.before, s.push, forever)
	}
	return s.distant
}

func (s *Search) stands() (list []extra) {
	for _, e := range s.extras {
		if e.standIn.Crew != "" {
			list = append(list, e)
		}
	}
	return list
}

// proof says what is known for certain about a trade.
func (s *Search) proof(k mark) (p Proof) {
	b := s.boundOf(k.cost)
	if b == nil || len(b.provers) == 0 || k.finish >= Never {
		return p
	}
	p = Proof{Soonest: true, Fewest: true}
	for _, r := range b.provers {
		p.Soonest = p.Soonest && r.noSooner(lastDay(k.finish), anyCalls)
		p.Fewest = p.Fewest && r.noSooner(lastDay(k.finish)+1, k.weight-1)
	}
	return p
}
