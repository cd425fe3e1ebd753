package schedule

// course is a site made ready to be built many times: its plan's order on every crew and place is now
// part of the links, everything is in one order in which it can be placed, and what a run needs is
// allocated once.
type course struct {
	m       *model
	planned Minute
	madeOf  MadeOf
	order   []int32 // every arc points forward in it
	in      []arc   // into node i: in[first[i]:first[i+1]]
	first   []int32
	lucks   []luck

	wet []int32 // percent of each day's being lost to weather, from tomorrow on; nil for never

	// one run
	sky           stream
	start, finish []Minute
	ready         []Minute // start before a no-show
	free          []Minute // when a running line's own work lets its crew and place go
	seen          []uint32 // the last run in which a node was on the taut chain
	mark          uint32
	stack         []int32

	// all runs, for the open lines
	open         []int32 // nodes
	tauts        []int32
	starts, ends counts
}

// luck is what a line's chance is made of, and what keeps it from starting sooner.
type luck struct {
	name    uint64 // of its streams
	still   bool   // not open: it is done, or the plan finds no time for it
	anchor  Minute
	today   Minute // begun earlier today as far as anybody knows; 0 for no
	labour  Range
	hands   int64
	left    int64 // percent of the labour still to do
	vary    bool  // low or high say something
	outside bool  // bad weather stops it
	noShow  []int32
	fail    int32
	hold    *Hold
	started Minute // running work goes on from here
	done    bool   // a share was counted: what is left runs from when it was said
}

// newCourse lays the plan and keeps its order.
func newCourse(site *Site, now Minute) *course {
	m := compile(site, now)
	l := m.best(m.anchors())
	g := newGraph(m, l)
	n := len(m.nodes)
	c := &course{m: m, lucks: make([]luck, n), ready: make([]Minute, n), free: make([]Minute, n), seen: make([]uint32, n)}
	c.forecast(site)
	soonest, last := append([]Minute(nil), l.start...), l.finishOf()
	m.lateOrders(l)
	c.planned = l.finishOf()
	for i := range m.nodes {
		c.luck(l, int32(i), last)
		if !c.lucks[i].still {
			c.open = append(c.open, int32(i))
		}
	}
	c.lineUp(g, soonest)
	c.start, c.finish = append([]Minute(nil), l.start...), append([]Minute(nil), l.finish...)
	c.tauts = make([]int32, len(c.open))
	c.starts, c.ends = newCounts(m, len(c.open)), newCounts(m, len(c.open))
	return c
}

// forecast lists the chance of each coming day.
func (c *course) forecast(site *Site) {
	any := int32(0)
	for _, pct := range site.Weather {
		any = max(any, pct)
	}
	if any <= 0 {
		return
	}
	today, end := c.m.now.Day(), c.m.home.base+Day(len(c.m.home.kind))
	for d := today + 1; d < end; d++ {
		c.wet = append(c.wet, site.weatherOn(d))
	}
}

// weatherOn is the chance in percent that a day is lost to weather.
func (s *Site) weatherOn(d Day) int32 {
	pct := int32(0)
	switch _, month, _ := d.Date(); {
	case len(s.Weather) == 1:
		pct = s.Weather[0]
	case month <= len(s.Weather):
		pct = s.Weather[month-1]
	}
	return min(max(pct, 0), 100)
}

// luck reads off node i what chance does to it. last is where the work itself finishes.
func (c *course) luck(l *layout, i int32, last Minute) {
	n, u := &c.m.nodes[i], &c.lucks[i]
	u.name, u.anchor = nameOf(n.id), n.anchor
	switch {
	case l.start[i] >= Never || c.m.done(i):
		u.still = true
		return
	case n.kind == HoldNode:
		u.hold = c.m.site.Hold(n.id)
		u.fail = min(max(u.hold.FailPct, 0), 100)
		c.madeOf.Fails += one(u.fail > 0)
	case n.kind == OrderNode:
		if need, _ := c.m.need(l, i); need >= Never || l.finish[i] > last {
			u.anchor = l.start[i] // nothing waits for it: it comes when it is planned to
		}
	case n.shape == work || n.runs:
		c.labour(n, u)
	}
	if n.today && l.start[i] < n.low {
		u.today = l.start[i]
	}
}

func (c *course) labour(n *node, u *luck) {
	a := c.m.site.Activity(n.id)
	u.labour, u.left = a.Labour, 100-int64(min(max(a.Done, 0), 100))
	u.hands = c.m.site.handsOf(a)
	u.started, u.done = a.Started, a.Done > 0
	if u.done {
		u.started = c.m.leftFrom(a)
	}
	low, _, high := a.Labour.ends()
	u.vary = low < high && u.left > 0
	c.madeOf.Ranges += one(u.vary)
	if u.outside = a.Outdoor && len(c.wet) > 0 && u.left > 0; u.outside {
		c.madeOf.Weather++
	}
	if n.runs {
		return
	}
	for _, id := range c.m.site.CrewsOf(a) {
		u.noShow = append(u.noShow, min(max(c.m.site.Crew(id).NoShow, 0), 100))
	}
	for _, pct := range u.noShow {
		if pct > 0 {
			c.madeOf.NoShows++
			return
		}
	}
	u.noShow = nil
}

func one(yes bool) int32 {
	if yes {
		return 1
	}
	return 0
}

// lineUp puts the nodes in an order in which every arc points forward, and the arcs beside the nodes
// they lead to. A link with a lead can make a ring with the order on a crew: there the order is let go,
// and the line starts no sooner than planned instead.
func (c *course) lineUp(g *graph, planned []Minute) {
	n := len(c.m.nodes)
	waits := make([]int, n)
	for i := range g.arcs {
		waits[g.arcs[i].to]++
	}
	placed, gone := make([]bool, n), make([]bool, len(g.arcs))
	for len(c.order) < n {
		i := g.next(placed, waits)
		if i < 0 {
			i = g.openRing(placed, gone, len(c.m.arcs))
			c.lucks[i].anchor = max(c.lucks[i].anchor, planned[i])
		}
		placed[i] = true
		c.order = append(c.order, i)
		for _, k := range g.out[i] {
			if !gone[k] {
				waits[g.arcs[k].to]--
			}
		}
	}
	for i := range n {
		c.first = append(c.first, int32(len(c.in)))
		for _, k := range g.in[i] {
			if !gone[k] {
				c.in = append(c.in, g.arcs[k])
			}
		}
	}
	c.first = append(c.first, int32(len(c.in)))
}

// next is the first node, by planned start, that waits for nothing; -1 when there is none.
func (g *graph) next(placed []bool, waits []int) int32 {
	for _, i := range g.order {
		if !placed[i] && waits[i] == 0 {
			return i
		}
	}
	return -1
}

// openRing is the first node, by planned start, that only the order on crews and places still holds. It
// takes those arcs out. The links alone never make a ring, so there is one.
func (g *graph) openRing(placed, gone []bool, links int) int32 {
	for _, i := range g.order {
		free := !placed[i]
		for _, k := range g.in[i] {
			free = free && (int(k) >= links || placed[g.arcs[k].from])
		}
		if !free {
			continue
		}
		for _, k := range g.in[i] {
			gone[k] = gone[k] || !placed[g.arcs[k].from]
		}
		return i
	}
	panic("schedule: the links go round although circles were set aside; this cannot be")
}

// counts is how many runs had something on each day, per open line.
type counts struct {
	from Day
	days int
	runs []uint32
}

func newCounts(m *model, lines int) counts {
	t := counts{from: m.now.Day()}
	t.days = int(m.home.base) + len(m.home.kind) - int(t.from) + 1
	t.runs = make([]uint32, max(t.days, 0)*lines)
	return t
}

// add counts one run of line k; what lies before today counts as today, what finds no time not at all.
func (t *counts) add(k int, day Day) {
	if i := max(int(day-t.from), 0); i < t.days {
		t.runs[k*t.days+i]++
	}
}

// day is the first by which 4 of 5 of all runs have come; 0 when they never do.
func (t *counts) day(k int, runs int32) Day {
	need, sum := (int64(runs)*80+99)/100, int64(0)
	if runs == 0 {
		return 0
	}
	row := t.runs[k*t.days : (k+1)*t.days]
	for i := range row {
		if sum += int64(row[i]); sum >= need {
			return t.from + Day(i)
		}
	}
	return 0
}
