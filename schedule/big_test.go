package schedule_test

import (
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
	"batterboard/schedule/randsite"
)

// house is a site of 300 activities and 20 crews, before and after its busiest crew of the week falls ill.
func house(t testing.TB, n uint64) (was, after *schedule.Site, now schedule.Minute) {
	was, now = randsite.Big(n, 300, 20)
	plan := schedule.Lay(was, now)
	if faults := check.Plan(was, plan); len(faults) > 0 {
		t.Fatalf("house %d: %v", n, faults)
	}
	days := map[string]int{}
	ill := was.Crews[0].ID
	for i := range was.Activities {
		a := &was.Activities[i]
		if plan.Line(a.ID).Start < now+4*schedule.MinutesPerDay {
			if days[a.Crew]++; days[a.Crew] > days[ill] {
				ill = a.Crew
			}
		}
	}
	changed := *was
	changed.Away = append([]schedule.Away{{ID: "ill", Crew: ill, From: now.Day(), To: now.Day() + 3}}, was.Away...)
	return was, &changed, now
}

// firstWay is the counted steps within which the first ways of a house of 300 activities are there: about one
// task of the search.
const firstWay = 100_000

// TestHouse: on a house of 300 activities and 20 crews the first ways come within a counted number of steps, and
// they only get better from there: each one that is ever shown is the plan once taken.
func TestHouse(t *testing.T) {
	t.Parallel()
	houses, looks := uint64(2), 3
	if testing.Short() {
		houses, looks = 1, 1
	}
	for n := range houses {
		was, after, now := house(t, n)
		s := schedule.NewSearch(was, after, now)
		s.Step(1)
		first := s.Ways()
		if first.Steps > firstWay || len(first.Ways) == 0 {
			t.Fatalf("house %d: %d ways after %d steps", n, len(first.Ways), first.Steps)
		}
		seen := first
		for range looks {
			for i := range seen.Ways {
				w := &seen.Ways[i]
				taken(t, n, after, now, w)
				honest(t, n, was, after, now, w)
			}
			s.Step(150_000)
			next := s.Ways()
			if next.Ways[0].Finish.Day() > seen.Ways[0].Finish.Day() || fewestOf(next) > fewestOf(seen) {
				t.Fatalf("house %d: ways got worse: finish %s then %s, calls %d then %d", n, seen.Ways[0].Finish, next.Ways[0].Finish, fewestOf(seen), fewestOf(next))
			}
			seen = next
		}
		t.Logf("house %d: pushed %s; first %s and %d after %d steps; then %s and %d after %d", n, schedule.Lay(after, now).Finish,
			first.Ways[0].Finish, fewestOf(first), first.Steps, seen.Ways[0].Finish, fewestOf(seen), seen.Steps)
	}
}

func fewestOf(w *schedule.Ways) int32 {
	least := w.Ways[0].Weight
	for i := range w.Ways {
		least = min(least, w.Ways[i].Weight)
	}
	return least
}

// BenchmarkHouseFirst is how long the first ways of a house of 300 activities take, BenchmarkHouseMore half a
// million steps of looking further.
func BenchmarkHouseFirst(b *testing.B) { benchHouse(b, 1) }
func BenchmarkHouseMore(b *testing.B)  { benchHouse(b, 500_000) }

func benchHouse(b *testing.B, steps int) {
	was, after, now := house(b, 0)
	b.ReportAllocs()
	for b.Loop() {
		schedule.FindWays(was, after, now, steps)
	}
}
