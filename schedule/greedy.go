package schedule

import "sort"

// Quick answers, found by placing lines in good orders. They come first and are often the best there
// is; whether they are, the solver says.

// count adds to the steps spent what a variant's model placed.
func (s *Search) count(v *variant) {
	s.spent += v.m.placed
	v.m.placed = 0
}

// fewest keeps every promise that can be kept, and breaks the rest.
func (s *Search) fewest(v *variant) {
	defer s.count(v)
	keep := make([]bool, len(v.promises))
	for i := range keep {
		keep[i] = true
	}
	for range len(keep) + 1 {
		l, ok := v.lay(keep)
		if ok {
			s.offer(v, l)
			return
		}
		for i, p := range v.promises {
			if at := l.start[p.node]; keep[i] && (at < p.from || at > p.to) {
				keep[i] = false
			}
		}
	}
}

// soonest lets go of every promise, then takes back each that the finish day allows.
func (s *Search) soonest(v *variant) {
	defer s.count(v)
	keep := make([]bool, len(v.promises))
	l, _ := v.lay(keep)
	day := lastDay(l.finishOf())
	s.offer(v, l)
	v.m.quick = true
	for _, group := range v.groups() {
		s.takeBack(v, keep, group, day)
	}
	v.m.quick = false
	if l, ok := v.lay(keep); ok && lastDay(l.finishOf()) <= day {
		s.offer(v, l)
	}
}

// groups is the promises by person, the weightiest person first.
func (v *variant) groups() (groups [][]int) {
	at := map[int32]int{} // person -> group; only looked up
	for i, p := range v.promises {
		k, ok := at[p.person]
		if !ok {
			k = len(groups)
			at[p.person] = k
			groups = append(groups, nil)
		}
		groups[k] = append(groups[k], i)
	}
	weight := func(g []int) (w int32) {
		for _, i := range g {
			w = max(w, v.promises[i].weight)
		}
		return w
	}
	sort.SliceStable(groups, func(i, j int) bool { return weight(groups[i]) > weight(groups[j]) })
	return groups
}

// takeBack tries to keep all promises to one person, or else each of them.
func (s *Search) takeBack(v *variant, keep []bool, group []int, day Day) {
	for _, i := range group {
		keep[i] = true
	}
	if v.allows(keep, day) {
		return
	}
	for _, i := range group {
		keep[i] = false
	}
	for _, i := range group {
		if keep[i] = len(group) > 1; keep[i] && !v.allows(keep, day) {
			keep[i] = false
		}
	}
}

func (v *variant) allows(keep []bool, day Day) bool {
	l, ok := v.lay(keep)
	ok = ok && lastDay(l.finishOf()) <= day
	v.m.drop(l)
	return ok
}
