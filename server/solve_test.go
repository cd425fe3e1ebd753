package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Three jobs of 2, 3 and 4 on one crew, the last after the first: 9 in all, whatever the order. Our own
// numbers, in the public text form.
const smallProject = `jobs (incl. supersource/sink ):  5
RESOURCES
  - renewable                 :  1   R
  - nonrenewable              :  0   N
  - doubly constrained        :  0   D
PRECEDENCE RELATIONS:
jobnr.    #modes  #successors   successors
   1        1          2           2   3
   2        1          1           4
   3        1          1           5
   4        1          1           5
   5        1          0
REQUESTS/DURATIONS:
jobnr. mode duration  R 1
  1      1     0       0
  2      1     2       1
  3      1     3       1
  4      1     4       1
  5      1     0       0
RESOURCEAVAILABILITIES:
  R 1
    1
`

// Two activities that must start at the same moment and need one crew: no schedule.
const togetherProject = "2 1\n0 1 1 1 [0]\n1 1 2 2 3 [0] [2]\n2 1 2 1 3 [0] [2]\n3 1 0\n0 1 0 0\n1 1 2 1\n2 1 2 1\n3 1 0 0\n1\n"

func TestSolveProject(t *testing.T) {
	dir := t.TempDir()
	sm, sch := filepath.Join(dir, "three.sm"), filepath.Join(dir, "together.SCH")
	writeText(t, sm, smallProject)
	writeText(t, sch, togetherProject)
	for _, args := range [][]string{{"--steps", "100000"}, {"--time", "10s"}, nil} {
		got := solveJSON(t, append([]string{sm}, args...)...)
		if got.Makespan != 9 || got.LowerBound != 9 || !got.Proved || !got.Feasible {
			t.Errorf("%v: %+v", args, got)
		}
	}
	if got := solveJSON(t, sm, "--schedules", "5"); got.Makespan != 9 || !got.Feasible {
		t.Errorf("schedules: %+v", got)
	}
	if got := solveJSON(t, sch, "--steps", "100000"); got.Feasible || !got.Proved {
		t.Errorf("no schedule: %+v", got)
	}
	_, out, _ := shellOut("solve", sm)
	if !strings.HasPrefix(out, "Finishes after 9; nothing finishes sooner.\n") {
		t.Errorf("in words: %s", out)
	}
}

func TestSolveSite(t *testing.T) {
	got := solveJSON(t, studio, "--now=2027-03-01T06:40", "--steps", "500000")
	starts, _ := got.Starts.(map[string]any)
	if !got.Feasible || !got.Proved || got.LowerBound > got.Makespan || starts["board"] == nil {
		t.Errorf("%+v", got)
	}
}

func TestSolveRefuses(t *testing.T) {
	dir := t.TempDir()
	cut := filepath.Join(dir, "cut.sm")
	writeText(t, cut, smallProject[:300])
	for _, args := range [][]string{
		{cut}, {filepath.Join(dir, "none.sm")}, {}, {studio, "--schedules", "3"}, {cut, "--time", "-1s"},
	} {
		if code, _, errs := shellOut(append([]string{"solve"}, args...)...); code != 2 || !strings.HasPrefix(errs, "batterboard: ") {
			t.Errorf("solve %v: status %d, %s", args, code, errs)
		}
	}
}

func solveJSON(t *testing.T, args ...string) (r solved) {
	t.Helper()
	code, out, errs := shellOut(append([]string{"solve", "--json"}, args...)...)
	if code != 0 {
		t.Fatalf("solve %v: status %d, %s", args, code, errs)
	}
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	return r
}

func writeText(t *testing.T, name, text string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}
