package trade_test

import (
	"slices"
	"testing"

	"batterboard/client/engine/trade"
)

func TestEverySequenceIsWhole(t *testing.T) {
	var ids []string
	for _, s := range trade.Sequences() {
		if s.ID == "" || len(s.First) == 0 || len(s.Then) == 0 || s.Why.En == "" || s.Why.Es == "" {
			t.Errorf("sequence %+v: something is missing", s)
		}
		marked(t, "sequence "+s.ID, s.Source, s.Mark)
		ids = append(ids, s.ID)
	}
	slices.Sort(ids)
	if len(slices.Compact(slices.Clone(ids))) != len(ids) {
		t.Errorf("an ID twice: %q", ids)
	}
}

// No link of the demo stands against a sequence that the review asks about.
func TestTheDemoKeepsTheSequences(t *testing.T) {
	s := demo(t)
	broken := 0
	for _, q := range trade.Sequences() {
		for _, first := range q.First {
			for _, then := range q.Then {
				if s.Activity(first) != nil && s.Activity(then) != nil && before(s, then, first) {
					broken++
				}
			}
		}
	}
	if broken != 0 {
		t.Errorf("%d sequences stand the other way round in the demo", broken)
	}
}

// Which trades leave something wet behind.
func TestDries(t *testing.T) {
	for _, c := range []struct{ first, then, want string }{{"taping", "taping", trade.Coat}, {"taping", "paint", trade.Coat}, {"paint", "paint", "paint"},
		{"stucco", "stucco", "scratch-brown"}, {"stucco", "paint", "stucco-paint"}, {"concrete", "carpentry", "curb-frame"}, {"carpentry", "paint", ""}, {"board", "taping", ""}} {
		got := trade.Dries(c.first, c.then)
		if got != c.want {
			t.Errorf("%s, %s: %q", c.first, c.then, got)
		}
		if _, ok := trade.WaitFor(got, trade.Usual, 0); got != "" && !ok {
			t.Errorf("no wait %q", got)
		}
	}
}
