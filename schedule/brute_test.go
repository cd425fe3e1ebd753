package schedule_test

import (
	"slices"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/randsite"
)

// Brute force for small sites, sharing nothing with the search but the site and the plan before. It
// knows half hours only, and tries every order of placing, with every set of kept promises and every set
// of extras. With finish-to-start and start-to-start links without leads, some order reaches every best
// schedule (serial generation reaches all active schedules: Kolisch, Hartmann, "Heuristic algorithms for
// the resource-constrained project scheduling problem", 1999; from memory).

const slotMin = 30

type bruteNode struct {
	id      string
	open    []bool // per slot
	away    []bool // per slot: the crew can't come, though it is a working day
	visits  int    // how many times the crew may come
	dur     int    // slots of work; 0: takes a whole window of open
	low     int
	uses    map[string]int
	in      []bruteArc
	told    *[2]schedule.Minute
	persons map[string]int32 // who hears, and the weight, when it does not keep what was told
}

type bruteArc struct {
	from  int
	start bool // SS
	lag   int
	clock bool
}

type brute struct {
	origin schedule.Minute
	slots  int
	nodes  []bruteNode
	caps   map[string]int
	site   []bool // the site's hours
	level  map[string]int32
	cost   int64
	found  map[[3]int64]bool

	start, finish []int
	placed        []bool
	keep          []bool
}

func (b *brute) slot(m schedule.Minute) int { return int((m - b.origin + slotMin - 1) / slotMin) }
func (b *brute) minute(s int) schedule.Minute {
	return b.origin + schedule.Minute(s*slotMin)
}

// hours of a crew, or of the site for "", slot by slot.
func (b *brute) hours(site *schedule.Site, crew string, outdoor bool) []bool {
	open := make([]bool, b.slots)
	for s := range open {
		m := b.minute(s)
		day, t := m.Day(), m.OfDay()
		open[s] = day.Weekday() < 5 && (t >= 480 && t < 720 || t >= 750 && t < 990)
		for _, o := range site.Openings {
			open[s] = open[s] || crew != "" && o.Crew == crew && o.Day == day && t >= o.From && t < o.To
		}
		for _, a := range site.Away {
			open[s] = open[s] && !(a.Crew == crew && a.From <= day && day <= a.To)
		}
		for _, a := range site.Shut {
			open[s] = open[s] && (a.Outdoor && !outdoor || !(a.From <= day && day <= a.To))
		}
	}
	return open
}

func newBrute(site *schedule.Site, now schedule.Minute) *brute {
	b := &brute{origin: now.Day().Start(), slots: 60 * 48, caps: map[string]int{}, level: map[string]int32{}}
	b.site = b.hours(site, "", false)
	index := map[string]int{}
	low := b.slot(max(now, site.Start.Start()))
	for i := range site.Activities {
		a := &site.Activities[i]
		n := bruteNode{id: a.ID, open: b.hours(site, a.Crew, a.Outdoor), away: b.missed(site, a), visits: 1, dur: int(a.Labour.Typical) / slotMin, uses: map[string]int{a.Crew: 1}, persons: map[string]int32{}}
		if a.Noisy && site.Noise != nil {
			for s := range n.open {
				at := b.minute(s)
				n.open[s] = n.open[s] && slices.ContainsFunc(site.Noise[at.Day().Weekday()], func(w schedule.Window) bool { return w.From <= at.OfDay() && at.OfDay() < w.To })
			}
		}
		if a.Twice {
			n.visits = 2
		}
		n.low = max(low, b.slot(a.NotBefore))
		b.caps[a.Crew] = 1
		if p := site.Place(a.Place); p != nil {
			b.caps[p.ID] = int(p.Room)
			n.uses[p.ID] = 1
			if a.Whole {
				n.uses[p.ID] = int(p.Room)
			}
		}
		index[a.ID] = len(b.nodes)
		b.nodes = append(b.nodes, n)
	}
	for i := range site.Holds {
		h := &site.Holds[i]
		n := bruteNode{id: h.ID, open: b.hours(site, "", false)}
		if h.Hours != nil {
			for s := range n.open {
				m := b.minute(s)
				in := false
				for _, w := range h.Hours[m.Day().Weekday()] {
					in = in || m.OfDay() >= w.From && m.OfDay() < w.To
				}
				n.open[s] = in && !b.closed(site, m.Day())
			}
		}
		day := now.Day()
		for day.Weekday() > 4 || b.closed(site, day) {
			day++ // a call on a day off counts for the next working day
		}
		for left := h.Notice; left > 0; {
			day++
			if day.Weekday() < 5 && !b.closed(site, day) {
				left--
			}
		}
		n.low = max(low, b.slot(day.Start()))
		index[h.ID] = len(b.nodes)
		b.nodes = append(b.nodes, n)
	}
	for _, l := range site.Links {
		to := index[l.To]
		b.nodes[to].in = append(b.nodes[to].in, bruteArc{index[l.From], l.Kind == schedule.SS, int(l.Lag) / slotMin, l.Clock})
	}
	b.start, b.finish = make([]int, len(b.nodes)), make([]int, len(b.nodes))
	b.placed, b.keep = make([]bool, len(b.nodes)), make([]bool, len(b.nodes))
	return b
}

func (b *brute) closed(site *schedule.Site, day schedule.Day) bool {
	for _, a := range site.Shut {
		if !a.Outdoor && a.From <= day && day <= a.To {
			return true
		}
	}
	return false
}

// end is when node n is done if it starts at s; -1, when it cannot start there.
func (b *brute) end(n *bruteNode, s int) int {
	if s >= len(n.open) || !n.open[s] {
		return -1
	}
	if n.dur == 0 { // a visit: from the start of a window to its end
		if s > 0 && n.open[s-1] {
			return -1
		}
		for s < len(n.open) && n.open[s] {
			s++
		}
		return s
	}
	gone, visits := false, 1
	for left := n.dur; s < len(n.open); s++ {
		if n.away[s] && !gone {
			gone = true
			visits++
		}
		if visits > n.visits {
			return -1 // it would have to stop for days away
		}
		if n.open[s] {
			gone = false
			if left--; left == 0 {
				return s + 1
			}
		}
	}
	return -1 // it does not get done
}

// missed is the working days on which a crew is away.
func (b *brute) missed(site *schedule.Site, act *schedule.Activity) []bool {
	crew := act.Crew
	there := *site
	there.Away = nil
	full := b.hours(&there, crew, act.Outdoor)
	missed := make([]bool, b.slots)
	for s := 0; s < b.slots; s += 48 {
		day := b.minute(s).Day()
		for _, a := range site.Away {
			if a.Crew == crew && a.From <= day && day <= a.To && slices.Contains(full[s:s+48], true) {
				missed[s] = true
			}
		}
	}
	return missed
}

// waits is whether node i may start at s.
func (b *brute) waits(i, s int) bool {
	n := &b.nodes[i]
	if s < n.low {
		return false
	}
	for _, a := range n.in {
		ref := b.finish[a.from]
		if a.start {
			ref = b.start[a.from]
		}
		open := n.open
		if n.dur == 0 {
			open = b.site
		}
		between := 0
		for t := ref; t < s; t++ {
			if open[t] {
				between++
			}
		}
		if a.clock && s-ref < a.lag || !a.clock && a.lag > 0 && between < a.lag || s < ref {
			return false
		}
	}
	return true
}

func (b *brute) fits(i, s, e int) bool {
	for r, amount := range b.nodes[i].uses {
		if b.taken(r, s)+amount > b.caps[r] {
			return false
		}
		for j := range b.nodes { // it can only become fuller where another starts
			if t := b.start[j]; b.placed[j] && s < t && t < e && b.taken(r, t)+amount > b.caps[r] {
				return false
			}
		}
	}
	return true
}

func (b *brute) taken(r string, t int) (sum int) {
	for j := range b.nodes {
		if b.placed[j] && b.start[j] <= t && t < b.finish[j] {
			sum += b.nodes[j].uses[r]
		}
	}
	return sum
}

func told(n *bruteNode, start, finish schedule.Minute) bool {
	return start.Day() == n.told[0].Day() && start >= n.told[0] && (finish-1).Day() == (n.told[1]-1).Day()
}

// search places the nodes in every order.
func (b *brute) search(left int) {
	if left == 0 {
		b.count()
		return
	}
	for i := range b.nodes {
		if b.placed[i] || !b.ready(i) {
			continue
		}
		for s := b.nodes[i].low; s < b.slots; s++ {
			e := b.end(&b.nodes[i], s)
			if e < 0 || !b.waits(i, s) || b.keep[i] && !told(&b.nodes[i], b.minute(s), b.minute(e)) || !b.fits(i, s, e) {
				continue
			}
			b.start[i], b.finish[i], b.placed[i] = s, e, true
			b.search(left - 1)
			b.placed[i] = false
			break
		}
	}
}

func (b *brute) ready(i int) bool {
	for _, a := range b.nodes[i].in {
		if !b.placed[a.from] {
			return false
		}
	}
	return true
}

func (b *brute) count() {
	level := map[string]int32{}
	for p, w := range b.level {
		level[p] = w
	}
	last := 0
	for i := range b.nodes {
		n := &b.nodes[i]
		last = max(last, b.finish[i])
		if n.told != nil && !told(n, b.minute(b.start[i]), b.minute(b.finish[i])) {
			for p, w := range n.persons {
				level[p] = max(level[p], w)
			}
		}
	}
	sum := int64(0)
	for _, w := range level {
		sum += int64(w)
	}
	b.found[[3]int64{int64((b.minute(last) - 1).Day()), sum, b.cost}] = true
}

// bruteExtra is an opening or a stand-in.
type bruteExtra struct {
	open        schedule.Opening
	activity    string
	standInCrew string // empty: the activity may be done in two visits
	cost        int64
}

// bruteExtras lists them by the rule the package documents: the next two Saturdays, overtime on the next
// five working days, stand-ins for what the change pushed back.
func bruteExtras(b *brute, site *schedule.Site, before, push *schedule.Plan, now schedule.Minute, far bool) (list []bruteExtra) {
	for _, c := range site.Crews {
		last := schedule.Day(0)
		for _, a := range site.Activities {
			if a.Crew == c.ID {
				last = max(last, (push.Line(a.ID).Finish - 1).Day())
			}
		}
		open := b.hours(site, c.ID, false)
		worked := 0
		saturdays := 0
		for day := now.Day(); day <= last; day++ {
			away := slices.ContainsFunc(site.Away, func(a schedule.Away) bool { return a.Crew == c.ID && a.From <= day && day <= a.To })
			free := !away && !b.closed(site, day)
			any := slices.Contains(open[b.slot(day.Start()):b.slot((day+1).Start())], true)
			add := func(x *schedule.Extra) {
				o := schedule.Opening{Crew: c.ID, Day: day, From: x.From, To: x.To, Cost: x.Cost}
				if free && !slices.Contains(open[b.slot(day.At(x.From)):b.slot(day.At(x.To))], true) {
					list = append(list, bruteExtra{open: o})
				}
			}
			if day.Weekday() == 5 {
				if saturdays++; c.Saturday != nil && (far || saturdays <= 2) {
					add(c.Saturday)
				}
			}
			if any {
				if worked++; c.Overtime != nil && (far || worked <= 5) {
					add(c.Overtime)
				}
			}
		}
	}
	for _, a := range site.Activities {
		if far || push.Line(a.ID).Start > before.Line(a.ID).Start {
			for _, other := range site.Crew(a.Crew).Stands {
				list = append(list, bruteExtra{activity: a.ID, standInCrew: other})
			}
			if c := site.Crew(a.Crew); c.Twice != nil && !a.Twice && slices.Contains(b.missed(site, &a), true) {
				list = append(list, bruteExtra{activity: a.ID, cost: c.Twice.Cost})
			}
		}
	}
	return list
}

// bruteFront is the best trades of finish day, weight of calls and cost; ok is false where there are too many
// extras to try all. Far looks for extras all the way to the finish, and for any work.
func bruteFront(was, after *schedule.Site, now schedule.Minute, most int, far bool) (front [][3]int64, ok bool) {
	before, push := schedule.Lay(was, now), schedule.Lay(after, now)
	extras := bruteExtras(newBrute(after, now), after, before, push, now, far)
	if len(extras) > most {
		return nil, false
	}
	found := map[[3]int64]bool{}
	for mask := range 1 << len(extras) {
		site := *after
		site.Activities = slices.Clone(after.Activities)
		site.Openings = slices.Clone(after.Openings)
		level, cost := map[string]int32{}, int64(0)
		twice := false
		for i, e := range extras {
			if mask>>i&1 == 0 {
				continue
			}
			if a := site.Activity(e.activity); a != nil {
				twice = twice || a.Crew != after.Activity(a.ID).Crew || a.Twice != after.Activity(a.ID).Twice
				if a.Twice = e.standInCrew == ""; !a.Twice {
					a.Crew = e.standInCrew
				}
				cost += e.cost
				level[a.Crew] = max(level[a.Crew], schedule.CallWeight(schedule.Asked, before.Line(a.ID).Start, now))
				continue
			}
			site.Openings = append(site.Openings, e.open)
			level[e.open.Crew] = max(level[e.open.Crew], schedule.CallWeight(schedule.Asked, e.open.Day.At(e.open.From), now))
			cost += e.open.Cost
		}
		if twice {
			continue
		}
		b := newBrute(&site, now)
		b.level, b.cost, b.found = level, cost, found
		var booked []int
		for i := range b.nodes {
			a := after.Activity(b.nodes[i].id)
			if a == nil || a.Booking == schedule.Pencilled {
				continue
			}
			t := [2]schedule.Minute{a.ToldStart, a.ToldFinish}
			if t[0] == 0 {
				t = [2]schedule.Minute{before.Line(a.ID).Start, before.Line(a.ID).Finish}
			}
			w := schedule.CallWeight(a.Booking, t[0], now)
			if site.Activity(a.ID).Crew != a.Crew {
				level[a.Crew] = max(level[a.Crew], w)
				continue
			}
			b.nodes[i].told, b.nodes[i].persons = &t, map[string]int32{a.Crew: w}
			booked = append(booked, i)
		}
		for keep := range 1 << len(booked) {
			for k, i := range booked {
				b.keep[i] = keep>>k&1 != 0
			}
			b.search(len(b.nodes))
		}
	}
	for k := range found {
		best := true
		for o := range found {
			best = best && !(o != k && o[0] <= k[0] && o[1] <= k[1] && o[2] <= k[2])
		}
		if best {
			front = append(front, k)
		}
	}
	slices.SortFunc(front, func(a, b [3]int64) int { return slices.Compare(a[:], b[:]) })
	return front, true
}

// TestBrute: on small sites the whole set of best trades is what trying everything finds.
func TestBrute(t *testing.T) {
	t.Parallel()
	bruteSites(t, 25, false)
}

// bruteSites compares the search with brute force, on one in share of the usual sites.
func bruteSites(t *testing.T, share uint64, noise bool) {
	t.Helper()
	small := randsite.Shape{Activities: 5, Holds: 1, Crews: 3, Places: 1, Plain: true, NoFacts: true}
	full := randsite.Shape{Activities: 7, Crews: 3, Places: 1, Plain: true, NoFacts: true, NoExtras: true}
	small.Noise, full.Noise = noise, noise
	compared, wide := 0, 0
	for n := range sites(share) {
		shape, most := small, 3
		if n%20 == 7 {
			shape, most = full, 0
		}
		site, now := randsite.Site(n, shape)
		r := randsite.Rand(n)
		after := changed(&r, site, now)
		if len(after.Problems()) > 0 || len(after.Openings) > 0 {
			continue
		}
		want, ok := bruteFront(site, after, now, most, false)
		if !ok {
			continue
		}
		s := schedule.NewSearch(site, after, now)
		s.Step(3000000)
		got := s.Front()
		slices.SortFunc(got, func(a, b [3]int64) int { return slices.Compare(a[:], b[:]) })
		if w := s.Ways(); !w.Whole {
			t.Errorf("site %d: the set of ways is not proved whole", n)
		}
		if !slices.Equal(got, want) {
			t.Logf("%s", text(t, after))
			t.Fatalf("site %d: the search found %v, brute force %v", n, got, want)
		}
		compared++
		if len(want) > 1 {
			wide++
		}
	}
	if !testing.Short() && (compared < 1500/int(share) || wide < 200/int(share)) {
		t.Errorf("only %d sites were compared, %d of them with a choice", compared, wide)
	}
	t.Logf("%d sites compared, %d of them with a choice", compared, wide)
}
