package schedule_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"slices"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
	"batterboard/schedule/randsite"
)

// crowded is the shape most laws run on: everything can happen. Odd sites have slips of the finger besides.
var (
	crowded = randsite.Shape{Activities: 14, Holds: 3, Orders: 3, Crews: 4, Places: 2}
	oddity  = randsite.Shape{Activities: 14, Holds: 3, Orders: 3, Crews: 4, Places: 2, Odd: true}
)

// anySite is a crowded site, every second one odd.
func anySite(n uint64) (*schedule.Site, schedule.Minute) {
	if n%2 == 1 {
		return randsite.Site(n, oddity)
	}
	return randsite.Site(n, crowded)
}

// from and many choose other random sites than the usual: go test ./schedule -run Laws -args -from 9000 -many 50000
var (
	from = flag.Uint64("from", 0, "the first random site")
	many = flag.Uint64("many", 4000, "how many random sites a law sees; the costly laws see a fixed share of them")
)

// sites numbers the random sites that a law sees, one in share of the usual.
func sites(share uint64) func(yield func(uint64) bool) {
	count := *many
	if testing.Short() {
		count /= 10
	}
	return func(yield func(uint64) bool) {
		for n := *from; n < *from+count/share; n++ {
			if !yield(n) {
				return
			}
		}
	}
}

// TestCheckerAgrees: every plan of every random site passes the independent checker.
func TestCheckerAgrees(t *testing.T) {
	t.Parallel()
	for n := range sites(1) {
		site, now := anySite(n)
		plan := schedule.Lay(site, now)
		if faults := check.Plan(site, plan); len(faults) > 0 {
			show(t, site, plan)
			t.Fatalf("site %d: %v", n, faults)
		}
	}
}

// TestSliceOrder: the plan does not depend on the order in which a site lists its things.
func TestSliceOrder(t *testing.T) {
	for n := range sites(4) {
		site, now := anySite(n)
		want := text(t, schedule.Lay(site, now))
		if again := text(t, schedule.Lay(site, now)); !bytes.Equal(want, again) {
			t.Fatalf("site %d: the same site gave two plans", n)
		}
		reverse(site.Activities)
		reverse(site.Crews)
		reverse(site.Places)
		reverse(site.Links)
		reverse(site.Holds)
		reverse(site.Orders)
		reverse(site.Away)
		reverse(site.Openings)
		if turned := text(t, schedule.Lay(site, now)); !bytes.Equal(want, turned) {
			t.Fatalf("site %d: listed backwards it gave another plan:\n%s\n%s", n, want, turned)
		}
	}
}

// TestLaidStays: a plan laid down line by line is the plan again. What finds no time lies nowhere and cannot be laid
// down; it may then want the hour that another line has.
func TestLaidStays(t *testing.T) {
	for n := range sites(4) {
		site, now := anySite(n)
		plan := schedule.Lay(site, now)
		if n%2 == 1 && lost(plan) {
			continue
		}
		for i := range site.Activities {
			site.Activities[i].Laid = laid(plan, site.Activities[i].ID)
		}
		for i := range site.Holds {
			site.Holds[i].Laid = laid(plan, site.Holds[i].ID)
		}
		again := schedule.Lay(site, now)
		for i, l := range again.Lines {
			if l.Start != plan.Lines[i].Start || l.Finish != plan.Lines[i].Finish {
				show(t, site, plan)
				t.Fatalf("site %d: %s lay at %s, then at %s", n, l.ID, plan.Lines[i].Start, l.Start)
			}
		}
	}
}

// lost tells whether something finds no time.
func lost(p *schedule.Plan) bool {
	return slices.ContainsFunc(p.Problems, func(q schedule.Problem) bool { return q.Kind == schedule.ProblemNever })
}

func laid(p *schedule.Plan, id string) schedule.Minute {
	if l := p.Line(id); !l.Frozen && l.Start < schedule.Never {
		return l.Start
	}
	return 0
}

func reverse[T any](s []T) {
	for i, j := 0, len(s)-1; i < j; i, j = i+1, j-1 {
		s[i], s[j] = s[j], s[i]
	}
}

func text(t *testing.T, v any) []byte {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func show(t *testing.T, site *schedule.Site, plan *schedule.Plan) {
	t.Helper()
	b, _ := json.Marshal(site)
	t.Logf("%s", b)
	for _, l := range plan.Lines {
		t.Logf("%s %s-%s early %s late %s float %d %+v", l.ID, l.Start, l.Finish, l.EarlyStart, l.LateStart, l.Float, l.Because)
	}
	t.Logf("%+v", plan.Problems)
}
