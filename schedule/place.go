package schedule

// Where a node can lie, looking forward and looking back. All of these only ever move the same way as
// what they are given: a later bound never gives an earlier place. The passes rest on that.

// earliest is the first place of node n that starts at or after low and finishes at or after end.
func (m *model) earliest(n *node, low, end Minute) (start, finish Minute) {
	if low >= Never || end >= Never {
		return Never, Never
	}
	if n.visit != 0 && max(low, end-(n.visitEnd-n.visit)) <= n.visit {
		if n.loose {
			if start, finish = n.window(max(low, n.again), end); start < n.visit {
				return start, finish
			}
		}
		return n.visit, n.visitEnd
	}
	low = max(low, n.again)
	switch n.shape {
	case work:
		return n.earliestWork(low, end)
	case point:
		at := n.cal.orEnd(max(low, end))
		return at, at
	}
	return n.window(low, end)
}

// window is the first window that begins at or after low and ends at or after end.
func (n *node) window(low, end Minute) (start, finish Minute) {
	for start, finish = n.cal.NextWindow(low); finish < end; {
		start, finish = n.cal.NextWindow(start + 1)
	}
	return start, finish
}

func (n *node) earliestWork(low, end Minute) (start, finish Minute) {
	c := n.cal
	k := c.count(low)
	if end > low {
		k = max(k, c.count(end-1)+1-n.dur)
	}
	k = c.uncut(k, n.dur, n.cuts)
	if start = c.minuteNear(k, low.Day()); start >= Never {
		return Never, Never
	}
	if finish = c.minuteNear(k+n.dur-1, start.Day()) + 1; finish > Never {
		return Never, Never
	}
	return start, finish
}

// orEnd is m while work goes on or has just stopped, else the next open moment: a milestone reached at
// half past four does not wait for the morning.
func (c *Calendar) orEnd(m Minute) Minute {
	if c.Open(m) || c.Open(m-1) {
		return m
	}
	return c.minute(c.count(m))
}

// latest is the last place of node n that starts at or before high and finishes at or before end; ok is
// false when there is none within the horizon.
func (m *model) latest(n *node, high, end Minute) (start Minute, ok bool) {
	c := n.cal
	switch n.shape {
	case work:
		return n.latestWork(high, end)
	case point:
		at := min(high, end)
		if !c.Open(at) && !c.Open(at-1) {
			at = c.after(c.count(at))
		}
		return at, at > c.base.Start()
	}
	start, _, ok = c.LastWindow(high, end)
	return start, ok
}

func (n *node) latestWork(high, end Minute) (start Minute, ok bool) {
	c := n.cal
	k := min(c.count(end)-n.dur, c.count(high+1)-1)
	k = c.cutBack(k, n.dur, n.cuts)
	if k < 0 {
		return 0, false
	}
	return c.minute(k), true
}

// bounds is what the links let node j do, given where the nodes before it lie.
func (m *model) bounds(j int32, start, finish []Minute) (low, end Minute) {
	n := &m.nodes[j]
	low = n.low
	for _, k := range n.in {
		a := &m.arcs[k]
		ref := start[a.from]
		if a.fromEnd {
			ref = finish[a.from]
		}
		if at := m.bound(a, ref); a.toEnd {
			end = max(end, at)
		} else {
			low = max(low, at)
		}
	}
	return low, end
}
