package schedule

// The orders in which lines without a laid start are placed. Common practice, no source: no rule is best
// everywhere, so several are tried and the soonest finish kept. Each plan's late starts then order the
// next run (forward-backward improvement) until that gains nothing.
const ruleCount = 5

// keys is one rule's order. Laid lines, and what they wait for, come first and keep their order.
func (m *model) keys(rule int, late *pass, wish []Minute) []item {
	if cap(m.desk.keys) < len(m.nodes) {
		m.desk.keys = make([]item, len(m.nodes))
	}
	keys := m.desk.keys[:len(m.nodes)]
	need := m.needed(wish)
	for i := range m.nodes {
		keys[i] = item{class: 1, key: m.rank(rule, int32(i), late), n: int32(i)}
		if need[i] < Never {
			keys[i] = item{class: 0, key: int64(need[i]), n: int32(i)}
		}
	}
	return keys
}

// anchors is where lines were laid: nothing is pulled earlier than that by itself.
func (m *model) anchors() []Minute {
	wish := make([]Minute, len(m.nodes))
	for i := range m.nodes {
		wish[i] = m.nodes[i].anchor
	}
	return wish
}

// needed is, for each node, the earliest wish of it or anything behind it; Never, where there is none.
func (m *model) needed(wish []Minute) []Minute {
	if cap(m.desk.need) < len(m.nodes) {
		m.desk.need = make([]Minute, len(m.nodes))
	}
	need := m.desk.need[:len(m.nodes)]
	for k := len(m.topo) - 1; k >= 0; k-- {
		i := m.topo[k]
		need[i] = Never
		if n := &m.nodes[i]; n.visit != 0 && !n.loose {
			need[i] = n.visit
		} else if wish[i] != 0 {
			need[i] = wish[i]
		}
		for _, a := range m.nodes[i].out {
			need[i] = min(need[i], need[m.arcs[a].to])
		}
	}
	return need
}

func (m *model) rank(rule int, i int32, late *pass) int64 {
	switch rule {
	case 0:
		return int64(late.start[i])
	case 1:
		return int64(late.finish[i])
	case 2: // least slack
		return m.nodes[i].cal.WorkBetween(late.early[i], late.start[i])
	case 3: // earliest first
		return int64(late.early[i])
	}
	return -int64(len(m.nodes[i].out))*MinutesPerDay + int64(late.start[i])/MinutesPerDay
}

// best is the best plan of the rules.
func (m *model) best(wish []Minute) *layout {
	if m.first == nil {
		l := m.alone()
		m.first = m.bothPasses(l)
	}
	first := m.first
	var top *layout
	for rule := range ruleCount {
		l := m.run(m.keys(rule, first, wish), wish)
		if rule == 0 && m.nothingFree(wish) {
			return l
		}
		if m.quick && rule > 0 {
			break
		}
		for range 4 {
			next := m.run(m.keys(0, m.lateOf(l), wish), wish)
			if !less(next.score(), l.score()) {
				m.drop(next)
				break
			}
			m.drop(l)
			l = next
		}
		switch {
		case top == nil:
			top = l
		case less(l.score(), top.score()):
			m.drop(top)
			top = l
		default:
			m.drop(l)
		}
	}
	return top
}

// nothingFree tells whether every open line has its place in the order already.
func (m *model) nothingFree(wish []Minute) bool {
	for i, at := range m.needed(wish) {
		if n := &m.nodes[i]; !n.fixed && n.shape == work && at >= Never {
			return false
		}
	}
	return true
}

// alone is the plan in which nobody has to share: crews and places without limit.
func (m *model) alone() *layout {
	l := &layout{m: m}
	l.start, l.finish = twoLists(len(m.nodes))
	for _, i := range m.topo {
		n := &m.nodes[i]
		if n.fixed {
			l.start[i], l.finish[i] = n.start, n.finish
			l.stretch(i)
			continue
		}
		low, end := m.bounds(i, l.start, l.finish)
		l.start[i], l.finish[i] = m.earliest(n, low, end)
	}
	return l
}
