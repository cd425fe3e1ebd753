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

// freeForAll makes the provers of one bound: every opening that any crew allows at this cost is open as
// far ahead as anything is planned, with each set of stand-ins.
func (s *Search) freeForAll(b *bound) (tasks []task) {
	var open []extra
	for _, e := range compile(s.changed, s.now).extras(s.before, s.push, forever) {
		if e.standIn.Crew == "" && e.cost() <= b.cost {
			open = append(open, e)
		}
	}
	stands := s.stands()
	if len(stands) > tooMany {
		p := &prover{s: s, use: open, anybody: stands, limit: -1, free: true}
		b.provers = append(b.provers, p)
		return []task{p.begin, p.walk}
	}
	if len(open)+len(stands) == 0 {
		b.provers = s.runs[:1] // the plain week is all there is, and its proof is there
		return nil
	}
	for mask := range 1 << len(stands) {
		var use []extra
		for i := range stands {
			if mask>>i&1 != 0 {
				use = append(use, stands[i])
			}
		}
		if !consistent(use) {
			continue
		}
		p := &prover{s: s, use: append(use, open...), limit: -1, free: true}
		b.provers = append(b.provers, p)
		tasks = append(tasks, p.begin, p.walk)
	}
	return tasks
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
		p.Soonest = p.Soonest && r.lower >= lastDay(k.finish)
		p.Fewest = p.Fewest && r.noFewer(lastDay(k.finish), k.weight)
	}
	return p
}

// noFewer tells whether it is proved that finishing by a day needs calls of at least this weight.
func (p *prover) noFewer(day Day, weight int32) bool {
	if day < p.lower {
		return true // nothing finishes by then at all
	}
	for i := len(p.steps) - 1; i >= 0; i-- {
		if p.steps[i].day <= day {
			// Later trades with fewer calls must be known to finish after that day.
			last := i == len(p.steps)-1
			return p.steps[i].weight >= weight && (!last || p.whole || p.by != 0 && p.by > (day+1).Start())
		}
	}
	return false
}
