package schedule_test

import (
	"crypto/sha256"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/randsite"
)

var update = flag.Bool("update", false, "write testdata/parity.txt anew, after a change of what the planner says")

// TestParity: plans, ways with their proofs, what it takes to be finished sooner, and odds are the same bytes on
// every machine. The digests in testdata were written natively; the tests that run as WebAssembly, as a phone
// does, compare with the same file.
//
//	go test ./schedule -run Parity -args -update    # after a change of the planner; look at what else changed
func TestParity(t *testing.T) {
	const file = "testdata/parity.txt"
	var b strings.Builder
	add := func(name string, answers ...any) {
		h := sha256.New()
		for _, a := range answers {
			h.Write(text(t, a))
			h.Write([]byte{'\n'})
		}
		fmt.Fprintf(&b, "%s %x\n", name, h.Sum(nil)[:12])
	}
	for n := range uint64(24) {
		site, now := chancy(n)
		r := randsite.Rand(n)
		after := changed(&r, site, now)
		reach := schedule.NewReach(site, now, now.Day()+10)
		reach.Step(20_000)
		add(fmt.Sprintf("site %d", n), schedule.Lay(site, now), schedule.FindWays(site, after, now, 60_000), reach.Answer(), schedule.Odds(site, now, n, 40))
	}
	house, ill, now := house(t, 1)
	add("house", schedule.Lay(house, now), schedule.FindWays(house, ill, now, 1))
	was, after, now := laundry(t)
	ways := schedule.FindWays(was, after, now, 3_000_000)
	if !ways.Done || !ways.Whole {
		t.Errorf("the demo site: done %v, whole %v", ways.Done, ways.Whole)
	}
	add("laundry", schedule.Lay(was, now), ways, schedule.Odds(was, now, 1, 200))
	if *update {
		if err := os.WriteFile(file, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(want), "\n")
	for i, got := range strings.Split(b.String(), "\n") {
		if i >= len(lines) || got != lines[i] {
			t.Errorf("%q is not what was written: another machine, or another planner, answers differently", got)
		}
	}
}
