package schedule

import "sort"

// The calendars of a site. Each is made of a week, minus the days the site is shut, minus the crew's days
// away, plus its openings. Shut and away win over an opening: nobody can be asked in on a day that they
// or the gate said no to.

// week is the site's hours, the default where none are set.
func (s *Site) week() Week {
	if s.Hours.IsZero() {
		return DefaultWeek()
	}
	return s.Hours
}

// SiteCalendar is the site's own hours, a year back from about and two ahead.
func (s *Site) SiteCalendar(about Day) *Calendar {
	return s.siteCalendar(about, false)
}

func (s *Site) siteCalendar(about Day, outdoor bool) *Calendar {
	c := NewCalendar(s.week(), about)
	s.shut(c, outdoor)
	c.total()
	return c
}

// CrewCalendar is when a crew works; the site's hours where the crew is not known. Days shut for outdoor
// work are open in it: the crew may have something to do inside.
func (s *Site) CrewCalendar(crew string, about Day) *Calendar {
	return s.crewCalendar(crew, about, false)
}

func (s *Site) crewCalendar(crew string, about Day, outdoor bool) *Calendar {
	who := s.Crew(crew)
	if who == nil {
		return s.siteCalendar(about, outdoor)
	}
	week := s.week()
	if who.Hours != nil {
		week = *who.Hours
	}
	c := NewCalendar(week, about)
	s.open(c, crew)
	s.shut(c, outdoor)
	for _, a := range s.Away {
		if a.Crew == crew {
			c.leave(a.From, a.To)
		}
	}
	sort.Slice(c.away, func(i, j int) bool { return c.away[i] < c.away[j] })
	c.total()
	return c
}

// HoldCalendar is the visit windows of an inspector: the hold's own, else the site's hours. The days the
// site is shut are out, since nobody lets the inspector in.
func (s *Site) HoldCalendar(h *Hold, about Day) *Calendar {
	week := s.week()
	if h.Hours != nil {
		week = *h.Hours
	}
	c := NewCalendar(week, about)
	s.shut(c, false)
	c.total()
	return c
}

// noiseCalendar is when noise is allowed: on every day of the week it names, shut or not. Only hours that
// somebody works in as well are of use.
func (s *Site) noiseCalendar(about Day) *Calendar { return NewCalendar(*s.Noise, about) }

// loud tells whether the noise hours say when an activity may be worked at.
func (s *Site) loud(a *Activity) bool { return a.Noisy && s.Noise != nil }

// ActivityCalendar is when all crews of an activity work at the same time, out of doors only on days that
// are not shut for that, and where it is noisy only in noise hours: no opening lets it out of those.
func (s *Site) ActivityCalendar(a *Activity, about Day) *Calendar {
	c := s.crewsCalendar(a, about)
	if s.loud(a) {
		c = c.and(s.noiseCalendar(about))
	}
	return c
}

func (s *Site) crewsCalendar(a *Activity, about Day) *Calendar {
	crews := s.CrewsOf(a)
	if len(crews) == 0 {
		return s.siteCalendar(about, a.Outdoor)
	}
	c := s.crewCalendar(crews[0], about, a.Outdoor)
	for _, id := range crews[1:] {
		c = c.and(s.crewCalendar(id, about, a.Outdoor))
	}
	return c
}

// TooLoud tells whether the crews of an activity work from the day about on, and never in noise hours.
func (s *Site) TooLoud(a *Activity, about Day) bool {
	c := s.crewsCalendar(a, about)
	return s.loud(a) && c.WorkBetween(about.Start(), Never) > 0 && c.and(s.noiseCalendar(about)).WorkBetween(about.Start(), Never) == 0
}

// CalendarOf is the calendar of an activity, hold or order, by its ID; else the site's.
func (s *Site) CalendarOf(id string, about Day) *Calendar {
	if a := s.Activity(id); a != nil {
		return s.ActivityCalendar(a, about)
	}
	if h := s.Hold(id); h != nil {
		return s.HoldCalendar(h, about)
	}
	return s.SiteCalendar(about)
}

func (s *Site) shut(c *Calendar, outdoor bool) {
	for _, d := range s.Shut {
		if outdoor || !d.Outdoor {
			c.close(d.From, d.To)
		}
	}
}

// close takes the days from a to b out. A span of one day may leave its end empty.
func (c *Calendar) close(a, b Day) {
	if a == 0 {
		return
	}
	if b == 0 {
		b = a
	}
	closed := uint16(len(c.sets))
	c.sets = append(c.sets, nil)
	for d := max(a, c.base); d <= b && d < c.base+Day(len(c.kind)); d++ {
		c.kind[d-c.base] = closed
	}
}

// leave takes days out on which a crew can't come.
func (c *Calendar) leave(a, b Day) {
	if b == 0 {
		b = a
	}
	for d := max(a, c.base); d <= b && d < c.base+Day(len(c.kind)); d++ {
		if c.IsWorkingDay(d) {
			c.away = append(c.away, d)
		}
	}
	c.close(a, b)
}

// open adds the openings of a crew. They are sorted first, so that their order in the site says nothing.
func (s *Site) open(c *Calendar, crew string) {
	var mine []Opening
	for _, o := range s.Openings {
		if o.Crew == crew && o.From < o.To {
			mine = append(mine, o)
		}
	}
	sort.Slice(mine, func(i, j int) bool { return mine[i].Day < mine[j].Day })
	for _, o := range mine {
		day := append([]Window{{o.From, o.To}}, c.WindowsOf(o.Day)...)
		c.set(o.Day, joined(day))
	}
}

// and is the time open in both calendars, which have the same horizon.
func (c *Calendar) and(d *Calendar) *Calendar {
	out := c.with(d, overlap)
	out.away = append(append(out.away, c.away...), d.away...)
	sort.Slice(out.away, func(i, j int) bool { return out.away[i] < out.away[j] })
	out.total()
	return out
}

// or is the time open in either, and nobody is missed.
func (c *Calendar) or(d *Calendar) *Calendar {
	out := c.with(d, func(a, b []Window) []Window { return joined(append(append([]Window(nil), a...), b...)) })
	out.total()
	return out
}

// with joins two calendars day by day.
func (c *Calendar) with(d *Calendar, join func(a, b []Window) []Window) *Calendar {
	out := &Calendar{base: c.base, kind: make([]uint16, len(c.kind))}
	index := map[[2]uint16]uint16{}
	for i := range c.kind {
		pair := [2]uint16{c.kind[i], d.kind[i]}
		k, ok := index[pair]
		if !ok {
			k = uint16(len(out.sets))
			out.sets = append(out.sets, join(c.sets[pair[0]], d.sets[pair[1]]))
			index[pair] = k
		}
		out.kind[i] = k
	}
	return out
}

// shutOn tells whether nobody works on site that day.
func (s *Site) shutOn(d Day) bool {
	for i := range s.Shut {
		if x := &s.Shut[i]; !x.Outdoor && x.From != 0 && x.From <= d && d <= max(x.To, x.From) {
			return true
		}
	}
	return false
}
