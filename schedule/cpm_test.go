package schedule_test

import (
	"encoding/json"
	"fmt"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/randsite"
)

// Worked examples. A line is: name duration | what it waits for, as NAME or NAME:KIND+LAG | early start,
// early finish, late start, late finish, total float, free float.
var worked = []struct {
	name, source string
	finish       int64
	lines        string
}{
	{"nine activities", "Hendrickson, Project Management for Construction, ch. 10, table 10-2: input and event times 0, 4, 12, 21, 24, 30 published; the full table computed from them", 30, `
		A 4 |  | 0 4 0 4 0 0
		B 3 |  | 0 3 9 12 9 9
		C 8 | A | 4 12 4 12 0 0
		D 7 | A | 4 11 15 22 11 10
		E 9 | B C | 12 21 13 22 1 0
		F 12 | B C | 12 24 12 24 0 0
		G 2 | D E | 21 23 22 24 1 1
		H 5 | D E | 21 26 25 30 4 4
		I 6 | F G | 24 30 24 30 0 0`},
	{"start to start", "slides \"Network construction - precedence diagram method\", slideserve.com: input published; the table computed, not seen in print", 38, `
		A 2 |  | 0 2 0 2 0 0
		B 10 | A:SS | 0 10 4 14 4 0
		C 13 | A | 2 15 10 23 8 0
		D 12 | A | 2 14 2 14 0 0
		E 12 | B | 10 22 15 27 5 1
		F 7 | B | 10 17 14 21 4 0
		G 10 | D | 14 24 23 33 9 1
		H 16 | D | 14 30 14 30 0 0
		I 6 | F | 17 23 21 27 4 0
		J 12 | C G:SS | 15 27 23 35 8 8
		K 5 | I:SS | 17 22 22 27 5 1
		L 8 | E I K | 23 31 27 35 4 4
		M 5 | H | 30 35 30 35 0 0
		N 3 | G J L M | 35 38 35 38 0 0`},
	{"all links with lags", "our own variant of the one before: longest path and a linear programme agree", 40, `
		A 2 |  | 0 2 0 2 0 0
		B 10 | A:SS+3 | 3 13 3 13 0 0
		C 13 | A | 2 15 12 25 10 2
		D 12 | A:FS-1 | 1 13 5 17 4 0
		E 12 | B | 13 25 17 29 4 4
		F 7 | B | 13 20 13 20 0 0
		G 10 | D | 13 23 21 31 8 0
		H 16 | D | 13 29 17 33 4 0
		I 6 | F:FS+2 | 22 28 22 28 0 0
		J 12 | C G:SS+4 | 17 29 25 37 8 8
		K 5 | I:FF+1 | 24 29 24 29 0 0
		L 8 | E I K | 29 37 29 37 0 0
		M 5 | H:SF+20 | 28 33 32 37 4 4
		N 3 | G J L M | 37 40 37 40 0 0`},
}

// read makes a network of a worked example, and its table.
func read(t *testing.T, lines string) (net *schedule.Network, names []string, want [][]int64) {
	t.Helper()
	net = &schedule.Network{}
	for _, line := range strings.Split(strings.TrimSpace(lines), "\n") {
		part := strings.Split(line, "|")
		head := strings.Fields(part[0])
		to := len(names)
		names = append(names, head[0])
		net.Dur = append(net.Dur, number(t, head[1]))
		for _, p := range strings.Fields(part[1]) {
			from, kind, _ := strings.Cut(p, ":")
			a := schedule.NetArc{From: slices.Index(names, from), To: to, Kind: schedule.FS}
			if kind != "" {
				a.Kind = schedule.LinkKind(kind[:2])
			}
			if len(kind) > 2 {
				a.Lag = number(t, kind[2:])
			}
			net.Arcs = append(net.Arcs, a)
		}
		var row []int64
		for _, w := range strings.Fields(part[2]) {
			row = append(row, number(t, w))
		}
		want = append(want, row)
	}
	return net, names, want
}

func number(t *testing.T, s string) int64 {
	n, err := strconv.ParseInt(s, 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestWorkedExamples(t *testing.T) {
	for _, w := range worked {
		net, names, want := read(t, w.lines)
		p, err := schedule.CPM(net)
		if err != nil || p.Finish != w.finish {
			t.Fatalf("%s: finish %d, %v; want %d\n%s", w.name, p.Finish, err, w.finish, w.source)
		}
		for i, row := range want {
			got := []int64{p.ES[i], p.EF[i], p.LS[i], p.LF[i], p.Total[i], p.Free[i]}
			if !slices.Equal(got, row) {
				t.Errorf("%s, %s: %v, want %v\n%s", w.name, names[i], got, row, w.source)
			}
		}
	}
}

// TestWorkedText checks the rows that NAVEDTRA 14233 (US Navy, public domain), ch. 2, gives in the text on
// its figure 2-13; durations not given there are chosen to fit. Free float is the early start of what
// follows, less the lag, less the own early finish.
func TestWorkedText(t *testing.T) {
	const (
		a1010 = iota
		a1020
		a1040
		a1050
		a1060
		a1070
		end
	)
	net := &schedule.Network{Dur: []int64{3, 7, 8, 5, 6, 4, 0}, Arcs: []schedule.NetArc{
		{From: a1010, To: a1020}, {From: a1010, To: a1040}, {From: a1020, To: a1050}, {From: a1040, To: a1050},
		{From: a1040, To: a1060}, {From: a1050, To: a1070}, {From: a1060, To: a1070}, {From: a1070, To: end, Lag: 3}}}
	p, err := schedule.CPM(net)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what      string
		got, want int64
	}{
		{"1020 ES", p.ES[a1020], 3}, {"1020 EF", p.EF[a1020], 10}, {"1020 LS", p.LS[a1020], 5}, {"1020 TF", p.Total[a1020], 2}, {"1020 FF", p.Free[a1020], 1},
		{"1040 EF", p.EF[a1040], 11}, {"1040 LF", p.LF[a1040], 11}, {"1050 ES", p.ES[a1050], 11}, {"1050 LS", p.LS[a1050], 12}, {"end", p.ES[end], 24},
	} {
		if c.got != c.want {
			t.Errorf("%s is %d, want %d", c.what, c.got, c.want)
		}
	}
	if want := []bool{true, false, true, false, true, true, true}; !slices.Equal(p.Critical, want) {
		t.Errorf("critical %v, want %v", p.Critical, want)
	}
}

func randomNet(r *randsite.Rand) *schedule.Network {
	net := &schedule.Network{}
	n := 2 + r.Int(25)
	for range n {
		net.Dur = append(net.Dur, int64(r.Int(12)))
	}
	kinds := []schedule.LinkKind{schedule.FS, schedule.SS, schedule.FF, schedule.SF}
	for range r.Int(3 * n) {
		a, b := r.Int(n), r.Int(n)
		if a == b {
			continue
		}
		net.Arcs = append(net.Arcs, schedule.NetArc{From: min(a, b), To: max(a, b), Kind: kinds[r.Int(4)], Lag: int64(r.Int(20) - 6)})
	}
	return net
}

// longest is the longest path from the start, by going round all arcs until nothing changes
// (Bellman and Ford's way), over the ends of activities as nodes of their own.
func longest(net *schedule.Network) (es []int64, finish int64) {
	n := len(net.Dur)
	at := make([]int64, 2*n) // starts, then finishes
	for range 2*n + 1 {
		for i, d := range net.Dur {
			at[n+i] = max(at[n+i], at[i]+d)
			at[i] = max(at[i], at[n+i]-d)
		}
		for _, a := range net.Arcs {
			from, to := a.From, a.To
			if a.Kind == schedule.FS || a.Kind == schedule.FF {
				from += n
			}
			if a.Kind == schedule.FF || a.Kind == schedule.SF {
				to += n
			}
			at[to] = max(at[to], at[from]+a.Lag)
		}
	}
	for i := range net.Dur {
		finish = max(finish, at[n+i])
	}
	return at[:n], finish
}

// turned is the network looked at from its end.
func turned(net *schedule.Network) *schedule.Network {
	back := map[schedule.LinkKind]schedule.LinkKind{schedule.FS: schedule.FS, schedule.SS: schedule.FF, schedule.FF: schedule.SS, schedule.SF: schedule.SF}
	out := &schedule.Network{Dur: net.Dur}
	for _, a := range net.Arcs {
		out.Arcs = append(out.Arcs, schedule.NetArc{From: a.To, To: a.From, Kind: back[a.Kind], Lag: a.Lag})
	}
	return out
}

// TestLongestPath: early and late passes are longest paths from either end.
func TestLongestPath(t *testing.T) {
	for n := range uint64(3000) {
		r := randsite.Rand(n)
		net := randomNet(&r)
		p, err := schedule.CPM(net)
		if err != nil {
			t.Fatal(err)
		}
		es, finish := longest(net)
		if p.Finish != finish || !slices.Equal(p.ES, es) {
			t.Fatalf("network %d: early %v to %d, longest path %v to %d", n, p.ES, p.Finish, es, finish)
		}
		tail, _ := longest(turned(net))
		for i := range tail {
			// The late pass keeps the finish, also where the longest path back starts beyond it.
			if want := finish - tail[i] - net.Dur[i]; p.LS[i] != want {
				t.Fatalf("network %d: late start of %d is %d, longest path back says %d", n, i, p.LS[i], want)
			}
			if p.Total[i] < 0 || p.Free[i] < 0 {
				t.Fatalf("network %d: %d has float %d, free %d", n, i, p.Total[i], p.Free[i])
			}
		}
	}
}

// TestSitePasses: a site that is open day and night, where nobody shares, has the passes of its plain
// network, whether lags count working time or the clock.
func TestSitePasses(t *testing.T) {
	for n := range uint64(400) {
		r := randsite.Rand(n)
		net := randomNet(&r)
		site := roundTheClock(net, func() bool { return r.Chance(50) })
		p, err := schedule.CPM(net)
		if err != nil {
			t.Fatal(err)
		}
		now := randsite.Monday.Start()
		plan := schedule.Lay(site, now)
		for i := range plan.Lines {
			l := &plan.Lines[i]
			got := []int64{int64(l.EarlyStart-now) / 60, int64(l.EarlyFinish-now) / 60, int64(l.LateStart-now) / 60, int64(l.LateFinish-now) / 60, l.Float / 60}
			want := []int64{p.ES[i], p.EF[i], p.LS[i], p.LF[i], p.Total[i]}
			if !slices.Equal(got, want) || l.Start != l.EarlyStart {
				t.Fatalf("network %d, %s: %v, want %v", n, l.ID, got, want)
			}
			if l.FreeFloat/60 > p.Free[i] {
				t.Fatalf("network %d, %s: free float %d, want at most %d", n, l.ID, l.FreeFloat/60, p.Free[i])
			}
		}
	}
}

// TestLinearProgramme: a general solver finds the same finish and the same sums of early and of late
// starts. It uses glpsol (GNU GLPK) or the highs package under client/node_modules, whichever is there.
func TestLinearProgramme(t *testing.T) {
	solve := lpSolver(t)
	var programmes []string
	var want []int64
	for n := range uint64(100) {
		r := randsite.Rand(1000 + n)
		net := randomNet(&r)
		p, err := schedule.CPM(net)
		if err != nil {
			t.Fatal(err)
		}
		early, late := int64(0), int64(0)
		for i := range net.Dur {
			early, late = early+p.ES[i], late+p.LS[i]
		}
		programmes = append(programmes, programme(net, "Minimize", -1), programme(net, "Maximize", p.Finish))
		want = append(want, early, late)
	}
	if got := solve(t, programmes); !slices.Equal(got, want) {
		t.Errorf("sums of early and late starts, by turns, from seed 1000: %v; the linear programmes say %v", want, got)
	}
}

// programme writes a network in the CPLEX LP format, with the sum of all starts as its goal; finish
// bounds every finish, where it is not negative.
func programme(net *schedule.Network, goal string, finish int64) string {
	var b strings.Builder
	b.WriteString(goal + "\n obj:")
	for i := range net.Dur {
		fmt.Fprintf(&b, " + s%d", i)
	}
	b.WriteString("\nSubject To\n")
	for k, a := range net.Arcs {
		d := a.Lag
		if a.Kind == schedule.FS || a.Kind == schedule.FF {
			d += net.Dur[a.From]
		}
		if a.Kind == schedule.FF || a.Kind == schedule.SF {
			d -= net.Dur[a.To]
		}
		fmt.Fprintf(&b, " c%d: s%d - s%d >= %d\n", k, a.To, a.From, d)
	}
	for i, d := range net.Dur {
		if finish >= 0 {
			fmt.Fprintf(&b, " f%d: s%d <= %d\n", i, i, finish-d)
		} else {
			fmt.Fprintf(&b, " f%d: s%d >= 0\n", i, i)
		}
	}
	return b.String() + "End\n"
}

func lpSolver(t *testing.T) func(*testing.T, []string) []int64 {
	if path, err := exec.LookPath("glpsol"); err == nil {
		return func(t *testing.T, lps []string) (values []int64) {
			for _, lp := range lps {
				values = append(values, glpsol(t, path, lp))
			}
			return values
		}
	}
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("neither glpsol nor node is here: the linear programme is not run")
	}
	probe := exec.Command(node, "-e", "require.resolve('highs')")
	probe.Dir = "../client"
	if probe.Run() != nil {
		t.Skip("neither glpsol nor the highs package is here: the linear programme is not run")
	}
	return func(t *testing.T, lps []string) []int64 {
		cmd := exec.Command(node, "-e", `const lps=JSON.parse(require('fs').readFileSync(0,'utf8'));
			require('highs')().then(h=>console.log(JSON.stringify(lps.map(lp=>Math.round(h.solve(lp).ObjectiveValue)))))`)
		in, _ := json.Marshal(lps)
		cmd.Dir, cmd.Stdin = "../client", strings.NewReader(string(in))
		out, err := cmd.Output()
		var values []int64
		if err != nil || json.Unmarshal(out, &values) != nil {
			t.Fatalf("highs: %v %s", err, out)
		}
		return values
	}
}

func glpsol(t *testing.T, path, lp string) int64 {
	cmd := exec.Command(path, "--lp", "/dev/stdin", "-o", "/dev/stdout")
	cmd.Stdin = strings.NewReader(lp)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("glpsol: %v", err)
	}
	for _, line := range strings.Split(string(out), "\n") {
		if f := strings.Fields(line); len(f) > 3 && f[0] == "Objective:" {
			v, err := strconv.ParseFloat(f[3], 64)
			if err != nil {
				t.Fatal(err)
			}
			return int64(v + 0.5)
		}
	}
	t.Fatalf("glpsol said nothing of the objective:\n%s", out)
	return 0
}

func TestCircleRefused(t *testing.T) {
	_, err := schedule.CPM(&schedule.Network{Dur: []int64{1, 2}, Arcs: []schedule.NetArc{{From: 0, To: 1}, {From: 1, To: 0, Kind: schedule.SS}}})
	if err != schedule.ErrCircle {
		t.Errorf("a circle gave %v", err)
	}
}
