package exact

import "fmt"

// This file shares no code with the search: it reads the problem as it is written.

// MaxHorizon bounds the times of a problem, and with them the memory of a solver.
const MaxHorizon = 1 << 20

// MaxNodes bounds the nodes of a problem.
const MaxNodes = 10000

func (p *Problem) check() error {
	if p.Horizon < 1 || p.Horizon > MaxHorizon {
		return fmt.Errorf("the horizon is %d; it must lie between 1 and %d", p.Horizon, MaxHorizon)
	}
	if len(p.Nodes) > MaxNodes {
		return fmt.Errorf("%d nodes are more than the limit of %d", len(p.Nodes), MaxNodes)
	}
	for i, c := range p.Calendars {
		last := int32(-1)
		for _, w := range c {
			if w.From <= last || w.To <= w.From {
				return fmt.Errorf("calendar %d: its windows must be in order, open for a time, and not touch", i+1)
			}
			last = w.To
		}
	}
	cals := int32(len(p.Calendars))
	n := int32(len(p.Nodes))
	for i, d := range p.Nodes {
		switch {
		case d.Cal < 0 || d.Cal > cals:
			return fmt.Errorf("node %d names calendar %d, which does not exist", i, d.Cal)
		case d.Dur < 0 || d.Dur > p.Horizon && !d.Fixed:
			return fmt.Errorf("node %d takes %d, which does not lie between 0 and the horizon", i, d.Dur)
		case d.Fixed && (d.Finish < d.Start || d.Start < 0 || d.Finish > p.Horizon):
			return fmt.Errorf("node %d is fixed from %d to %d, which does not lie within the horizon", i, d.Start, d.Finish)
		case d.Min < 0 || d.Max < 0:
			return fmt.Errorf("node %d: its earliest and latest start must not be negative", i)
		}
		for k, at := range d.Places {
			if at.Finish < at.Start || at.Start < 0 || at.Finish > p.Horizon || k > 0 && (at.Start <= d.Places[k-1].Start || at.Finish < d.Places[k-1].Finish) {
				return fmt.Errorf("node %d: place %d is out of order or beyond the horizon", i, k)
			}
		}
	}
	for i, a := range p.Arcs {
		if a.From < 0 || a.From >= n || a.To < 0 || a.To >= n || a.From == a.To {
			return fmt.Errorf("arc %d: it must join two different nodes that exist", i)
		}
		if a.Cal < 0 || a.Cal > cals {
			return fmt.Errorf("arc %d names calendar %d, which does not exist", i, a.Cal)
		}
		for k, t := range a.After {
			if t < 0 || k > 0 && t < a.After[k-1] {
				return fmt.Errorf("arc %d: what comes after must never fall", i)
			}
		}
		if from := p.Nodes[a.From]; a.After != nil && (from.Fixed || len(a.After) != len(from.Places)) {
			return fmt.Errorf("arc %d: it says what comes after %d places, node %d has %d and must not be fixed", i, len(a.After), a.From, len(from.Places))
		}
		if a.Lag > p.Horizon || a.Lag < -MaxHorizon {
			return fmt.Errorf("arc %d: a lag of %d is beyond the horizon", i, a.Lag)
		}
	}
	return p.checkShares()
}

func (p *Problem) checkShares() error {
	n := int32(len(p.Nodes))
	for i, r := range p.Resources {
		for _, u := range r.Uses {
			if u.Node < 0 || u.Node >= n || u.Demand < 0 || u.Demand > MaxHorizon {
				return fmt.Errorf("resource %d: a use must name a node and demand 0 to %d", i, MaxHorizon)
			}
		}
		if r.Cap < 0 || r.Cap > MaxHorizon {
			return fmt.Errorf("resource %d: a capacity of %d does not lie between 0 and %d", i, r.Cap, MaxHorizon)
		}
	}
	sum := int64(0)
	for i, w := range p.Calls {
		if sum += int64(w); w < 0 || sum > MaxHorizon {
			return fmt.Errorf("call %d: weights must not be negative or add up to more than %d", i, MaxHorizon)
		}
	}
	for i, k := range p.Promises {
		if k.Node < 0 || k.Node >= n || k.Call < 0 || int(k.Call) >= len(p.Calls) || k.To < k.From || k.From < 0 || k.To > p.Horizon {
			return fmt.Errorf("promise %d: it must name a node, a call and a span of starts within the horizon", i)
		}
	}
	return nil
}

// Value is the finish and the cost of a schedule.
func (p *Problem) Value(starts, ends []int32) (finish, cost int32) {
	for _, t := range ends {
		finish = max(finish, t)
	}
	called := make([]bool, len(p.Calls))
	for _, k := range p.Promises {
		if !p.Nodes[k.Node].Fixed && (starts[k.Node] < k.From || starts[k.Node] > k.To) {
			called[k.Call] = true
		}
	}
	for i, c := range called {
		if c {
			cost += p.Calls[i]
		}
	}
	return finish, cost
}

// Check says whether starts is a schedule of p, in words when it is not, and returns when each node
// finishes.
func Check(p *Problem, starts []int32) (ends []int32, err error) {
	if len(starts) != len(p.Nodes) {
		return nil, fmt.Errorf("%d starts for %d nodes", len(starts), len(p.Nodes))
	}
	for i := range p.Nodes {
		e, err := p.finishOf(i, starts[i])
		if err != nil {
			return nil, fmt.Errorf("node %d: %w", i, err)
		}
		ends = append(ends, e)
	}
	for i, a := range p.Arcs {
		if !p.Nodes[a.To].Fixed && !p.respects(a, starts, ends) {
			return nil, fmt.Errorf("arc %d: node %d does not wait for node %d", i, a.To, a.From)
		}
	}
	for i := range p.Resources {
		if t, bad := p.overfull(i, starts, ends); bad {
			return nil, fmt.Errorf("resource %d is short at %d", i, t)
		}
	}
	return ends, nil
}

func (p *Problem) finishOf(i int, start int32) (int32, error) {
	n := p.Nodes[i]
	if n.Fixed {
		if start != n.Start {
			return 0, fmt.Errorf("it is fixed to %d, not %d", n.Start, start)
		}
		return n.Finish, nil
	}
	if start < n.Min || n.Max > 0 && start > n.Max || start < 0 || start > p.Horizon {
		return 0, fmt.Errorf("start %d is outside its limits", start)
	}
	if len(n.Places) > 0 {
		for _, at := range n.Places {
			if at.Start == start {
				return at.Finish, nil
			}
		}
		return 0, fmt.Errorf("start %d is none of its places", start)
	}
	if n.Cal == Always {
		if start+n.Dur > p.Horizon {
			return 0, fmt.Errorf("it finishes after the horizon")
		}
		return start + n.Dur, nil
	}
	left := n.Dur
	for k, w := range p.Calendars[n.Cal-1] {
		w.To = min(w.To, p.Horizon)
		switch {
		case n.Slot:
			if w.From == start && w.From < w.To {
				return w.To, nil
			}
			continue
		case start >= w.To:
			continue
		case start < w.From && left == n.Dur && (k == 0 || start >= p.Calendars[n.Cal-1][k-1].To):
			return 0, fmt.Errorf("start %d lies in closed time", start)
		case n.Dur == 0:
			return start, nil
		}
		from := max(w.From, start)
		if w.To-from >= left {
			return from + left, nil
		}
		left -= max(0, w.To-from)
	}
	return 0, fmt.Errorf("start %d leaves no open time to finish", start)
}

// open counts the open units of calendar c from x to y.
func (p *Problem) open(c, x, y int32) int32 {
	if c == Always {
		return y - x
	}
	n := int32(0)
	for _, w := range p.Calendars[c-1] {
		n += max(0, min(w.To, y)-max(w.From, x))
	}
	return n
}

// respects says whether a schedule respects an arc.
func (p *Problem) respects(a Arc, starts, ends []int32) bool {
	from, to := starts[a.From], starts[a.To]
	if a.After != nil {
		for k, at := range p.Nodes[a.From].Places {
			if at.Start == from {
				return to >= a.After[k]
			}
		}
		return false
	}
	if a.FromEnd {
		from = ends[a.From]
	}
	if a.ToEnd {
		to = ends[a.To]
	}
	return p.waited(a, from, to)
}

func (p *Problem) waited(a Arc, from, to int32) bool {
	switch {
	case a.Lag == 0 || a.Cal == Always:
		return to >= from+a.Lag
	case a.Lag > 0:
		return to >= from && p.open(a.Cal, from, to) >= a.Lag
	}
	return to >= from || p.open(a.Cal, to, from) <= -a.Lag
}

// overfull looks at every start, where use can only grow.
func (p *Problem) overfull(r int, starts, ends []int32) (int32, bool) {
	res := p.Resources[r]
	for _, at := range res.Uses {
		t := starts[at.Node]
		if at.Demand == 0 || p.Nodes[at.Node].Fixed && !p.anyFree(res, t, starts, ends) {
			continue
		}
		facts, free := int64(0), int64(0)
		for _, u := range res.Uses {
			switch {
			case starts[u.Node] > t || t >= ends[u.Node]:
			case p.Nodes[u.Node].Fixed:
				facts += int64(u.Demand)
			default:
				free += int64(u.Demand)
			}
		}
		if free > 0 && min(facts, int64(res.Cap))+free > int64(res.Cap) {
			return t, true
		}
	}
	return 0, false
}

func (p *Problem) anyFree(res Resource, t int32, starts, ends []int32) bool {
	for _, u := range res.Uses {
		if u.Demand > 0 && !p.Nodes[u.Node].Fixed && starts[u.Node] <= t && t < ends[u.Node] {
			return true
		}
	}
	return false
}
