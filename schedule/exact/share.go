package exact

import "math/bits"

// resource is one Resource during the search. Its profile is what is surely in use: a node that has
// started by t whatever happens, and is not finished by t whatever happens, uses its demand at t.
type resource struct {
	cap     int32
	parts   []part
	facts   []block // what the facts take, cut down to the capacity
	woken   bool
	strayed bool // what is sure has changed since the profile was drawn
	blocks  []block
	top     int32 // the highest block
	most    int32 // the highest demand

	// Buckets are 64 stretches of equal length from begin on, each a bit.
	begin int32
	shift uint8
	grew  uint64 // where more is in use than when all parts were last held against the profile
	high  uint64 // where some part has no room
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
	// Buckets that it takes when it starts first, or last, and does not take surely: where the part itself is
	// sure to be, there is room for it.
	early, late uint64
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

// buckets are those that a span meets.
func (q *resource) buckets(from, to int32) uint64 {
	if from >= to {
		return 0
	}
	a := max(0, min(63, (from-q.begin)>>(q.shift&31)))
	b := max(0, min(63, (to-1-q.begin)>>(q.shift&31)))
	return ^uint64(0) << (a & 63) & (^uint64(0) >> ((63 - b) & 63))
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
// profile again only where its own bound has moved, or where the profile has grown, and there only where it is
// high.
func (s *Solver) share(r int32) bool {
	q := &s.resources[r]
	s.profile(q)
	if q.top > q.cap {
		s.overload(q)
		return false
	}
	grew, high, parts := q.grew&q.high, q.high, q.parts
	for i := range parts {
		w := &parts[i]
		if q.top+w.Demand <= q.cap || w.lo == -w.hi {
			continue // it fits anywhere, or lies where it lies
		}
		where := grew
		if w.pushed != w.lo {
			w.pushed, where = w.lo, high
		}
		if w.early&where != 0 {
			w.pushed = never
			if !s.pushStart(q, w) {
				return false
			}
			w.pushed = s.bound[2*w.Node]
		}
		where = grew
		if w.pulled != w.hi {
			w.pulled, where = w.hi, high
		}
		if w.late&where != 0 {
			w.pulled = never
			if !s.pullFinish(q, w) {
				return false
			}
			w.pulled = s.bound[2*w.Node+1]
		}
	}
	q.grew = 0
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
	bound, parts := s.bound, q.parts
	for i := range parts {
		w := &parts[i]
		lo, hi := bound[2*w.Node], bound[2*w.Node+1]
		if lo == w.lo && hi == w.hi {
			continue
		}
		was, now := w.sure, span{-hi, w.finish(lo)}
		w.lo, w.hi, w.sure = lo, hi, now
		if lo == -hi {
			w.pushed, w.pulled = never, never
		}
		w.early = q.buckets(lo, min(now.from, now.to))
		w.late = q.buckets(max(now.from, now.to), w.finish(-hi))
		switch {
		case now == was:
			continue
		case now.from >= now.to:
			q.strayed = q.strayed || was.from < was.to
			continue
		case was.from >= was.to:
			q.grew |= q.buckets(now.from, now.to)
		default:
			q.grew |= q.buckets(now.from, min(now.to, was.from)) | q.buckets(max(now.from, was.to), now.to)
		}
		q.strayed = true
	}
	if q.strayed {
		s.draw(q)
	}
}

// prepare makes the buckets for where the parts can lie.
func (q *resource) prepare(bound []int32) {
	from, to := never, -never
	for _, w := range q.parts {
		q.most = max(q.most, w.Demand)
		from, to = min(from, bound[2*w.Node]), max(to, w.finish(-bound[2*w.Node+1]))
	}
	q.blocks = make([]block, 0, 2*(len(q.parts)+len(q.facts)))
	q.strayed = true
	q.begin = from
	for (to-from)>>q.shift >= 64 {
		q.shift++
	}
}

// ruler has a place for every time. Between two drawings it is empty.
type ruler struct {
	rise  []int32  // by how much the level rises
	marks []uint64 // times with an edge, a bit each
	words []uint64 // words of marks with a bit, a bit each
}

func newRuler(horizon int32) ruler {
	return ruler{make([]int32, horizon+1), make([]uint64, horizon/64+1), make([]uint64, horizon/4096+1)}
}

func (r *ruler) mark(t, by int32) {
	r.rise[t] += by
	r.marks[t>>6] |= 1 << (t & 63)
	r.words[t>>12] |= 1 << (t >> 6 & 63)
}

// draw makes the blocks anew.
func (s *Solver) draw(q *resource) {
	r, parts := &s.ruler, q.parts
	for i := range parts {
		if w := &parts[i]; w.sure.from < w.sure.to {
			r.mark(w.sure.from, w.Demand)
			r.mark(w.sure.to, -w.Demand)
		}
	}
	for _, f := range q.facts {
		r.mark(f.from, f.level)
		r.mark(f.to, -f.level)
	}
	blocks, rise, marks := q.blocks[:0], r.rise, r.marks
	high, top, level, from, room := uint64(0), int32(0), int32(0), int32(0), q.cap-q.most
	for i, word := range r.words {
		for ; word != 0; word &= word - 1 {
			j := i<<6 | bits.TrailingZeros64(word)
			mark := marks[j]
			for marks[j] = 0; mark != 0; mark &= mark - 1 {
				t := j<<6 | bits.TrailingZeros64(mark)
				if level > 0 {
					blocks = append(blocks, block{from, int32(t), level})
					if top = max(top, level); level > room {
						high |= q.buckets(from, int32(t))
					}
				}
				from = int32(t)
				level += rise[t]
				rise[t] = 0
			}
		}
		r.words[i] = 0
	}
	q.blocks, q.high, q.top, q.strayed = blocks, high, top, false
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
	parts := q.parts
	for i := range parts {
		if w := &parts[i]; w.sure.from <= t && t < w.sure.to && w != but {
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
