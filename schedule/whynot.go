package schedule

// Earliest answers a wished start: when the line would really start, and what stands in the way.
type Earliest struct {
	At Minute `json:"at"`
	// Chain is the reasons, the nearest first: why the line cannot start at the wish, why what it waits
	// for is no sooner, and so on to the first that waits for nobody. Empty: the wish can be granted, on its
	// day if not to the hour.
	Chain []Reason `json:"chain,omitempty"`
}

// longestChain is how many reasons are told: a longer story helps nobody.
const longestChain = 8

// EarliestFor says when the line id starts if it is laid to wish, and why it is not sooner. Every other
// line stays where it was laid, and is pushed where it must be. At is zero when there is no such line;
// a fact answers with itself.
func EarliestFor(site *Site, now Minute, id string, wish Minute) Earliest {
	m := compile(site, now)
	i := m.find(id)
	if i < 0 {
		return Earliest{}
	}
	n := &m.nodes[i]
	anchors := m.anchors()
	n.anchor, n.asked, anchors[i] = wish, wish, wish
	if n.visit != 0 && n.visit != wish { // asked to move it: what was agreed is no reason
		n.visit = 0
		n.low = max(n.low, n.again)
		n.release = append(n.release, Reason{Kind: BecauseNotice, At: n.again})
	}
	l := m.best(anchors)
	m.lateOrders(l)
	e := Earliest{At: l.start[i]}
	if first, _ := m.earliest(&node{shape: n.shape, cal: n.cal, dur: n.dur, cuts: n.cuts}, wish, 0); !n.fixed && l.start[i] <= first && l.start[i].Day() == wish.Day() {
		return e
	}
	e.Chain = m.chain(newGraph(m, l), i, wish)
	return e
}

// chain is why line i starts when it does, the nearest reason first, back to what is done by the moment
// until or waits for nobody.
func (m *model) chain(g *graph, i int32, until Minute) (chain []Reason) {
	for range longestChain {
		r := m.because(g, i)
		chain = append(chain, r)
		if i = m.find(r.By); i < 0 || g.l.finish[i] <= until {
			break
		}
	}
	return chain
}
