package schedule

// busy is one line on a resource.
type busy struct {
	start, finish Minute
	amount        int32
	n             int32
}

// layout is where every node lies.
type layout struct {
	m             *model
	start, finish []Minute
	busy          [][]busy // per resource, in order of start
	list          []int32  // the order in which the nodes were placed
}

func (m *model) empty() *layout {
	var l *layout
	if n := len(m.desk.spare); n > 0 {
		l = m.desk.spare[n-1]
		m.desk.spare = m.desk.spare[:n-1]
		l.wipe()
	} else {
		l = &layout{m: m, busy: make([][]busy, len(m.res))}
		l.start, l.finish = twoLists(len(m.nodes))
	}
	for i := range m.nodes {
		n := &m.nodes[i]
		if !n.fixed {
			continue
		}
		l.start[i], l.finish[i] = n.start, n.finish
		if l.finish[i] > m.now.Day().Start() { // nothing is placed before today
			l.put(int32(i), l.start[i], l.finish[i])
		}
	}
	return l
}

// drop gives a layout back that nobody looks at any more.
func (m *model) drop(l *layout) { m.desk.spare = append(m.desk.spare, l) }

func (l *layout) wipe() {
	clear(l.start)
	clear(l.finish)
	for r := range l.busy {
		l.busy[r] = l.busy[r][:0]
	}
	l.list = l.list[:0]
}

// put places node j, and takes what it uses.
func (l *layout) put(j int32, start, finish Minute) {
	l.start[j], l.finish[j] = start, finish
	if start >= finish || start >= Never {
		return
	}
	for _, u := range l.m.nodes[j].uses {
		list := append(l.busy[u.res], busy{start, finish, u.amount, j})
		for i := len(list) - 1; i > 0 && list[i].start < list[i-1].start; i-- {
			list[i], list[i-1] = list[i-1], list[i]
		}
		l.busy[u.res] = list
	}
}

// room is the first moment at or after start from which something may change for a node that wants
// amount of resource r from start to finish: start itself, when there is room.
func (l *layout) room(r, amount int32, start, finish Minute) Minute {
	left := l.m.res[r].cap - amount
	if left < 0 {
		return start // more than there ever is: a Problem, not a reason to wait for ever
	}
	next := Never
	list := l.busy[r]
	var peak int32
	for i := range list {
		b := &list[i]
		if b.start >= finish {
			break
		}
		if b.finish <= start {
			continue
		}
		next = min(next, b.finish)
		peak = max(peak, l.inUse(list[:i+1], max(b.start, start)))
	}
	if peak <= left {
		return start
	}
	return next
}

// inUse is how much of list is taken at the moment at.
func (l *layout) inUse(list []busy, at Minute) (sum int32) {
	for i := range list {
		if list[i].start <= at && at < list[i].finish {
			sum += list[i].amount
		}
	}
	return sum
}

// fit is the first place of node j within its bounds where its crews and its place have room.
func (l *layout) fit(j int32, low, end Minute) (start, finish Minute) {
	n := &l.m.nodes[j]
	for {
		start, finish = l.m.earliest(n, low, end)
		if start >= Never || n.dur == 0 {
			return start, finish
		}
		next := start
		for _, u := range n.uses {
			next = max(next, l.room(u.res, u.amount, start, finish))
		}
		if next == start {
			return start, finish
		}
		low = next
	}
}

// place puts node j as early as its links, its crews, its place and its wish allow.
func (l *layout) place(j int32, wish Minute) {
	n := &l.m.nodes[j]
	if n.today {
		if start, finish, ok := l.today(j); ok {
			l.put(j, start, finish)
			l.list = append(l.list, j)
			return
		}
	}
	low, end := l.m.bounds(j, l.start, l.finish)
	start, finish := l.fit(j, low, end)
	if start < wish && (n.visit == 0 || start != n.visit) {
		start, finish = l.fit(j, max(low, wish), end)
	}
	l.put(j, start, finish)
	l.list = append(l.list, j)
}

// today tries a line at the start it was laid to earlier today. Nobody said that it did not begin.
func (l *layout) today(j int32) (start, finish Minute, ok bool) {
	n := &l.m.nodes[j]
	keep := n.low
	n.low = 0
	low, end := l.m.bounds(j, l.start, l.finish)
	n.low = keep
	if low > n.anchor {
		return 0, 0, false
	}
	start, finish = l.fit(j, n.anchor, end)
	return start, finish, start == n.anchor
}

// run places all nodes that are not fixed: the smallest key first among those whose links are placed,
// none of them before its wish.
func (m *model) run(keys []item, wish []Minute) *layout {
	l := m.empty()
	m.placed += int64(len(m.nodes))
	waits := zeroed(&m.desk.waits, len(m.nodes))
	for i := range m.arcs {
		waits[m.arcs[i].to]++
	}
	ready := m.desk.ready[:0]
	for i := range m.nodes {
		if waits[i] == 0 {
			ready.push(keys[i])
		}
	}
	for len(ready) > 0 {
		j := ready.pop().n
		n := &m.nodes[j]
		if n.fixed {
			l.stretch(j)
		} else {
			l.place(j, wish[j])
		}
		for _, k := range n.out {
			to := m.arcs[k].to
			if waits[to]--; waits[to] == 0 {
				ready.push(keys[to])
			}
		}
	}
	m.desk.ready = ready
	return l
}

// stretch lets running work last as long as the links that hold its finish ask. Its crew and its place
// are free once its own work is done: what waits may need them.
func (l *layout) stretch(j int32) {
	n := &l.m.nodes[j]
	if !n.runs {
		return
	}
	for _, k := range n.in {
		a := &l.m.arcs[k]
		ref := l.start[a.from]
		if a.fromEnd {
			ref = l.finish[a.from]
		}
		if at := l.m.bound(a, ref); a.toEnd && at < Never {
			l.finish[j] = max(l.finish[j], at)
		}
	}
}

// finishOf is the last finish of everything that has one.
func (l *layout) finishOf() (last Minute) {
	for i, f := range l.finish {
		if l.start[i] < Never {
			last = max(last, f)
		}
	}
	return last
}

// score orders layouts: lines that find no time, then the last finish, then all starts together.
func (l *layout) score() [3]int64 {
	var s [3]int64
	s[1] = int64(l.finishOf())
	for i := range l.start {
		if l.start[i] >= Never || l.m.due != nil && l.start[i] > l.m.due[i] {
			s[0]++
		} else {
			s[2] += int64(l.start[i])
		}
	}
	return s
}

func less(a, b [3]int64) bool {
	for i := range a {
		if a[i] != b[i] {
			return a[i] < b[i]
		}
	}
	return false
}
