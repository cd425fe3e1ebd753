package schedule

// tree finds every best trade that openings and second visits make possible, for one set of stand-ins. At each
// branching some extras are bought, some are done without, and the others are free: if even that gains
// nothing, no choice among them does. Else one of the free ones that were used is bought, or done without.
type tree struct {
	s      *Search
	stands []extra
	list   []extra // openings and second visits to choose from
	open   []twig
	seen   int
}

// twig is one branching: bits of the list that are bought, and done without.
type twig struct{ bought, without uint64 }

const (
	mostChoices = 60  // extras to choose from
	mostTwigs   = 200 // branchings of one tree
)

// plant begins at the root, unless it is known already that nothing is to be gained.
func (t *tree) plant() bool {
	for _, e := range t.s.extras {
		if e.standIn.Crew == "" && consistent(append(t.stands[:len(t.stands):len(t.stands)], e)) {
			t.list = append(t.list, e)
		}
	}
	if len(t.list) > mostChoices {
		t.list, t.s.whole = t.list[:mostChoices], false
	}
	if len(t.list) > 0 {
		t.open = append(t.open, twig{})
	}
	return false
}

// grow looks at one branching.
func (t *tree) grow() bool {
	if len(t.open) == 0 {
		return false
	}
	if t.seen++; t.seen > mostTwigs {
		t.s.whole = false
		return false
	}
	w := t.open[len(t.open)-1]
	t.open = t.open[:len(t.open)-1]
	p := &prover{use: append([]extra(nil), t.stands...)}
	for i, e := range t.list {
		if w.bought>>i&1 != 0 {
			p.use = append(p.use, e)
			p.cost += e.cost()
		}
	}
	p.paid = len(p.use)
	for i, e := range t.list {
		if (w.bought|w.without)>>i&1 == 0 {
			p.use = append(p.use, e)
		}
	}
	tasks := append(t.s.prove(p), func() bool { t.split(p, w); return false })
	t.s.ahead(tasks)
	return true
}

// split buys what a branching used for nothing, and looks on from there where that is not good enough.
func (t *tree) split(p *prover, w twig) {
	s := t.s
	s.whole = s.whole && p.whole
	for _, b := range p.better {
		if s.beaten(b, p.cost) {
			continue
		}
		use, free := p.use[:p.paid:p.paid], []int{}
		for i, e := range t.list {
			if (w.bought|w.without)>>i&1 == 0 && p.v.makesUse(b.l, &e) {
				use, free = append(use, e), append(free, i)
			}
		}
		v := s.variant(use, len(use))
		l := &layout{m: v.m, start: b.l.start, finish: b.l.finish, busy: b.l.busy}
		if !l.holds() { // a wait in working time counted on more than that
			use, free = p.use, free[:0]
			for i := range t.list {
				if (w.bought|w.without)>>i&1 == 0 {
					free = append(free, i)
				}
			}
			v = s.variant(use, len(use))
			l.m = v.m
		}
		s.offer(v, l)
		if s.beaten(b, p.cost) {
			continue
		}
		if s.whole = s.whole && len(free) > 0; len(free) > 0 {
			bit := uint64(1) << free[0]
			t.open = append(t.open, twig{w.bought, w.without | bit}, twig{w.bought | bit, w.without})
			return
		}
	}
}

// beaten tells whether something found for no more than cost is nowhere worse than a trade.
func (s *Search) beaten(t trade, cost int64) bool {
	for i := range s.found {
		if k := &s.found[i].mark; k.cost <= cost && lastDay(k.finish) <= t.day && k.weight <= t.weight {
			return true
		}
	}
	return false
}
