package exact

import (
	"math/rand"
	"strings"
	"testing"
)

// Our own numbers in the public forms. One crew of 2: kitchen 3 days with 1 hand, roof 2 days with 2,
// yard 4 days with 1, the yard after the kitchen. Roof and kitchen cannot overlap, roof and yard cannot:
// 2 + 3 + 4 = 9.
const tinySM = `************************************************************************
jobs (incl. supersource/sink ):  5
horizon                       :  9
RESOURCES
  - renewable                 :  1   R
  - nonrenewable              :  0   N
  - doubly constrained        :  0   D
************************************************************************
PRECEDENCE RELATIONS:
jobnr.    #modes  #successors   successors
   1        1          2           2   3
   2        1          1           4
   3        1          1           5
   4        1          1           5
   5        1          0
************************************************************************
REQUESTS/DURATIONS:
jobnr. mode duration  R 1
------------------------------------------------------------------------
  1      1     0       0
  2      1     3       1
  3      1     2       2
  4      1     4       1
  5      1     0       0
************************************************************************
RESOURCEAVAILABILITIES:
  R 1
    2
`

// Two activities of 2 and 3 on one crew; the second starts 1 after the first at the earliest and 4 at the
// latest. 5 in all; with a latest of 1 instead there is no schedule.
const tinySCH = "2 1 0 0\n0 1 1 1 [0]\n1 1 2 2 3 [1] [2]\n2 1 2 1 3 [-4] [3]\n3 1 0\n0 1 0 0\n1 1 2 1\n2 1 3 1\n3 1 0 0\n1\n"

func TestReaders(t *testing.T) {
	for _, c := range []struct {
		text   string
		read   func(string) (*Problem, error)
		finish int32 // -1: no schedule
	}{
		{tinySM, ReadSM, 9},
		{tinySCH, ReadSCH, 5},
		{strings.Replace(tinySCH, "[-4]", "[-1]", 1), ReadSCH, -1},
		{strings.ReplaceAll(tinySM, "\n", "\r\n"), ReadSM, 9},
	} {
		p, err := c.read(c.text)
		if err != nil {
			t.Fatal(err)
		}
		h, err := NewHunt(p)
		if err != nil {
			t.Fatal(err)
		}
		h.Step(100000)
		if a := h.Best(); !a.Proved || a.Found != (c.finish >= 0) || a.Found && a.Finish != c.finish {
			t.Errorf("%+v, want %d:\n%s", a, c.finish, c.text)
		}
	}
}

// What cannot be read gets a sentence.
func TestReadersRefuse(t *testing.T) {
	for _, c := range []struct{ old, new, says string }{
		{"jobs (incl. supersource/sink ):  5", "", "there are 0"},
		{tinySM, "a shopping list", "how many jobs"},
		{"jobs (incl. supersource/sink ):  5", "jobs (incl. supersource/sink ):  5000000", "can be read"},
		{"jobs (incl. supersource/sink ):  5", "jobs (incl. supersource/sink ):  x", "whole number"},
		{"nonrenewable              :  0", "nonrenewable              :  2", "renew themselves"},
		{"   3        1          1           5", "   3        1          1           9", "job 9 does not exist"},
		{"   3        1          1           5", "   3        1          2           5", "how many"},
		{"  3      1     2       2", "  3      1     2", "numbers here"},
		{"  3      1     2       2", "  3      1    -2       2", "takes -2"},
		{"  3      1     2       2", "", "too early"},
		{"  R 1\n    2\n", "", "before the capacities"},
		{"  R 1\n    2\n", "  R 1\n    2 3\n", "2 capacities for 1 resources"},
	} {
		text := strings.Replace(tinySM, c.old, c.new, 1)
		if _, err := ReadSM(text); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("with %q: %v, want %q", c.new, err, c.says)
		}
	}
	for _, c := range []struct{ old, new, says string }{
		{"2 1 0 0", "2", "first line"},
		{"2 1 0 0", "-4 1", "cannot be read"},
		{"[-4]", "[x]", "whole numbers"},
		{"[-4]", "", "line of successors"},
		{"1 1 2 2 3", "1 1 2 1 3", "cannot follow"},
		{"3 1 0 0\n1\n", "", "too early"},
		{"2 1 3 1\n", "2 1 3 1 1\n", "line of durations"},
	} {
		text := strings.Replace(tinySCH, c.old, c.new, 1)
		if _, err := ReadSCH(text); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("with %q: %v, want %q", c.new, err, c.says)
		}
	}
}

func FuzzReadSM(f *testing.F) {
	f.Add(tinySM)
	f.Add(tinySM[:400])
	f.Fuzz(func(t *testing.T, text string) { fuzzRead(t, text, ReadSM) })
}

func FuzzReadSCH(f *testing.F) {
	f.Add(tinySCH)
	f.Add(tinySCH[:60])
	f.Add("0 0\n0 1 1 1 [0]\n1 1 0\n0 1 0\n1 1 0\n")
	f.Fuzz(func(t *testing.T, text string) { fuzzRead(t, text, ReadSCH) })
}

// fuzzRead: nothing a stranger writes makes a reader or the search panic, and what is found holds.
func fuzzRead(t *testing.T, text string, read func(string) (*Problem, error)) {
	p, err := read(text)
	if err != nil || len(p.Nodes) > 50 || p.Horizon > 10000 {
		return
	}
	h, err := NewHunt(p)
	if err != nil {
		return
	}
	h.Step(3000)
	if a := h.Best(); a.Found {
		if _, err := Check(p, a.Starts); err != nil {
			t.Error(err)
		}
	}
}

// Files with a few wrong characters are read or refused, and what is found in them holds.
func TestReadersBroken(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 800 {
		for k, text := range []string{tinySM, tinySCH} {
			b := []byte(text)
			for range 1 + r.Intn(4) {
				b[r.Intn(len(b))] = "0123456789 \n-[x"[r.Intn(15)]
			}
			fuzzRead(t, string(b), []func(string) (*Problem, error){ReadSM, ReadSCH}[k])
		}
	}
}
