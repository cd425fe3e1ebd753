package demo

import (
	"strings"

	"batterboard/schedule"
)

// shift moves every date of s by days. A text's ID carries the date it is about, so it moves too. A
// test holds this list against the fields of schedule.Site.
func shift(s *schedule.Site, days schedule.Day) {
	day := func(ds ...*schedule.Day) {
		for _, d := range ds {
			if *d != 0 {
				*d += days
			}
		}
	}
	minute := func(ms ...*schedule.Minute) {
		for _, m := range ms {
			if *m != 0 {
				*m += schedule.Minute(days) * schedule.MinutesPerDay
			}
		}
	}
	day(&s.Start, &s.Back)
	for i := range s.Activities {
		a := &s.Activities[i]
		day(&a.MustBy)
		minute(&a.NotBefore, &a.Started, &a.Finished, &a.Laid, &a.ToldStart, &a.ToldFinish, &a.AckedAt)
	}
	for i := range s.Holds {
		h := &s.Holds[i]
		minute(&h.CalledIn, &h.Visit, &h.ResultAt, &h.Laid)
	}
	for i := range s.Orders {
		o := &s.Orders[i]
		day(&o.Ordered, &o.Due, &o.Arrived, &o.Reserved)
		minute(&o.Laid)
	}
	for i := range s.Away {
		day(&s.Away[i].From, &s.Away[i].To)
	}
	for i := range s.Shut {
		day(&s.Shut[i].From, &s.Shut[i].To)
	}
	for i := range s.Openings {
		day(&s.Openings[i].Day)
	}
	for i := range s.Texts {
		t := &s.Texts[i]
		was := t.Day.String()
		day(&t.Day)
		minute(&t.Sent)
		t.ID = strings.TrimSuffix(t.ID, was) + t.Day.String()
	}
	for i := range s.Notes {
		day(&s.Notes[i].Day)
	}
	for i := range s.Readings {
		minute(&s.Readings[i].At)
	}
	for i := range s.Settled {
		minute(&s.Settled[i].At)
	}
}
