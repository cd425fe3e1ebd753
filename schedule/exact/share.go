package exact

import "slices"

// resource is one Resource during the search. Its profile is what is surely in use: a node that has
// started by t whatever happens, and is not finished by t whatever happens, uses its demand at t.
type resource struct {
	cap     int32
	parts   []part
	facts   []block // what the facts take, cut down to the capacity
	woken   bool
	spans   []int32 // from when to when each part is surely at work; never, when it is not sure to be
	edges   []edge  // by time, as they were when the profile was drawn last
	strayed int     // spans that changed since
	blocks  []block
	top     int32 // the highest block
	grew    span  // where more is in use than when all parts were last held against the profile
}

// part is one use of a resource.
type part struct {
	Use
	h              *shape
	dur            int32 // of a shape that is plain
	plain          bool
	lo, hi         int32 // the bounds of the node when its span was worked out
	sure           span  // what it surely takes
	pushed, pulled int32 // the bounds at which it was last held against the profile
}

func newPart(u Use, h *shape) part {
	return part{Use: u, h: h, dur: h.dur, plain: h.plain() && !h.slot, lo: never, hi: never, pushed: never, pulled: never}
}

// finish is when the part ends that starts at t.
func (w *part) finish(t int32) int32 {
	if w.plain {
		return t + w.dur
	}
	return w.h.finish(t)
}

// block is a stretch of the profile.
type block struct{ from, to, level int32 }

// span is the stretch a node surely takes; empty when to <= from.
type span struct{ from, to int32 }

// nothing is a span that every other makes larger.
var nothing = span{never, -never}

// widen makes the span reach from and to as well.
func (w *span) widen(from, to int32) {
	w.from, w.to = min(w.from, from), max(w.to, to)
}

// edge is where a span of the profile begins or ends: that of a part, or a fact's.
type edge struct {
	t, d int32
	k    int32 // the place of its time in spans, or -1
}

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

// share propagates one resource: no point in time may need more than there is. A part is held against the
// profile again only where its own bound has moved, or where the profile has grown.
func (s *Solver) share(r int32) bool {
	q := &s.resources[r]
	s.profile(q)
	if q.top > q.cap {
		s.overload(q)
		return false
	}
	for i := range q.parts {
		w := &q.parts[i]
		if q.top+w.Demand <= q.cap {
			continue // it fits anywhere
		}
		if w.lo == -w.hi {
			w.pushed, w.pulled = never, never
			continue
		}
		if w.pushed != w.lo || w.lo < q.grew.to && q.grew.from < w.sure.to {
			w.pushed = never
			if !s.pushStart(q, w) {
				return false
			}
			w.pushed = s.bound[2*w.Node]
		}
		if w.pulled != w.hi || -w.hi < q.grew.to && q.grew.from < w.finish(-w.hi) {
			w.pulled = never
			if !s.pullFinish(q, w) {
				return false
			}
			w.pulled = s.bound[2*w.Node+1]
		}
	}
	q.grew = nothing
	return true
}

// overload says why more is in use than there is.
func (s *Solver) overload(q *resource) {
	for _, b := range q.blocks {
		if b.level > q.cap {
			s.dead = s.cover(q, s.dead[:0], (b.from+b.to)/2, nil, q.cap)
			return
		}
	}
}

// profile adds up the sure spans into blocks of equal level.
func (s *Solver) profile(q *resource) {
	bound := s.bound
	for i := range q.parts {
		w := &q.parts[i]
		lo, hi := bound[2*w.Node], bound[2*w.Node+1]
		if lo == w.lo && hi == w.hi {
			continue
		}
		was, now := w.sure, span{-hi, w.finish(lo)}
		w.lo, w.hi, w.sure = lo, hi, now
		switch {
		case now == was:
			continue
		case now.from >= now.to:
			if was.from >= was.to {
				continue
			}
			q.strayed++
			q.spans[2*i], q.spans[2*i+1] = never, never
			continue
		case was.from >= was.to:
			q.grew.widen(now.from, now.to)
		default:
			if now.from < was.from {
				q.grew.widen(now.from, min(now.to, was.from))
			}
			if now.to > was.to {
				q.grew.widen(max(now.from, was.to), now.to)
			}
		}
		q.strayed++
		q.spans[2*i], q.spans[2*i+1] = now.from, now.to
	}
	if q.strayed > 0 {
		q.draw()
	}
}

// prepare makes the edges of all parts and facts.
func (q *resource) prepare() {
	for i, w := range q.parts {
		k := int32(2 * i)
		q.spans = append(q.spans, never, never)
		q.edges = append(q.edges, edge{never, w.Demand, k}, edge{never, -w.Demand, k + 1})
	}
	for _, f := range q.facts {
		q.edges = append(q.edges, edge{f.from, f.level, -1}, edge{f.to, -f.level, -1})
	}
	q.strayed = len(q.edges)
}

// few is how many spans may move for the edges still to be nearly in order.
const few = 16

// draw makes the blocks anew. Most edges lie where they lay the last time.
func (q *resource) draw() {
	q.blocks, q.top = q.blocks[:0], 0
	es, spans := q.edges, q.spans
	if q.strayed > few {
		for i := range es {
			if k := es[i].k; k >= 0 {
				es[i].t = spans[k]
			}
		}
		sortEdges(es)
	} else {
		for i, e := range es {
			if e.k >= 0 {
				e.t = spans[e.k]
			}
			j := i - 1
			for j >= 0 && es[j].t > e.t {
				es[j+1] = es[j]
				j--
			}
			es[j+1] = e
		}
	}
	q.strayed = 0
	level := int32(0)
	for i := 0; i < len(es) && es[i].t < never; {
		t := es[i].t
		for ; i < len(es) && es[i].t == t; i++ {
			level += es[i].d
		}
		if level > 0 {
			q.blocks = append(q.blocks, block{t, es[i].t, level})
			q.top = max(q.top, level)
		}
	}
}

func sortEdges(es []edge) {
	slices.SortFunc(es, func(a, b edge) int { return int(a.t - b.t) })
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

// pushStart moves the earliest start of a part over blocks that leave no room for it.
func (s *Solver) pushStart(q *resource, w *part) bool {
	start, room := w.lo, q.cap-w.Demand
	end := w.sure.to
	for k := q.firstAfter(start); k < len(q.blocks); k++ {
		b := &q.blocks[k]
		if b.from >= end {
			break
		}
		if b.level <= room || w.sure.from <= b.from && b.from < w.sure.to {
			continue
		}
		for start < min(b.to, end) && b.from < end {
			t := min(b.to, end) - 1
			if !s.explain(q, w, t, lit{2 * w.Node, w.h.from(t + 1)}, lit{2 * w.Node, t + 1}) {
				return false
			}
			start = s.bound[2*w.Node]
			end = w.finish(start)
		}
	}
	return true
}

// pullFinish moves the latest start of a part down likewise.
func (s *Solver) pullFinish(q *resource, w *part) bool {
	late, room := -w.hi, q.cap-w.Demand
	end := w.finish(late)
	k := q.firstAfter(end - 1)
	for k = min(k, len(q.blocks)-1); k >= 0; k-- {
		b := &q.blocks[k]
		if b.to <= late {
			break
		}
		if b.from >= end || b.level <= room || w.sure.from <= b.from && b.from < w.sure.to {
			continue
		}
		for late < min(b.to, end) && b.from < end {
			t := max(b.from, late)
			if !s.explain(q, w, t, atMost(w.Node, t), atMost(w.Node, w.h.from(t+1)-1)) {
				return false
			}
			late = -s.bound[2*w.Node+1]
			end = w.finish(late)
		}
	}
	return true
}

// explain raises a bound because at time t the others leave no room, given that own holds.
func (s *Solver) explain(q *resource, w *part, t int32, own, then lit) bool {
	if s.bound[then.x] >= then.t {
		return true
	}
	n := int32(len(s.store))
	s.store = append(s.store, own)
	s.store = s.cover(q, s.store, t, w, q.cap-w.Demand)
	return s.set(then.x, then.t, byStored, n, int32(len(s.store))-n)
}

// cover appends why more than limit is in use at t by parts other than one. Parts that are not
// needed for that are left out, those that moved last first: what moved early goes with more.
func (s *Solver) cover(q *resource, out []lit, t int32, but *part, limit int32) []lit {
	sum := int32(0)
	for _, f := range q.facts {
		if f.from <= t && t < f.to {
			sum += f.level
		}
	}
	s.covers = s.covers[:0]
	for i := range q.parts {
		if w := &q.parts[i]; w.sure.from <= t && t < w.sure.to && w != but {
			sum += w.Demand
			s.covers = append(s.covers, w.Use)
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
