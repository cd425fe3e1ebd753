package check

import (
	"fmt"

	"batterboard/schedule"
)

// taken is one line on a crew or in a place.
type taken struct {
	id            string
	start, finish schedule.Minute
	amount        int32
	open          bool
}

// shared: no crew in more places than it has teams, no more in a room than fit. Facts may overlap:
// they happened.
func (c *checker) shared() {
	for i := range c.site.Crews {
		k := &c.site.Crews[i]
		c.crowd("crew", k.ID, max(k.Teams, 1), c.taking(func(a *schedule.Activity) int32 {
			for _, id := range c.crews(a) {
				if id == k.ID {
					return 1
				}
			}
			return 0
		}))
	}
	for i := range c.site.Places {
		p := &c.site.Places[i]
		room := max(p.Room, 1)
		c.crowd("place", p.ID, room, c.taking(func(a *schedule.Activity) int32 {
			switch {
			case a.Place != p.ID:
				return 0
			case a.Whole:
				return room
			}
			return 1
		}))
	}
}

// taking lists the lines that take something, and how much.
func (c *checker) taking(amount func(*schedule.Activity) int32) (out []taken) {
	for i := range c.site.Activities {
		a := &c.site.Activities[i]
		l := c.lines[a.ID]
		if n := amount(a); n > 0 && a.Labour.Typical > 0 && !c.never[a.ID] && l.Start < l.Finish {
			out = append(out, taken{a.ID, l.Start, c.busyUntil(a, l), n, !l.Frozen})
		}
	}
	return out
}

// crowd looks at each moment at which something begins.
func (c *checker) crowd(kind, id string, room int32, list []taken) {
	for _, at := range list {
		sum, open := int32(0), false
		for _, t := range list {
			if t.start <= at.start && at.start < t.finish {
				sum += t.amount
				open = open || t.open
			}
		}
		c.fault(open && sum > room, kind, fmt.Sprintf("%s has %d at %s and room for %d", id, sum, at.start, room), at.id)
	}
}

// busyUntil is when a line lets go of its crew and place: at its finish, and for running work when its
// own work is done, however long a link holds its finish.
func (c *checker) busyUntil(a *schedule.Activity, l *schedule.Line) schedule.Minute {
	if a.Started == 0 || a.Finished != 0 {
		return l.Finish
	}
	from, now := a.Started, c.plan.Now
	if a.Done > 0 { // the rest counts from when the share was said, else from this morning
		said := a.DoneAt
		if said == 0 || said > now {
			said = now.Day().Start()
		}
		from = max(from, said)
	}
	crews, left, at := c.crews(a), c.work(a), from
	for left > 0 && at < l.Finish {
		if c.open(crews, at) {
			left--
		}
		at++
	}
	if left > 0 && c.lost[a.ID] {
		return max(from, now)
	}
	if at >= now || at.Day() == now.Day() { // until the evening it ended when it should have
		return at
	}
	for at = now; at.Day() == now.Day() && c.open(crews, at); { // after that it lasts to the end of the half day, by midnight at the latest
		at++
	}
	return at
}
