package schedule

const (
	// maxFails is how often one visit can fail in a run. At one in five, two runs in a thousand reach it.
	maxFails = 4
	// fixWork is how long setting right what an inspector found takes, in minutes of site hours: the half
	// day that the app also puts in when a visit fails.
	fixWork = halfDay
)

// run builds the job once and says when it is finished; Never when a line found no time.
func (c *course) run(seed, run uint64) (last Minute) {
	lost := false
	c.sky = newStream(seed, run, skyName)
	for _, i := range c.order {
		u := &c.lucks[i]
		if !u.still {
			c.build(i, newStream(seed, run, u.name))
			lost = lost || c.start[i] >= Never || c.finish[i] >= Never
		}
		if c.start[i] < Never {
			last = max(last, c.finish[i])
		}
	}
	for k, i := range c.open {
		c.starts.add(k, c.start[i].Day())
		c.ends.add(k, lastDay(c.finish[i]))
	}
	if lost {
		return Never
	}
	c.chain(last)
	return last
}

// build places one line with its luck.
func (c *course) build(i int32, s stream) {
	n, u := &c.m.nodes[i], &c.lucks[i]
	if u.vary {
		whole := (u.labour.draw(s) + u.hands - 1) / u.hands
		n.dur = (whole*u.left + 99) / 100
		if n.runs && !u.done {
			n.dur = whole
		}
	}
	switch {
	case n.runs:
		c.goOn(i)
	case n.fixed:
		c.start[i], c.finish[i] = n.start, n.finish
	default:
		c.place(i, s)
	}
	if u.fail > 0 && c.start[i] < Never {
		c.finish[i] = c.visits(i, s)
	}
}

// goOn is when running work ends: no earlier than now, nor than the links to its end allow. Its crew and
// place are free once its own work is done.
func (c *course) goOn(i int32) {
	n, u := &c.m.nodes[i], &c.lucks[i]
	c.start[i], c.free[i] = n.start, n.finish
	switch {
	case u.outside:
		c.free[i] = max(c.m.ended(n, c.outdoors(n.cal, u.started, n.dur)), n.start)
	case u.vary:
		c.free[i] = max(c.m.ended(n, n.cal.AddWork(u.started, n.dur)), n.start)
	}
	_, end := c.held(i)
	c.finish[i] = max(c.free[i], end)
}

// held is the earliest start and the earliest finish that the arcs into node i allow. Running work does
// not wait for what finds no time.
func (c *course) held(i int32) (low, end Minute) {
	for k := c.first[i]; k < c.first[i+1]; k++ {
		a := &c.in[k]
		switch at := c.m.bound(a, c.ref(a)); {
		case at >= Never && c.m.nodes[i].runs:
		case a.toEnd:
			end = max(end, at)
		default:
			low = max(low, at)
		}
	}
	return low, end
}

// ref is the end of the arc's From line that the arc counts from.
func (c *course) ref(a *arc) Minute {
	switch {
	case a.gone != 0 && c.m.nodes[a.from].runs:
		return c.free[a.from]
	case a.fromEnd:
		return c.finish[a.from]
	}
	return c.start[a.from]
}

// place puts an open line as early as what is in front of it allows, and a day later when a crew does
// not show up.
func (c *course) place(i int32, s stream) {
	n, u := &c.m.nodes[i], &c.lucks[i]
	low, end := c.held(i)
	switch {
	case u.today != 0 && low <= u.today:
		low = u.today
	case n.visit != 0:
		low = max(low, n.low)
		if at, _ := c.earliest(i, low, end); at != n.visit {
			low = max(low, u.anchor)
		}
	default:
		low = max(low, n.low, u.anchor)
	}
	c.start[i], c.finish[i] = c.earliest(i, low, end)
	c.ready[i] = c.start[i]
	if c.start[i] >= c.m.now && c.start[i] < Never && u.missed(s) {
		next := Never
		if day := n.cal.AddDays(c.start[i].Day(), 1); day != 0 {
			next = day.Start()
		}
		c.start[i], c.finish[i] = c.earliest(i, next, end)
	}
}

// earliest is the first place of node i that starts at or after low, on a day that is not lost.
func (c *course) earliest(i int32, low, end Minute) (start, finish Minute) {
	n := &c.m.nodes[i]
	start, finish = c.m.earliest(n, low, end)
	if !c.lucks[i].outside {
		return start, finish
	}
	for start < Never && c.lost(start.Day()) {
		start, finish = c.m.earliest(n, (start.Day() + 1).Start(), end)
	}
	if start < Never {
		finish = c.outdoors(n.cal, start, n.dur)
	}
	return start, finish
}

// skyName is the stream of the weather; no line can have that name.
const skyName = 0

// lost tells whether a day is lost to weather in this run. Of today everybody sees the sky.
func (c *course) lost(d Day) bool {
	k := int(d - c.m.now.Day() - 1)
	return k >= 0 && k < len(c.wet) && c.sky.happens(uint64(k), c.wet[k])
}

// outdoors is when work begun at start is done, with days lost left out.
func (c *course) outdoors(cal *Calendar, start Minute, work int64) Minute {
	if work <= 0 || start >= Never {
		return start
	}
	end := cal.base + Day(len(cal.kind))
	for d := start.Day(); d < end; d++ {
		if c.lost(d) {
			continue
		}
		from := max(start, d.Start())
		has := cal.WorkBetween(from, (d + 1).Start())
		if has >= work {
			return cal.AddWork(from, work)
		}
		work -= has
	}
	return Never
}

// missed tells whether any of the crews does not show up.
func (u *luck) missed(s stream) bool {
	for k, pct := range u.noShow {
		if s.happens(placeCrew+uint64(k), pct) {
			return true
		}
	}
	return false
}

// visits is when a visit has passed: after each that fails come the fix, the call and the next window.
func (c *course) visits(i int32, s stream) Minute {
	n, u := &c.m.nodes[i], &c.lucks[i]
	passed := c.finish[i]
	for k := uint64(0); k < maxFails && passed < Never && s.happens(placeFail+k, u.fail); k++ {
		fixed := c.m.home.AddWork(passed, fixWork)
		if fixed >= Never {
			return Never
		}
		_, passed = n.cal.NextWindow(c.m.noticed(u.hold, fixed))
	}
	return passed
}

// chain counts the lines that held this run's finish: those that finish last, what let go of each of
// them last, and so on until something started because of a date, or before now.
func (c *course) chain(last Minute) {
	c.mark++
	for _, i := range c.open {
		if c.finish[i] == last && c.start[i] < Never {
			c.reach(i)
		}
	}
	for len(c.stack) > 0 {
		i := c.stack[len(c.stack)-1]
		c.stack = c.stack[:len(c.stack)-1]
		c.holders(i)
	}
	for k, i := range c.open {
		if c.seen[i] == c.mark {
			c.tauts[k]++
		}
	}
}

// reach puts an open line on the chain, once.
func (c *course) reach(i int32) {
	if !c.lucks[i].still && c.seen[i] != c.mark && c.finish[i] > c.m.now {
		c.seen[i] = c.mark
		c.stack = append(c.stack, i)
	}
}

// holders reaches what let go of line i last. Links and shared crews come before dates, as in the plan's
// own reasons.
func (c *course) holders(i int32) {
	n := &c.m.nodes[i]
	if n.fixed && !n.runs || n.visit != 0 && c.ready[i] == n.visit {
		return
	}
	low, end := c.held(i)
	byStart, byEnd := false, end > 0 && n.runs && end == c.finish[i]
	if !n.runs {
		s, _ := c.earliest(i, low, 0)
		e, _ := c.earliest(i, 0, end)
		byStart, byEnd = low > 0 && s == c.ready[i], end > 0 && e == c.ready[i]
	}
	for k := c.first[i]; k < c.first[i+1]; k++ {
		a := &c.in[k]
		if at := c.m.bound(a, c.ref(a)); a.toEnd && byEnd && at == end || !a.toEnd && byStart && at == low {
			c.reach(a.from)
		}
	}
}
