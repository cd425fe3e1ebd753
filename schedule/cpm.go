package schedule

import "errors"

// Network is a plain critical path problem: whole numbers, no calendars, nobody to share. The planner
// does not need it; it is the method by itself, for checking and for measuring.
type Network struct {
	Dur  []int64
	Arcs []NetArc
}

// NetArc makes an end of To wait for an end of From, by their indexes into Network.Dur.
type NetArc struct {
	From, To int
	Kind     LinkKind // empty means FS
	Lag      int64    // negative is a lead
}

// Passes is the answer: early and late starts and finishes, total and free float.
type Passes struct {
	Finish         int64
	ES, EF, LS, LF []int64
	Total, Free    []int64
	Critical       []bool // no total float
}

// ErrCircle means that a network's arcs go round.
var ErrCircle = errors.New("the links go round in a circle")

// CPM makes the forward and the backward pass. Nothing starts before 0, everything finishes by the
// last early finish. Free float is the least slack of any arc out of an activity, and to the finish.
//
// Source: Hendrickson, "Project Management for Construction", ch. 10; the four kinds of link as in the
// precedence diagram method.
func CPM(net *Network) (*Passes, error) {
	n := len(net.Dur)
	order, err := net.order()
	if err != nil {
		return nil, err
	}
	p := &Passes{ES: make([]int64, n), EF: make([]int64, n), LS: make([]int64, n), LF: make([]int64, n),
		Total: make([]int64, n), Free: make([]int64, n), Critical: make([]bool, n)}
	in, out := net.arcsBy(func(a *NetArc) int { return a.To }), net.arcsBy(func(a *NetArc) int { return a.From })
	for _, i := range order {
		for _, a := range in[i] {
			p.ES[i] = max(p.ES[i], p.ES[a.From]+net.distance(a))
		}
		p.EF[i] = p.ES[i] + net.Dur[i]
		p.Finish = max(p.Finish, p.EF[i])
	}
	for k := n - 1; k >= 0; k-- {
		i := order[k]
		p.LS[i] = p.Finish - net.Dur[i]
		p.Free[i] = p.Finish - p.EF[i]
		for _, a := range out[i] {
			p.LS[i] = min(p.LS[i], p.LS[a.To]-net.distance(a))
			p.Free[i] = min(p.Free[i], p.ES[a.To]-net.distance(a)-p.ES[i])
		}
		p.LF[i] = p.LS[i] + net.Dur[i]
		p.Total[i] = p.LS[i] - p.ES[i]
		p.Critical[i] = p.Total[i] == 0
	}
	return p, nil
}

// distance is how much later than From's start the start of To must lie.
func (net *Network) distance(a *NetArc) int64 {
	switch a.Kind {
	case SS:
		return a.Lag
	case FF:
		return net.Dur[a.From] + a.Lag - net.Dur[a.To]
	case SF:
		return a.Lag - net.Dur[a.To]
	}
	return net.Dur[a.From] + a.Lag
}

func (net *Network) arcsBy(end func(*NetArc) int) [][]*NetArc {
	by := make([][]*NetArc, len(net.Dur))
	for i := range net.Arcs {
		a := &net.Arcs[i]
		by[end(a)] = append(by[end(a)], a)
	}
	return by
}

// order puts the activities so that arcs only point forward.
func (net *Network) order() ([]int, error) {
	waits := make([]int, len(net.Dur))
	for i := range net.Arcs {
		waits[net.Arcs[i].To]++
	}
	var order []int
	for i, w := range waits {
		if w == 0 {
			order = append(order, i)
		}
	}
	out := net.arcsBy(func(a *NetArc) int { return a.From })
	for k := 0; k < len(order); k++ {
		for _, a := range out[order[k]] {
			if waits[a.To]--; waits[a.To] == 0 {
				order = append(order, a.To)
			}
		}
	}
	if len(order) < len(net.Dur) {
		return nil, ErrCircle
	}
	return order, nil
}
