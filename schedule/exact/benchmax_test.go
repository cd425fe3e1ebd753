package exact

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// TestPublishedMax compares projects with maximum lags with the published answers: a number, "unsat",
// or a range.
func TestPublishedMax(t *testing.T) {
	dir := psplib(t)
	for _, set := range []string{"rcpspmax_sm_j10", "rcpspmax_ubo10", "rcpspmax_ubo20"} {
		table, err := os.ReadFile(filepath.Join(dir, set, "optimum.csv"))
		if err != nil {
			t.Fatal(err)
		}
		known := map[string]string{}
		for _, line := range strings.Split(string(table), "\n") {
			if name, v, ok := strings.Cut(strings.TrimSpace(line), ","); ok {
				known[strings.ToLower(strings.TrimSuffix(name, filepath.Ext(name)))] = v
			}
		}
		files, _ := filepath.Glob(filepath.Join(dir, set, "*.[sS][cC][hH]"))
		proved, begin := 0, spent()
		for _, f := range files {
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			p, err := ReadSCH(string(text))
			if err != nil {
				t.Fatalf("%s: %v", f, err)
			}
			a := solveWithin(t, p, 3*time.Second)
			name := strings.ToLower(strings.TrimSuffix(filepath.Base(f), filepath.Ext(f)))
			if a.Proved {
				proved++
			}
			if !agrees(known[name], a) {
				t.Errorf("%s: %+v; known %s", f, a, known[name])
			}
		}
		t.Logf("%s: %d of %d proved, %.2f s", set, proved, len(files), (spent() - begin).Seconds())
	}
}

func agrees(known string, a Answer) bool {
	if known == "unsat" {
		return a.Proved && !a.Found
	}
	low, high, ranged := strings.Cut(known, "..")
	if !ranged {
		high = low
	}
	lo, err1 := strconv.Atoi(low)
	hi, err2 := strconv.Atoi(high)
	return err1 == nil && err2 == nil && a.Found && int(a.Finish) >= lo && int(a.Lower) <= hi && (!a.Proved || int(a.Finish) <= hi)
}
