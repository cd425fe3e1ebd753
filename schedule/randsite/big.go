package randsite

import (
	"strconv"

	"batterboard/schedule"
)

// Big makes a site of exactly so many activities and crews: a house of several rooms, each room built by a row of
// trades, with rough-ins that are inspected, goods that are ordered, and the next two weeks booked. It begins
// in the middle of things: where the plan stands at now is what the crews were told.
func Big(n uint64, activities, crews int) (*schedule.Site, schedule.Minute) {
	r := Rand(n*0x2545f4914f6cdd1d + 3)
	s := &schedule.Site{Format: 1, Name: "House " + strconv.FormatUint(n, 10), Start: Monday}
	for i := range crews {
		c := schedule.Crew{ID: "crew" + strconv.Itoa(i), Name: "Crew " + strconv.Itoa(i), Trade: schedule.Trades[1+i%(len(schedule.Trades)-1)]}
		if r.Chance(30) {
			c.Saturday = &schedule.Extra{From: 8 * 60, To: 12 * 60, Cost: int64(100 * (10 + r.Int(20)))}
		}
		if i > 0 && r.Chance(15) {
			c.Stands = []string{"crew" + strconv.Itoa(r.Int(i))}
		}
		s.Crews = append(s.Crews, c)
	}
	rooms := max(activities/25, 1)
	for i := range rooms {
		s.Places = append(s.Places, schedule.Place{ID: "room" + strconv.Itoa(i), Name: "Room " + strconv.Itoa(i), Room: 2})
	}
	link := func(from, to string, lag int32) {
		s.Links = append(s.Links, schedule.Link{ID: "l" + strconv.Itoa(len(s.Links)), From: from, To: to, Lag: lag, Clock: lag > 0})
	}
	last := make([]string, rooms)
	for i := range activities {
		room := i % rooms
		a := schedule.Activity{ID: "a" + strconv.Itoa(i), Name: "Work " + strconv.Itoa(i), Place: "room" + strconv.Itoa(room),
			Crew: "crew" + strconv.Itoa((i/rooms+r.Int(3))%crews), Labour: schedule.Range{Typical: int32(120 * (1 + r.Int(6)))}}
		s.Activities = append(s.Activities, a)
		if last[room] != "" {
			link(last[room], a.ID, int32(720*(r.Int(10)/9)))
		}
		switch {
		case r.Chance(6):
			h := schedule.Hold{ID: "h" + strconv.Itoa(i), Name: "Look " + strconv.Itoa(i), Notice: int32(r.Int(3))}
			s.Holds = append(s.Holds, h)
			link(a.ID, h.ID, 0)
			last[room] = h.ID
		case r.Chance(25) && i >= rooms: // two trades side by side: what comes next waits for the one before
		default:
			last[room] = a.ID
		}
		if r.Chance(5) {
			o := schedule.Order{ID: "o" + strconv.Itoa(i), Goods: "Goods " + strconv.Itoa(i), Lead: int32(r.Int(30))}
			s.Orders = append(s.Orders, o)
			link(o.ID, a.ID, 0)
		}
	}
	now := Monday.At(6*60 + 40)
	plan := schedule.Lay(s, now)
	for i := range s.Activities {
		a := &s.Activities[i]
		l := plan.Line(a.ID)
		if a.Laid = l.Start; l.Start < now+14*schedule.MinutesPerDay && r.Chance(80) {
			a.Booking, a.ToldStart, a.ToldFinish = schedule.Asked, l.Start, l.Finish
			if r.Chance(60) {
				a.Booking = schedule.Firm
			}
		}
	}
	for i := range s.Holds {
		s.Holds[i].Laid = plan.Line(s.Holds[i].ID).Start
	}
	return s, now
}
