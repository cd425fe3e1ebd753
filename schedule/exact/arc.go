package exact

// bend is an arc in its general form: two shapes and a wait between their points.
type bend struct {
	from, to       *shape
	fromEnd, toEnd bool
	lag            wait
	after          []int32 // the whole arc, by places of from, when not nil
}

// push is the earliest start of the arc's To when its From starts at a or later.
func (f *bend) push(a int32) int32 {
	if a >= never {
		return never
	}
	if f.after != nil {
		if k := f.from.place(a); k < len(f.after) {
			return f.to.up(f.after[k])
		}
		return never
	}
	if f.fromEnd {
		a = f.from.finish(a)
	}
	if a >= never {
		return never
	}
	y := f.lag.earliest(a)
	switch {
	case y >= never:
		return never
	case f.toEnd:
		return f.to.from(y)
	}
	return f.to.up(y)
}

// pull is the latest start of the arc's From when its To starts at b or earlier.
func (f *bend) pull(b int32) int32 {
	if b <= -never {
		return -never
	}
	if f.after != nil {
		return f.from.startOf(f.allowed(b) - 1)
	}
	if f.toEnd {
		b = f.to.finish(b)
	}
	x := f.lag.latest(b)
	switch {
	case x <= -never:
		return -never
	case f.fromEnd:
		return f.from.to(x)
	}
	return f.from.down(x)
}

// allowed is how many places of from let to start at b.
func (f *bend) allowed(b int32) int {
	lo, hi := 0, len(f.after)
	for lo < hi {
		if m := int(uint(lo+hi) >> 1); f.after[m] <= b {
			lo = m + 1
		} else {
			hi = m
		}
	}
	return lo
}

// plain says whether the arc is a fixed distance between two starts, and which.
func (f *bend) plain() (int32, bool) {
	if f.after != nil || !f.from.plain() || !f.to.plain() || !f.lag.g.always || f.from.slot || f.to.slot {
		return 0, false
	}
	w := f.lag.n
	if f.fromEnd {
		w += f.from.dur
	}
	if f.toEnd {
		w -= f.to.dur
	}
	return w, true
}

// rule is one direction of an arc: once the bound src is at a, the bound dst is at least image(a).
// Rules come in twins: the one at index r^1 is the same arc read backwards.
type rule struct {
	src, dst int32
	when     lit // holds only while this is true; when.x < 0 means always
	dist     int32
	bend     *bend // nil: image(a) = a + dist
	back     bool  // reads the bend backwards, on negated bounds
}

func (r *rule) image(a int32) int32 {
	switch {
	case r.bend == nil:
		return a + r.dist
	case r.back:
		return -r.bend.pull(-a)
	}
	return r.bend.push(a)
}

// cause is the weakest bound on the rule's src that gives dst >= t.
func (s *Solver) cause(r int32, t int32) lit {
	q := &s.rules[r]
	if q.bend == nil {
		return lit{q.src, t - q.dist}
	}
	return lit{q.src, 1 - s.rules[r^1].image(1-t)}
}

// addRule adds both directions of an arc from the start of node i to the start of node j.
func (s *Solver) addRule(i, j int32, f *bend, when lit) {
	r := int32(len(s.rules))
	dist, plain := f.plain()
	if plain {
		f = nil
	}
	s.rules = append(s.rules,
		rule{src: 2 * i, dst: 2 * j, when: when, dist: dist, bend: f},
		rule{src: 2*j + 1, dst: 2*i + 1, when: when, dist: dist, bend: f, back: true})
	for k := r; k < r+2; k++ {
		q := &s.rules[k]
		e := effect{q.dst, q.dist, k}
		if q.bend != nil {
			e.dist = bent
		}
		if when.x < 0 {
			s.always[q.src] = append(s.always[q.src], e)
		} else {
			s.maybe[q.src] = append(s.maybe[q.src], option{e, when.not()})
			s.opens[when.x] = append(s.opens[when.x], k)
		}
	}
}

// effect is what a rule does to its dst, written where its src finds it at once.
type effect struct{ dst, dist, rule int32 }

// bent stands for the distance of a rule that has none.
const bent int32 = -1 << 31

// option is the effect of a rule that depends on an ordering literal, and what rules it out.
type option struct {
	effect
	unless lit
}

// image is where the bound dst must be at least when src is at a.
func (e *effect) image(s *Solver, a int32) int32 {
	if e.dist == bent {
		return s.rules[e.rule].image(a)
	}
	return a + e.dist
}

// follow applies the rules that read bound x, and those that x, an ordering literal, switches on.
func (s *Solver) follow(x int32) bool {
	a, bound := s.bound[x], s.bound
	always := s.always[x]
	for i := range always {
		e := &always[i]
		if t := e.image(s, a); t > bound[e.dst] && !s.set(e.dst, t, byRule, e.rule, 0) {
			return false
		}
	}
	maybe := s.maybe[x]
	for i := range maybe {
		e := &maybe[i]
		if bound[e.unless.x] >= e.unless.t {
			continue
		}
		if t := e.image(s, a); t > bound[e.dst] && !s.try(e.rule, t) {
			return false
		}
	}
	for _, r := range s.opens[x] {
		if q := &s.rules[r]; bound[q.when.x^1] < 1-q.when.t {
			if t := q.image(bound[q.src]); t > bound[q.dst] && !s.try(r, t) {
				return false
			}
		}
	}
	return true
}

// try applies a rule that depends on an ordering literal not decided against it and makes its dst at least t,
// or decides the literal so.
func (s *Solver) try(r, t int32) bool {
	q := &s.rules[r]
	if s.bound[q.when.x] >= q.when.t {
		return s.set(q.dst, t, byRule, r, 0)
	}
	if t > -s.bound[q.dst^1] {
		n := q.when.not()
		a := s.cause(r, 1-s.bound[q.dst^1]).t // the weakest that will do: the clause holds more often
		return s.set(n.x, n.t, byOrder, r, a)
	}
	return true
}
