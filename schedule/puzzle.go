package schedule

import "batterboard/schedule/exact"

// puzzle is a variant as the exact solver's plain whole numbers. Units are minutes divided by the
// coarsest grid on which all work, windows and waits are whole.
//
// Where a moment is off the grid (now, in the middle of a window; a room that is let go of at 10:07) it is
// rounded towards freedom. So what the puzzle proves impossible is impossible; a schedule it finds is
// laid out again by the planner before anybody sees it.
type puzzle struct {
	v      *variant
	p      exact.Problem
	origin Minute
	grid   int64
	index  []int32 // node -> puzzle node, -1 for none
	nodes  []int32 // puzzle node -> node
	cals   []*Calendar
	drawn  *drawings
	sure   bool // false: something has no place in the puzzle, so nothing is proved
	last   Minute
}

// newPuzzle writes a variant down for the solver; nothing is looked for after the day last. The lows are the
// earliest start of each node if nobody had to share: facts and waits folded in.
func newPuzzle(v *variant, lows []Minute, last Minute, d *drawings) *puzzle {
	z := &puzzle{v: v, drawn: d, origin: v.m.now.Day().Start(), last: last, sure: true}
	z.p.Horizon = 1
	z.findGrid()
	if span := int64(last-z.origin) / z.grid; span > exact.MaxHorizon/16 || span < 1 {
		z.sure = false
		return z
	}
	z.p.Horizon = z.floor(last)
	z.index = make([]int32, len(v.m.nodes))
	for i := range v.m.nodes {
		z.index[i] = -1
		z.node(int32(i), lows[i])
	}
	for i := range v.m.arcs {
		z.arc(&v.m.arcs[i])
	}
	z.shares()
	z.promises()
	return z
}

func (z *puzzle) floor(m Minute) int32 { return int32(int64(max(m-z.origin, 0)) / z.grid) }

func (z *puzzle) ceil(m Minute) int32 {
	return int32((int64(max(m-z.origin, 0)) + z.grid - 1) / z.grid)
}

// findGrid is the greatest common measure of all windows, work and waits.
func (z *puzzle) findGrid() {
	g := int64(0)
	for i := range z.v.m.nodes {
		n := &z.v.m.nodes[i]
		if n.fixed {
			continue
		}
		g = measure(g, n.dur)
		for _, set := range n.cal.sets {
			for _, w := range set {
				g = measure(measure(g, int64(w.From)), int64(w.To))
			}
		}
	}
	for i := range z.v.m.arcs {
		g = measure(g, z.v.m.arcs[i].lag)
	}
	z.grid = max(g, 1)
}

// measure is the greatest common divisor of a and b.
func measure(a, b int64) int64 {
	if b < 0 {
		b = -b
	}
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func (z *puzzle) node(i int32, low Minute) {
	n := &z.v.m.nodes[i]
	if n.fixed {
		z.fixed(i, n)
		return
	}
	if low >= Never {
		return // it finds no time whatever else is done
	}
	e := exact.Node{Dur: int32(n.dur / z.grid), Min: z.floor(low)}
	switch n.shape {
	case work:
		e.Cal = z.calendar(n.cal)
		if len(n.cal.cuts) > 0 {
			e.Places = z.places(n, low)
			z.sure = z.sure && len(e.Places) > 0
		}
	case slot:
		e.Places = z.places(n, low)
		z.sure = z.sure && len(e.Places) > 0
	case point:
		e.Dur = 0
	}
	z.add(i, e)
}

// fixed nodes only hold what they use; what waits for them has it in its earliest start.
func (z *puzzle) fixed(i int32, n *node) {
	start, finish := z.ceil(n.start), z.floor(n.finish)
	if len(n.uses) == 0 || n.finish <= z.origin || start >= finish || finish > z.p.Horizon {
		return
	}
	z.add(i, exact.Node{Fixed: true, Start: start, Finish: finish})
}

func (z *puzzle) add(i int32, e exact.Node) {
	z.index[i] = int32(len(z.nodes))
	z.nodes = append(z.nodes, i)
	z.p.Nodes = append(z.p.Nodes, e)
}

// calendar is the number of a calendar in the puzzle.
func (z *puzzle) calendar(c *Calendar) int32 {
	for i, o := range z.cals {
		if o == c {
			return int32(i + 1)
		}
	}
	z.cals = append(z.cals, c)
	z.p.Calendars = append(z.p.Calendars, z.draw(c))
	return int32(len(z.cals))
}

// drawings are the calendars that the puzzles of one search have drawn. They differ in few.
type drawings struct {
	list   []drawing
	memory exact.Memory
}

type drawing struct {
	of   *Calendar
	grid int64
	last Minute
	out  exact.Calendar
}

// draw writes a calendar in the puzzle's units, unless an earlier puzzle of the search did.
func (z *puzzle) draw(c *Calendar) exact.Calendar {
	for i := range z.drawn.list {
		if d := &z.drawn.list[i]; d.of == c && d.grid == z.grid && d.last == z.last {
			return d.out
		}
	}
	var out exact.Calendar
	for d := z.origin.Day(); d <= z.last.Day(); d++ {
		for _, w := range c.WindowsOf(d) {
			out = z.window(out, d.At(w.From), d.At(w.To))
		}
	}
	z.drawn.list = append(z.drawn.list, drawing{c, z.grid, z.last, out})
	return out
}

// window adds one, as a part of the one before where they touch.
func (z *puzzle) window(list exact.Calendar, from, to Minute) exact.Calendar {
	w := exact.Window{From: z.floor(from), To: z.floor(to)}
	if n := len(list); n > 0 && list[n-1].To == w.From {
		list[n-1].To = w.To
		return list
	}
	return append(list, w)
}

// places lists where a node can lie, for visits, deliveries, and work that must not be cut in two.
func (z *puzzle) places(n *node, low Minute) (list []exact.Place) {
	for end := Minute(0); ; {
		start, finish := z.v.m.earliest(n, low, end)
		if finish > z.last {
			return list
		}
		p := exact.Place{Start: z.floor(start), Finish: z.floor(finish)}
		if k := len(list); k == 0 || p.Start > list[k-1].Start {
			list = append(list, p)
		}
		low = start + Minute(z.grid)
		if n.shape == work {
			low = z.origin + Minute(int64(z.floor(low))*z.grid)
		}
	}
}

// arc turns a link into one of the puzzle's.
func (z *puzzle) arc(a *arc) {
	from, to := z.index[a.from], z.index[a.to]
	if from < 0 || to < 0 || z.v.m.nodes[a.from].fixed || z.v.m.nodes[a.to].fixed {
		return
	}
	n := &z.v.m.nodes[a.to]
	e := exact.Arc{From: from, To: to, FromEnd: a.fromEnd, ToEnd: a.toEnd, Lag: int32(a.lag / z.grid)}
	switch {
	case n.lead > 0:
		z.orderArc(n, a, e)
		return
	case a.lag == 0 || a.clock:
	case n.shape == slot:
		e.Cal = z.calendar(z.v.m.home)
	default:
		e.Cal = z.calendar(n.cal)
	}
	z.p.Arcs = append(z.p.Arcs, e)
}

// orderArc: an order is placed on the day its link lets it, and the goods come whole days later, at the
// first window of a day. One minute before midnight is as good as the morning, so the wait is shorter
// than the lead by the rest of a day after that window begins. Rounded towards freedom where the door
// does not open at the same hour every day, or the wait is counted in working time.
func (z *puzzle) orderArc(n *node, a *arc, e exact.Arc) {
	opens := int32(MinutesPerDay)
	for _, set := range n.cal.sets {
		if len(set) > 0 {
			opens = min(opens, set[0].From)
		}
	}
	lag := n.lead - int64(MinutesPerDay-1-opens)
	if a.clock {
		lag += a.lag
	} else if a.lag < 0 {
		z.sure = false
		return
	}
	e.Lag = int32(lag / z.grid)
	if lag < 0 && lag%z.grid != 0 {
		e.Lag--
	}
	z.p.Arcs = append(z.p.Arcs, e)
}

func (z *puzzle) shares() {
	for r := range z.v.m.res {
		res := exact.Resource{Cap: z.v.m.res[r].cap}
		for k, i := range z.nodes {
			for _, u := range z.v.m.nodes[i].uses {
				if int(u.res) == r {
					res.Uses = append(res.Uses, exact.Use{Node: int32(k), Demand: u.amount})
				}
			}
		}
		if len(res.Uses) > 1 {
			z.p.Resources = append(z.p.Resources, res)
		}
	}
}

// promises: breaking one calls a person. A call counts what the weightiest broken promise does, so each
// person has steps of weight, and a promise hangs on all steps up to its own.
func (z *puzzle) promises() {
	for person, level := range z.v.level {
		for {
			next := int32(0) // the next weight above level
			for _, q := range z.v.promises {
				if q.person == int32(person) && q.weight > level && (next == 0 || q.weight < next) {
					next = q.weight
				}
			}
			if next == 0 {
				break
			}
			z.step(int32(person), next, next-level)
			level = next
		}
	}
}

func (z *puzzle) step(person, weight, more int32) {
	call := int32(len(z.p.Calls))
	z.p.Calls = append(z.p.Calls, more)
	for _, q := range z.v.promises {
		if q.person != person || q.weight < weight || z.index[q.node] < 0 {
			continue
		}
		from, to := z.floor(q.from), min(z.ceil(q.to), z.p.Horizon)
		if from <= to {
			z.p.Promises = append(z.p.Promises, exact.Promise{Node: z.index[q.node], From: from, To: to, Call: call})
		}
	}
}

// constant is what calls weigh in any case.
func (v *variant) constant() (sum int32) {
	for _, w := range v.level {
		sum += w
	}
	return sum
}
