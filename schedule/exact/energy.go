package exact

import "slices"

// energyBound raises the least finish at the root: what must happen between two moments, as demand times
// time, needs a stretch at least that long divided by the capacity. Demands are looked at through
// several glasses: with the threshold k, a demand that leaves less than k beside it counts as all of the
// capacity, and one below k as nothing.
// Source of the glasses: Fekete, Schepers, "New classes of fast lower bounds for bin packing problems",
// Mathematical Programming 91 (2001); of the stretches: Carlier, Latapie, RAIRO 25 (1991).
func (s *Solver) energyBound() {
	if s.impossible || !s.free() {
		return
	}
	for _, r := range s.p.Resources {
		var ts []stretch
		for _, u := range mergeUses(r.Uses) {
			h := s.shapes[u.Node]
			if h.dur > 0 && u.Demand > 0 {
				v := u.Node
				ts = append(ts, stretch{s.bound[2*v], s.bound[2*v+1] - h.dur - s.bound[2*s.sink+1], h.dur, u.Demand})
			}
		}
		slices.SortFunc(ts, func(a, b stretch) int { return int(b.tail - a.tail) })
		if r.Cap > 0 {
			s.stretches(r.Cap, ts)
		}
	}
}

// free says whether nothing but the finish bounds the starts from above, so that what lies behind a node
// is as long whenever all is finished.
func (s *Solver) free() bool {
	for i, n := range s.p.Nodes {
		if h := s.shapes[i]; !h.plain() || h.slot || n.Max > 0 {
			return false
		}
	}
	return true
}

// stretch is a node between its earliest start and what must follow it.
type stretch struct{ head, tail, dur, demand int32 }

func (s *Solver) stretches(limit int32, ts []stretch) {
	thresholds := []int32{1}
	for _, t := range ts {
		for _, k := range []int32{t.demand, limit - t.demand + 1} {
			if k > 1 && 2*k <= limit+1 && !slices.Contains(thresholds, k) {
				thresholds = append(thresholds, k)
			}
		}
	}
	for _, k := range thresholds {
		for i := range ts {
			if i == 0 || ts[i].head != ts[i-1].head {
				s.stretchFrom(limit, k, ts[i].head, ts)
			}
		}
	}
}

// stretchFrom looks at the stretches that begin at head; ts is by falling tail.
func (s *Solver) stretchFrom(limit, k, head int32, ts []stretch) {
	sum, c := int64(0), int64(limit)
	for _, t := range ts {
		if t.head < head {
			continue
		}
		switch {
		case t.demand > limit-k:
			sum += int64(t.dur) * c
		case t.demand >= k:
			sum += int64(t.dur) * int64(t.demand)
		}
		s.raise(2*s.sink, head+t.tail+int32((sum+c-1)/c))
	}
}
