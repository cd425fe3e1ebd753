package exact

import (
	"math/rand"
	"slices"
	"testing"
)

// plain draws a problem that can be bred.
func plain(r *rand.Rand, most int) *Problem {
	p := &Problem{Horizon: 1}
	n := int32(2 + r.Intn(most-1))
	for i := range n {
		p.Nodes = append(p.Nodes, Node{Dur: r.Int31n(5)})
		p.Horizon += p.Nodes[i].Dur
		for j := range i {
			if r.Intn(int(n)) == 0 {
				p.Arcs = append(p.Arcs, Arc{From: j, To: i, FromEnd: true})
			}
		}
	}
	for range 1 + r.Intn(3) {
		res := Resource{Cap: 1 + r.Int31n(5)}
		for i := range n {
			if d := r.Int31n(res.Cap + 1); d > 0 {
				res.Uses = append(res.Uses, Use{i, d})
			}
		}
		p.Resources = append(p.Resources, res)
	}
	return p
}

// Bred schedules hold, are never better than the proved best, and mostly as good on small plans; the
// same run twice gives the same schedule, in whatever portions it is told to run.
func TestBreed(t *testing.T) {
	best := 0
	const rounds = 150
	for seed := range int64(rounds) {
		p := plain(rand.New(rand.NewSource(seed)), 20)
		s, err := New(p)
		if err != nil {
			t.Fatal(err)
		}
		a := s.Solve(Ask{Steps: 100000})
		b, again := NewBreeder(p, 1000), NewBreeder(p, 1000)
		b.Run(1000)
		for k := int64(100); k <= 1000; k += 100 {
			again.Run(k)
		}
		starts, finish, _ := b.Best()
		twice, _, _ := again.Best()
		ends, err := Check(p, starts)
		if err != nil || slices.Max(ends) != finish {
			t.Fatalf("seed %d: finish %d, %v", seed, finish, err)
		}
		if finish < a.Lower || !slices.Equal(starts, twice) {
			t.Fatalf("seed %d: bred %d, proved %d..%d, again the same %v", seed, finish, a.Lower, a.Finish, slices.Equal(starts, twice))
		}
		if finish <= a.Finish {
			best++
		}
	}
	if best < rounds*9/10 {
		t.Errorf("only %d of %d are best", best, rounds)
	}
}

// A hunt in portions of any size ends with the same proof.
func TestHunt(t *testing.T) {
	for seed := range int64(20) {
		p := plain(rand.New(rand.NewSource(seed)), 80)
		a, err := NewHunt(p)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := NewHunt(p)
		a.Step(20000)
		for k := 0; k < 40 && !b.Best().Proved; k++ {
			b.Step(500)
		}
		x, y := a.Best(), b.Best()
		if !x.Found || !y.Found || x.Lower > y.Finish || y.Lower > x.Finish || x.Proved && y.Proved && x.Finish != y.Finish {
			t.Errorf("seed %d: %d..%d and %d..%d", seed, x.Lower, x.Finish, y.Lower, y.Finish)
		}
	}
}
