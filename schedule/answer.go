package schedule

// From the solver's answers back to places on the site.

// hint is a layout as starts of the puzzle; nil, where it does not fit.
func (z *puzzle) hint(l *layout) []int32 {
	starts := make([]int32, len(z.nodes))
	for k, i := range z.nodes {
		if l.start[i] >= Never {
			return nil
		}
		starts[k] = z.floor(l.start[i])
		if e := &z.p.Nodes[k]; e.Fixed {
			starts[k] = e.Start
		}
	}
	return starts
}

// layout turns an answer into places: as they are where they hold, else laid out again in the answer's
// order with its promises kept.
func (z *puzzle) layout(starts []int32) *layout {
	v, m := z.v, z.v.m
	l := &layout{m: m, start: make([]Minute, len(m.nodes)), finish: make([]Minute, len(m.nodes)), busy: make([][]busy, len(m.res))}
	keys := make([]item, len(m.nodes))
	for _, i := range m.topo {
		n := &m.nodes[i]
		switch k := z.index[i]; {
		case n.fixed:
			l.put(i, n.start, n.finish)
			l.stretch(i)
		case k < 0:
			l.put(i, Never, Never)
		default:
			at := max(z.origin+Minute(int64(starts[k])*z.grid), n.low)
			l.put(i, at, n.endAt(at))
		}
		keys[i] = item{key: int64(l.start[i]), n: i}
	}
	if l.holds() {
		return l
	}
	keep := make([]bool, len(v.promises))
	wish := make([]Minute, len(m.nodes))
	for i, q := range v.promises {
		if at := l.start[q.node]; q.from <= at && at <= q.to {
			keep[i] = true
			wish[q.node] = max(wish[q.node], q.from)
		}
	}
	return m.run(keys, wish)
}

// holds tells whether every open line lies at a place of its own, waits for what it must, and has room.
func (l *layout) holds() bool {
	m := l.m
	for i := range m.nodes {
		n := &m.nodes[i]
		if n.fixed || l.start[i] >= Never {
			continue
		}
		low, end := m.bounds(int32(i), l.start, l.finish)
		if low > l.start[i] || end > l.finish[i] {
			return false
		}
		if s, f := m.earliest(n, l.start[i], end); s != l.start[i] || f != l.finish[i] {
			return false
		}
	}
	return l.hasRoom()
}

func (l *layout) hasRoom() bool {
	for r := range l.busy {
		for _, b := range l.busy[r] {
			if l.inUse(l.busy[r], b.start) > l.m.res[r].cap && l.openAt(r, b.start) {
				return false
			}
		}
	}
	return true
}

// openAt tells whether a line that could lie elsewhere uses resource r at the moment at.
func (l *layout) openAt(r int, at Minute) bool {
	for _, b := range l.busy[r] {
		if b.start <= at && at < b.finish && !l.m.nodes[b.n].fixed {
			return true
		}
	}
	return false
}
