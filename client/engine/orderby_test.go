package engine

import (
	"testing"

	"batterboard/schedule"
)

// Whoever orders at the last moment, and waits as long as the supplier says, has the goods on the day that the
// plan and the supplier's text name: not on a later one that the finish could just bear.
func TestOrderedInTimeIsThereInTime(t *testing.T) {
	e := openDemo(t, "en")
	show(t, e, "orders", "")
	s := e.sheet
	open := 0
	for i := range s.site.Orders {
		o := &s.site.Orders[i]
		l := s.lines[o.ID]
		if o.Ordered != 0 || o.Arrived != 0 {
			continue
		}
		open++
		if there := l.CallBy.Day() + schedule.Day(o.Lead); there > l.Start.Day() {
			t.Errorf("%s: ordered by %v it is there on %v, and planned for %v", o.Goods, l.CallBy, there, l.Start)
		}
	}
	if open == 0 {
		t.Error("nothing is left to order")
	}
}
