package schedule_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/randsite"
)

// TestPublishedPaths: the critical path of the published instances of PSPLIB (Kolisch, Sprecher, "PSPLIB - a project
// scheduling problem library", European Journal of Operational Research 96, 1997) is as long as each file itself
// says (MPM-Time), and as the library's table of bounds does. The files are nobody's to copy; BENCH_DATA names
// where they are, else they are looked for beside the project.
func TestPublishedPaths(t *testing.T) {
	t.Parallel()
	dir := os.Getenv("BENCH_DATA")
	if dir == "" {
		dir = filepath.Join("..", "..", "shared", "psplib")
	}
	files, _ := filepath.Glob(filepath.Join(dir, "j*", "*.sm"))
	if len(files) == 0 {
		t.Skip("no published instances at " + dir + ": their critical paths are not compared")
	}
	bounds := map[string]int64{}
	table, _ := os.ReadFile(filepath.Join(dir, "best_known.csv"))
	for _, line := range strings.Split(string(table), "\n") {
		if f := strings.Split(line, ","); len(f) == 4 {
			bounds[f[0]], _ = strconv.ParseInt(f[1], 10, 64)
		}
	}
	for _, file := range files {
		net, said := readPublished(t, file)
		p, err := schedule.CPM(net)
		if err != nil || p.Finish != said {
			t.Errorf("%s: %d, %v; the file says %d", file, p.Finish, err, said)
		}
		name := strings.TrimSuffix(filepath.Base(file), ".sm")
		if b, ok := bounds[name]; ok && b != p.Finish {
			t.Errorf("%s: %d, the table of bounds says %d", name, p.Finish, b)
		}
	}
	t.Logf("%d files compared", len(files))
}

// readPublished reads durations, successors and the length of the critical path out of a file in the library's form.
func readPublished(t *testing.T, file string) (net *schedule.Network, length int64) {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	net = &schedule.Network{}
	part := ""
	for _, line := range strings.Split(string(b), "\n") {
		f := strings.Fields(line)
		switch {
		case len(f) == 0:
			continue
		case strings.HasSuffix(f[0], ":") || strings.Contains(line, "RELATIONS:") || strings.Contains(line, "INFORMATION:") || strings.HasPrefix(line, "RESOURCE"):
			part = f[0]
			continue
		}
		var n []int
		for _, w := range f {
			k, err := strconv.Atoi(w)
			if err != nil {
				break
			}
			n = append(n, k)
		}
		if len(n) < len(f) || len(n) < 3 {
			continue // a heading
		}
		switch part {
		case "PROJECT":
			length = int64(n[len(n)-1])
		case "PRECEDENCE":
			for _, to := range n[3:] {
				net.Arcs = append(net.Arcs, schedule.NetArc{From: n[0] - 1, To: to - 1})
			}
		case "REQUESTS/DURATIONS:":
			net.Dur = append(net.Dur, int64(n[2]))
		}
	}
	return net, length
}

// roundTheClock is a network as a site that is open day and night and where nobody shares; an unit is an hour.
func roundTheClock(net *schedule.Network, clock func() bool) *schedule.Site {
	site := &schedule.Site{Format: 1, Start: randsite.Monday}
	for d := range 7 {
		site.Hours[d] = []schedule.Window{{From: 0, To: schedule.MinutesPerDay}}
	}
	for i, d := range net.Dur {
		site.Activities = append(site.Activities, schedule.Activity{ID: fmt.Sprintf("a%02d", i), Labour: schedule.Range{Typical: int32(d) * 60}})
	}
	for i, a := range net.Arcs {
		site.Links = append(site.Links, schedule.Link{ID: fmt.Sprintf("l%03d", i), From: site.Activities[a.From].ID, To: site.Activities[a.To].ID,
			Kind: a.Kind, Lag: int32(a.Lag) * 60, Clock: clock()})
	}
	return site
}

// TestWorkedExamplesPlanned: the planner itself comes to the tables of the worked examples, not only the method by itself.
// The free float of a plan is what a line may slip with all others where they are, so it is asked for only where the
// method's is the same thing, as in these tables.
func TestWorkedExamplesPlanned(t *testing.T) {
	numbers := 0
	for _, w := range worked {
		net, names, want := read(t, w.lines)
		now := randsite.Monday.Start()
		for _, clock := range []bool{false, true} {
			plan := schedule.Lay(roundTheClock(net, func() bool { return clock }), now)
			if got := int64(plan.Finish-now) / 60; got != w.finish {
				t.Errorf("%s: planned to %d, want %d\n%s", w.name, got, w.finish, w.source)
			}
			for i, row := range want {
				l := &plan.Lines[i]
				got := []int64{int64(l.EarlyStart-now) / 60, int64(l.EarlyFinish-now) / 60, int64(l.LateStart-now) / 60, int64(l.LateFinish-now) / 60, l.Float / 60, l.FreeFloat / 60}
				if !slices.Equal(got, row) {
					t.Errorf("%s, %s, lags by the clock %v: planned %v, want %v\n%s", w.name, names[i], clock, got, row, w.source)
				}
				numbers += len(row)
				if taut := l.Taut; taut != (row[4] == 0) {
					t.Errorf("%s, %s: taut %v with a total float of %d", w.name, names[i], taut, row[4])
				}
			}
		}
	}
	t.Logf("%d numbers compared", numbers)
}

// TestFreeFloat: free float is what its definition says, tried out: an activity that starts so much later than early
// moves no other early start, nor the finish; one more does.
func TestFreeFloat(t *testing.T) {
	t.Parallel()
	for n := range uint64(1000) {
		r := randsite.Rand(n)
		net := randomNet(&r)
		p, err := schedule.CPM(net)
		if err != nil {
			t.Fatal(err)
		}
		for i := range net.Dur {
			moved := func(by int64) bool {
				es, finish := longestFrom(net, i, p.ES[i]+by)
				for j := range es {
					if j != i && es[j] != p.ES[j] {
						return true
					}
				}
				return finish != p.Finish
			}
			if free := p.Free[i]; moved(free) || !moved(free+1) || free > p.Total[i] {
				t.Fatalf("network %d: %d has free float %d of %d; that much later moves something: %v, one more: %v", n, i, free, p.Total[i], moved(free), moved(free+1))
			}
		}
	}
}

// longestFrom is the longest paths where activity i starts no sooner than at.
func longestFrom(net *schedule.Network, i int, at int64) (es []int64, finish int64) {
	held := *net
	held.Dur = append(slices.Clone(net.Dur), at)
	held.Arcs = append(slices.Clone(net.Arcs), schedule.NetArc{From: len(net.Dur), To: i, Kind: schedule.FS})
	es, _ = longest(&held)
	es = es[:len(net.Dur)]
	for j, d := range net.Dur {
		finish = max(finish, es[j]+d)
	}
	return es, finish
}
