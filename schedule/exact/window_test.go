package exact

import (
	"math/rand"
	"slices"
	"testing"
)

// listed is a list schedule of a plan.
func listed(t *testing.T, f *fitter) (starts []int32, end int32) {
	t.Helper()
	order := make([]int32, f.l.n)
	starts = make([]int32, f.l.n)
	f.l.draw(order, 500)
	return starts, f.l.serial(order, starts, 0)
}

// A window over the whole plan says yes until the schedule is as short as the search proves it can be,
// and then no.
func TestWindowOfAll(t *testing.T) {
	shortened := 0
	for seed := range int64(300) {
		p := plain(rand.New(rand.NewSource(seed)), 10)
		s, err := New(p)
		if err != nil {
			t.Fatal(err)
		}
		best := s.Solve(Ask{Steps: 1e6})
		if !best.Proved {
			t.Fatalf("seed %d: not proved", seed)
		}
		f := newFitter(p)
		starts, end := listed(t, f)
		for {
			if _, ok := f.fit(starts, end, 0, f.l.n, 1e6); !ok {
				break
			}
			ends, err := Check(p, starts)
			if err != nil || slices.Max(ends) >= end {
				t.Fatalf("seed %d: from %d to %v: %v", seed, end, ends, err)
			}
			end = slices.Max(ends)
			shortened++
		}
		if end != best.Finish {
			t.Errorf("seed %d: windows stop at %d, the best is %d", seed, end, best.Finish)
		}
	}
	if shortened < 30 {
		t.Errorf("only %d windows fitted: the plans are too easy to say anything", shortened)
	}
}

// Windows anywhere give schedules that hold and finish sooner, or leave the schedule as it was; the same
// twice.
func TestWindows(t *testing.T) {
	shortened := 0
	for seed := range int64(60) {
		p := plain(rand.New(rand.NewSource(seed)), 90)
		for i := range p.Arcs {
			p.Arcs[i].Lag = int32(i) % 3
			p.Horizon += p.Arcs[i].Lag
		}
		f, again := newFitter(p), newFitter(p)
		starts, end := listed(t, f)
		twice, _ := listed(t, again)
		for range 20 {
			before := slices.Clone(starts)
			_, ok := f.shorten(starts, end, 3000)
			again.shorten(twice, end, 3000)
			if !slices.Equal(starts, twice) {
				t.Fatalf("seed %d: not the same twice", seed)
			}
			if !ok {
				if !slices.Equal(starts, before) {
					t.Fatalf("seed %d: no window fitted, but the schedule changed", seed)
				}
				continue
			}
			ends, err := Check(p, starts)
			if err != nil || slices.Max(ends) >= end {
				t.Fatalf("seed %d: from %d to %v: %v", seed, end, ends, err)
			}
			end = slices.Max(ends)
			shortened++
		}
	}
	if shortened < 30 {
		t.Errorf("only %d windows fitted", shortened)
	}
}

// Once a breeder exists, a schedule more takes no memory.
func TestBreedAllocates(t *testing.T) {
	p := plain(rand.New(rand.NewSource(7)), 90)
	b := NewBreeder(p, 2000)
	b.lower = -1 // never content
	for range 200 {
		b.breed()
		b.climb()
	}
	if n := testing.AllocsPerRun(200, b.breed); n > 0 {
		t.Errorf("breeding allocates %v times", n)
	}
	if n := testing.AllocsPerRun(200, b.climb); n > 0 {
		t.Errorf("climbing allocates %v times", n)
	}
}

// Climbing never makes the best worse, holds at every try, and what is laid is what counts.
func TestClimb(t *testing.T) {
	for seed := range int64(60) {
		p := plain(rand.New(rand.NewSource(seed)), 60)
		b := NewBreeder(p, 100)
		b.lower = -1
		for range 60 {
			before, laid := b.finish, b.l.laid
			b.climb()
			ends, err := Check(p, b.from)
			if err != nil || slices.Max(ends) != b.end || b.end > before || b.finish > before {
				t.Fatalf("seed %d: %d after %d, %v", seed, b.end, before, err)
			}
			if n := b.l.laid - laid; n < 1 || n > mostClimbed*int64(b.l.n) {
				t.Fatalf("seed %d: one try counts %d nodes of %d", seed, n, b.l.n)
			}
		}
	}
}

// No more schedules are made than were asked for, small and large plans alike.
func TestHuntCounts(t *testing.T) {
	for seed := range int64(20) {
		p := plain(rand.New(rand.NewSource(seed)), 150)
		for _, most := range []int64{1, 20, 300} {
			h, err := NewHunt(p)
			if err != nil {
				t.Fatal(err)
			}
			if !h.Breed(most) || h.Schedules() > most || !h.Best().Found {
				t.Errorf("seed %d: %d schedules where %d were asked for", seed, h.Schedules(), most)
			}
		}
	}
}

// The same large hunt twice, through several breeders and windows, gives the same schedule.
func TestHuntTwice(t *testing.T) {
	for seed := range int64(2) {
		r := rand.New(rand.NewSource(seed))
		p := plain(r, 100)
		for len(p.Nodes) <= small {
			p = plain(r, 100)
		}
		a, err := NewHunt(p)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := NewHunt(p)
		a.herd(300) // so small that others follow
		b.herd(300)
		for range 30 {
			a.Step(30000)
			b.Step(30000)
		}
		x, y := a.Best(), b.Best()
		if a.made == 0 && !x.Proved {
			t.Errorf("seed %d: one breeder made everything", seed)
		}
		if !slices.Equal(x.Starts, y.Starts) || x.Steps != y.Steps || a.Schedules() != b.Schedules() {
			t.Errorf("seed %d: %d in %d steps, then %d in %d", seed, x.Finish, x.Steps, y.Finish, y.Steps)
		}
	}
}
