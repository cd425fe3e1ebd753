package exact

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// TestPublishedLarge measures the average excess over the critical path after so many schedules.
func TestPublishedLarge(t *testing.T) {
	dir := psplib(t)
	known := readBounds(t, dir)
	files, _ := filepath.Glob(filepath.Join(dir, os.Getenv("BENCH_SET")))
	for _, budget := range []int64{1000, 5000, 50000} {
		if most, err := strconv.ParseInt(os.Getenv("BENCH_SCHEDULES"), 10, 64); err == nil && budget > most {
			continue
		}
		begin, sum, best := spent(), 0.0, 0.0
		for _, f := range files {
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			p, err := ReadSM(string(text))
			if err != nil {
				t.Fatal(err)
			}
			b := NewBreeder(p, budget)
			b.Run(budget)
			starts, finish, _ := b.Best()
			ends, err := Check(p, starts)
			if err != nil {
				t.Fatal(f, err)
			}
			if got, _ := p.Value(starts, ends); got != finish {
				t.Fatalf("%s: %d is not %d", f, got, finish)
			}
			k := known[strings.TrimSuffix(filepath.Base(f), ".sm")]
			if int(finish) < k[1] {
				t.Errorf("%s: %d beats the lower bound %d", f, finish, k[1])
			}
			sum += 100 * float64(int(finish)-k[0]) / float64(k[0])
			best += 100 * float64(k[2]-k[0]) / float64(k[0])
		}
		n := float64(len(files))
		t.Logf("%d files, %d schedules: %.2f %% over the critical path (best known %.2f %%), %.1f s", len(files), budget, sum/n, best/n, (spent() - begin).Seconds())
	}
}
