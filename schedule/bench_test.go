package schedule_test

import (
	"os"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
)

// laundry is the demo site on its morning, before and after its electrician cannot come for two days.
func laundry(t testing.TB) (was, after *schedule.Site, now schedule.Minute) {
	b, err := os.ReadFile("../client/engine/demo/old-laundry.json")
	if err != nil {
		t.Skip("the demo site is not here")
	}
	was, err = schedule.ParseSite(b)
	if err != nil {
		t.Fatal(err)
	}
	day := schedule.DateOf(2027, 4, 6)
	changed := *was
	changed.Away = append([]schedule.Away{{ID: "ill", Crew: "electric", From: day, To: day + 1}}, was.Away...)
	return was, &changed, day.At(6*60 + 40)
}

// TestLaundry: the job the program is for. Its plan passes the checker; the cancelled trade has several
// ways through, the search comes to an end, and what holds without cost is proved.
func TestLaundry(t *testing.T) {
	was, after, now := laundry(t)
	if faults := check.Plan(was, schedule.Lay(was, now)); len(faults) > 0 {
		t.Fatal(faults)
	}
	ways := schedule.FindWays(was, after, now, 3000000)
	if !ways.Done || len(ways.Ways) < 3 {
		t.Fatalf("done: %v, %d ways after %d steps", ways.Done, len(ways.Ways), ways.Steps)
	}
	soonest, fewest := false, false
	for i := range ways.Ways {
		w := &ways.Ways[i]
		taken(t, 0, after, now, w)
		honest(t, 0, was, after, now, w)
		soonest = soonest || w.Cost == 0 && w.Proved.Soonest
		fewest = fewest || w.Cost == 0 && w.Proved.Fewest
	}
	if !soonest || !fewest {
		t.Errorf("no way without cost is proved soonest (%v) and fewest (%v)", soonest, fewest)
	}
}

func BenchmarkLay(b *testing.B) {
	site, _, now := laundry(b)
	b.ReportAllocs()
	for b.Loop() {
		schedule.Lay(site, now)
	}
}

func BenchmarkFirstWays(b *testing.B) { benchWays(b, 5000) }
func BenchmarkAllWays(b *testing.B)   { benchWays(b, 3000000) }

func benchWays(b *testing.B, steps int) {
	was, after, now := laundry(b)
	b.ReportAllocs()
	for b.Loop() {
		schedule.FindWays(was, after, now, steps)
	}
}
