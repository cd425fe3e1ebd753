package schedule_test

import (
	"slices"
	"sort"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
	"batterboard/schedule/randsite"
)

// clockwork is a site minute by minute: when who works, where a line can lie, what waits for what. It shares nothing
// with the planner but the site, and is slow.
type clockwork struct {
	t      *testing.T
	site   *schedule.Site
	now    schedule.Minute
	origin schedule.Minute
	hours  map[string][]int32 // by crews: open minutes before each minute
	missed map[string]map[schedule.Day]bool
	work   map[string]*workHours
}

// workHours are when an activity's crews work, and which days they miss.
type workHours struct {
	n      []int32
	missed map[schedule.Day]bool
}

const clockDays = 130

func newClockwork(t *testing.T, site *schedule.Site, now schedule.Minute) *clockwork {
	return &clockwork{t: t, site: site, now: now, origin: (now.Day() - 20).Start(), hours: map[string][]int32{}, missed: map[string]map[schedule.Day]bool{}, work: map[string]*workHours{}}
}

func (c *clockwork) span(from, to schedule.Day) func(schedule.Day) bool {
	return func(d schedule.Day) bool {
		return from != 0 && from <= d && d <= max(to, from) && (to >= from || to == 0)
	}
}

func (c *clockwork) shut(d schedule.Day, outdoor bool) bool {
	return slices.ContainsFunc(c.site.Shut, func(s schedule.Shut) bool { return (outdoor || !s.Outdoor) && c.span(s.From, s.To)(d) })
}

func (c *clockwork) away(crew string, d schedule.Day) bool {
	return slices.ContainsFunc(c.site.Away, func(a schedule.Away) bool { return a.Crew == crew && c.span(a.From, a.To)(d) })
}

func (c *clockwork) windows(crew string, d schedule.Day) []schedule.Window {
	week := c.site.Hours
	if week.IsZero() {
		week = schedule.DefaultWeek()
	}
	if k := c.site.Crew(crew); k != nil && k.Hours != nil {
		week = *k.Hours
	}
	out := slices.Clone(week[d.Weekday()])
	for _, o := range c.site.Openings {
		if o.Crew == crew && crew != "" && o.Day == d && o.From < o.To {
			out = append(out, schedule.Window{From: o.From, To: o.To})
		}
	}
	return out
}

func (c *clockwork) crewsOf(a *schedule.Activity) (crews []string) {
	for _, id := range append([]string{a.Crew}, a.With...) {
		if c.site.Crew(id) != nil && !slices.Contains(crews, id) {
			crews = append(crews, id)
		}
	}
	return crews
}

// noisy tells whether work may be loud at minute m of a day.
func (c *clockwork) noisy(d schedule.Day, m int) bool {
	return slices.ContainsFunc(c.site.Noise[d.Weekday()], func(w schedule.Window) bool { return int(w.From) <= m && m < int(w.To) })
}

// counts is the open minutes before each minute, when all the crews work; the site's for none. Loud: of those, when
// noise is allowed.
func (c *clockwork) counts(crews []string, outdoor, loud bool) ([]int32, map[schedule.Day]bool) {
	key := "in"
	if outdoor {
		key = "out"
	}
	if loud {
		key += " loud"
	}
	for _, k := range crews {
		key += " " + k
	}
	if n := c.hours[key]; n != nil {
		return n, c.missed[key]
	}
	n, missed := make([]int32, clockDays*schedule.MinutesPerDay+1), map[schedule.Day]bool{}
	who := crews
	if len(who) == 0 {
		who = []string{""}
	}
	for d := range schedule.Day(clockDays) {
		day := c.origin.Day() + d
		var open [schedule.MinutesPerDay]int
		for _, k := range who {
			var mine [schedule.MinutesPerDay]bool
			for _, w := range c.windows(k, day) {
				for m := w.From; m < w.To; m++ {
					mine[m] = true
				}
			}
			if c.away(k, day) {
				missed[day] = missed[day] || !c.shut(day, outdoor) && slices.Contains(mine[:], true)
				mine = [schedule.MinutesPerDay]bool{}
			}
			for m := range mine {
				if mine[m] {
					open[m]++
				}
			}
		}
		for m, k := range open {
			i := int(d)*schedule.MinutesPerDay + m
			n[i+1] = n[i]
			if k == len(who) && !c.shut(day, outdoor) && (!loud || c.noisy(day, m)) {
				n[i+1]++
			}
		}
	}
	c.hours[key], c.missed[key] = n, missed
	return n, missed
}

// countsOf is the open minutes of one activity.
func (c *clockwork) countsOf(a *schedule.Activity) ([]int32, map[schedule.Day]bool) {
	return c.counts(c.crewsOf(a), a.Outdoor, a.Noisy && c.site.Noise != nil)
}

func (c *clockwork) at(m schedule.Minute) int {
	return int(min(max(m-c.origin, 0), clockDays*schedule.MinutesPerDay))
}

func (c *clockwork) hoursOf(a *schedule.Activity) *workHours {
	w := c.work[a.ID]
	if w == nil {
		w = &workHours{}
		w.n, w.missed = c.countsOf(a)
		c.work[a.ID] = w
	}
	return w
}

// fits is where a line of node id that starts at m finishes; 0, when it cannot start there.
func (c *clockwork) fits(id string, m schedule.Minute) schedule.Minute {
	if a := c.site.Activity(id); a != nil {
		w := c.hoursOf(a)
		n, missed := w.n, w.missed
		i := c.at(m)
		open := func(i int) bool { return i >= 0 && i+1 < len(n) && n[i+1] > n[i] }
		work := c.site.WorkOf(a)
		if a.Done > 0 {
			work = (work*int64(100-min(a.Done, 100)) + 99) / 100
		}
		if work == 0 {
			if open(i) || open(i-1) {
				return m
			}
			return 0
		}
		if !open(i) {
			return 0
		}
		e := i + sort.Search(len(n)-1-i, func(k int) bool { return int64(n[i+k+1]-n[i]) >= work })
		if e == len(n)-1 {
			return 0
		}
		visits, gone := 1, false
		for at := (i/schedule.MinutesPerDay + 1) * schedule.MinutesPerDay; at <= e; at += schedule.MinutesPerDay {
			gone = gone || missed[(c.origin+schedule.Minute(at)).Day()]
			if gone && n[min(at+schedule.MinutesPerDay, e+1)] > n[at] {
				visits, gone = visits+1, false
			}
		}
		if visits > 1 && !(a.Twice && visits == 2) {
			return 0
		}
		return c.origin + schedule.Minute(e+1)
	}
	for _, w := range c.visits(id, m.Day()) {
		if m == m.Day().At(w.From) {
			return m.Day().At(w.To)
		}
	}
	return 0
}

func (c *clockwork) visits(id string, day schedule.Day) []schedule.Window {
	if c.shut(day, false) {
		return nil
	}
	if h := c.site.Hold(id); h != nil && h.Hours != nil {
		return h.Hours[day.Weekday()]
	}
	return c.windows("", day)
}

// waited tells whether at comes late enough after ref for a link.
func (c *clockwork) waited(l *schedule.Link, ref, at schedule.Minute) bool {
	if l.Lag == 0 {
		return at >= ref
	}
	n, _ := c.counts(nil, false, false)
	if a := c.site.Activity(l.To); a != nil {
		n = c.hoursOf(a).n
	}
	between := func(a, b schedule.Minute) int32 { return n[c.at(b)] - n[c.at(a)] }
	switch {
	case l.Clock:
		return at-ref >= schedule.Minute(l.Lag)
	case l.Lag > 0:
		return at > ref && between(ref, at) >= l.Lag
	}
	return at >= ref || between(at, ref) <= -l.Lag
}

type place struct{ start, finish schedule.Minute }

// free tells whether nothing but other lines keeps id from lying there: dates, notice, and where it was laid.
func (c *clockwork) free(id string, at place) bool {
	if at.start < max(c.now, c.site.Start.Start()) {
		return false
	}
	a := c.site.Activity(id)
	return a == nil || at.start >= a.NotBefore
}

// pushed is where everything lies when id starts at m, and what must moves later, no further than it must: each line
// as late as planned at least, everybody in the order planned. ok is false when something finds no time.
func (c *clockwork) pushed(plan *schedule.Plan, id string, m schedule.Minute) (at map[string]place, ok bool) {
	at = map[string]place{}
	for i := range plan.Lines {
		at[plan.Lines[i].ID] = place{plan.Lines[i].Start, plan.Lines[i].Finish}
	}
	at[id] = place{m, c.fits(id, m)}
	before := c.orders(plan)
	for range 60 {
		changed := false
		for i := range plan.Lines {
			k := plan.Lines[i].ID
			x := at[k]
			for !c.holds(plan, at, before, k, x) {
				changed = true
				y := c.later(k, x.start)
				if y == 0 {
					return at, false
				}
				x = place{y, c.fits(k, y)}
			}
			at[k] = x
		}
		if !changed {
			return at, true
		}
	}
	return at, false
}

// orders are the pairs that share a crew or a place and follow each other in the plan.
func (c *clockwork) orders(plan *schedule.Plan) (pairs [][2]string) {
	for i := range c.site.Activities {
		for j := range c.site.Activities {
			a, b := &c.site.Activities[i], &c.site.Activities[j]
			la, lb := plan.Line(a.ID), plan.Line(b.ID)
			shared := a.Place != "" && a.Place == b.Place && c.site.Place(a.Place) != nil ||
				slices.ContainsFunc(c.crewsOf(a), func(k string) bool { return slices.Contains(c.crewsOf(b), k) })
			if i != j && shared && la.Start < la.Finish && lb.Start < lb.Finish && la.Finish <= lb.Start {
				pairs = append(pairs, [2]string{a.ID, b.ID})
			}
		}
	}
	return pairs
}

func (c *clockwork) holds(plan *schedule.Plan, at map[string]place, pairs [][2]string, id string, x place) bool {
	for _, p := range pairs {
		if p[1] == id && at[p[0]].finish > x.start {
			return false
		}
	}
	for i := range c.site.Links {
		l := &c.site.Links[i]
		if l.To != id {
			continue
		}
		ref, when := at[l.From].finish, x.start
		if l.Kind == schedule.SS || l.Kind == schedule.SF {
			ref = at[l.From].start
		}
		if l.Kind == schedule.FF || l.Kind == schedule.SF {
			when = x.finish
		}
		if !c.waited(l, ref, when) {
			return false
		}
	}
	return true
}

// later is the first place of a line after the one at m; 0 when none comes in months.
func (c *clockwork) later(id string, m schedule.Minute) schedule.Minute {
	end := c.origin + (clockDays-30)*schedule.MinutesPerDay
	if a := c.site.Activity(id); a != nil && c.site.WorkOf(a) > 0 {
		n := c.hoursOf(a).n
		for i := c.at(m) + 1; ; i++ { // from one open minute to the next
			if i = i + sort.Search(len(n)-1-i, func(k int) bool { return n[i+k+1] > n[i] }); c.origin+schedule.Minute(i) > end {
				return 0
			} else if c.fits(id, c.origin+schedule.Minute(i)) != 0 {
				return c.origin + schedule.Minute(i)
			}
		}
	}
	if c.site.Hold(id) != nil {
		for day := m.Day(); day < end.Day(); day++ {
			for _, w := range c.visits(id, day) {
				if day.At(w.From) > m {
					return day.At(w.From)
				}
			}
		}
		return 0
	}
	if m++; c.fits(id, m) != 0 { // a milestone: while work goes on, and when it has just stopped
		return m
	}
	n, _ := c.counts(nil, false, false)
	if a := c.site.Activity(id); a != nil {
		n = c.hoursOf(a).n
	}
	i := c.at(m)
	if i += sort.Search(len(n)-1-i, func(k int) bool { return n[i+k+1] > n[i] }); c.origin+schedule.Minute(i) > end {
		return 0
	}
	return c.origin + schedule.Minute(i)
}

// oneAtATime are sites on which who follows whom is no choice: each crew and place takes one thing at a time.
func oneAtATime(n uint64, odd bool) (*schedule.Site, schedule.Minute) {
	site, now := randsite.Site(n, randsite.Shape{Activities: 9, Holds: 2, Crews: 3, Places: 2, NoFacts: true, Odd: odd})
	for i := range site.Crews {
		site.Crews[i].Teams = 1
	}
	for i := range site.Places {
		site.Places[i].Room = 1
	}
	return site, now
}

// TestTotalFloat: slack is what its definition says, tried out on the calendars of everybody: a line that starts so
// much later, with everything pushed that must be, does not move the finish; one place later it does.
func TestTotalFloat(t *testing.T) {
	t.Parallel()
	tried, slack, exact := 0, 0, 0
	for n := range sites(25) {
		site, now := oneAtATime(n, n%3 == 0)
		plan := schedule.Lay(site, now)
		if lost(plan) || len(site.Problems()) > 0 && n%3 != 0 || slices.ContainsFunc(site.Problems(), func(p schedule.Problem) bool { return p.Kind == schedule.ProblemCircle }) {
			continue
		}
		c := newClockwork(t, site, now)
		for i := range plan.Lines {
			l := &plan.Lines[i]
			if c.fits(l.ID, l.Start) != l.Finish {
				t.Fatalf("site %d: %s cannot lie at %s-%s", n, l.ID, l.Start, l.Finish)
			}
			tried++
			if l.LateStart > l.Start {
				slack++
			}
			at, ok := c.pushed(plan, l.ID, l.LateStart)
			if !ok || c.fits(l.ID, l.LateStart) != l.LateFinish || last(at) > plan.Finish {
				show(t, site, plan)
				t.Fatalf("site %d: %s may start %s; then all is finished %s, not %s", n, l.ID, l.LateStart, last(at), plan.Finish)
			}
			if m := c.later(l.ID, l.LateStart); m != 0 {
				if at, ok := c.pushed(plan, l.ID, m); !ok || last(at) > plan.Finish {
					exact++
				} else {
					show(t, site, plan)
					t.Fatalf("site %d: %s could start %s as well, not only %s, and all is finished %s, by %s", n, l.ID, m, l.LateStart, last(at), plan.Finish)
				}
			}
			// Slack is counted in the hours of who works.
			count, _ := c.counts(nil, false, false)
			if a := site.Activity(l.ID); a != nil {
				count, _ = c.countsOf(a)
			} else if h := site.Hold(l.ID); h.Hours != nil {
				continue
			}
			if got := int64(count[c.at(l.LateStart)] - count[c.at(l.Start)]); got != l.Float {
				t.Fatalf("site %d: %s has slack %d from %s to %s; counted %d", n, l.ID, l.Float, l.Start, l.LateStart, got)
			}
		}
	}
	if !testing.Short() && (tried < 500 || slack < 200) {
		t.Errorf("only %d lines tried, %d with slack", tried, slack)
	}
	t.Logf("%d lines tried, %d of them with slack", tried, slack)
}

func last(at map[string]place) (m schedule.Minute) {
	for _, x := range at {
		m = max(m, x.finish)
	}
	return m
}

// TestFreeSlack: free slack is what a line may slip with everything else where it is: the checker agrees; one place
// later it does not, or all is finished later.
func TestFreeSlack(t *testing.T) {
	t.Parallel()
	tried := 0
	for n := range sites(25) {
		site, now := oneAtATime(n, n%3 == 0)
		plan := schedule.Lay(site, now)
		if lost(plan) {
			continue
		}
		c := newClockwork(t, site, now)
		for i := range plan.Lines {
			l := plan.Lines[i]
			a := site.Activity(l.ID)
			if a == nil || l.Start == l.Finish || l.Frozen {
				continue
			}
			slips := func(start schedule.Minute) bool {
				p := *plan
				p.Lines = slices.Clone(plan.Lines)
				p.Lines[i].Start, p.Lines[i].Finish, p.Lines[i].LateStart, p.Lines[i].LateFinish = start, c.fits(l.ID, start), max(l.LateStart, start), max(l.LateFinish, c.fits(l.ID, start))
				return len(check.Plan(site, &p)) == 0 && p.Lines[i].Finish <= plan.Finish
			}
			start := l.Start
			count, _ := c.countsOf(a)
			if l.FreeFloat > 0 {
				start += schedule.Minute(sort.Search(len(count)-1-c.at(start), func(k int) bool { return int64(count[c.at(l.Start)+k+1]-count[c.at(l.Start)]) > l.FreeFloat }))
			}
			if got := int64(count[c.at(start)] - count[c.at(l.Start)]); got != l.FreeFloat || !slips(start) {
				show(t, site, plan)
				t.Fatalf("site %d: %s may slip %d to %s; that is %d, and wrong", n, l.ID, l.FreeFloat, start, got)
			}
			if next := c.later(l.ID, start); next != 0 && slips(next) && l.FreeFloat < l.Float {
				show(t, site, plan)
				t.Fatalf("site %d: %s may slip to %s as well, not only %d to %s", n, l.ID, next, l.FreeFloat, start)
			}
			tried++
		}
	}
	if !testing.Short() && tried < 500 {
		t.Errorf("only %d lines tried", tried)
	}
}
