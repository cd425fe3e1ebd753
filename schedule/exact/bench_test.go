package exact

import (
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// psplib is the folder of the published instances, or a skip with a word. Set BENCH_DATA to it, and
// BENCH_SET to patterns such as "j30/j309_*.sm j30/j3013_*.sm"; BENCH_TIME is the limit for each, 1s by itself.
// `go run ./embed/build bench -only solver` sets them.
func psplib(t testing.TB) string {
	dir := os.Getenv("BENCH_DATA")
	if dir == "" {
		t.Skip("set BENCH_DATA to the folder with the published instances to measure")
	}
	return dir
}

func readBounds(t testing.TB, dir string) map[string][3]int {
	b, err := os.ReadFile(filepath.Join(dir, "best_known.csv"))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][3]int{}
	for _, line := range strings.Split(string(b), "\n")[1:] {
		f := strings.Split(strings.TrimSpace(line), ",")
		if len(f) == 4 {
			var v [3]int
			for i := range v {
				v[i], _ = strconv.Atoi(f[i+1])
			}
			out[f[0]] = v
		}
	}
	return out
}

// TestPublished measures how many published instances are proved within the budget, and fails when an
// answer contradicts what is known.
func TestPublished(t *testing.T) {
	dir := psplib(t)
	known := readBounds(t, dir)
	var files []string
	for _, set := range strings.Fields(os.Getenv("BENCH_SET")) {
		some, _ := filepath.Glob(filepath.Join(dir, set))
		files = append(files, some...)
	}
	if len(files) == 0 {
		t.Skip("no files match BENCH_SET")
	}
	limit, err := time.ParseDuration(os.Getenv("BENCH_TIME"))
	if err != nil {
		limit = time.Second
	}
	proved, total, all := 0, time.Duration(0), []time.Duration(nil)
	steps, conf := int64(0), int64(0)
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		begin := spent()
		p, err := ReadSM(string(text))
		if err != nil {
			t.Fatal(f, err)
		}
		a := solveWithin(t, p, limit-(spent()-begin))
		took := (spent() - begin)
		total += took
		all = append(all, took)
		steps += a.Steps
		conf += a.Conflicts
		name := strings.TrimSuffix(filepath.Base(f), ".sm")
		b := known[name]
		if int(a.Finish) < b[1] || a.Proved && int(a.Finish) > b[2] || int(a.Lower) > b[2] {
			t.Errorf("%s: found %d, lower %d, proved %v; known %v", name, a.Finish, a.Lower, a.Proved, b)
		}
		if a.Proved {
			proved++
		} else {
			t.Logf("%s: %d..%d, known %d..%d, %d conflicts", name, a.Lower, a.Finish, b[1], b[2], a.Conflicts)
		}
	}
	slices.Sort(all)
	t.Logf("%s: %d of %d proved within %v (%.1f %%), median %v; %.2f s in all, %.0f steps/s, %.0f conflicts/s", os.Getenv("BENCH_SET"), proved, len(files),
		limit, 100*float64(proved)/float64(len(files)), all[len(all)/2].Round(time.Millisecond/10), total.Seconds(), float64(steps)/total.Seconds(), float64(conf)/total.Seconds())
}

func solveWithin(t *testing.T, p *Problem, limit time.Duration) Answer {
	begin := spent()
	h, err := NewHunt(p)
	if err != nil {
		t.Fatal(err)
	}
	for {
		h.Step(20000)
		if a := h.Best(); a.Proved || spent()-begin > limit {
			if a.Found {
				if _, err := Check(p, a.Starts); err != nil {
					t.Fatal(err)
				}
			}
			return a
		}
	}
}
