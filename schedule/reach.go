package schedule

import "sort"

// Reach looks for what it would take to be finished by a day. It is asked step by step, like Search: the
// same steps give the same answer on every machine, however they are portioned.
type Reach struct {
	s   *Search
	by  Day
	all *variant
}

// Reached answers "finish by a day: what would it take?".
type Reached struct {
	By Day `json:"by"`
	// Ways are at most five that are finished by the end of that day: least cost first, then the lightest
	// calls. Their keys are "reach1", "reach2" and so on.
	Ways []Way `json:"ways"`
	// Proved says, of the first way, that nothing cheaper is finished by then; where there is none, that
	// nothing is, with everything that the crews allow.
	Proved  bool `json:"proved,omitempty"`
	Best    *Way `json:"best,omitempty"` // the soonest found, where nothing found is finished by then
	Soonest Day  `json:"soonest"`        // the day on which the soonest found is finished
	Lower   Day  `json:"lower,omitzero"` // proved: nothing is finished before
	// Line is what finishes last where the day cannot be reached, Chain why it is no sooner: the nearest
	// reason first, as in Earliest.
	Line  string   `json:"line,omitempty"`
	Chain []Reason `json:"chain,omitempty"`
	Done  bool     `json:"done"`
	Steps int64    `json:"steps"`
}

// mostReached is how many ways to a day are shown.
const mostReached = 5

// NewReach prepares the question what it would take to be finished by the end of a day. Lines may be laid
// anew, promises broken, and everything used that crews allow, all the way to the finish.
func NewReach(site *Site, now Minute, by Day) *Reach {
	s := startSearch(Lay(site, now), site, now)
	s.extras = s.far()
	r := &Reach{s: s, by: by}
	p := s.plain()
	s.add(r.everything)
	for _, crew := range openers(s.extras) {
		s.add(func() { r.try(s.ofCrew(crew)) })
	}
	for i := range s.extras {
		if s.extras[i].opening.Crew == "" {
			s.add(func() { r.try(s.extras[i : i+1]) })
		}
	}
	s.tasks = append(s.tasks, func() bool { p.budget = enough; return false }, p.walk)
	s.add(r.bounds)
	return r
}

// Step looks n counted steps further.
func (r *Reach) Step(n int) { r.s.Step(n) }

// everything uses all that the crews allow, each stand-in where it helps, and then does without whatever
// is not needed.
func (r *Reach) everything() {
	s := r.s
	var use []extra
	for _, e := range s.extras {
		if e.standIn.Crew == "" {
			use = append(use, e)
		}
	}
	best := r.try(use)
	for _, e := range s.extras {
		if e.standIn.Crew == "" {
			continue
		}
		if more := append(without(use, e.standIn.Activity), e); consistent(more) {
			if c := r.try(more); lastDay(c.mark.finish) < lastDay(best.mark.finish) {
				use, best = more, c
			}
		}
	}
	r.all = s.variant(use, 0)
}

// without leaves out the second visit of an activity.
func without(use []extra, activity string) (out []extra) {
	for _, e := range use {
		if e.twice != activity {
			out = append(out, e)
		}
	}
	return out
}

// try looks how soon a set of extras gets, and thins it out where that is soon enough.
func (r *Reach) try(use []extra) candidate {
	if len(use) == 0 {
		return r.s.pushed
	}
	v := r.s.variant(use, len(use))
	c := r.s.quickest(v)
	if lastDay(c.mark.finish) <= r.by {
		r.thin(c)
	}
	return c
}

// quickest is the layout that is finished first with every promise let go, offered as a way.
func (s *Search) quickest(v *variant) candidate {
	defer s.count(v)
	l, _ := v.lay(make([]bool, len(v.promises)))
	return s.offer(v, l)
}

// thin drops extras one by one, the dearest first, as long as the day is still reached, and keeps all
// promises that allow it.
func (r *Reach) thin(c candidate) {
	use := append([]extra(nil), c.use...)
	sort.SliceStable(use, func(i, j int) bool { return use[i].cost() > use[j].cost() })
	for i := 0; i < len(use); {
		fewer := append(append([]extra(nil), use[:i]...), use[i+1:]...)
		v := r.s.variant(fewer, len(fewer))
		if o := r.s.quickest(v); lastDay(o.mark.finish) <= r.by {
			use = fewer
		} else {
			i++
		}
	}
	v := r.s.variant(use, len(use))
	keep := make([]bool, len(v.promises))
	v.m.quick = true
	for _, group := range v.groups() {
		r.s.takeBack(v, keep, group, r.by)
	}
	v.m.quick = false
	if l, ok := v.lay(keep); ok {
		r.s.offer(v, l)
	}
	r.s.count(v)
}

// bounds lines up the proofs: that nothing gets there, or that nothing cheaper does.
func (r *Reach) bounds() {
	s := r.s
	if ways := r.reached(); len(ways) > 0 {
		if cost := ways[0].mark.cost; cost > 0 {
			s.bound(cost - 1)
		}
		return
	}
	s.bound(s.dearest())
}

// reached is the candidates that are finished by the day, the best first.
func (r *Reach) reached() (list []candidate) {
	for _, c := range r.s.found {
		if lastDay(c.mark.finish) <= r.by {
			list = append(list, c)
		}
	}
	sort.SliceStable(list, func(i, j int) bool {
		a, b := list[i].mark, list[j].mark
		if a.cost != b.cost {
			return a.cost < b.cost
		}
		if a.weight != b.weight {
			return a.weight < b.weight
		}
		return a.calmer(b)
	})
	return list
}

// Answer is what is known so far.
func (r *Reach) Answer() *Reached {
	s := r.s
	a := &Reached{By: r.by, Ways: []Way{}, Done: len(s.tasks) == 0, Steps: s.spent}
	first := s.soonestFound()
	a.Soonest = lastDay(first.mark.finish)
	list := r.reached()
	for i, c := range list[:min(len(list), mostReached)] {
		w := s.way(picked{c, []string{"reach" + string(rune('1'+i))}})
		a.Ways = append(a.Ways, w)
	}
	switch {
	case len(list) == 0:
		a.Lower = s.lower()
		a.Proved = a.Lower > r.by
		w := s.way(picked{first, []string{WaySoonest}})
		a.Best = &w
		a.Line, a.Chain = r.chain(&first)
	case list[0].mark.cost == 0:
		a.Proved = true
	default:
		b := s.boundOf(list[0].mark.cost - 1)
		a.Proved = b != nil && b.lower() > r.by
	}
	return a
}

// soonestFound is the candidate that is finished first.
func (s *Search) soonestFound() candidate {
	best := s.found[0]
	for _, c := range s.found[1:] {
		if c.mark.sooner(best.mark) {
			best = c
		}
	}
	return best
}

// lower is the first day on which anything may be finished, by the dearest bound proved; zero for unknown.
func (s *Search) lower() (day Day) {
	cost := int64(-1)
	for i := range s.bounds {
		if b := &s.bounds[i]; b.cost > cost {
			cost, day = b.cost, b.lower()
		}
	}
	return day
}

// lower is the first day on which anything may be finished that costs no more than the bound; zero, where
// nothing is known.
func (b *bound) lower() (day Day) {
	for i, p := range b.provers {
		if d := p.lower(); i == 0 || d < day {
			day = d
		}
	}
	return day
}

// chain tells what finishes last and why it is no sooner: where even without anybody to share with the day
// is missed, links, visits, goods and calendars forbid it; else it is how the crews and places follow each
// other in the soonest way.
func (r *Reach) chain(c *candidate) (string, []Reason) {
	var l *layout
	if r.all != nil {
		l = r.all.m.alone()
		l.busy = make([][]busy, len(r.all.m.res))
	}
	if l == nil || lastDay(l.finishOf()) <= r.by {
		l = c.pulled()
	}
	m := l.m
	last := int32(-1)
	for i := range m.nodes {
		if l.start[i] < Never && (last < 0 || l.finish[i] > l.finish[last]) {
			last = int32(i)
		}
	}
	if last < 0 {
		return "", nil
	}
	for i := range m.nodes {
		m.nodes[i].anchor = 0 // where a line was laid is no reason here: it may be laid anew
	}
	return m.nodes[last].id, m.chain(newGraph(m, l), last, m.now)
}

// pulled is a candidate with every line as early as its order allows.
func (c *candidate) pulled() *layout {
	keys := make([]item, len(c.start))
	for i := range keys {
		keys[i] = item{key: int64(c.start[i]), n: int32(i)}
	}
	return c.v.m.run(keys, make([]Minute, len(c.start)))
}
