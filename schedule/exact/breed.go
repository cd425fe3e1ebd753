package exact

// Breeder improves schedules of plain problems that are too large to prove, by crossing them: two herds
// face each other, one packed to the left (as early as possible), one to the right, and the children of
// each join the other. So every child is shifted the other way as it is made.
// Source: Debels, Vanhoucke, "A bi-population based genetic algorithm for the resource-constrained
// project scheduling problem", ICCSA 2005, LNCS 3483; the crossing that hands on the busiest stretch:
// Valls, Ballestín, Quintanilla, "A hybrid genetic algorithm for the RCPSP", EJOR 185 (2008).
type Breeder struct {
	l      *lister
	p      *Problem
	herds  [2][]beast
	turn   int // the herd whose members breed next
	next   int // the next one
	load   []int32
	mother []int32
	child  []int32
	best   []int32
	finish int32
	lower  int32
	budget int64 // nodes that may be laid before climbing begins
	climber
}

// beast is one schedule, in the time of its herd.
type beast struct {
	starts []int32
	end    int32
}

// herdSize is how many schedules a herd holds when so many are to be made in all.
func herdSize(schedules int64) int {
	switch {
	case schedules <= 2000:
		return int(max(1, min(schedules, 30)))
	case schedules <= 10000:
		return 80
	}
	return 200
}

// NewBreeder returns nil when the problem has calendars, facts, calls or maximum lags. It is made for a
// number of schedules in all: the last of them go into climbing from the best that was bred. It may run on.
func NewBreeder(p *Problem, schedules int64) *Breeder {
	if p.check() != nil {
		return nil
	}
	l := newLister(p)
	if l == nil {
		return nil
	}
	b := &Breeder{l: l, p: p, finish: never, mother: make([]int32, l.n), child: make([]int32, l.n)}
	b.budget = schedules * int64(l.n) * bredShare(schedules) / 100
	b.climber = newClimber(l.n)
	for i := range l.n {
		b.lower = max(b.lower, l.tail[i])
	}
	order := make([]int32, l.n)
	for k := range herdSize(schedules) {
		x := beast{starts: make([]int32, l.n)}
		l.draw(order, min(int32(k*20), 500))
		x.end = l.serial(order, x.starts, 0)
		y := beast{starts: make([]int32, l.n), end: never}
		b.herds[0] = append(b.herds[0], x)
		b.herds[1] = append(b.herds[1], y)
		b.note(&x, 0)
	}
	return b
}

// Made is how many schedules were generated so far. A node that is laid counts one part in as many as there
// are: lists that are given up half way, or whose beginning is known, count what was laid of them.
// Source of the count, "at most one start time assignment per activity": Kolisch, Hartmann, "Experimental
// investigation of heuristics for resource-constrained project scheduling: an update", EJOR 174 (2006) 23-37.
func (b *Breeder) Made() int64 { return (b.l.laid + int64(b.l.n) - 1) / int64(b.l.n) }

// Best is the best schedule so far and its finish, and whether nothing can be shorter.
func (b *Breeder) Best() (starts []int32, finish int32, proved bool) {
	return b.best, b.finish, b.finish <= b.lower
}

// Run goes on until so many schedules have been made in all.
func (b *Breeder) Run(schedules int64) {
	n := int64(b.l.n)
	for b.finish > b.lower {
		switch {
		case b.l.laid+n <= min(b.budget, schedules*n):
			b.breed()
		case b.l.laid+n > b.budget && b.l.laid+mostClimbed*n <= schedules*n:
			b.climb()
		default:
			return
		}
	}
}

// adopt takes in a schedule that was made elsewhere, in the place of a poor one.
func (b *Breeder) adopt(starts []int32, end int32) {
	x := b.loser(b.herds[0])
	x.end = end
	copy(x.starts, starts)
	b.note(x, 0)
}

// note keeps a schedule if it is the best.
func (b *Breeder) note(x *beast, way int) {
	if x.end >= b.finish {
		return
	}
	b.finish = x.end
	b.best = append(b.best[:0], x.starts...)
	if way == 1 {
		for i := range b.best {
			b.best[i] = x.end - x.starts[i] - b.l.dur[i]
		}
	}
}

// breed lets one member of the herd whose turn it is have children.
func (b *Breeder) breed() {
	from, to := b.herds[b.turn], b.herds[1-b.turn]
	way := 1 - b.turn
	m := &from[b.next]
	place := &to[b.next]
	f := b.other(from)
	if place.end < never {
		place = b.loser(to)
	}
	if place.end >= never || f == m {
		b.cross(m, m, way) // merely shifted to the other side
	} else {
		b.cross(m, f, way)
		b.mutate(way)
	}
	limit := place.end
	if b.l.random(100) < worse {
		limit = never
	}
	if end := b.l.within(b.l.order, b.child, way, 0, limit); end <= limit && end < never {
		place.end = end
		place.starts, b.child = b.child, place.starts
		b.note(place, way)
	}
	if b.next++; b.next == len(from) {
		b.next, b.turn = 0, way
	}
}

// Measured on published instances of 120 activities.
const (
	worse     = 20     // how often, in percent, a child that is worse takes the place all the same
	swaps     = 3      // how often, in percent, a node changes places with the next
	shortest  = 8      // the mother's stretch, in percent of her schedule: from this
	wider     = 40 - 8 // to this much more
	stretches = 6      // places tried for it
)

// other is the better of two drawn from a herd.
func (b *Breeder) other(herd []beast) *beast {
	n := int32(len(herd))
	x, y := &herd[b.l.random(n)], &herd[b.l.random(n)]
	if y.end < x.end {
		return y
	}
	return x
}

// loser is the worse of two drawn from a herd.
func (b *Breeder) loser(herd []beast) *beast {
	n := int32(len(herd))
	x, y := &herd[b.l.random(n)], &herd[b.l.random(n)]
	if y.end > x.end {
		return y
	}
	return x
}

// cross fills the lister's order: outside the mother's busiest stretch the order of the father. Both
// are looked at from the other end of time.
func (b *Breeder) cross(m, f *beast, way int) {
	l := b.l
	for i := range l.n {
		b.mother[i] = m.end - m.starts[i] - l.dur[i]
		l.key[i] = f.end - f.starts[i] - l.dur[i]
	}
	if m != f {
		from, to := b.busiest(m)
		for i := range l.n {
			switch t := b.mother[i]; {
			case t < from:
			case t < to:
				l.key[i] = t + 1<<20
			default:
				l.key[i] += 1 << 21
			}
		}
	}
	l.byKey(1 - 2*int32(way))
}

// busiest is a stretch of random length where the mother uses the most of what there is.
func (b *Breeder) busiest(m *beast) (from, to int32) {
	l := b.l
	long := m.end*shortest/100 + l.random(m.end*wider/100+1)
	if cap(b.load) < int(m.end)+1 {
		b.load = make([]int32, 2*m.end+1)
	}
	load := b.load[:m.end+1] // of shares used before t, in a thousandth
	clear(load)
	for i := range l.n {
		share := int32(0)
		for _, u := range l.uses[i] {
			share += 1000 * u.Demand / l.caps[u.Node]
		}
		for t := b.mother[i]; t < b.mother[i]+l.dur[i]; t++ {
			load[t+1] += share
		}
	}
	for t := int32(0); t < m.end; t++ {
		load[t+1] += load[t]
	}
	best := int32(-1)
	for range stretches {
		t := l.random(m.end - long + 1)
		if use := load[t+long] - load[t]; use > best {
			best, from = use, t
		}
	}
	return from, from + long
}

// mutate swaps neighbours in the order now and then, where neither waits for the other.
func (b *Breeder) mutate(way int) {
	l := b.l
	for k := 0; k+1 < len(l.order); k++ {
		if l.random(100) >= swaps {
			continue
		}
		i, j := l.order[k], l.order[k+1]
		free := true
		for _, h := range l.ahead[way][j] {
			free = free && h.node != i
		}
		if free {
			l.order[k], l.order[k+1] = j, i
		}
	}
}
