// Package randsite makes random sites for tests: small, crowded and full of corner cases. The same
// number always makes the same site, so a number that once failed can stay in a test for ever.
//
// It is for tests and measurements only; nothing of the program imports it.
package randsite

import (
	"strconv"

	"batterboard/schedule"
)

// Rand is a small generator of random numbers (SplitMix64: Steele, Lea, Flood, "Fast splittable
// pseudorandom number generators", OOPSLA 2014; constants from memory).
type Rand uint64

func (r *Rand) next() uint64 {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// Int is a number from 0 to n-1.
func (r *Rand) Int(n int) int { return int(r.next() >> 1 % uint64(n)) }

// Chance is true in pct of a hundred cases.
func (r *Rand) Chance(pct int) bool { return r.Int(100) < pct }

// Monday is the Monday on which random sites begin.
var Monday = schedule.DateOf(2027, 3, 1)

// Shape says what a random site may have.
type Shape struct {
	Activities, Holds, Orders int  // at most; at least one activity
	Crews, Places             int  // at most
	Plain                     bool // work in half days, only FS and SS links without leads, one team each
	NoFacts                   bool // nothing started, finished, passed, arrived
	NoExtras                  bool // nobody offers Saturdays, overtime or stand-ins
	Odd                       bool // and besides what is rare, or a slip of the finger
	Noise                     bool // noise hours, and noisy work
}

// Site makes the site with number n and the moment it is looked at.
func Site(n uint64, shape Shape) (*schedule.Site, schedule.Minute) {
	r := Rand(n*0x2545f4914f6cdd1d + 1)
	g := &maker{r: &r, shape: shape, s: &schedule.Site{Format: 1, Name: "Random " + strconv.FormatUint(n, 10), Start: Monday}}
	now := Monday.At(int32(6*60 + 40))
	if !shape.NoFacts {
		now += schedule.Minute(r.Int(6)*schedule.MinutesPerDay + r.Int(24)*30)
	}
	g.now = now
	g.crews()
	g.places()
	g.nodes()
	g.links()
	g.days()
	later := Rand(n*0x2545f4914f6cdd1d + 2)
	g.r = &later
	g.later()
	if shape.Odd {
		odd := Rand(n*0x2545f4914f6cdd1d + 4)
		g.r = &odd
		g.odd()
	}
	if shape.Noise {
		loud := Rand(n*0x2545f4914f6cdd1d + 8)
		g.r = &loud
		g.noise()
	}
	return g.s, now
}

type maker struct {
	r     *Rand
	s     *schedule.Site
	shape Shape
	now   schedule.Minute
	ids   []string
}

func (g *maker) crews() {
	for i := range 1 + g.r.Int(g.shape.Crews) {
		c := schedule.Crew{ID: "crew" + strconv.Itoa(i), Name: "Crew " + strconv.Itoa(i), Trade: "carpentry"}
		if !g.shape.Plain {
			g.oddCrew(&c)
		}
		if !g.shape.NoExtras {
			g.extras(&c, i)
		}
		g.s.Crews = append(g.s.Crews, c)
	}
}

func (g *maker) oddCrew(c *schedule.Crew) {
	if g.r.Chance(20) {
		c.Teams = 2
	}
	if g.r.Chance(30) {
		c.Size = int32(1 + g.r.Int(3))
	}
	if g.r.Chance(20) { // evenings and Saturdays
		c.Own = true
		c.Hours = new(schedule.Week)
		for d := range 5 {
			c.Hours[d] = []schedule.Window{{From: 18 * 60, To: 20 * 60}}
		}
		c.Hours[5] = []schedule.Window{{From: 9 * 60, To: 13 * 60}}
	}
}

func (g *maker) extras(c *schedule.Crew, i int) {
	if g.r.Chance(30) {
		c.Saturday = &schedule.Extra{From: 8 * 60, To: 12 * 60, Cost: int64(100 * (1 + g.r.Int(5)))}
	}
	if g.r.Chance(15) {
		c.Overtime = &schedule.Extra{From: 16*60 + 30, To: 18*60 + 30, Cost: int64(100 * (1 + g.r.Int(3)))}
	}
	if i > 0 && g.r.Chance(25) {
		c.Stands = []string{"crew" + strconv.Itoa(g.r.Int(i))}
	}
}

func (g *maker) places() {
	for i := range g.r.Int(g.shape.Places + 1) {
		g.s.Places = append(g.s.Places, schedule.Place{ID: "room" + strconv.Itoa(i), Name: "Room", Room: int32(1 + g.r.Int(3))})
	}
}

func (g *maker) nodes() {
	for i := range 1 + g.r.Int(g.shape.Activities) {
		g.s.Activities = append(g.s.Activities, g.activity("a"+strconv.Itoa(i)))
	}
	for i := range g.r.Int(g.shape.Holds + 1) {
		g.s.Holds = append(g.s.Holds, g.hold("h"+strconv.Itoa(i)))
	}
	for i := range g.r.Int(g.shape.Orders + 1) {
		g.s.Orders = append(g.s.Orders, g.order("o"+strconv.Itoa(i)))
	}
	// Shuffle the names into the order in which links may point, so that IDs say nothing about it.
	for i := range g.ids {
		j := g.r.Int(i + 1)
		g.ids[i], g.ids[j] = g.ids[j], g.ids[i]
	}
}

func (g *maker) activity(id string) schedule.Activity {
	g.ids = append(g.ids, id)
	a := schedule.Activity{ID: id, Name: id, Crew: "crew" + strconv.Itoa(g.r.Int(len(g.s.Crews)))}
	a.Labour.Typical = int32(240 * (1 + g.r.Int(6)))
	if !g.shape.Plain {
		a.Labour.Typical = int32(30 * g.r.Int(60))
		if g.r.Chance(15) && len(g.s.Crews) > 1 {
			a.With = []string{"crew" + strconv.Itoa(g.r.Int(len(g.s.Crews)))}
		}
		if g.r.Chance(10) {
			a.Crew = ""
		}
	}
	if len(g.s.Places) > 0 && g.r.Chance(60) {
		a.Place = "room" + strconv.Itoa(g.r.Int(len(g.s.Places)))
		a.Whole = g.r.Chance(20)
	}
	if g.r.Chance(10) {
		a.NotBefore = Monday.At(int32(g.r.Int(12) * schedule.MinutesPerDay))
	}
	if g.r.Chance(10) {
		a.MustBy = Monday + schedule.Day(g.r.Int(12))
	}
	g.booked(&a)
	if !g.shape.NoFacts {
		g.facts(&a)
	}
	return a
}

func (g *maker) booked(a *schedule.Activity) {
	switch {
	case g.r.Chance(25):
		a.Booking = schedule.Asked
	case g.r.Chance(25):
		a.Booking = schedule.Firm
	}
	at := Monday.At(int32(g.r.Int(10)*schedule.MinutesPerDay + 8*60))
	if g.r.Chance(40) {
		a.Laid = at
	}
	if a.Booking != schedule.Pencilled && g.r.Chance(80) {
		a.ToldStart = at
		a.ToldFinish = at.Day().At(16*60 + 30)
	}
}

func (g *maker) facts(a *schedule.Activity) {
	past := g.now - schedule.Minute(30*(1+g.r.Int(150)))
	switch {
	case g.r.Chance(12):
		a.Started, a.Finished = past, past+(g.now-past)/2
	case g.r.Chance(5):
		a.Finished = past
	case g.r.Chance(12):
		a.Started, a.Done = past, int32(25*g.r.Int(5))
	case g.r.Chance(5):
		a.Done = 50
	}
}

func (g *maker) hold(id string) schedule.Hold {
	g.ids = append(g.ids, id)
	h := schedule.Hold{ID: id, Name: id, Notice: int32(g.r.Int(3))}
	if g.r.Chance(50) {
		h.Cutoff = 12 * 60
	}
	if g.r.Chance(30) {
		h.Hours = new(schedule.Week)
		h.Hours[g.r.Int(5)] = []schedule.Window{{From: 9 * 60, To: 11 * 60}}
		h.Hours[g.r.Int(5)] = []schedule.Window{{From: 13 * 60, To: 15 * 60}}
	}
	if g.shape.NoFacts {
		return h
	}
	switch {
	case g.r.Chance(15):
		h.Result, h.ResultAt = schedule.Pass, g.now-60
	case g.r.Chance(15):
		h.Result, h.ResultAt, h.Fails = schedule.Fail, g.now-90, 1
	}
	if g.r.Chance(30) {
		h.CalledIn = g.now - schedule.Minute(g.r.Int(3000))
		if g.r.Chance(60) {
			h.Visit = (g.now.Day() + schedule.Day(g.r.Int(6)-1)).At(8 * 60)
		}
	}
	return h
}

func (g *maker) order(id string) schedule.Order {
	g.ids = append(g.ids, id)
	o := schedule.Order{ID: id, Goods: id, Lead: int32(g.r.Int(10))}
	today := g.now.Day()
	switch {
	case g.r.Chance(25):
		o.Ordered = today - schedule.Day(g.r.Int(5))
		if g.r.Chance(70) {
			o.Due = today + schedule.Day(g.r.Int(9)-2)
		}
	case g.r.Chance(15) && !g.shape.NoFacts:
		o.Arrived = today - schedule.Day(g.r.Int(3))
	case g.r.Chance(20):
		o.Laid = (today + schedule.Day(g.r.Int(6))).At(8 * 60)
	}
	return o
}

func (g *maker) links() {
	kinds := []schedule.LinkKind{"", schedule.FS, schedule.SS, schedule.FF, schedule.SF}
	if g.shape.Plain {
		kinds = kinds[:3]
	}
	for i := range g.r.Int(2*len(g.ids) + 1) {
		a, b := g.r.Int(len(g.ids)), g.r.Int(len(g.ids))
		if a > b && !g.r.Chance(2) { // now and then a circle
			a, b = b, a
		}
		l := schedule.Link{ID: "l" + strconv.Itoa(i), From: g.ids[a], To: g.ids[b], Kind: kinds[g.r.Int(len(kinds))]}
		switch {
		case g.r.Chance(15):
			l.Lag = int32(240 * g.r.Int(4))
		case g.r.Chance(15):
			l.Lag, l.Clock = int32(60*g.r.Int(48)), true
		case g.r.Chance(10) && !g.shape.Plain:
			l.Lag, l.Clock = int32(-30*g.r.Int(20)), g.r.Chance(30)
		}
		if l.From == l.To && g.r.Chance(90) {
			continue
		}
		g.s.Links = append(g.s.Links, l)
	}
}

func (g *maker) days() {
	for i := range g.r.Int(3) {
		from := Monday + schedule.Day(g.r.Int(14))
		g.s.Away = append(g.s.Away, schedule.Away{ID: "x" + strconv.Itoa(i), Crew: "crew" + strconv.Itoa(g.r.Int(len(g.s.Crews))), From: from, To: from + schedule.Day(g.r.Int(4))})
	}
	if g.r.Chance(20) {
		d := Monday + schedule.Day(g.r.Int(10))
		g.s.Shut = append(g.s.Shut, schedule.Shut{ID: "s0", From: d, To: d})
	}
	if g.r.Chance(20) && !g.shape.NoExtras {
		g.s.Openings = append(g.s.Openings, schedule.Opening{ID: "p0", Crew: "crew0", Day: Monday + schedule.Day(g.r.Int(14)), From: 7 * 60, To: 13 * 60})
	}
}

// later adds what sites learned to have after their numbers were first given out. It draws from a row of
// its own, so that the rest of a site stays what it was.
func (g *maker) later() {
	for i := range g.s.Activities {
		g.s.Activities[i].Outdoor = g.r.Chance(25)
		if !g.shape.NoFacts {
			g.s.Activities[i].Twice = g.r.Chance(8)
		}
	}
	if g.r.Chance(20) {
		d := Monday + schedule.Day(g.r.Int(10))
		g.s.Shut = append(g.s.Shut, schedule.Shut{ID: "wet", From: d, To: d + schedule.Day(g.r.Int(3)), Outdoor: true})
	}
	if g.shape.NoExtras {
		return
	}
	for i := range g.s.Crews {
		if g.r.Chance(30) {
			g.s.Crews[i].Twice = &schedule.Twice{Cost: int64(100 * g.r.Int(4))}
		}
	}
}
