package schedule_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/randsite"
)

// TestCallWeights: what it counts to move somebody, as CallWeight says it: an asked crew 2, one that said yes 3; four
// times that up to tomorrow, three times within three days, twice within a week.
func TestCallWeights(t *testing.T) {
	now := randsite.Monday.At(23*60 + 50)
	for _, c := range []struct {
		days        schedule.Day
		asked, firm int32
	}{{-3, 8, 12}, {0, 8, 12}, {1, 8, 12}, {2, 6, 9}, {3, 6, 9}, {4, 4, 6}, {7, 4, 6}, {8, 2, 3}, {60, 2, 3}} {
		at := (now.Day() + c.days).At(10)
		if a, f := schedule.CallWeight(schedule.Asked, at, now), schedule.CallWeight(schedule.Firm, at, now); a != c.asked || f != c.firm {
			t.Errorf("%d days ahead: asked %d, firm %d; want %d, %d", c.days, a, f, c.asked, c.firm)
		}
	}
}

// TestFindLines: every line is found by its ID, and nothing else is.
func TestFindLines(t *testing.T) {
	for n := range sites(40) {
		site, now := anySite(n)
		plan := schedule.Lay(site, now)
		for i := range plan.Lines {
			id := plan.Lines[i].ID
			if plan.Line(id) != &plan.Lines[i] || plan.Line(id+"x") != nil || plan.Line(id+"\x00") != nil {
				t.Fatalf("site %d: %s is not found, or something beside it is", n, id)
			}
		}
		if plan.Line("") != nil || plan.Line("~") != nil {
			t.Fatalf("site %d: found what is not there", n)
		}
	}
	if p := (&schedule.Plan{}); p.Line("a") != nil {
		t.Error("found in an empty plan")
	}
}

// TestCalendarEdges: the first and the last day of a horizon are days like others, and nothing lies beyond.
func TestCalendarEdges(t *testing.T) {
	var always schedule.Week
	for d := range always {
		always[d] = []schedule.Window{{From: 0, To: schedule.MinutesPerDay}}
	}
	about := randsite.Monday
	c := schedule.NewCalendar(always, about)
	first, end := about, about
	for ; c.IsWorkingDay(first - 1); first-- {
	}
	for ; c.IsWorkingDay(end); end++ {
	}
	if about-first < 365 || end-about < 2*365 { // a year back and two ahead
		t.Fatalf("open from %s to %s about %s", first, end, about)
	}
	if got := c.WorkBetween(first.Start()-5, end.Start()+5); got != int64(end-first)*schedule.MinutesPerDay {
		t.Errorf("%d minutes in all, want %d days of them", got, end-first)
	}
	if !c.Open(first.Start()) || c.Open(first.Start()-1) || !c.Open(end.Start()-1) || c.Open(end.Start()) {
		t.Error("the ends are not where they are")
	}
	for _, w := range []struct {
		what      string
		got, want schedule.Minute
	}{
		{"the next open moment before all", c.NextOpen(first.Start() - 5000), first.Start()},
		{"the last open moment", c.NextOpen(end.Start() - 1), end.Start() - 1},
		{"after the last", c.NextOpen(end.Start()), schedule.Never},
		{"no work", c.AddWork(about.At(77), 0), about.At(77)},
		{"less than no work", c.AddWork(about.At(77), -5), about.At(77)},
		{"work up to the end", c.AddWork(end.Start()-60, 60), end.Start()},
		{"a minute more", c.AddWork(end.Start()-60, 61), schedule.Never},
		{"work that begins never", c.AddWork(schedule.Never, 1), schedule.Never},
	} {
		if w.got != w.want {
			t.Errorf("%s: %s, want %s", w.what, w.got, w.want)
		}
	}
	if m, ok := c.SubWork(first.Start()+60, 60); !ok || m != first.Start() {
		t.Errorf("work down to the first minute begins %s, %v", m, ok)
	}
	if _, ok := c.SubWork(first.Start()+60, 61); ok {
		t.Error("work begins before the first minute")
	}
	if m, ok := c.SubWork(about.At(3), 0); !ok || m != about.At(3) {
		t.Errorf("no work before %s begins %s", about.At(3), m)
	}
	if d := c.AddDays(end-1, 1); d != 0 {
		t.Errorf("the day after the last is %s", d)
	}
	if d := c.AddDays(end-2, 1); d != end-1 {
		t.Errorf("the last day is %s, want %s", d, end-1)
	}
	if d := c.SubDays(first, 1); d != 0 {
		t.Errorf("the day before the first is %s", d)
	}
	if d := c.SubDays(first+1, 1); d != first {
		t.Errorf("the first day is %s, want %s", d, first)
	}
	if start, _ := c.NextWindow(end.Start() - 5); start != schedule.Never {
		t.Errorf("the window after the last begins %s", start)
	}
	if start, finish := c.NextWindow(first.Start() - 999999); start != first.Start() || finish != (first+1).Start() {
		t.Errorf("the first window is %s to %s", start, finish)
	}
}

// TestProblemsNamed: each thing that is wrong with a site is named, and its neighbour that is just right is not.
func TestProblemsNamed(t *testing.T) {
	for _, c := range []struct{ doc, want string }{
		{`"activities":[{"id":"a","labour":{"typical":-1}}]`, "negative a"},
		{`"activities":[{"id":"a","labour":{"typical":1,"low":-1}}]`, "negative a"},
		{`"activities":[{"id":"a","labour":{"typical":1,"high":-1}}]`, "negative a"},
		{`"activities":[{"id":"a","hands":-1,"labour":{"typical":1}}]`, "negative a"},
		{`"activities":[{"id":"a","done":-1,"labour":{"typical":1}}]`, "negative a"},
		{`"activities":[{"id":"a","done":0,"labour":{"typical":0}}]`, ""},
		{`"activities":[{"id":"a","done":100,"labour":{"typical":1}}]`, ""},
		{`"activities":[{"id":"a","done":101,"labour":{"typical":1}}]`, "tooMuch a"},
		{`"activities":[{"id":"a","labour":{"typical":6000000}}]`, ""},
		{`"activities":[{"id":"a","labour":{"typical":6000001}}]`, "tooMuch a"},
		{`"activities":[{"id":"a","labour":{"typical":1,"high":6000001}}]`, "tooMuch a"},
		{`"activities":[{"id":"a","labour":{"typical":1},"started":"2027-03-02T08:00","finished":"2027-03-02T08:00"}]`, ""},
		{`"activities":[{"id":"a","labour":{"typical":1},"started":"2027-03-02T08:01","finished":"2027-03-02T08:00"}]`, "dates a"},
		{`"activities":[{"id":"a","labour":{"typical":1},"finished":"2027-03-02T08:00"}]`, ""},
		{`"activities":[{"id":"a","labour":{"typical":1},"mustBy":"2027-03-02","notBefore":"2027-03-02T23:00"}]`, ""},
		{`"activities":[{"id":"a","labour":{"typical":1},"mustBy":"2027-03-02","notBefore":"2027-03-03T00:00"}]`, "dates a"},
		{`"activities":[{"id":"a","labour":{"typical":1},"mustBy":"2027-03-02"}]`, ""},
		{`"activities":[{"id":"a","labour":{"typical":1},"toldStart":"2027-03-02T08:01","toldFinish":"2027-03-02T08:00"}]`, "dates a"},
		{`"activities":[{"id":"a","labour":{"typical":1},"toldStart":"2027-03-02T08:00"}]`, ""},
		{`"crews":[{"id":"c","size":2,"teams":2}],"activities":[{"id":"a","crew":"c","hands":4,"labour":{"typical":1}}]`, ""},
		{`"crews":[{"id":"c","size":2,"teams":2}],"activities":[{"id":"a","crew":"c","hands":5,"labour":{"typical":1}}]`, "tooMuch a c"},
		{`"crews":[{"id":"c"}],"activities":[{"id":"a","crew":"c","hands":1,"labour":{"typical":1}}]`, ""},
		{`"crews":[{"id":"c"}],"activities":[{"id":"a","crew":"d","with":["c","e","e"],"labour":{"typical":1}}]`, "unknown a d, unknown a e"},
		{`"crews":[{"id":"c","teams":100}],"places":[{"id":"p","room":100}]`, ""},
		{`"crews":[{"id":"c","teams":101}]`, "tooMuch c"},
		{`"places":[{"id":"p","room":101}]`, "tooMuch p"},
		{`"crews":[{"id":"c","size":-1}]`, "negative c"},
		{`"crews":[{"id":"c","teams":-1}]`, "negative c"},
		{`"crews":[{"id":"c","stands":["d"]}]`, "unknown c d"},
		{`"places":[{"id":"p","room":-1}]`, "negative p"},
		{`"places":[{"id":"p"}],"activities":[{"id":"a","place":"p","labour":{"typical":1}},{"id":"b","place":"q","labour":{"typical":1}}]`, "unknown b q"},
		{`"holds":[{"id":"h","notice":-1}]`, "negative h"},
		{`"holds":[{"id":"h","photos":-1}]`, "negative h"},
		{`"holds":[{"id":"h","fails":-1}]`, "negative h"},
		{`"holds":[{"id":"h","cutoff":-1}]`, "negative h"},
		{`"holds":[{"id":"h","notice":732,"cutoff":1440}]`, ""},
		{`"holds":[{"id":"h","notice":733}]`, "tooMuch h"},
		{`"holds":[{"id":"h","cutoff":1441}]`, "tooMuch h"},
		{`"holds":[{"id":"h","calledIn":"2027-03-02T08:00","visit":"2027-03-02T08:00"}]`, ""},
		{`"holds":[{"id":"h","calledIn":"2027-03-02T08:01","visit":"2027-03-02T08:00"}]`, "dates h"},
		{`"holds":[{"id":"h","visit":"2027-03-02T08:00"}]`, ""},
		{`"orders":[{"id":"o","lead":-1}]`, "negative o"},
		{`"orders":[{"id":"o","lead":732}]`, ""},
		{`"orders":[{"id":"o","lead":733}]`, "tooMuch o"},
		{`"orders":[{"id":"o","ordered":"2027-03-02","due":"2027-03-02","arrived":"2027-03-02"}]`, ""},
		{`"orders":[{"id":"o","ordered":"2027-03-02","due":"2027-03-01"}]`, "dates o"},
		{`"orders":[{"id":"o","ordered":"2027-03-02","arrived":"2027-03-01"}]`, "dates o"},
		{`"orders":[{"id":"o","due":"2027-03-01"}]`, ""},
		{`"orders":[{"id":"o","stands":"p"}]`, "unknown o p"},
		{`"places":[{"id":"p"}],"orders":[{"id":"o","stands":"p"}]`, ""},
		{`"crews":[{"id":"c"}],"away":[{"id":"x","crew":"c","from":"2027-03-02","to":"2027-03-02"}]`, ""},
		{`"crews":[{"id":"c"}],"away":[{"id":"x","crew":"c","from":"2027-03-02"}]`, ""},
		{`"crews":[{"id":"c"}],"away":[{"id":"x","crew":"c","from":"2027-03-02","to":"2027-03-01"}]`, "dates x"},
		{`"away":[{"id":"x","crew":"c","from":"2027-03-02","to":"2027-03-02"}]`, "unknown x c"},
		{`"shut":[{"id":"x","from":"2027-03-02","to":"2027-03-02"}]`, ""},
		{`"shut":[{"id":"x","from":"2027-03-02","to":"2027-03-01"}]`, "dates x"},
		{`"crews":[{"id":"c"}],"openings":[{"id":"x","crew":"c","day":"2027-03-02","from":480,"to":481}]`, ""},
		{`"crews":[{"id":"c"}],"openings":[{"id":"x","crew":"c","day":"2027-03-02","from":480,"to":480}]`, "dates x"},
		{`"openings":[{"id":"x","crew":"c","day":"2027-03-02","from":480,"to":481}]`, "unknown x c"},
		{`"activities":[{"id":"a"},{"id":"b"}],"links":[{"id":"l","from":"a","to":"b","lag":1054080}]`, ""},
		{`"activities":[{"id":"a"},{"id":"b"}],"links":[{"id":"l","from":"a","to":"b","lag":1054081}]`, "tooMuch l"},
		{`"activities":[{"id":"a"},{"id":"b"}],"links":[{"id":"l","from":"a","to":"b","lag":-1054081}]`, "tooMuch l"},
		{`"activities":[{"id":"a"}],"links":[{"id":"l","from":"a","to":"b"},{"id":"m","from":"c","to":"a"},{"id":"n","from":"a","to":"a"}]`, "circle a, unknown l b, unknown m c"},
		// Of two links that go round the one with the later ID is set aside, whatever the order they are listed in.
		{`"activities":[{"id":"a"},{"id":"b"},{"id":"c"}],"links":[{"id":"3","from":"c","to":"a"},{"id":"2","from":"b","to":"c"},{"id":"1","from":"a","to":"b"}]`, "circle a b c"},
	} {
		site, err := schedule.ParseSite([]byte("{" + c.doc + "}"))
		if err != nil {
			t.Errorf("%s: %v", c.doc, err)
			continue
		}
		var got []string
		for _, p := range site.Problems() {
			got = append(got, fmt.Sprintf("%s %s", p.Kind, strings.Join(p.IDs, " ")))
		}
		if strings.Join(got, ", ") != c.want {
			t.Errorf("%s\n%q, want %q", c.doc, got, c.want)
		}
	}
}

// TestProblemsOnce: a plan names each problem once, in order, and among them all that are the site's own.
func TestProblemsOnce(t *testing.T) {
	name := func(p schedule.Problem) string {
		return string(p.Kind) + "\x00" + strings.Join(p.IDs, "\x01") + "\x00" + p.Link
	}
	for n := range sites(4) {
		site, now := anySite(n)
		var names []string
		for _, p := range schedule.Lay(site, now).Problems {
			names = append(names, name(p))
		}
		if !slices.IsSorted(names) || len(slices.Compact(slices.Clone(names))) < len(names) {
			t.Fatalf("site %d: %q", n, names)
		}
		for _, p := range site.Problems() {
			if !slices.Contains(names, name(p)) {
				t.Fatalf("site %d: the plan does not say %v", n, p)
			}
		}
	}
}
