package exact

// never is later than every time; -never is earlier.
const never int32 = 1 << 29

// grid answers questions about one calendar in constant time.
type grid struct {
	always bool
	// pos[t] is the number of open units before t, for t up to horizon+1; at[p] is where the open
	// unit p lies.
	pos, at []int32
	wins    []Window
	// began[t] is the number of windows that start before t, ended[t] of those that finish before t.
	began, ended []int32
}

func newGrid(c Calendar, horizon int32) *grid {
	g := &grid{pos: make([]int32, horizon+2), began: make([]int32, horizon+2), ended: make([]int32, horizon+2)}
	for _, w := range c {
		if w.From >= horizon {
			break
		}
		w.To = min(w.To, horizon)
		g.wins = append(g.wins, w)
	}
	i, j := 0, 0
	for t := int32(0); t <= horizon+1; t++ {
		for i < len(g.wins) && g.wins[i].From < t {
			i++
		}
		for j < len(g.wins) && g.wins[j].To < t {
			j++
		}
		g.pos[t], g.began[t], g.ended[t] = int32(len(g.at)), int32(i), int32(j)
		if j < len(g.wins) && g.wins[j].From <= t && t < g.wins[j].To {
			g.at = append(g.at, t)
		} else if j+1 < len(g.wins) && g.wins[j].To == t && g.wins[j+1].From == t {
			g.at = append(g.at, t)
		}
	}
	return g
}

func (g *grid) clamp(t int32) int32 { return max(0, min(t, int32(len(g.pos)-1))) }

// unit is where the open unit p lies.
func (g *grid) unit(p int32) int32 {
	switch {
	case p < 0:
		return -never
	case int(p) >= len(g.at):
		return never
	}
	return g.at[p]
}

// done is when p open units are over.
func (g *grid) done(p int32) int32 {
	if p <= 0 {
		return 0
	}
	if u := g.unit(p - 1); u < never {
		return u + 1
	}
	return never
}

// before counts the open units before t.
func (g *grid) before(t int32) int32 { return g.pos[g.clamp(t)] }

// up is the first open time from t on, down the last one up to t.
func (g *grid) up(t int32) int32   { return g.unit(g.before(t)) }
func (g *grid) down(t int32) int32 { return g.unit(g.before(t+1) - 1) }

// win is the start, or the finish, of window i.
func (g *grid) win(i int32, end bool) int32 {
	switch {
	case i < 0:
		return -never
	case int(i) >= len(g.wins):
		return never
	case end:
		return g.wins[i].To
	}
	return g.wins[i].From
}

// shape is how long a node takes: every question about a node's start and finish that does not
// depend on the plan. All answers are monotone in their argument.
type shape struct {
	g    *grid
	dur  int32
	slot bool
	// A fact has one start and one finish.
	fixed      bool
	start, end int32
	places     []Place // all there are, when not nil
}

// plain shapes take a fixed time from any start.
func (h *shape) plain() bool { return h.g.always && !h.fixed && h.places == nil }

// place is how many places start before t.
func (h *shape) place(t int32) int {
	lo, hi := 0, len(h.places)
	for lo < hi {
		if m := int(uint(lo+hi) >> 1); h.places[m].Start < t {
			lo = m + 1
		} else {
			hi = m
		}
	}
	return lo
}

// ended is how many places finish before t.
func (h *shape) ended(t int32) int {
	lo, hi := 0, len(h.places)
	for lo < hi {
		if m := int(uint(lo+hi) >> 1); h.places[m].Finish < t {
			lo = m + 1
		} else {
			hi = m
		}
	}
	return lo
}

// startOf is the start of place k.
func (h *shape) startOf(k int) int32 {
	switch {
	case k < 0:
		return -never
	case k >= len(h.places):
		return never
	}
	return h.places[k].Start
}

// up is the first start at t or later.
func (h *shape) up(t int32) int32 {
	switch {
	case h.places != nil:
		return h.startOf(h.place(t))
	case h.g.always || h.fixed:
		return t
	case h.slot:
		return h.g.win(h.g.began[h.g.clamp(t)], false)
	}
	return h.g.up(t)
}

// down is the last start at t or earlier.
func (h *shape) down(t int32) int32 {
	switch {
	case h.places != nil:
		return h.startOf(h.place(t+1) - 1)
	case h.g.always || h.fixed:
		return t
	case t < 0:
		return -never
	case h.slot:
		return h.g.win(h.g.began[h.g.clamp(t+1)]-1, false)
	}
	return h.g.down(t)
}

// finish is when work that starts at s is done.
func (h *shape) finish(s int32) int32 {
	switch {
	case h.places != nil:
		if k := h.place(s); k < len(h.places) {
			return h.places[k].Finish
		}
		return never
	case h.fixed:
		return h.end
	case h.g.always:
		return s + h.dur
	case h.slot:
		return h.g.win(h.g.began[h.g.clamp(s)], true)
	case h.dur == 0:
		return s
	}
	return h.g.done(h.g.before(s) + h.dur)
}

// from is the first start whose finish is at y or later.
func (h *shape) from(y int32) int32 {
	g := h.g
	switch {
	case h.places != nil:
		return h.startOf(h.ended(y))
	case h.fixed:
		if y <= h.end {
			return h.start
		}
		return never
	case g.always:
		return y - h.dur
	case y > int32(len(g.pos)-1):
		return never
	case h.slot:
		return g.win(g.ended[g.clamp(y)], false)
	case h.dur == 0:
		return g.up(y)
	}
	p := max(g.before(y), h.dur)
	if g.done(p) < y {
		p++
	}
	if g.done(p) >= never {
		return never
	}
	return g.unit(p - h.dur)
}

// to is the last start whose finish is at y or earlier.
func (h *shape) to(y int32) int32 {
	g := h.g
	switch {
	case h.places != nil:
		return h.startOf(h.ended(y+1) - 1)
	case h.fixed:
		if h.end <= y {
			return h.start
		}
		return -never
	case g.always:
		return y - h.dur
	case h.slot:
		return g.win(g.ended[g.clamp(y+1)]-1, false)
	case h.dur == 0:
		return h.down(y)
	}
	return g.unit(g.before(y) - h.dur)
}

// wait is a lag: earliest(x) is the earliest time a lag of n after x allows, latest(y) the last x
// that still allows y.
type wait struct {
	g *grid
	n int32
}

func (w wait) earliest(x int32) int32 {
	if w.n == 0 || w.g.always {
		return x + w.n
	}
	return w.g.done(w.g.before(x) + w.n)
}

func (w wait) latest(y int32) int32 {
	switch {
	case w.n == 0 || w.g.always:
		return y - w.n
	case y < 0:
		return -never
	}
	return w.g.unit(w.g.before(y) - w.n)
}
