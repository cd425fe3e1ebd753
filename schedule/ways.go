package schedule

// Ways is the answer to a change: what can be done about it.
type Ways struct {
	// Ways are three to five where they differ, the soonest finish first. Among them are always the
	// soonest finish, the fewest calls and "just push everything"; one way may be several of these.
	Ways []Way `json:"ways"`
	// Whole says that every best trade of finish, calls and cost was looked at, with every extra.
	Whole bool  `json:"whole,omitempty"`
	Done  bool  `json:"done"`  // the search has said its last word
	Steps int64 `json:"steps"` // counted steps so far
}

// Search looks for ways step by step. A step is one line placed, or one bound moved by the solver: a
// few hundred nanoseconds. The same steps give the same ways on every machine, however they are
// portioned.
type Search struct {
	changed      *Site
	now          Minute
	before, push *Plan
	base         *model // of the changed site, as it is
	drawn        drawings
	people       *people
	extras       []extra
	distant      []extra // those all the way to the finish, once asked for

	tasks          []task
	spent, allowed int64
	pushed         candidate
	found          []candidate // the best trades so far: none beats another
	runs           []*prover
	bounds         []bound
	whole          bool
}

// task is a piece of the search; it says whether it wants to go on.
type task func() (again bool)

// candidate is one layout, judged.
type candidate struct {
	v             *variant
	use           []extra // the extras it really uses
	start, finish []Minute
	mark          mark
}

// FindWays looks for ways from the site as it was to the site as changed, for so many steps.
func FindWays(was, changed *Site, now Minute, steps int) *Ways {
	s := NewSearch(was, changed, now)
	s.Step(steps)
	return s.Ways()
}

// NewSearch prepares a search, and pushes everything: that way is there from the first moment.
func NewSearch(was, changed *Site, now Minute) *Search {
	return NewSearchFrom(Lay(was, now), changed, now)
}

// NewSearchFrom is NewSearch for who has the plan before the change at hand: Lay of the site as it was, at now.
func NewSearchFrom(before *Plan, changed *Site, now Minute) *Search {
	s := startSearch(before, changed, now)
	s.extras = s.base.extras(s.before, s.push, soon)
	s.plan(s.plain())
	return s
}

func startSearch(before *Plan, changed *Site, now Minute) *Search {
	m := compile(changed, now)
	l := m.best(m.anchors())
	m.lateOrders(l)
	return &Search{changed: changed, now: now, before: before, push: m.places(l), people: peopleOf(changed), base: m, whole: true}
}

// Step searches n counted steps further.
func (s *Search) Step(n int) {
	s.allowed += int64(n)
	for s.spent < s.allowed && len(s.tasks) > 0 {
		t := s.tasks[0]
		if !t() {
			s.tasks = s.tasks[1:]
		}
	}
}

// pushEverything is the plan as it simply moves, as a candidate.
func (s *Search) pushEverything(v *variant) candidate {
	l := v.m.empty()
	for i := range v.m.nodes {
		line := s.push.Line(v.m.nodes[i].id)
		l.start[i], l.finish[i] = line.Start, line.Finish
	}
	return candidate{v: v, start: l.start, finish: l.finish, mark: v.judge(l)}
}

// plain pushes everything, and lines up quick answers for the plain week and the first try of a proof for it.
func (s *Search) plain() *prover {
	v := s.variant(nil, 0)
	s.pushed = s.pushEverything(v)
	s.keep(s.pushed)
	s.add(func() { s.fewest(v) })
	s.add(func() { s.soonest(v) })
	p := &prover{v: v, budget: early}
	s.tasks = append(s.tasks, s.prove(p)...)
	s.runs = append(s.runs, p)
	return p
}

// plan lines up what follows the plain week, which depends on whether that could be proved soon.
func (s *Search) plan(p *prover) {
	s.tasks = append(s.tasks, func() bool {
		if p.whole {
			s.insert(s.easy())
		} else {
			s.insert(s.hard(p))
		}
		return false
	})
}

// easy is what follows on a site that the solver masters: for each set of stand-ins the proof without further
// extras, the proof with every opening and second visit free, and, where that leaves hope, a tree of choices.
func (s *Search) easy() (tasks []task) {
	sets, all := s.standSets()
	s.whole = s.whole && all
	for _, use := range sets[1:] {
		p := &prover{use: use, paid: len(use)}
		s.runs = append(s.runs, p)
		tasks = append(tasks, s.prove(p)...)
	}
	tasks = append(tasks, func() bool { s.bound(0); return false }, func() bool { s.bound(s.dearest()); return false })
	for _, use := range sets {
		t := &tree{s: s, stands: use}
		tasks = append(tasks, t.plant, t.grow)
	}
	return append(tasks, s.calm, s.relaxed)
}

// hard is what follows on a site that is too large for that: good orders with each extra and with each crew's
// own together, then what the solver still finds.
func (s *Search) hard(plain *prover) (tasks []task) {
	s.whole = false
	quick := func(use []extra) {
		tasks = append(tasks, func() bool { s.soonest(s.variant(use, len(use))); return false })
	}
	for i := range s.extras {
		quick(s.extras[i : i+1])
	}
	for _, crew := range openers(s.extras) {
		if use := s.ofCrew(crew); len(use) > 1 {
			quick(use)
		}
	}
	tasks = append(tasks, func() bool { plain.budget = enough; return false }, plain.walk)
	return append(tasks, func() bool { s.bound(0); return false }, s.relaxed)
}

// standSets lists the sets of stand-ins, the empty one first; all is false where they are too many to list.
func (s *Search) standSets() (sets [][]extra, all bool) {
	stands := s.stands()
	if len(stands) > tooMany {
		sets = append(sets, nil)
		for i := range stands {
			sets = append(sets, stands[i:i+1])
		}
		return sets, false
	}
	for mask := range 1 << len(stands) {
		var use []extra
		for i := range stands {
			if mask>>i&1 != 0 {
				use = append(use, stands[i])
			}
		}
		if consistent(use) {
			sets = append(sets, use)
		}
	}
	return sets, true
}

// dearest is the cost of the dearest extra.
func (s *Search) dearest() (cost int64) {
	for i := range s.extras {
		cost = max(cost, s.extras[i].cost())
	}
	return cost
}

// calm lays out again, in good orders, what the extras gained: the same trade may disturb less.
func (s *Search) calm() bool {
	for _, c := range append([]candidate(nil), s.found...) {
		if len(c.use) > 0 {
			s.soonest(c.v)
		}
	}
	return false
}

func (s *Search) add(f func()) {
	s.tasks = append(s.tasks, func() bool { f(); return false })
}

// ahead puts tasks in front of the one that runs.
func (s *Search) ahead(tasks []task) { s.tasks = append(tasks, s.tasks...) }

// insert puts tasks right behind the one that runs.
func (s *Search) insert(tasks []task) {
	rest := append([]task(nil), s.tasks[1:]...)
	s.tasks = append(append(s.tasks[:1:1], tasks...), rest...)
}

func (s *Search) ofCrew(crew string) (use []extra) {
	for _, e := range s.extras {
		if e.opening.Crew == crew {
			use = append(use, e)
		}
	}
	return use
}

// consistent tells whether no activity is handed to two crews, nor handed on and split for the first.
func consistent(use []extra) bool {
	for i, e := range use {
		for _, f := range use[:i] {
			if e.standIn.Activity != "" && (e.standIn.Activity == f.standIn.Activity || e.standIn.Activity == f.twice) ||
				e.twice != "" && e.twice == f.standIn.Activity {
				return false
			}
		}
	}
	return true
}

// offer settles a layout, judges it and keeps it if nothing found so far is as good.
func (s *Search) offer(v *variant, l *layout) candidate {
	v.settle(l)
	c := candidate{v: v, use: v.used(l), start: l.start, finish: l.finish}
	if len(c.use) < len(v.use) {
		// An opening nobody works in costs nothing and needs no call, unless a wait in working time counts on it.
		plainer := s.variant(c.use, len(c.use))
		if o := (&layout{m: plainer.m, start: l.start, finish: l.finish, busy: l.busy}); o.holds() {
			c.v, l = plainer, o
		} else {
			c.use = v.use
		}
	}
	c.mark = c.v.judge(l)
	s.keep(c)
	return c
}

// keep adds a candidate to the best trades, and drops those it beats. Where two are the same trade, the
// one that disturbs less stays.
func (s *Search) keep(c candidate) {
	for i := range s.found {
		if o := &s.found[i]; o.mark.beats(c.mark) && !(c.mark.beats(o.mark) && c.mark.calmer(o.mark)) {
			return
		}
	}
	n := 0
	for _, o := range s.found {
		if !c.mark.beats(o.mark) {
			s.found[n] = o
			n++
		}
	}
	s.found = append(s.found[:n], c)
}

// calmer orders candidates that are the same trade.
func (k mark) calmer(o mark) bool {
	switch {
	case k.calls != o.calls:
		return k.calls < o.calls
	case k.drift != o.drift:
		return k.drift < o.drift
	}
	return k.finish < o.finish
}

// used is the extras of v that a layout makes use of.
func (v *variant) used(l *layout) (use []extra) {
	for i := range v.use {
		if v.makesUse(l, &v.use[i]) {
			use = append(use, v.use[i])
		}
	}
	return use
}

func (v *variant) makesUse(l *layout, e *extra) bool {
	switch {
	case e.opening.Crew != "":
		return v.worksIn(l, e.opening)
	case e.twice != "":
		return v.comesTwice(l, e.twice)
	}
	return true
}

// comesTwice tells whether a layout cuts an activity in two.
func (v *variant) comesTwice(l *layout, id string) bool {
	i := v.m.find(id)
	n := &v.m.nodes[i]
	return !n.fixed && l.start[i] < Never && n.shape == work && n.cal.cut(l.start[i], n.dur)
}

func (v *variant) worksIn(l *layout, o Opening) bool {
	from, to := o.Day.At(o.From), o.Day.At(o.To)
	for i := range v.m.nodes {
		n := &v.m.nodes[i]
		a, b := max(from, l.start[i]), min(to, l.finish[i])
		if a < b && n.kind == ActivityNode && n.shape == work && n.cal.WorkBetween(a, b) > 0 && contains(v.m.site.CrewsOf(v.m.site.Activity(n.id)), o.Crew) {
			return true
		}
	}
	return false
}
