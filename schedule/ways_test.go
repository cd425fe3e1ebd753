package schedule_test

import (
	"bytes"
	"cmp"
	"slices"
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
	extras := map[string]int{"Saturdays or overtime": 0, "stand-ins": 0, "second visits": 0}
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
			moved(t, n, site, after, now, w)
			used(t, n, after, now, w)
			extras["Saturdays or overtime"] += len(w.Openings)
			extras["stand-ins"] += len(w.StandIns)
			extras["second visits"] += len(w.Twice)
		}
		parts(t, n, ways)
		if roles["push"] != 1 || roles["soonest"] != 1 || roles["fewest"] != 1 || len(ways.Ways) > 5 {
			t.Fatalf("site %d: the parts played are %v", n, roles)
		}
	}
	for what, n := range extras {
		if n == 0 && !testing.Short() {
			t.Errorf("no way uses %s", what)
		}
	}
}

// parts: the soonest way is the soonest, the one with the fewest calls has the fewest, and of two that are the same
// there the better one plays the part. They stand in order of their finish, and no two are alike.
func parts(t *testing.T, n uint64, ways *schedule.Ways) {
	t.Helper()
	day := func(w *schedule.Way) schedule.Day { return (w.Finish - 1).Day() }
	plays := func(w *schedule.Way, part string) bool { return w.Key == part || slices.Contains(w.Also, part) }
	for i := range ways.Ways {
		w := &ways.Ways[i]
		for j := range ways.Ways {
			o := &ways.Ways[j]
			switch {
			case plays(w, schedule.WaySoonest) && slices.Compare([]int64{int64(day(o)), int64(o.Weight), o.Cost}, []int64{int64(day(w)), int64(w.Weight), w.Cost}) < 0:
				t.Fatalf("site %d: the soonest way is finished %s with calls of %d for %d, another %s, %d, %d", n, w.Finish, w.Weight, w.Cost, o.Finish, o.Weight, o.Cost)
			case plays(w, schedule.WayFewest) && slices.Compare([]int64{int64(o.Weight), int64(day(o)), o.Cost}, []int64{int64(w.Weight), int64(day(w)), w.Cost}) < 0:
				t.Fatalf("site %d: the way with the fewest calls has %d of them, is finished %s for %d, another %d, %s, %d", n, w.Weight, w.Finish, w.Cost, o.Weight, o.Finish, o.Cost)
			case i < j && day(o) < day(w):
				t.Fatalf("site %d: a way finished %s stands after one finished %s", n, o.Finish, w.Finish)
			case i < j && string(text(t, w.Laid)) == string(text(t, o.Laid)) && w.Cost == o.Cost && slices.Equal(w.StandIns, o.StandIns) && slices.Equal(w.Openings, o.Openings):
				t.Fatalf("site %d: %s and %s are the same", n, w.Key, o.Key)
			}
		}
		switch {
		case !w.Proved.Soonest:
		case slices.ContainsFunc(ways.Ways, func(o schedule.Way) bool { return day(&o) < day(w) && o.Cost <= w.Cost }):
			t.Fatalf("site %d: %s is said to be proved the soonest and is not", n, w.Key)
		}
		if w.Proved.Fewest && slices.ContainsFunc(ways.Ways, func(o schedule.Way) bool { return day(&o) <= day(w) && o.Cost <= w.Cost && o.Weight < w.Weight }) {
			t.Fatalf("site %d: %s is said to have the fewest calls for its day and has not", n, w.Key)
		}
	}
}

// moved: what a way says of moves is all that moves, from where it lay or was told.
func moved(t *testing.T, n uint64, was, after *schedule.Site, now schedule.Minute, w *schedule.Way) {
	t.Helper()
	before, done := schedule.Lay(was, now), schedule.Taken(after, w)
	plan := schedule.Lay(done, now)
	said := map[string]schedule.Move{}
	for _, m := range w.Moves {
		said[m.ID] = m
	}
	for i := range plan.Lines {
		l, old := &plan.Lines[i], before.Line(plan.Lines[i].ID)
		from := [2]schedule.Minute{old.Start, old.Finish}
		a, h, o := after.Activity(l.ID), after.Hold(l.ID), after.Order(l.ID)
		if a != nil && a.Booking != schedule.Pencilled && a.ToldStart != 0 {
			from[0] = a.ToldStart
			if a.ToldFinish != 0 {
				from[1] = a.ToldFinish
			}
		}
		m, listed := said[l.ID]
		switch {
		case h != nil && h.Visit > now && m.Call: // asked to come on another day than agreed
			from = [2]schedule.Minute{m.FromStart, m.FromFinish}
			if m.FromStart != h.Visit {
				t.Fatalf("site %d, way %s: the visit %s is agreed for %s, not %s", n, w.Key, l.ID, h.Visit, m.FromStart)
			}
		case l.Frozen || o != nil && (o.Ordered != 0 || o.Arrived != 0):
			continue // a fact
		}
		if moves := from != [2]schedule.Minute{l.Start, l.Finish}; l.Start < schedule.Never && moves != listed && !(listed && m.Call) {
			t.Fatalf("site %d, way %s: %s goes from %s-%s to %s-%s; listed %v", n, w.Key, l.ID, from[0], from[1], l.Start, l.Finish, listed)
		}
		if listed && (m.FromStart != from[0] || m.FromFinish != from[1]) {
			t.Fatalf("site %d, way %s: %s is said to come from %s-%s; it comes from %s-%s", n, w.Key, l.ID, m.FromStart, m.FromFinish, from[0], from[1])
		}
		if listed && a != nil && (m.Who != done.Activity(l.ID).Crew || m.Was != "" && m.Was != a.Crew || (m.Was != "") != (m.Who != a.Crew)) {
			t.Fatalf("site %d, way %s: %s goes from %q to %q; said is from %q to %q", n, w.Key, l.ID, a.Crew, done.Activity(l.ID).Crew, m.Was, m.Who)
		}
	}
	if !slices.IsSortedFunc(w.Moves, func(a, b schedule.Move) int { return cmp.Compare(a.Start, b.Start) }) {
		t.Fatalf("site %d, way %s: the moves are not in order", n, w.Key)
	}
}

// used: every extra that a way pays for or asks for is made use of, and every open line is laid, each once.
func used(t *testing.T, n uint64, after *schedule.Site, now schedule.Minute, w *schedule.Way) {
	t.Helper()
	done := schedule.Taken(after, w)
	plan := schedule.Lay(done, now)
	for _, o := range w.Openings {
		works := slices.ContainsFunc(done.Activities, func(a schedule.Activity) bool {
			l := plan.Line(a.ID)
			return slices.Contains(done.CrewsOf(&a), o.Crew) && l.Start < o.Day.At(o.To) && l.Finish > o.Day.At(o.From)
		})
		without := *done
		without.Openings = slices.DeleteFunc(slices.Clone(done.Openings), func(x schedule.Opening) bool { return x == o })
		if !works && len(check.Plan(&without, plan)) == 0 {
			t.Fatalf("site %d, way %s: nobody works in the opening of %s on %s, and nothing counts on it", n, w.Key, o.Crew, o.Day)
		}
	}
	for _, id := range w.Twice {
		once := *done
		once.Activities = slices.Clone(done.Activities)
		once.Activity(id).Twice = false
		if len(check.Plan(&once, plan)) == 0 {
			t.Fatalf("site %d, way %s: %s is done in one visit", n, w.Key, id)
		}
	}
	if !slices.IsSortedFunc(w.Laid, func(a, b schedule.Laid) int { return cmp.Compare(a.ID, b.ID) }) {
		t.Fatalf("site %d, way %s: what is laid is not in order of ID", n, w.Key)
	}
	for i := range plan.Lines {
		l := &plan.Lines[i]
		k, laid := slices.BinarySearchFunc(w.Laid, l.ID, func(x schedule.Laid, id string) int { return cmp.Compare(x.ID, id) })
		a, h, o := done.Activity(l.ID), done.Hold(l.ID), done.Order(l.ID)
		open := !l.Frozen && l.Start < schedule.Never && !(h != nil && h.Visit == l.Start) && !(o != nil && (o.Ordered != 0 || o.Arrived != 0))
		if laid != open {
			t.Fatalf("site %d, way %s: %s is laid %v, and open %v", n, w.Key, l.ID, laid, open)
		}
		if laid && (a != nil && a.Laid != w.Laid[k].At || h != nil && h.Laid != w.Laid[k].At || o != nil && o.Laid != w.Laid[k].At) {
			t.Fatalf("site %d, way %s: once taken, %s is not written down to be laid to %s", n, w.Key, l.ID, w.Laid[k].At)
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
