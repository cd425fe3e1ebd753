package schedule

import "sort"

// extra is one thing a way may use beyond the plain week: an opening, a stand-in, or a second visit.
type extra struct {
	opening Opening // of opening.Crew, where there is one
	standIn StandIn
	twice   string // the activity that may be done in two visits
	second  int64  // what the second visit costs
}

// cost is what an extra costs, in cents.
func (e *extra) cost() int64 { return e.opening.Cost + e.second }

// ahead is how far extras are looked for: Saturdays, and working days with overtime.
type ahead struct{ saturdays, overtime int }

var (
	soon    = ahead{2, 5} // from now, and from where the change strikes; further on the line will have moved again
	forever = ahead{daysAhead / 7, daysAhead}
)

// extras lists what may help: openings of crews that allow them and have work ahead, and stand-ins for
// work that the change pushed back. They are in order of day, then crew.
func (m *model) extras(before, push *Plan, far ahead) (list []extra) {
	from := []Day{m.now.Day()}
	if d := m.strikes(before, push); far != forever && d > from[0] {
		from = append(from, d)
	}
	for i := range m.site.Crews {
		c := &m.site.Crews[i]
		last := lastWork(m.site, push, c.ID)
		if last == 0 {
			continue
		}
		for _, d := range from {
			if c.Saturday != nil {
				list = m.saturdays(list, c, d, last, far.saturdays)
			}
			if c.Overtime != nil {
				list = m.overtime(list, c, d, last, far.overtime)
			}
		}
	}
	for i := range m.site.Activities {
		a := &m.site.Activities[i]
		list = append(list, m.standIns(a, before, push, far)...)
		list = append(list, m.secondVisit(a, before, push, far)...)
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].before(&list[j]) })
	return list
}

func (e *extra) before(f *extra) bool {
	a, b := &e.opening, &f.opening
	switch {
	case a.Day != b.Day:
		return a.Day < b.Day
	case a.Crew != b.Crew:
		return a.Crew < b.Crew
	case e.standIn.Activity != f.standIn.Activity:
		return e.standIn.Activity < f.standIn.Activity
	case e.twice != f.twice:
		return e.twice < f.twice
	}
	return e.standIn.Crew < f.standIn.Crew
}

// strikes is the day from which a change moves anything: the first planned start that is pushed back. Who
// says today that they can't come in three weeks is helped by hours in three weeks too, not by this week's alone.
func (m *model) strikes(before, push *Plan) Day {
	first := Never
	for i := range before.Lines {
		was := &before.Lines[i]
		l := push.Line(was.ID)
		switch {
		case l == nil || was.Start >= Never:
		case l.Frozen && l.Finish > was.Finish:
			first = min(first, m.now)
		case !l.Frozen && l.Start > was.Start:
			first = min(first, was.Start)
		}
	}
	if first == Never {
		return m.now.Day()
	}
	return max(first, m.now).Day()
}

// lastWork is the day on which a crew is last planned to start something that is not begun.
func lastWork(s *Site, push *Plan, crew string) (last Day) {
	for i := range s.Activities {
		a := &s.Activities[i]
		if l := push.Line(a.ID); l != nil && !l.Frozen && l.Start < Never && contains(s.CrewsOf(a), crew) {
			last = max(last, lastDay(l.Finish))
		}
	}
	return last
}

// saturdays are those from the one before a day on: it may take what the days after cannot.
func (m *model) saturdays(list []extra, c *Crew, from, last Day, many int) []extra {
	cal := m.calendar([]string{c.ID}, false, false)
	d := max(m.now.Day(), from-6)
	d += Day((5 - d.Weekday() + 7) % 7)
	for range many {
		if d > last {
			break
		}
		if d.At(c.Saturday.From) > m.now {
			list = m.opening(list, cal, c, d, c.Saturday)
		}
		d += 7
	}
	return list
}

func (m *model) overtime(list []extra, c *Crew, from, last Day, many int) []extra {
	cal := m.calendar([]string{c.ID}, false, false)
	days := cal.WorkingDays(from, last)
	for _, d := range days[:min(many, len(days))] {
		if d.At(c.Overtime.From) > m.now {
			list = m.opening(list, cal, c, d, c.Overtime)
		}
	}
	return list
}

// opening adds one, unless the crew is away, the site is shut, or it works then anyway.
func (m *model) opening(list []extra, cal *Calendar, c *Crew, d Day, x *Extra) []extra {
	window := Window{x.From, x.To}
	if x.From >= x.To || len(overlap(cal.WindowsOf(d), []Window{window})) > 0 || m.closedOn(c.ID, d) {
		return list
	}
	for i := range list { // near now and near the change may be the same days
		if o := &list[i].opening; o.Crew == c.ID && o.Day == d && o.From == x.From {
			return list
		}
	}
	return append(list, extra{opening: Opening{Crew: c.ID, Day: d, From: x.From, To: x.To, Cost: x.Cost}})
}

func (m *model) closedOn(crew string, d Day) bool {
	if m.site.shutOn(d) {
		return true
	}
	for _, a := range m.site.Away {
		if a.Crew == crew && a.From <= d && d <= max(a.To, a.From) {
			return true
		}
	}
	return false
}

// standIns are the crews that may take over work that the change pushed back; looking far, any work.
func (m *model) standIns(a *Activity, before, push *Plan, far ahead) (list []extra) {
	c, l, was := m.site.Crew(a.Crew), push.Line(a.ID), before.Line(a.ID)
	if c == nil || l == nil || l.Frozen || a.Done > 0 || far != forever && (was == nil || l.Start <= was.Start) {
		return nil
	}
	stands := append([]string(nil), c.Stands...)
	sort.Strings(stands)
	for i, other := range stands {
		if m.site.Crew(other) != nil && !contains(m.site.CrewsOf(a), other) && (i == 0 || stands[i-1] != other) {
			list = append(list, extra{standIn: StandIn{a.ID, other}})
		}
	}
	return list
}

// secondVisit lets work that the change pushed back be cut in two by days away, where all its crews allow
// that and there are such days; looking far, any work.
func (m *model) secondVisit(a *Activity, before, push *Plan, far ahead) []extra {
	l, was := push.Line(a.ID), before.Line(a.ID)
	crews := m.site.CrewsOf(a)
	if l == nil || l.Frozen || l.Start >= Never || a.Twice || len(crews) == 0 {
		return nil
	}
	if far != forever && was != nil && l.Start <= was.Start {
		return nil
	}
	e := extra{twice: a.ID}
	for _, id := range crews {
		c := m.site.Crew(id)
		if c.Twice == nil {
			return nil
		}
		e.second += max(c.Twice.Cost, 0)
	}
	cal := m.hours(a, crews)
	for _, d := range cal.away {
		if d > m.now.Day() && (far == forever || d <= lastDay(l.Finish)) {
			return []extra{e}
		}
	}
	return nil
}

// loosen lets each activity that somebody may stand in for be done by whoever may, in the hours of any of
// them, without taking anybody's time. No real choice of stand-ins is finished sooner.
func (m *model) loosen(stands []extra) {
	for _, e := range stands {
		i := m.find(e.standIn.Activity)
		if i < 0 || m.nodes[i].fixed || m.nodes[i].shape != work {
			continue
		}
		n, a := &m.nodes[i], *m.site.Activity(e.standIn.Activity)
		uses := n.uses
		n.uses = nil
		for _, u := range uses {
			if m.res[u.res].place || m.res[u.res].id != a.Crew {
				n.uses = append(n.uses, u)
			}
		}
		a.standIn(e.standIn.Crew)
		n.cal = n.cal.or(m.hours(&a, m.site.CrewsOf(&a)))
		n.dur = min(n.dur, m.site.WorkOf(&a))
	}
}

// openers lists the crews that open hours among some extras, each once.
func openers(use []extra) (crews []string) {
	for i := range use {
		if c := use[i].opening.Crew; c != "" && !contains(crews, c) {
			crews = append(crews, c)
		}
	}
	return crews
}

// with is the site with some extras put in. The site itself is not changed.
func (s *Site) with(use []extra) *Site {
	out := *s
	out.Openings = append([]Opening(nil), s.Openings...)
	out.Activities = append([]Activity(nil), s.Activities...)
	for _, e := range use {
		switch {
		case e.opening.Crew != "":
			out.Openings = append(out.Openings, e.opening)
		case e.twice != "":
			if a := out.Activity(e.twice); a != nil {
				a.Twice = true
			}
		default:
			if a := out.Activity(e.standIn.Activity); a != nil {
				a.standIn(e.standIn.Crew)
			}
		}
	}
	return &out
}

// standIn hands an activity to another crew: nobody of it was asked yet.
func (a *Activity) standIn(crew string) {
	a.Crew, a.Booking, a.ToldStart, a.ToldFinish = crew, Pencilled, 0, 0
}

// Taken is the site after a way was taken: the change itself is in it already, the way adds where lines
// are laid, openings, stand-ins (whose booking starts anew), and what is done in two visits. The site
// given is not changed.
func Taken(changed *Site, w *Way) *Site {
	var use []extra
	for _, o := range w.Openings {
		use = append(use, extra{opening: o})
	}
	for _, st := range w.StandIns {
		use = append(use, extra{standIn: st})
	}
	for _, id := range w.Twice {
		use = append(use, extra{twice: id})
	}
	out := changed.with(use)
	out.Holds = append([]Hold(nil), changed.Holds...)
	out.Orders = append([]Order(nil), changed.Orders...)
	for _, l := range w.Laid {
		if a := out.Activity(l.ID); a != nil {
			a.Laid = l.At
		} else if h := out.Hold(l.ID); h != nil {
			if h.Laid = l.At; h.Visit > 0 && h.Visit != l.At {
				h.Visit = 0 // to be agreed anew
			}
		} else if o := out.Order(l.ID); o != nil {
			o.Laid = l.At
		}
	}
	return out
}
