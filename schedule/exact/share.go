package exact

import "slices"

// resource is one Resource during the search. Its profile is what is surely in use: a node that has
// started by t whatever happens, and is not finished by t whatever happens, uses its demand at t.
type resource struct {
	cap   int32
	uses  []Use
	facts []block // what the facts take, cut down to the capacity
	woken bool
	// For each propagation:
	edges  []edge
	blocks []block
	top    int32  // the highest block
	drawn  bool   // there was a profile before
	sure   []span // for each use
	fits   []span // for each use: its room when it was last held against the profile
}

// block is a stretch of the profile.
type block struct{ from, to, level int32 }

// span is the stretch a node surely takes; empty when to <= from.
type span struct{ from, to int32 }

type edge struct{ t, d int32 }

func (s *Solver) wake(r int32) {
	if !s.resources[r].woken {
		s.resources[r].woken = true
		s.queue = append(s.queue, r)
	}
}

func (s *Solver) nextWoken() (int32, bool) {
	if len(s.queue) == 0 {
		return 0, false
	}
	r := s.queue[0]
	s.queue = s.queue[:copy(s.queue, s.queue[1:])]
	s.resources[r].woken = false
	return r, true
}

func (s *Solver) clearQueue() {
	for _, r := range s.queue {
		s.resources[r].woken = false
	}
	s.queue = s.queue[:0]
}

// share propagates one resource: no point in time may need more than there is.
func (s *Solver) share(r int32) bool {
	q := &s.resources[r]
	same := s.profile(q)
	for _, b := range q.blocks {
		if b.level > q.cap {
			s.dead = s.cover(q, s.dead[:0], (b.from+b.to)/2, -1, q.cap)
			return false
		}
	}
	if len(q.blocks) == 0 {
		return true
	}
	for i, u := range q.uses {
		if q.top+u.Demand <= q.cap || s.bound[2*u.Node] == -s.bound[2*u.Node+1] {
			continue
		}
		if same && q.fits[i] == s.room(u) {
			continue
		}
		q.fits[i] = span{never, never}
		if !s.pushStart(q, i, u) || !s.pullFinish(q, i, u) {
			return false
		}
		q.fits[i] = s.room(u)
	}
	return true
}

// room is from where to where a use may start, as its two bounds.
func (s *Solver) room(u Use) span { return span{s.bound[2*u.Node], s.bound[2*u.Node+1]} }

// profile adds up the sure spans into blocks of equal level; same says that none has changed since the
// last time.
func (s *Solver) profile(q *resource) (same bool) {
	same = q.drawn
	for i, u := range q.uses {
		from := -s.bound[2*u.Node+1]
		to := s.shapes[u.Node].finish(s.bound[2*u.Node])
		if was := q.sure[i]; was.from != from || was.to != to {
			q.sure[i] = span{from, to}
			same = same && from >= to && was.from >= was.to
		}
	}
	if same {
		return true
	}
	q.drawn = true
	q.edges = q.edges[:0]
	for i, u := range q.uses {
		q.fits[i] = span{never, never}
		if w := q.sure[i]; w.from < w.to {
			q.edges = append(q.edges, edge{w.from, u.Demand}, edge{w.to, -u.Demand})
		}
	}
	q.blocks, q.top = q.blocks[:0], 0
	if len(q.edges) == 0 && len(q.facts) == 0 {
		return false
	}
	for _, f := range q.facts {
		q.edges = append(q.edges, edge{f.from, f.level}, edge{f.to, -f.level})
	}
	sortEdges(q.edges)
	level := int32(0)
	for i := 0; i < len(q.edges); {
		t := q.edges[i].t
		for ; i < len(q.edges) && q.edges[i].t == t; i++ {
			level += q.edges[i].d
		}
		if level > 0 {
			q.blocks = append(q.blocks, block{t, q.edges[i].t, level})
			q.top = max(q.top, level)
		}
	}
	return false
}

func sortEdges(es []edge) {
	if len(es) > 48 {
		slices.SortFunc(es, func(a, b edge) int { return int(a.t - b.t) })
		return
	}
	for i := 1; i < len(es); i++ {
		e := es[i]
		j := i - 1
		for j >= 0 && es[j].t > e.t {
			es[j+1] = es[j]
			j--
		}
		es[j+1] = e
	}
}

// firstAfter is the first block that ends after t.
func (q *resource) firstAfter(t int32) int {
	lo, hi := 0, len(q.blocks)
	for lo < hi {
		m := (lo + hi) / 2
		if q.blocks[m].to <= t {
			lo = m + 1
		} else {
			hi = m
		}
	}
	return lo
}

// pushStart moves the earliest start of a use over blocks that leave no room for it.
func (s *Solver) pushStart(q *resource, i int, u Use) bool {
	h := s.shapes[u.Node]
	start := s.bound[2*u.Node]
	end := h.finish(start)
	for k := q.firstAfter(start); k < len(q.blocks); k++ {
		b := q.blocks[k]
		if b.from >= end {
			break
		}
		if b.level+u.Demand <= q.cap || q.sure[i].from < b.to && b.from < q.sure[i].to {
			continue
		}
		for start < min(b.to, end) && b.from < end {
			t := min(b.to, end) - 1
			if !s.explain(q, u, t, i, lit{2 * u.Node, h.from(t + 1)}, lit{2 * u.Node, t + 1}) {
				return false
			}
			start = s.bound[2*u.Node]
			end = h.finish(start)
		}
	}
	return true
}

// pullFinish moves the latest start of a use down likewise.
func (s *Solver) pullFinish(q *resource, i int, u Use) bool {
	h := s.shapes[u.Node]
	late := -s.bound[2*u.Node+1]
	end := h.finish(late)
	k := q.firstAfter(end - 1)
	for k = min(k, len(q.blocks)-1); k >= 0; k-- {
		b := q.blocks[k]
		if b.to <= late {
			break
		}
		if b.from >= end || b.level+u.Demand <= q.cap || q.sure[i].from < b.to && b.from < q.sure[i].to {
			continue
		}
		for late < min(b.to, end) && b.from < end {
			t := max(b.from, late)
			if !s.explain(q, u, t, i, atMost(u.Node, t), atMost(u.Node, h.from(t+1)-1)) {
				return false
			}
			late = -s.bound[2*u.Node+1]
			end = h.finish(late)
		}
	}
	return true
}

// explain raises a bound because at time t the others leave no room, given that own holds.
func (s *Solver) explain(q *resource, u Use, t int32, i int, own, then lit) bool {
	if s.bound[then.x] >= then.t {
		return true
	}
	n := int32(len(s.store))
	s.store = append(s.store, own)
	s.store = s.cover(q, s.store, t, i, q.cap-u.Demand)
	return s.set(then.x, then.t, byStored, n, int32(len(s.store))-n)
}

// cover appends why more than limit is in use at t by uses other than number skip. Uses that are not
// needed for that are left out, those that moved last first: what moved early goes with more.
func (s *Solver) cover(q *resource, out []lit, t int32, skip int, limit int32) []lit {
	sum := int32(0)
	for _, f := range q.facts {
		if f.from <= t && t < f.to {
			sum += f.level
		}
	}
	s.covers = s.covers[:0]
	for i, u := range q.uses {
		if i != skip && q.sure[i].from <= t && t < q.sure[i].to {
			sum += u.Demand
			s.covers = append(s.covers, u)
		}
	}
	s.byLastMove(s.covers)
	spare := sum - limit - 1
	for _, u := range s.covers {
		if u.Demand <= spare {
			spare -= u.Demand
			continue
		}
		out = append(out, atMost(u.Node, t), lit{2 * u.Node, s.shapes[u.Node].from(t + 1)})
	}
	return out
}

func (s *Solver) byLastMove(us []Use) {
	for i := 1; i < len(us); i++ {
		u, j := us[i], i-1
		for j >= 0 && s.moved(us[j].Node) < s.moved(u.Node) {
			us[j+1] = us[j]
			j--
		}
		us[j+1] = u
	}
}

// moved is the last step that moved a bound of node v.
func (s *Solver) moved(v int32) int32 { return max(s.last[2*v], s.last[2*v+1]) }
