package schedule_test

import (
	"bytes"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
	"batterboard/schedule/randsite"
)

// TestReachBrute: what it would take to be finished by a day is what trying everything finds: whether the day
// can be reached at all, and what it costs at least.
func TestReachBrute(t *testing.T) {
	t.Parallel()
	shape := randsite.Shape{Activities: 4, Holds: 1, Crews: 3, Places: 1, Plain: true, NoFacts: true}
	asked, dear, never, open := 0, 0, 0, 0
	for n := range sites(25) {
		site, now := randsite.Site(n, shape)
		if len(site.Problems()) > 0 || len(site.Openings) > 0 {
			continue
		}
		front, ok := bruteFront(site, site, now, 4, true)
		if !ok {
			continue
		}
		plan := schedule.Lay(site, now)
		for by := (plan.Finish - 1).Day() - 4; by <= (plan.Finish - 1).Day(); by++ {
			least, any := int64(0), false
			for _, f := range front {
				if f[0] <= int64(by) && (!any || f[2] < least) {
					least, any = f[2], true
				}
			}
			r := schedule.NewReach(site, now, by)
			r.Step(3_000_000)
			a := r.Answer()
			asked++
			switch {
			case !a.Done:
				t.Fatalf("site %d by %s: no end after %d steps", n, by, a.Steps)
			case !any && len(a.Ways) > 0:
				t.Fatalf("site %d: a way is finished by %s; brute force finds none", n, by)
			case !any:
				never++
				if a.Best == nil || len(a.Chain) == 0 || a.Line == "" || a.Soonest != (a.Best.Finish-1).Day() {
					t.Fatalf("site %d by %s: no soonest way or no chain: %+v", n, by, a)
				}
				if !a.Proved {
					open++
				}
			case len(a.Ways) == 0 && a.Proved:
				t.Fatalf("site %d by %s: proved impossible; brute force reaches it for %d", n, by, least)
			case len(a.Ways) == 0 || a.Ways[0].Cost < least || a.Proved && a.Ways[0].Cost != least:
				t.Fatalf("site %d by %s: %+v; brute force reaches it for %d", n, by, a.Ways, least)
			case least > 0:
				dear++
				if !a.Proved {
					open++
				}
			}
			for i := range a.Ways {
				w := &a.Ways[i]
				taken(t, n, site, now, w)
				honest(t, n, site, site, now, w)
			}
		}
	}
	if !testing.Short() && (asked < 100 || dear < 5 || never < 50) {
		t.Errorf("only %d questions, %d reached for money, %d never", asked, dear, never)
	}
	t.Logf("%d questions: %d reached for money, %d never, %d of those two not proved", asked, dear, never, open)
}

// TestReachLaws: on sites where everything can happen, each way to a day is finished by then and is the
// plan once taken, and portions change nothing.
func TestReachLaws(t *testing.T) {
	t.Parallel()
	for n := range sites(80) {
		site, now := anySite(n)
		plan := schedule.Lay(site, now)
		if n%2 == 1 && lost(plan) {
			continue // see TestLaidStays
		}
		by := (plan.Finish - 1).Day() - schedule.Day(n%4)
		r := schedule.NewReach(site, now, by)
		r.Step(60_000)
		a := r.Answer()
		for i := range a.Ways {
			w := &a.Ways[i]
			if (w.Finish - 1).Day() > by {
				t.Fatalf("site %d: %s is finished %s, not by %s", n, w.Key, w.Finish, by)
			}
			taken(t, n, site, now, w)
			honest(t, n, site, site, now, w)
		}
		again := schedule.NewReach(site, now, by)
		for range 60 {
			again.Step(1000)
			again.Answer()
		}
		if want, got := text(t, a), text(t, again.Answer()); !bytes.Equal(want, got) {
			t.Fatalf("site %d: at once\n%s\nin portions\n%s", n, want, got)
		}
	}
}

// TestReachLaundry: the demo site asked for a day nobody can keep, and for one that Saturdays buy.
func TestReachLaundry(t *testing.T) {
	site, _, now := laundry(t)
	plan := schedule.Lay(site, now)
	r := schedule.NewReach(site, now, now.Day()+7)
	r.Step(20_000_000)
	a := r.Answer()
	if !a.Done || !a.Proved || len(a.Ways) > 0 || len(a.Chain) < 3 {
		t.Fatalf("a week for all of it: done %v after %d steps, proved %v, %d ways, chain %v", a.Done, a.Steps, a.Proved, len(a.Ways), a.Chain)
	}
	r = schedule.NewReach(site, now, a.Soonest)
	r.Step(20_000_000)
	b := r.Answer()
	if len(b.Ways) == 0 {
		t.Fatalf("%s was said to be possible and is not found", a.Soonest)
	}
	for i := range b.Ways {
		done := schedule.Taken(site, &b.Ways[i])
		if faults := check.Plan(done, schedule.Lay(done, now)); len(faults) > 0 {
			t.Fatal(faults)
		}
	}
	t.Logf("plan %s, soonest %s for %d cents, proved %v, nothing before %s; %d steps", plan.Finish, a.Soonest, b.Ways[0].Cost, b.Proved, a.Lower, b.Steps)
}
