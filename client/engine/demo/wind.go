package demo

import (
	"slices"

	"batterboard/schedule"
)

// Today is the day the document tells of: Tuesday 6 April 2027, at twenty to seven in the morning.
var Today = schedule.DateOf(2027, 4, 6)

// Told is the minute the document tells of.
var Told = Today.At(6*60 + 40)

// At returns the Old Laundry as it stands at now, whatever day that is: moved by whole weeks, so that
// weekdays stay weekdays, and wound to the moment. On the Thursday of its week the work planned for
// Tuesday is done; on the Monday what happens later that day has not happened yet. A Sunday counts
// with the week that follows.
func At(now schedule.Minute) (*schedule.Site, error) {
	s, err := schedule.ParseSite(document)
	if err != nil {
		return nil, err
	}
	weeks := monday(now.Day()) - monday(Today)
	shift(s, weeks)
	told := Told + schedule.Minute(weeks)*schedule.MinutesPerDay
	if now < told {
		unhappen(s, now)
	} else {
		happen(s, told, now)
	}
	return s, nil
}

// monday is the first day of the working week that d lies in or, on a Sunday, in front of.
func monday(d schedule.Day) schedule.Day {
	if d.Weekday() == 6 {
		return d + 1
	}
	return d - schedule.Day(d.Weekday())
}

// happen makes facts of what was planned between then and now, as if all had gone well.
func happen(s *schedule.Site, then, now schedule.Minute) {
	plan := schedule.Lay(s, then)
	lines := map[string]schedule.Line{}
	for _, l := range plan.Lines {
		lines[l.ID] = l
	}
	for i := range s.Activities {
		if a := &s.Activities[i]; a.Finished == 0 {
			work(s, a, lines[a.ID], now)
		}
	}
	for i := range s.Holds {
		if h := &s.Holds[i]; h.Result == schedule.NoResult {
			visit(s, h, lines[h.ID], now)
		}
	}
	for i := range s.Orders {
		if o := &s.Orders[i]; o.Arrived == 0 {
			deliver(o, lines[o.ID], now)
		}
	}
	tell(s, now)
}

func work(s *schedule.Site, a *schedule.Activity, l schedule.Line, now schedule.Minute) {
	if l.Start == 0 || l.Start > now {
		return
	}
	if a.Started == 0 {
		a.Started = l.Start
	}
	a.Laid = a.Started
	if len(a.Cautions) > 0 {
		a.Acked = "Marit"
	}
	if a.Crew != "" {
		a.Booking, a.ToldStart, a.ToldFinish = schedule.Firm, a.Started, l.Finish
	}
	if l.Finish <= now {
		a.Finished, a.Done = l.Finish, 100
		return
	}
	a.Done = max(a.Done, done(s, a, l.Finish, now))
}

// done is how much of a running activity is done at now, in steps of five percent, rounded up: rounded
// down, the rest would not fit before its finish.
func done(s *schedule.Site, a *schedule.Activity, finish, now schedule.Minute) int32 {
	c := s.ActivityCalendar(a, now.Day())
	whole := c.WorkBetween(a.Started, finish)
	if whole <= 0 {
		return a.Done
	}
	return min(95, int32((c.WorkBetween(a.Started, now)*20+whole-1)/whole*5))
}

// visit signs a hold point whose visit lies behind now, and calls in one whose last moment has come.
func visit(s *schedule.Site, h *schedule.Hold, l schedule.Line, now schedule.Minute) {
	if l.Start == 0 {
		return
	}
	call := s.SiteCalendar(now.Day()).SubDays(l.Start.Day(), int(h.Notice)).At(10 * 60)
	if call > now {
		return
	}
	h.CalledIn, h.Visit, h.Laid = call, l.Start, l.Start
	h.Taken = h.Photos
	if l.Finish <= now {
		h.Result, h.ResultAt = schedule.Pass, l.Finish
	}
}

func deliver(o *schedule.Order, l schedule.Line, now schedule.Minute) {
	if l.Start == 0 {
		return
	}
	if o.Ordered == 0 && l.CallBy != 0 && l.CallBy <= now {
		o.Ordered, o.Due = l.CallBy.Day(), l.Start.Day()
	}
	if l.Start <= now && l.Start.Day() < now.Day() {
		o.Arrived = l.Start.Day()
	}
}

// tell marks yesterday's texts to those who are on site today as sent and answered.
func tell(s *schedule.Site, now schedule.Minute) {
	today := now.Day()
	known := map[string]bool{}
	for _, t := range s.Texts {
		known[t.ID] = true
	}
	for _, c := range s.Crews {
		id := "tomorrow/" + c.ID + "/" + today.String()
		if c.Own || known[id] || !onSite(s, c.ID, today) {
			continue
		}
		s.Texts = append(s.Texts, schedule.Text{ID: id, Kind: "tomorrow", Crew: c.ID, Day: today,
			Sent: (today - 1).At(16*60 + 5), Answer: "yes"})
	}
}

func onSite(s *schedule.Site, crew string, d schedule.Day) bool {
	return slices.ContainsFunc(s.Activities, func(a schedule.Activity) bool {
		return a.Crew == crew && a.Booking != schedule.Pencilled && a.ToldStart.Day() <= d && a.ToldFinish.Day() >= d
	})
}

// unhappen takes back what the document tells of the time after now.
func unhappen(s *schedule.Site, now schedule.Minute) {
	s.Readings = slices.DeleteFunc(s.Readings, func(r schedule.Reading) bool { return r.At > now })
	for i := range s.Activities {
		a := &s.Activities[i]
		if a.Started > now {
			a.Started, a.Finished, a.Done = 0, 0, 0
		} else if a.Finished > now {
			a.Done = done(s, a, a.Finished, now)
			a.Finished = 0
		}
	}
	for i := range s.Holds {
		h := &s.Holds[i]
		if h.ResultAt > now {
			h.Result, h.ResultAt, h.Said = schedule.NoResult, 0, ""
		}
		if h.CalledIn > now {
			h.CalledIn, h.Visit = 0, 0
		}
	}
	s.Texts = slices.DeleteFunc(s.Texts, func(t schedule.Text) bool { return t.Sent > now })
	s.Notes = slices.DeleteFunc(s.Notes, func(n schedule.Note) bool { return n.Day >= now.Day() })
}
