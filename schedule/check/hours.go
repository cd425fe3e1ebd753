package check

import "batterboard/schedule"

// What is open when, minute by minute.

// week of a crew; the site's for the empty name and for crews that keep its hours.
func (c *checker) week(crew string) schedule.Week {
	for i := range c.site.Crews {
		if k := &c.site.Crews[i]; k.ID == crew && k.Hours != nil {
			return *k.Hours
		}
	}
	any := false
	for _, d := range c.site.Hours {
		any = any || len(d) > 0
	}
	if any {
		return c.site.Hours
	}
	var w schedule.Week
	for d := range 5 { // the hours DESIGN gives a site that set none
		w[d] = []schedule.Window{{From: 480, To: 720}, {From: 750, To: 990}}
	}
	return w
}

// minutes of a day in which the crew works.
func (c *checker) minutes(crew string, day schedule.Day) *[1440]bool {
	key := crew + "@" + day.String()
	if m := c.days[key]; m != nil {
		return m
	}
	m := new([1440]bool)
	c.days[key] = m
	if crew == sky {
		if !c.rain(day) {
			c.mark(m, []schedule.Window{{From: 0, To: schedule.MinutesPerDay}})
		}
		return m
	}
	if crew == street {
		c.mark(m, c.site.Noise[day.Weekday()])
		return m
	}
	if c.shut(day) || crew != "" && c.away(crew, day) {
		return m
	}
	c.mark(m, c.week(crew)[day.Weekday()])
	for _, o := range c.site.Openings {
		if crew != "" && o.Crew == crew && o.Day == day {
			c.mark(m, []schedule.Window{{From: o.From, To: o.To}})
		}
	}
	return m
}

func (c *checker) mark(m *[1440]bool, windows []schedule.Window) {
	for _, w := range windows {
		for t := max(w.From, 0); t < w.To && t < 1440; t++ {
			m[t] = true
		}
	}
}

func within(day, from, to schedule.Day) bool {
	if to == 0 {
		to = from
	}
	return from != 0 && from <= day && day <= to
}

func (c *checker) shut(day schedule.Day) bool {
	for _, s := range c.site.Shut {
		if !s.Outdoor && within(day, s.From, s.To) {
			return true
		}
	}
	return false
}

// sky stands among the crews of outdoor work: it is away on days shut for that.
const sky = "\x00sky"

// street stands among the crews of noisy work where noise has hours: it is there when it may be loud.
const street = "\x00street"

func (c *checker) rain(day schedule.Day) bool {
	for _, s := range c.site.Shut {
		if s.Outdoor && within(day, s.From, s.To) {
			return true
		}
	}
	return false
}

func (c *checker) away(crew string, day schedule.Day) bool {
	for _, a := range c.site.Away {
		if a.Crew == crew && within(day, a.From, a.To) {
			return true
		}
	}
	return false
}

// open tells whether all crews work in the minute at m; the site, for none.
func (c *checker) open(crews []string, m schedule.Minute) bool {
	if len(crews) == 0 {
		return c.minutes("", m.Day())[m.OfDay()]
	}
	for _, k := range crews {
		if !c.minutes(k, m.Day())[m.OfDay()] {
			return false
		}
	}
	return true
}

// count is the open minutes of all crews from a to b.
func (c *checker) count(crews []string, a, b schedule.Minute) (n int64) {
	for a < b {
		next := min(b, (a.Day() + 1).Start())
		n += c.countDay(crews, a, next)
		a = next
	}
	return n
}

func (c *checker) countDay(crews []string, a, b schedule.Minute) (n int64) {
	day := a.Day()
	if len(crews) == 0 {
		crews = []string{""}
	}
	sets := make([]*[1440]bool, len(crews))
	for i, k := range crews {
		sets[i] = c.minutes(k, day)
	}
	for t := a.OfDay(); t < int32(b-day.Start()); t++ {
		all := true
		for _, s := range sets {
			all = all && s[t]
		}
		if all {
			n++
		}
	}
	return n
}

// visits is the windows of a day on which a hold can be visited.
func (c *checker) visits(h *schedule.Hold, day schedule.Day) []schedule.Window {
	if c.shut(day) {
		return nil
	}
	if h.Hours != nil {
		return h.Hours[day.Weekday()]
	}
	return c.week("")[day.Weekday()]
}

// working tells whether anybody works on site that day.
func (c *checker) working(day schedule.Day) bool {
	return !c.shut(day) && len(c.week("")[day.Weekday()]) > 0
}

// visitsOf is how many times the crews come for a line: once more after each span of days on which one of
// them is away and would else work.
func (c *checker) visitsOf(crews []string, l *schedule.Line) int {
	visits, gone := 1, false
	for day := l.Start.Day() + 1; day < (l.Finish - 1).Day(); day++ {
		if c.countDay(crews, day.Start(), (day+1).Start()) > 0 {
			gone = false
		}
		for _, k := range crews {
			if k == "" || k == sky || k == street || gone || c.shut(day) || c.rain(day) && crews[len(crews)-1] == sky {
				continue
			}
			if c.away(k, day) && c.works(k, day) {
				gone = true
				visits++
			}
		}
	}
	return visits
}

// works tells whether a crew that is not away works on a day.
func (c *checker) works(crew string, day schedule.Day) bool {
	if len(c.week(crew)[day.Weekday()]) > 0 {
		return true
	}
	for _, o := range c.site.Openings {
		if o.Crew == crew && o.Day == day && o.From < o.To {
			return true
		}
	}
	return false
}
