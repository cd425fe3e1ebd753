package engine

import (
	"strings"

	"batterboard/schedule"
)

// OwnDays is the whole plan for the owner's own calendar: work, visits and deliveries, and how one
// waits for the other.
type OwnDays struct {
	Lang, Site, Address, Zone string
	Days                      []OwnDay
}

// OwnDay is one of them. Deliveries take a day, everything else has its hours.
type OwnDay struct {
	ID, Name, Place string
	Start, End      schedule.Minute
	Whole           bool // the day as a whole: End is the start of the day after
	Sure            bool // agreed, under way or done
	Next            []OwnNext
}

// OwnNext is what waits for a day, and how.
type OwnNext struct {
	ID   string
	Kind schedule.LinkKind
	Lag  int32 // minutes; in working time unless the link counts by the clock
}

// OwnDays lists the plan in the order of its lines.
func (b *CrewBoard) OwnDays() OwnDays {
	s := b.s
	v := OwnDays{Lang: s.w.Code, Site: s.site.Name, Address: s.site.Address, Zone: s.site.Zone}
	for i := range s.plan.Lines {
		if l := &s.plan.Lines[i]; l.Start < schedule.Never {
			v.Days = append(v.Days, s.ownDay(l))
		}
	}
	return v
}

func (s *sheet) ownDay(l *schedule.Line) OwnDay {
	d := OwnDay{ID: l.ID, Start: l.Start, End: l.Finish, Name: s.name(l.ID), Sure: l.Frozen}
	who := ""
	switch l.Kind {
	case schedule.ActivityNode:
		if a := s.acts[l.ID]; a != nil {
			who, d.Place = s.crewName(a.Crew), s.placeName(a.Place)
			d.Sure = d.Sure || a.Booking == schedule.Firm || s.own(a.Crew)
		}
	case schedule.HoldNode:
		if h := s.holds[l.ID]; h != nil {
			who, d.Sure = or(h.Agency, s.w.Say("inspector")), d.Sure || h.Visit != 0
		}
	case schedule.OrderNode:
		if o := s.orders[l.ID]; o != nil {
			who, d.Place, d.Sure = or(o.Supplier, s.w.Say("delivery")), s.placeName(o.Stands), d.Sure || o.Ordered != 0
		}
		d.Whole, d.Start, d.End = true, l.Start.Day().Start(), (l.Start.Day() + 1).Start()
	}
	d.Name = strings.TrimPrefix(who+": "+d.Name, ": ")
	for _, k := range s.from[l.ID] {
		kind := k.Kind
		if kind == "" {
			kind = schedule.FS
		}
		d.Next = append(d.Next, OwnNext{k.To, kind, k.Lag})
	}
	return d
}
