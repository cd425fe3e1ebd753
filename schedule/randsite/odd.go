package randsite

import (
	"strconv"

	"batterboard/schedule"
)

// odd adds what is rare on a site and must not matter: hours of all sorts, names that lead nowhere, counts that make
// no sense, minutes that are no half hours. It draws from a row of its own; a site without Shape.Odd is what it was.
func (g *maker) odd() {
	g.oddHours()
	for i := range g.s.Crews {
		g.oddWorker(&g.s.Crews[i])
	}
	for i := range g.s.Activities {
		g.oddWork(&g.s.Activities[i])
	}
	for i := range g.s.Holds {
		g.oddHold(&g.s.Holds[i])
	}
	for i := range g.s.Orders {
		g.oddOrder(&g.s.Orders[i])
	}
	g.oddPlaces()
	g.oddLinks()
	g.oddDays()
}

// oddHours are the site's own: a short Friday, a Saturday, three windows a day, nights up to midnight and past it.
func (g *maker) oddHours() {
	if g.r.Chance(50) {
		return
	}
	w := schedule.DefaultWeek()
	for d := range w {
		switch g.r.Int(12) {
		case 0:
			w[d] = nil
		case 1:
			w[d] = []schedule.Window{{From: 7*60 + 15, To: 11*60 + 40}}
		case 2:
			w[d] = []schedule.Window{{From: 6 * 60, To: 8 * 60}, {From: 10 * 60, To: 10*60 + 1}, {From: 13 * 60, To: 17 * 60}}
		case 3:
			w[d] = []schedule.Window{{From: 0, To: 2 * 60}, {From: 20 * 60, To: schedule.MinutesPerDay}}
		case 4:
			w[d] = []schedule.Window{{From: 0, To: schedule.MinutesPerDay}}
		}
	}
	g.s.Hours = w
	if g.r.Chance(30) {
		g.s.Start = []schedule.Day{0, Monday + 9, Monday - 20}[g.r.Int(3)]
	}
}

func (g *maker) oddWorker(c *schedule.Crew) {
	switch g.r.Int(12) {
	case 0:
		c.Teams = int32(g.r.Int(5) - 1)
	case 1:
		c.Size = int32(g.r.Int(6) - 1)
	case 2: // nights and weekends only
		c.Hours = &schedule.Week{4: {{From: 22 * 60, To: schedule.MinutesPerDay}}, 5: {{From: 0, To: 3 * 60}, {From: 9 * 60, To: 12 * 60}}, 6: {{From: 9 * 60, To: 12 * 60}}}
	case 3: // a week of its own within the site's
		c.Hours = &schedule.Week{1: {{From: 9 * 60, To: 15 * 60}}, 3: {{From: 9 * 60, To: 15 * 60}}}
	case 4: // no hours at all
		c.Hours = &schedule.Week{}
	case 5:
		c.Twice = &schedule.Twice{Cost: int64(-100 * g.r.Int(2))}
	}
}

func (g *maker) oddWork(a *schedule.Activity) {
	switch g.r.Int(14) {
	case 0:
		a.Labour.Typical = int32(g.r.Int(900) - 60)
	case 1:
		a.Hands = int32(g.r.Int(7) - 1)
	case 2:
		a.Crew = "ghost"
	case 3:
		a.Place = "nowhere"
	case 4:
		a.With = []string{a.Crew, "crew0", "ghost", "crew0", "crew" + strconv.Itoa(len(g.s.Crews)-1)}
	case 5:
		a.Done = int32([]int{100, 1, 99, 130, -5}[g.r.Int(5)])
	case 6:
		a.NotBefore = Monday.At(int32(g.r.Int(12*schedule.MinutesPerDay) + 1))
	case 7:
		a.Twice = !g.shape.NoFacts
	case 8:
		a.Laid = Monday.At(int32(g.r.Int(14*schedule.MinutesPerDay) - 2*schedule.MinutesPerDay))
	}
	if g.shape.NoFacts {
		return
	}
	if a.Started != 0 && g.r.Chance(50) {
		a.DoneAt = a.Started + schedule.Minute(g.r.Int(6000)-1000)
	}
	if g.r.Chance(3) { // the two in the wrong order
		a.Started, a.Finished = g.now-60, g.now-schedule.Minute(60+g.r.Int(3000))
	}
}

func (g *maker) oddHold(h *schedule.Hold) {
	switch g.r.Int(8) {
	case 0:
		h.Notice, h.Cutoff = int32(g.r.Int(9)-1), int32(g.r.Int(25)*60)
	case 1:
		h.Hours = &schedule.Week{2: {{From: 8 * 60, To: 9 * 60}, {From: 15 * 60, To: 15*60 + 45}}, 5: {{From: 10 * 60, To: 12 * 60}}}
	case 2:
		h.Laid = Monday.At(int32(g.r.Int(12 * schedule.MinutesPerDay)))
	case 3:
		h.Hours = &schedule.Week{}
	}
	if g.shape.NoFacts {
		return
	}
	switch g.r.Int(8) {
	case 0:
		h.Result, h.ResultAt = schedule.Partial, g.now-schedule.Minute(g.r.Int(4000))
	case 1:
		h.Result, h.ResultAt = schedule.Fail, 0
	case 2:
		h.CalledIn, h.Visit = g.now-schedule.Minute(g.r.Int(5000)), (g.now.Day() + schedule.Day(g.r.Int(5)-1)).At(int32(g.r.Int(24)*60))
	case 3:
		h.Result, h.ResultAt = schedule.Pass, 0
	case 4: // called in again since it failed
		h.Result, h.ResultAt, h.CalledIn = schedule.Fail, g.now-600, g.now-schedule.Minute(g.r.Int(600))
	}
}

func (g *maker) oddOrder(o *schedule.Order) {
	switch g.r.Int(6) {
	case 0:
		o.Lead = int32(g.r.Int(60) - 3)
	case 1:
		o.Laid = Monday.At(int32(g.r.Int(20 * schedule.MinutesPerDay)))
	case 2:
		o.Ordered, o.Due = g.now.Day(), g.now.Day()-schedule.Day(g.r.Int(3)) // promised before it was ordered
	}
}

func (g *maker) oddPlaces() {
	for i := range g.s.Places {
		if g.r.Chance(15) {
			g.s.Places[i].Room = int32(g.r.Int(6) - 1)
		}
	}
}

func (g *maker) oddLinks() {
	kinds := []schedule.LinkKind{"", schedule.FS, schedule.SS, schedule.FF, schedule.SF}
	for i := range g.s.Links {
		if l := &g.s.Links[i]; g.r.Chance(10) {
			l.Lag, l.Clock = int32(g.r.Int(4000)-1000), g.r.Chance(50)
		}
	}
	if g.r.Chance(10) {
		g.s.Links = append(g.s.Links, schedule.Link{ID: "x", From: "ghost", To: g.ids[0], Kind: kinds[g.r.Int(5)]})
	}
	if g.r.Chance(10) {
		g.s.Links = append(g.s.Links, schedule.Link{ID: "y", From: g.ids[0], To: "ghost", Kind: kinds[g.r.Int(5)]})
	}
}

func (g *maker) oddDays() {
	crew := func() string { return "crew" + strconv.Itoa(g.r.Int(len(g.s.Crews))) }
	day := func() schedule.Day { return Monday + schedule.Day(g.r.Int(20)-3) }
	for i := range g.r.Int(3) {
		d := day()
		o := schedule.Opening{ID: "q" + strconv.Itoa(i), Crew: crew(), Day: d, From: int32(g.r.Int(20) * 60), To: int32(g.r.Int(25) * 60)}
		if !g.shape.NoExtras {
			g.s.Openings = append(g.s.Openings, o)
		}
	}
	if g.r.Chance(20) { // one day, its end left empty; or the end before the start
		d := day()
		g.s.Away = append(g.s.Away, schedule.Away{ID: "y0", Crew: crew(), From: d, To: []schedule.Day{0, d - 2}[g.r.Int(2)]})
	}
	if g.r.Chance(10) {
		g.s.Away = append(g.s.Away, schedule.Away{ID: "y1", Crew: "ghost", From: day(), To: day()})
	}
	if g.r.Chance(10) { // for good
		g.s.Away = append(g.s.Away, schedule.Away{ID: "y2", Crew: crew(), From: day(), To: Monday + 3000})
	}
	if g.r.Chance(20) {
		d := day()
		g.s.Shut = append(g.s.Shut, schedule.Shut{ID: "t0", From: d, To: []schedule.Day{0, d - 1, d + 9}[g.r.Int(3)], Outdoor: g.r.Chance(30)})
	}
}
