package template_test

import (
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
)

// A new site is planned at once: without a problem, in the order of the model code, and ending when
// such jobs end. Building takes 4 to 12 weeks after the permit (one source says 4-8, another two to three
// months; common practice), the permit itself 4 to 12 weeks.
func TestTemplatesPlan(t *testing.T) {
	for _, key := range []string{"one-car", "two-car"} {
		s := read(t, key+".json")
		s.Start = schedule.DateOf(2027, 3, 1)
		now := s.Start.At(7 * 60)
		plan := schedule.Lay(s, now)
		if len(plan.Problems) != 0 {
			t.Errorf("%s: %v", key, plan.Problems)
		}
		for _, f := range check.Plan(s, plan) {
			t.Errorf("%s: %v", key, f)
		}
		permit := plan.Line("permit-posted").Finish
		weeks := int((plan.Finish - permit) / (7 * schedule.MinutesPerDay))
		if w := int((permit - now) / (7 * schedule.MinutesPerDay)); w < 4 || w > 14 {
			t.Errorf("%s: the permit is posted after %d weeks", key, w)
		}
		if weeks < 4 || weeks > 16 {
			t.Errorf("%s: %d weeks from the permit to the end", key, weeks)
		}
		t.Logf("%s: permit %v, finish %v, %d weeks of building, taut %v", key, permit, plan.Finish, weeks, plan.Taut)
		// From the first tape measure to the broom: goods come when they are wanted and bind nothing, except
		// those that are ordered as soon as they can be and still come last.
		if n := len(plan.Taut); n < 20 || plan.Taut[0] != "measure" || plan.Taut[n-1] != "clean" {
			t.Errorf("%s: the taut chain is %v", key, plan.Taut)
		}
		for _, id := range []string{"door-windows", "door-inner", "unit", "clips"} {
			ordered := plan.Line("order-long").Finish
			if id == "unit" || id == "clips" {
				ordered = plan.Line("order-short").Finish
			}
			o := s.Order(id)
			if arrives := plan.Line(id).Start.Day(); arrives < ordered.Day()+schedule.Day(o.Lead) {
				t.Errorf("%s: %s arrives %v, ordered %v with a lead of %d days", key, id, arrives, ordered, o.Lead)
			}
		}
		if testing.Verbose() {
			for _, l := range plan.Lines {
				t.Logf("  %v - %v %-18s float %d %v %s", l.Start, l.Finish, l.ID, l.Float, l.Because.Kind, l.Because.By)
			}
		}
	}
}
