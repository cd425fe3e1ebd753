package schedule_test

import (
	"bytes"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
	"batterboard/schedule/randsite"
)

// changes to a site, as they happen on one: somebody cannot come, work takes longer, a delivery slips,
// a visit fails, the site is shut for a day.
func changed(r *randsite.Rand, site *schedule.Site, now schedule.Minute) *schedule.Site {
	out := *site
	out.Away = append([]schedule.Away(nil), site.Away...)
	out.Activities = append([]schedule.Activity(nil), site.Activities...)
	out.Orders = append([]schedule.Order(nil), site.Orders...)
	out.Shut = append([]schedule.Shut(nil), site.Shut...)
	day := now.Day() + schedule.Day(r.Int(4))
	switch r.Int(5) {
	case 4:
		out.Shut = append(out.Shut, schedule.Shut{ID: "rain", From: day, To: day + 2, Outdoor: true})
	case 0:
		a := &out.Activities[r.Int(len(out.Activities))]
		a.Labour.Typical += 480
	case 1:
		out.Shut = append(out.Shut, schedule.Shut{ID: "today", From: day, To: day})
	case 2:
		for i := range out.Orders {
			if out.Orders[i].Ordered != 0 {
				out.Orders[i].Due = day + 3
			}
		}
		fallthrough
	default:
		c := site.Crews[r.Int(len(site.Crews))].ID
		out.Away = append(out.Away, schedule.Away{ID: "ill", Crew: c, From: day, To: day + schedule.Day(r.Int(3))})
	}
	return &out
}

// TestWaysLaws: each way, once taken, is the plan; the checker agrees with it; it says truly whom to
// call and what it costs; the three that must be there are there.
func TestWaysLaws(t *testing.T) {
	t.Parallel()
	for n := range sites(25) {
		site, now := anySite(n)
		r := randsite.Rand(n)
		after := changed(&r, site, now)
		ways := schedule.FindWays(site, after, now, 60000)
		if n%2 == 1 && lost(schedule.Lay(after, now)) {
			continue // see TestLaidStays
		}
		roles := map[string]int{}
		for i := range ways.Ways {
			w := &ways.Ways[i]
			for _, k := range append([]string{w.Key}, w.Also...) {
				roles[k]++
			}
			taken(t, n, after, now, w)
			honest(t, n, site, after, now, w)
		}
		if roles["push"] != 1 || roles["soonest"] != 1 || roles["fewest"] != 1 || len(ways.Ways) > 5 {
			t.Fatalf("site %d: the parts played are %v", n, roles)
		}
	}
}

// taken checks that the plan after taking a way is that way.
func taken(t *testing.T, n uint64, after *schedule.Site, now schedule.Minute, w *schedule.Way) {
	t.Helper()
	done := schedule.Taken(after, w)
	plan := schedule.Lay(done, now)
	if faults := check.Plan(done, plan); len(faults) > 0 {
		t.Fatalf("site %d, way %s: %v", n, w.Key, faults)
	}
	if plan.Finish != w.Finish && w.Finish < schedule.Never {
		show(t, done, plan)
		t.Fatalf("site %d, way %s says it finishes %s; taken, it finishes %s", n, w.Key, w.Finish, plan.Finish)
	}
	for _, l := range w.Laid {
		if got := plan.Line(l.ID).Start; got != l.At {
			show(t, done, plan)
			t.Fatalf("site %d, way %s: %s is laid to %s and lies at %s", n, w.Key, l.ID, l.At, got)
		}
	}
	for _, m := range w.Moves {
		if l := plan.Line(m.ID); l.Start != m.Start || l.Finish != m.Finish {
			t.Fatalf("site %d, way %s: says %s moves to %s-%s; it moves to %s-%s", n, w.Key, m.ID, m.Start, m.Finish, l.Start, l.Finish)
		}
	}
}

// honest counts calls, weight and cost again from what was told and what is planned.
func honest(t *testing.T, n uint64, was, after *schedule.Site, now schedule.Minute, w *schedule.Way) {
	t.Helper()
	before, plan := schedule.Lay(was, now), schedule.Lay(schedule.Taken(after, w), now)
	heavy := map[string]int32{}
	call := func(crew string, weight int32) {
		if c := after.Crew(crew); c != nil && !c.Own {
			heavy[crew] = max(heavy[crew], weight)
		}
	}
	stands := map[string]string{}
	for _, s := range w.StandIns {
		stands[s.Activity] = s.Crew
		call(s.Crew, schedule.CallWeight(schedule.Asked, before.Line(s.Activity).Start, now))
	}
	cost := int64(0)
	for _, o := range w.Openings {
		cost += o.Cost
		call(o.Crew, schedule.CallWeight(schedule.Asked, o.Day.At(o.From), now))
	}
	for _, id := range w.Twice {
		at := now
		if l := before.Line(id); l != nil {
			at = l.Start
		}
		for _, c := range after.CrewsOf(after.Activity(id)) {
			cost += max(after.Crew(c).Twice.Cost, 0)
			call(c, schedule.CallWeight(schedule.Asked, at, now))
		}
	}
	for i := range after.Activities {
		a := &after.Activities[i]
		start, finish := a.ToldStart, a.ToldFinish
		if start == 0 && before.Line(a.ID) != nil && before.Line(a.ID).Start < schedule.Never {
			start, finish = before.Line(a.ID).Start, before.Line(a.ID).Finish
		}
		l := plan.Line(a.ID)
		if a.Booking == schedule.Pencilled || l.Frozen || start == 0 || l.Start < now {
			continue
		}
		kept := l.Start.Day() == start.Day() && l.Start >= start && (finish == 0 || (l.Finish-1).Day() == (finish-1).Day())
		if !kept || stands[a.ID] != "" {
			for _, c := range after.CrewsOf(a) {
				call(c, schedule.CallWeight(a.Booking, start, now))
			}
		}
	}
	for i := range after.Holds {
		h := &after.Holds[i]
		stale := h.Result != "" && h.Visit <= h.ResultAt
		if h.Result != schedule.Pass && h.Visit > now && !stale && plan.Line(h.ID).Start != h.Visit {
			heavy["hold "+h.ID] = schedule.CallWeight(schedule.Firm, h.Visit, now)
		}
	}
	sum, calls := int32(0), int32(0)
	for _, v := range heavy {
		sum += v
		calls++
	}
	if sum != w.Weight || calls != w.Calls || cost != w.Cost {
		show(t, after, plan)
		t.Fatalf("site %d, way %s: says %d calls of weight %d, cost %d; counted %d of %d, cost %d (%v)", n, w.Key, w.Calls, w.Weight, w.Cost, calls, sum, cost, heavy)
	}
}

// TestPortions: however the steps are portioned, the answer is the same.
func TestPortions(t *testing.T) {
	for n := range sites(80) {
		site, now := anySite(n)
		r := randsite.Rand(n)
		after := changed(&r, site, now)
		want := text(t, schedule.FindWays(site, after, now, 30000))
		s := schedule.NewSearch(site, after, now)
		for range 300 {
			s.Step(100)
			if r.Chance(10) {
				s.Ways() // looking changes nothing
			}
		}
		if got := text(t, s.Ways()); !bytes.Equal(want, got) {
			t.Fatalf("site %d: at once\n%s\nin portions\n%s", n, want, got)
		}
	}
}
