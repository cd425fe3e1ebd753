package exact

// This file makes schedules from lists: nodes are placed one after another as early as arcs and
// resources allow (serial schedule generation).
// Source: Kolisch, "Serial and parallel resource-constrained project scheduling methods revisited",
// EJOR 90 (1996) 320-333; forward-backward improvement: Li, Willis, EJOR 56 (1992) 370-379.

// hop is an arc as a list schedule sees it: this much after the start of node.
type hop struct{ node, dist int32 }

// lister makes schedules of problems of the plain kind: no calendars, facts or calls, and arcs that
// let a node start only after what it waits for is finished. It allocates nothing once made.
type lister struct {
	n       int32
	dur     []int32
	ahead   [2][][]hop // what a node waits for; in mirrored time what waits for it
	after   [2][][]int32
	uses    [][]Use // by node: resource and demand
	caps    []int32
	length  int32      // time units of free
	words   int        // of free for each time
	free    []uint64   // by time, what is free of each resource, several to a word
	need    []uint64   // by node, what it takes of each, likewise
	all     []uint64   // what there is of each
	guard   uint64     // the highest bit of each place in a word, which is never part of a number
	topo    []int32    // place in a topological order, to break ties
	tail    []int32    // longest path from a node's start to the end
	reach   [2][]int32 // that, and the same in mirrored time: from the beginning to a node's finish
	used    int32      // times beyond this are untouched in free
	laid    int64      // nodes laid so far: a schedule that is given up, or keeps a part, counts what it laid
	order   []int32
	open    []int32
	waiting []int32
	key     []int32
	mirror  []int32
	rand    uint64
}

// newLister returns nil when the problem is not of the plain kind.
func newLister(p *Problem) *lister {
	n := int32(len(p.Nodes))
	l := &lister{n: n, dur: make([]int32, n), uses: make([][]Use, n), rand: 1}
	for i := range 2 {
		l.ahead[i], l.after[i] = make([][]hop, n), make([][]int32, n)
	}
	if len(p.Calls) > 0 || n == 0 {
		return nil
	}
	sum := int32(0)
	for i, d := range p.Nodes {
		if d.Fixed || d.Cal != Always || d.Min > 0 || d.Max > 0 || len(d.Places) > 0 {
			return nil
		}
		l.dur[i] = d.Dur
		sum += d.Dur
	}
	for _, a := range p.Arcs {
		if !a.FromEnd || a.ToEnd || a.Lag < 0 || a.Cal != Always || a.After != nil {
			return nil
		}
		sum += a.Lag
		l.ahead[0][a.To] = append(l.ahead[0][a.To], hop{a.From, l.dur[a.From] + a.Lag})
		l.ahead[1][a.From] = append(l.ahead[1][a.From], hop{a.To, l.dur[a.To] + a.Lag})
		l.after[0][a.From] = append(l.after[0][a.From], a.To)
		l.after[1][a.To] = append(l.after[1][a.To], a.From)
	}
	for k, r := range p.Resources {
		l.caps = append(l.caps, r.Cap)
		for _, u := range mergeUses(r.Uses) {
			if u.Demand > 0 && l.dur[u.Node] > 0 {
				l.uses[u.Node] = append(l.uses[u.Node], Use{int32(k), u.Demand})
			}
		}
	}
	l.length = sum + 1
	if sum > p.Horizon || int64(l.length)*int64(len(l.caps)) > 1<<22 {
		return nil
	}
	l.pack()
	l.makeRoom()
	if !l.sort() {
		return nil
	}
	return l
}

// pack writes capacities and demands several to a word: whether a node fits is one subtraction for all of
// them, where each number has a bit above it that only a number too small would borrow.
func (l *lister) pack() {
	width := 16
	for _, c := range l.caps {
		if c >= 1<<15 {
			width = 32
		}
	}
	each := 64 / width
	for at := width - 1; at < 64; at += width {
		l.guard |= 1 << at
	}
	l.words = max(1, (len(l.caps)+each-1)/each)
	l.all, l.need = make([]uint64, l.words), make([]uint64, int(l.n)*l.words)
	for k, c := range l.caps {
		l.all[k/each] |= uint64(c) << (k % each * width)
	}
	for i, us := range l.uses {
		for _, u := range us {
			k := int(u.Node)
			demand := uint64(min(u.Demand, l.caps[k]))
			l.need[i*l.words+k/each] |= demand << (k % each * width)
		}
	}
}

func (l *lister) makeRoom() {
	l.free = make([]uint64, int(l.length)*l.words)
	l.used = l.length
	l.clear()
	for _, s := range []*[]int32{&l.topo, &l.tail, &l.order, &l.waiting, &l.key, &l.mirror} {
		*s = make([]int32, l.n)
	}
	l.open = make([]int32, 0, l.n)
}

// clear makes all resources free again.
func (l *lister) clear() {
	for j, c := range l.all {
		for t := j; t < int(l.used)*l.words; t += l.words {
			l.free[t] = c
		}
	}
	l.used = 0
}

// sort finds a topological order and the tails; it returns false when the arcs close a circle.
func (l *lister) sort() bool {
	var order []int32
	for i := range l.n {
		l.waiting[i] = int32(len(l.ahead[0][i]))
		if l.waiting[i] == 0 {
			order = append(order, i)
		}
	}
	for k := 0; k < len(order); k++ {
		l.topo[order[k]] = int32(k)
		for _, j := range l.after[0][order[k]] {
			if l.waiting[j]--; l.waiting[j] == 0 {
				order = append(order, j)
			}
		}
	}
	if len(order) != int(l.n) {
		return false
	}
	for k := len(order) - 1; k >= 0; k-- {
		i := order[k]
		l.tail[i] = l.dur[i]
		for _, h := range l.ahead[1][i] {
			l.tail[i] = max(l.tail[i], h.dist-l.dur[h.node]+l.dur[i]+l.tail[h.node])
		}
	}
	back := make([]int32, l.n)
	for _, i := range order {
		back[i] = l.dur[i]
		for _, h := range l.ahead[0][i] {
			back[i] = max(back[i], back[h.node]+h.dist-l.dur[h.node]+l.dur[i])
		}
	}
	l.reach = [2][]int32{l.tail, back}
	return true
}

// serial places the nodes of order, which puts nothing before what it waits for, into starts and
// returns the finish of all. With way 1 time runs backwards.
func (l *lister) serial(order, starts []int32, way int) int32 {
	return l.within(order, starts, way, 0, never)
}

// within is serial for a list whose first kept nodes lie where starts has them already, and which is given
// up, with never, as soon as it cannot finish by limit.
func (l *lister) within(order, starts []int32, way, kept int, limit int32) int32 {
	l.clear()
	end := int32(0)
	for _, i := range order[:kept] {
		l.take(i, starts[i])
		end = max(end, starts[i]+l.dur[i])
	}
	for k, i := range order[kept:] {
		t := int32(0)
		for _, h := range l.ahead[way][i] {
			t = max(t, starts[h.node]+h.dist)
		}
		starts[i] = l.place(i, t)
		if starts[i]+l.reach[way][i] > limit {
			l.laid += int64(k) + 1
			return never
		}
		end = max(end, starts[i]+l.dur[i])
	}
	l.laid += int64(len(order) - kept)
	return end
}

// place finds the first time from t on at which node i fits, and takes its room.
func (l *lister) place(i, t int32) int32 {
	if len(l.uses[i]) == 0 {
		return t
	}
	need, guard := l.need[int(i)*l.words:int(i+1)*l.words], l.guard
search:
	for u := int(min(t+l.dur[i], l.used)) - 1; u >= int(t); u-- {
		for j, n := range need {
			if ((l.free[u*l.words+j]|guard)-n)&guard != guard {
				t = int32(u) + 1
				goto search
			}
		}
	}
	l.take(i, t)
	return t
}

// take takes the room of node i from t on.
func (l *lister) take(i, t int32) {
	if len(l.uses[i]) == 0 {
		return
	}
	end := t + l.dur[i]
	for j, n := range l.need[int(i)*l.words : int(i+1)*l.words] {
		for u := int(t); u < int(end); u++ {
			l.free[u*l.words+j] -= n
		}
	}
	l.used = max(l.used, end)
}

// improve shifts a schedule to the right from its end and then to the left again, for as long as it
// gets shorter.
func (l *lister) improve(starts []int32, end int32) int32 {
	for {
		got := l.justify(starts, end)
		if got >= end {
			return got
		}
		end = got
	}
}

// justify does one round of shifting right and left: two schedules.
func (l *lister) justify(starts []int32, end int32) int32 {
	for i := range l.n {
		l.key[i] = -(starts[i] + l.dur[i])
	}
	l.byKey(-1)
	back := l.serial(l.order, l.mirror, 1)
	for i := range l.n {
		l.key[i] = back - l.mirror[i] - l.dur[i]
	}
	l.byKey(1)
	return l.serial(l.order, starts, 0)
}

// byKey puts the nodes into order by rising key; sign says which way round nodes with equal keys wait
// for each other.
func (l *lister) byKey(sign int32) {
	for i := range l.n {
		l.order[i] = i
	}
	o := l.order
	less := func(a, b int32) bool {
		if l.key[a] != l.key[b] {
			return l.key[a] < l.key[b]
		}
		return sign*l.topo[a] < sign*l.topo[b]
	}
	sortBy(o, less)
}

// sortBy is a shell sort: lists are short and often nearly sorted.
func sortBy(o []int32, less func(a, b int32) bool) {
	gap := 1
	for gap < len(o)/3 {
		gap = 3*gap + 1
	}
	for ; gap > 0; gap /= 3 {
		for i := gap; i < len(o); i++ {
			v, j := o[i], i
			for j >= gap && less(v, o[j-gap]) {
				o[j] = o[j-gap]
				j -= gap
			}
			o[j] = v
		}
	}
}

// random is the next of a fixed row of numbers, below n.
// Source: xorshift64*, Vigna, "An experimental exploration of Marsaglia's xorshift generators", 2016.
func (l *lister) random(n int32) int32 {
	l.rand ^= l.rand >> 12
	l.rand ^= l.rand << 25
	l.rand ^= l.rand >> 27
	return int32((l.rand * 0x2545F4914F6CDD1D >> 33) % uint64(n))
}

// draw fills order with a list in which long tails come early, more or less.
func (l *lister) draw(order []int32, spread int32) {
	for i := range l.n {
		l.key[i] = -l.tail[i] * (1000 - spread + l.random(2*spread+1))
	}
	l.list(order, 0)
}

// list fills order by rising key, but nothing before what it waits for.
func (l *lister) list(order []int32, way int) {
	l.open = l.open[:0]
	for i := range l.n {
		l.waiting[i] = int32(len(l.ahead[way][i]))
		if l.waiting[i] == 0 {
			l.open = append(l.open, i)
		}
	}
	for k := range order {
		best := 0
		for j := range l.open {
			if a, b := l.open[j], l.open[best]; l.key[a] < l.key[b] || l.key[a] == l.key[b] && l.topo[a] < l.topo[b] {
				best = j
			}
		}
		i := l.open[best]
		l.open[best] = l.open[len(l.open)-1]
		l.open = l.open[:len(l.open)-1]
		order[k] = i
		for _, j := range l.after[way][i] {
			if l.waiting[j]--; l.waiting[j] == 0 {
				l.open = append(l.open, j)
			}
		}
	}
}

// sample is the best of count improved list schedules.
func (l *lister) sample(count int) (best []int32, end int32) {
	order, starts := make([]int32, l.n), make([]int32, l.n)
	end = never
	for k := range count {
		l.draw(order, min(int32(k*10), 400))
		if e := l.improve(starts, l.serial(order, starts, 0)); e < end {
			end = e
			best = append(best[:0], starts...)
		}
	}
	return best, end
}
