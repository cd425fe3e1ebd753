package schedule

import "sort"

// The names of the ways, also in Way.Also.
const (
	WayPush    = "push"
	WaySoonest = "soonest"
	WayFewest  = "fewest"
)

// Ways is the best answer so far.
func (s *Search) Ways() *Ways {
	w := &Ways{Done: len(s.tasks) == 0, Steps: s.spent}
	w.Whole = w.Done && s.whole && s.allProved()
	picked := s.pick()
	for _, p := range picked {
		w.Ways = append(w.Ways, s.way(p))
	}
	sort.SliceStable(w.Ways, func(i, j int) bool {
		a, b := &w.Ways[i], &w.Ways[j]
		if a.Finish.Day() != b.Finish.Day() {
			return a.Finish < b.Finish
		}
		return a.Weight < b.Weight
	})
	return w
}

func (s *Search) allProved() bool {
	for _, p := range s.runs {
		if !p.whole {
			return false
		}
	}
	return true
}

// picked is a candidate and the parts it plays.
type picked struct {
	candidate
	parts []string
}

// pick chooses up to five: soonest, fewest, push, and the in-betweens that lie furthest from them.
func (s *Search) pick() (list []picked) {
	add := func(c candidate, part string) {
		for i := range list {
			if list[i].sameAs(&c) {
				list[i].parts = append(list[i].parts, part)
				return
			}
		}
		list = append(list, picked{c, []string{part}})
	}
	front := append([]candidate(nil), s.found...)
	sort.SliceStable(front, func(i, j int) bool { return front[i].mark.sooner(front[j].mark) })
	add(front[0], WaySoonest)
	add(*fewestOf(front), WayFewest)
	if p := s.pushed; p.twin(front) != nil {
		add(*p.twin(front), WayPush)
	} else {
		add(p, WayPush)
	}
	even := 1
	for _, c := range between(front) {
		if len(list) < 5 && !inList(list, &c) {
			add(c, "even"+string(rune('0'+even)))
			even++
		}
	}
	return list
}

// twin is the candidate that is the pushed plan itself.
func (c *candidate) twin(front []candidate) *candidate {
	for i := range front {
		if front[i].sameAs(c) {
			return &front[i]
		}
	}
	return nil
}

func inList(list []picked, c *candidate) bool {
	for i := range list {
		if list[i].sameAs(c) {
			return true
		}
	}
	return false
}

// sameAs tells whether two candidates put every line in the same place with the same extras.
func (c *candidate) sameAs(o *candidate) bool {
	if len(c.start) != len(o.start) || len(c.use) != len(o.use) || c.mark != o.mark {
		return false
	}
	for i := range c.start {
		if c.start[i] != o.start[i] {
			return false
		}
	}
	for i := range c.use {
		if c.use[i] != o.use[i] {
			return false
		}
	}
	return true
}

// sooner orders by finish day, then calls, then cost.
func (k mark) sooner(o mark) bool {
	a, b := lastDay(k.finish), lastDay(o.finish)
	switch {
	case a != b:
		return a < b
	case k.weight != o.weight:
		return k.weight < o.weight
	case k.cost != o.cost:
		return k.cost < o.cost
	}
	return k.calmer(o)
}

func fewestOf(front []candidate) *candidate {
	best := &front[0]
	for i := range front {
		k, b := front[i].mark, best.mark
		if k.weight < b.weight || k.weight == b.weight && k.sooner(b) {
			best = &front[i]
		}
	}
	return best
}

// between orders the rest: first the soonest without cost, then from the middle of the front outwards.
func between(front []candidate) (rest []candidate) {
	for i := range front {
		if front[i].mark.cost == 0 {
			rest = append(rest, front[i])
			break
		}
	}
	mid := len(front) / 2
	for d := range len(front) {
		if i := mid + d; i < len(front) {
			rest = append(rest, front[i])
		}
		if i := mid - 1 - d; i >= 0 {
			rest = append(rest, front[i])
		}
	}
	return rest
}

// way writes a candidate down.
func (s *Search) way(p picked) Way {
	c := &p.candidate
	w := Way{Key: p.parts[0], Also: p.parts[1:], Finish: c.mark.finish, Calls: c.mark.calls, Weight: c.mark.weight,
		Cost: c.mark.cost, Drift: c.mark.drift, Proved: s.proof(c.mark), Moves: s.moves(c)}
	if len(w.Also) == 0 {
		w.Also = nil
	}
	m := c.v.m
	for i := range m.nodes {
		n := &m.nodes[i]
		if c.start[i] >= Never || n.frozen || n.kind == OrderNode && n.fixed || n.visit != 0 && c.start[i] == n.visit {
			continue
		}
		w.Laid = append(w.Laid, Laid{n.id, c.start[i]})
	}
	for _, e := range c.use {
		switch {
		case e.opening.Crew != "":
			w.Openings = append(w.Openings, e.opening)
		case e.twice != "":
			w.Twice = append(w.Twice, e.twice)
		default:
			w.StandIns = append(w.StandIns, e.standIn)
		}
	}
	return w
}

// moves lists what lies elsewhere than it was told or planned, in order of the new start.
func (s *Search) moves(c *candidate) []Move {
	moves := []Move{}
	for i := range c.v.m.nodes {
		if mv, moved := s.move(c, int32(i)); moved {
			moves = append(moves, mv)
		}
	}
	sort.SliceStable(moves, func(i, j int) bool { return moves[i].Start < moves[j].Start })
	return moves
}

func (s *Search) move(c *candidate, i int32) (mv Move, moved bool) {
	n := &c.v.m.nodes[i]
	mv = Move{ID: n.id, Start: c.start[i], Finish: c.finish[i]}
	if l := s.before.Line(n.id); l != nil {
		mv.FromStart, mv.FromFinish = l.Start, l.Finish
	}
	if n.frozen && n.kind == ActivityNode && mv.FromFinish != 0 && lastDay(mv.Finish) != lastDay(mv.FromFinish) {
		s.doneBy(&mv, s.changed.Activity(n.id).Crew) // under way, and ends on another day: the same in every way, so no call
		return mv, true
	}
	if n.frozen || n.kind == OrderNode && n.fixed || mv.Start >= Never {
		return mv, false
	}
	switch n.kind {
	case HoldNode:
		mv.Kind = MoveVisit
		if n.visit != 0 && mv.Start != n.visit {
			mv.Call, mv.Weight, mv.FromStart, mv.FromFinish = true, CallWeight(Firm, n.visit, s.now), n.visit, n.visitEnd
		}
		if n.off != 0 {
			mv.Call, mv.Weight, mv.FromStart, mv.FromFinish = true, CallWeight(Firm, n.off, s.now), n.off, n.off+halfDay
		}
	case OrderNode:
		mv.Kind = MoveDelivery
	default:
		s.crewMove(c, n, &mv)
	}
	return mv, mv.Call || mv.FromStart != mv.Start || mv.FromFinish != mv.Finish
}

func (s *Search) doneBy(mv *Move, crew string) {
	mv.Who, mv.Kind = crew, MoveCrew
	if c := s.changed.Crew(crew); c == nil || c.Own {
		mv.Kind = MoveOwn
	}
}

func (s *Search) crewMove(c *candidate, n *node, mv *Move) {
	a, now := s.changed.Activity(n.id), c.v.m.site.Activity(n.id)
	s.doneBy(mv, now.Crew)
	if a.Crew != now.Crew {
		mv.Was = a.Crew
		mv.Call, mv.Weight = mv.Kind == MoveCrew, CallWeight(Asked, mv.FromStart, s.now)
	}
	if a.Twice != now.Twice && mv.Kind == MoveCrew { // it must be asked to come twice
		mv.Call, mv.Weight = true, CallWeight(Asked, mv.FromStart, s.now)
	}
	if a.Booking == Pencilled {
		if mv.Was == "" && !mv.Call {
			mv.Kind = MoveOwn
		}
		return
	}
	t := toldOf(a, s.before)
	mv.FromStart = t.start
	if t.finish != 0 {
		mv.FromFinish = t.finish
	}
	if mv.Was == "" && mv.Kind == MoveCrew && t.start != 0 && !t.kept(mv.Start, mv.Finish) {
		mv.Call, mv.Weight = true, max(mv.Weight, CallWeight(a.Booking, t.start, s.now))
	}
}
