package randsite

import "batterboard/schedule"

// noise gives a site noise hours and noisy work. It draws from a row of its own; a site without Shape.Noise is what
// it was. Plain sites keep to half hours, and their hours meet those of every crew.
func (g *maker) noise() {
	for i := range g.s.Activities {
		g.s.Activities[i].Noisy = g.r.Chance(60)
	}
	w := &schedule.Week{}
	for d := range 5 {
		w[d] = []schedule.Window{{From: 9 * 60, To: 17 * 60}}
	}
	g.s.Noise = w
	if g.r.Chance(40) {
		w[5] = []schedule.Window{{From: 10 * 60, To: 16 * 60}}
	}
	for range g.r.Int(4) {
		d := g.r.Int(5)
		switch g.r.Int(4) {
		case 0:
			w[d] = nil
		case 1:
			w[d] = []schedule.Window{{From: 8 * 60, To: 10 * 60}, {From: 14 * 60, To: 18*60 + 30}}
		case 2:
			w[d] = []schedule.Window{{From: 12 * 60, To: 16 * 60}}
		case 3:
			w[d] = []schedule.Window{{From: 0, To: schedule.MinutesPerDay}}
		}
	}
	if g.shape.Plain {
		return
	}
	switch g.r.Int(12) {
	case 0: // never
		*w = schedule.Week{}
	case 1: // when nobody works
		*w = schedule.Week{0: {{From: 0, To: 5 * 60}}, 6: {{From: 0, To: 5 * 60}}}
	case 2: // minutes that are no half hours, up to midnight
		w[1], w[4] = []schedule.Window{{From: 8*60 + 7, To: 13*60 + 59}}, []schedule.Window{{From: 15*60 + 1, To: schedule.MinutesPerDay}}
	}
}
