package exact

import (
	"math/rand"
	"testing"
)

// tiny draws a small problem with every feature the package knows.
func tiny(r *rand.Rand) *Problem {
	p := &Problem{Horizon: 5 + r.Int31n(8)}
	for range r.Intn(3) {
		var c Calendar
		for t := r.Int31n(3); t < p.Horizon; {
			to := t + 1 + r.Int31n(4)
			c = append(c, Window{t, to})
			t = to + 1 + r.Int31n(3)
		}
		p.Calendars = append(p.Calendars, c)
	}
	cal := func() int32 { return r.Int31n(int32(len(p.Calendars)) + 1) }
	for range 1 + r.Intn(4) {
		n := Node{Dur: r.Int31n(4), Cal: cal(), Slot: r.Intn(6) == 0, Min: max(0, r.Int31n(8)-5)}
		if r.Intn(8) == 0 {
			n.Max = 1 + r.Int31n(p.Horizon)
		}
		if r.Intn(7) == 0 {
			n.Fixed, n.Start = true, r.Int31n(p.Horizon)
			n.Finish = n.Start + r.Int31n(p.Horizon-n.Start+1)
		}
		if r.Intn(6) == 0 {
			for s, f := r.Int31n(3), int32(0); s <= p.Horizon && f <= p.Horizon; s += 1 + r.Int31n(4) {
				f = max(f, s) + r.Int31n(3)
				n.Places = append(n.Places, Place{s, min(f, p.Horizon)})
			}
		}
		p.Nodes = append(p.Nodes, n)
	}
	n := int32(len(p.Nodes))
	for range r.Intn(5) {
		a := Arc{From: r.Int31n(n), To: r.Int31n(n), FromEnd: r.Intn(3) > 0, ToEnd: r.Intn(3) == 0, Lag: r.Int31n(7) - 3, Cal: cal()}
		if places := p.Nodes[a.From].Places; len(places) > 0 && r.Intn(2) == 0 && !p.Nodes[a.From].Fixed {
			t := int32(0)
			for range places {
				t += r.Int31n(5)
				a.After = append(a.After, t)
			}
		}
		if a.From != a.To && (a.From < a.To || r.Intn(4) == 0) {
			p.Arcs = append(p.Arcs, a)
		}
	}
	for range r.Intn(3) {
		res := Resource{Cap: 1 + r.Int31n(3)}
		for i := range n {
			if d := r.Int31n(res.Cap + 1); d > 0 || r.Intn(20) == 0 {
				if d == 0 {
					d = res.Cap + 1 // more than there ever is
				}
				res.Uses = append(res.Uses, Use{i, d})
			}
		}
		p.Resources = append(p.Resources, res)
	}
	for range r.Intn(3) {
		p.Calls = append(p.Calls, r.Int31n(4))
	}
	if len(p.Calls) > 0 {
		for range 1 + r.Intn(4) {
			from := r.Int31n(p.Horizon)
			p.Promises = append(p.Promises, Promise{r.Int31n(n), from, min(p.Horizon, from+r.Int31n(3)), r.Int31n(int32(len(p.Calls)))})
		}
	}
	return p
}

// brute is the set of (finish, cost) of all schedules, by trying every start of every node.
func brute(p *Problem) map[[2]int32]bool {
	out := map[[2]int32]bool{}
	starts := make([]int32, len(p.Nodes))
	ends := make([]int32, len(p.Nodes))
	var place func(i int)
	place = func(i int) {
		if i == len(p.Nodes) {
			if _, err := Check(p, starts); err == nil {
				f, c := p.Value(starts, ends)
				out[[2]int32{f, c}] = true
			}
			return
		}
	next:
		for t := int32(0); t <= p.Horizon; t++ {
			e, err := p.finishOf(i, t)
			if err != nil {
				continue
			}
			starts[i], ends[i] = t, e
			for _, a := range p.Arcs {
				if int(max(a.From, a.To)) != i || p.Nodes[a.To].Fixed {
					continue
				}
				if !p.respects(a, starts, ends) {
					continue next
				}
			}
			place(i + 1)
		}
	}
	place(0)
	return out
}

const lots = 1 << 30

// Every answer on tiny problems agrees with trying everything, also when one solver is asked several
// questions in turn.
func TestBruteForce(t *testing.T) {
	rounds := 6000
	if testing.Short() {
		rounds = 1000
	}
	for seed := range int64(rounds) {
		bruteSeed(t, seed)
		if t.Failed() {
			return
		}
	}
}

func bruteSeed(t *testing.T, seed int64) {
	r := rand.New(rand.NewSource(seed))
	p := tiny(r)
	all := brute(p)
	s, err := New(p)
	if err != nil {
		t.Fatalf("seed %d: %v", seed, err)
	}
	s.hot = int64(r.Intn(2) * 100)
	for k := range 6 {
		q := Ask{Want: Want(r.Intn(3)), By: r.Int31n(p.Horizon + 2), Cost: r.Int31n(6), Limit: r.Intn(2) == 0, Steps: lots}
		best, any := int32(lots), false
		for v := range all {
			if (q.By == 0 || v[0] <= q.By) && (!q.Limit || v[1] <= q.Cost) {
				any = true
				best = min(best, v[min(q.Want, 1)])
			}
		}
		a := s.Solve(q)
		if !a.Proved || a.Found != any {
			t.Errorf("seed %d question %d %+v: %+v, but %v there is a schedule", seed, k, q, a, any)
			return
		}
		if !any {
			continue
		}
		ends, err := Check(p, a.Starts)
		if err != nil {
			t.Errorf("seed %d question %d: %v", seed, k, err)
			return
		}
		f, c := p.Value(a.Starts, ends)
		got := [2]int32{f, c}
		if f != a.Finish || c != a.Cost || q.Want != Any && (got[q.Want] != best || a.Lower != best) {
			t.Errorf("seed %d question %d %+v: %+v, best is %d", seed, k, q, a, best)
			return
		}
	}
}

// Where there is no schedule, what is proved of the finish is still said: of a problem that is impossible before
// anything is asked, and of one that only cannot be done by the moment asked for.
func TestLowerWithoutASchedule(t *testing.T) {
	p := &Problem{Horizon: 40, Nodes: []Node{{Dur: 6}, {Dur: 4}}, Arcs: []Arc{{From: 0, To: 1, FromEnd: true}},
		Resources: []Resource{{Cap: 1, Uses: []Use{{Node: 1, Demand: 2}}}}}
	s, err := New(p)
	if err != nil {
		t.Fatal(err)
	}
	if a := s.Solve(Ask{Steps: lots}); a.Found || !a.Proved || a.Lower != 10 {
		t.Errorf("impossible from the start: %+v", a)
	}
	// Three of 3, two at a time: 6, though they would fill no more than 5.
	p = &Problem{Horizon: 40, Nodes: []Node{{Dur: 3}, {Dur: 3}, {Dur: 3}},
		Resources: []Resource{{Cap: 2, Uses: []Use{{0, 1}, {1, 1}, {2, 1}}}}}
	if s, err = New(p); err != nil {
		t.Fatal(err)
	}
	if a := s.Solve(Ask{By: 5, Steps: lots}); a.Found || !a.Proved || a.Lower != 6 {
		t.Errorf("by 5: %+v", a)
	}
}
