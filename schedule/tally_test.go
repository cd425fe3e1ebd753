package schedule_test

import (
	"maps"
	"slices"
	"testing"

	"batterboard/schedule"
)

// TestEverythingHappens counts what the random sites of the laws have, and what their plans say. A law over sites on
// which a thing never happens says nothing of it.
func TestEverythingHappens(t *testing.T) {
	t.Parallel()
	count := map[string]int{}
	all := 0
	for n := range sites(1) {
		site, now := anySite(n)
		all++
		seen := map[string]bool{}
		see := func(what string, yes bool) { seen[what] = seen[what] || yes }
		seeCrews(site, see)
		seeActivities(site, now, see)
		seeLinks(site, see)
		seeHolds(site, now, see)
		seeOrders(site, now, see)
		seeDays(site, see)
		seePlan(site, schedule.Lay(site, now), see)
		for what, yes := range seen {
			if count[what] += 0; yes {
				count[what]++
			}
		}
	}
	for _, what := range slices.Sorted(maps.Keys(count)) {
		if testing.Verbose() {
			t.Logf("%5d %s", count[what], what)
		}
		if count[what]*400 < all {
			t.Errorf("only %d of %d sites have: %s", count[what], all, what)
		}
	}
}

func seeCrews(s *schedule.Site, see func(string, bool)) {
	for i := range s.Crews {
		c := &s.Crews[i]
		see("crew of several people", c.Size > 1)
		see("crew with several teams", c.Teams > 1)
		see("the owner's own crew", c.Own)
		see("crew with hours of its own", c.Hours != nil && !c.Hours.IsZero())
		see("crew without any hours", c.Hours != nil && c.Hours.IsZero())
		see("crew that works up to midnight", c.Hours != nil && len(c.Hours[4]) > 0 && c.Hours[4][0].To == schedule.MinutesPerDay)
		see("crew that offers Saturdays", c.Saturday != nil)
		see("crew that offers overtime", c.Overtime != nil)
		see("crew that would come twice", c.Twice != nil)
		see("crew with a stand-in", len(c.Stands) > 0)
		see("crew with less than no people or teams", c.Size < 0 || c.Teams < 0)
	}
	for _, p := range s.Places {
		see("place for several", p.Room > 1)
		see("place for one", p.Room == 1)
		see("place for less than none", p.Room < 0)
	}
	see("hours of the site's own", !s.Hours.IsZero())
	see("site without a start", s.Start == 0)
}

func seeActivities(s *schedule.Site, now schedule.Minute, see func(string, bool)) {
	for i := range s.Activities {
		a := &s.Activities[i]
		crews := s.CrewsOf(a)
		open := a.Started == 0 && a.Finished == 0
		see("two crews on one activity", len(crews) == 2)
		see("three crews on one activity", len(crews) == 3)
		see("nobody's work", a.Crew == "")
		see("a crew nobody is", a.Crew == "ghost")
		see("a place nothing is", a.Place == "nowhere")
		see("a milestone", a.Labour.Typical == 0)
		see("less than no work", a.Labour.Typical < 0)
		see("work in odd minutes", a.Labour.Typical%30 != 0)
		see("hands of its own", a.Hands > 0)
		see("the whole of a place for several", a.Whole && s.Place(a.Place) != nil && s.Place(a.Place).Room > 1)
		see("outdoor work", a.Outdoor)
		see("two visits agreed", a.Twice && open)
		see("not before a date", a.NotBefore != 0)
		see("not before a time of day", a.NotBefore.OfDay() != 0)
		see("wanted by a date", a.MustBy != 0)
		see("asked", a.Booking == schedule.Asked)
		see("firm", a.Booking == schedule.Firm)
		see("booked, with no days told", a.Booking != schedule.Pencilled && a.ToldStart == 0)
		see("laid by hand", a.Laid > now && open)
		see("laid to earlier today", a.Laid < now && a.Laid.Day() == now.Day() && open)
		see("laid to the past", a.Laid != 0 && a.Laid.Day() < now.Day() && open)
		see("running", a.Started != 0 && a.Finished == 0)
		see("running, with a share done", a.Started != 0 && a.Finished == 0 && a.Done > 0)
		see("running, with a share done and when it was said", a.Started != 0 && a.Finished == 0 && a.Done > 0 && a.DoneAt != 0)
		see("running, two crews", a.Started != 0 && a.Finished == 0 && len(crews) > 1)
		see("finished", a.Started != 0 && a.Finished != 0)
		see("finished, nobody knows since when", a.Started == 0 && a.Finished != 0)
		see("finished before it began", a.Finished != 0 && a.Finished < a.Started)
		see("done in part, not begun", a.Done > 0 && a.Done < 100 && open)
		see("done, not begun", a.Done >= 100 && open)
	}
}

func seeLinks(s *schedule.Site, see func(string, bool)) {
	node := func(id string) string {
		switch {
		case s.Activity(id) != nil:
			return "work"
		case s.Hold(id) != nil:
			return "visit"
		case s.Order(id) != nil:
			return "delivery"
		}
		return "nothing"
	}
	for _, l := range s.Links {
		kind := string(l.Kind)
		if kind == "" {
			kind = "FS"
		}
		clock := " in working time"
		if l.Clock {
			clock = " by the clock"
		}
		see(kind+" link", true)
		see(kind+" link with a lag"+clock, l.Lag > 0)
		see(kind+" link with a lead"+clock, l.Lag < 0)
		see("link from "+node(l.From)+" to "+node(l.To), true)
		see("link to itself", l.From == l.To)
		see("lag of odd minutes", l.Lag%30 != 0)
	}
}

func seeHolds(s *schedule.Site, now schedule.Minute, see func(string, bool)) {
	for i := range s.Holds {
		h := &s.Holds[i]
		see("visit with notice", h.Notice == 1)
		see("visit with several days' notice", h.Notice > 1)
		see("visit with a cut-off hour", h.Cutoff > 0 && h.Notice > 0)
		see("less than no notice", h.Notice < 0)
		see("windows of the inspector's own", h.Hours != nil && !h.Hours.IsZero())
		see("an inspector who never comes", h.Hours != nil && h.Hours.IsZero())
		see("called in, no visit agreed", h.CalledIn != 0 && h.Visit == 0 && h.Result == schedule.NoResult)
		see("agreed visit ahead", h.Visit > now && h.Result == schedule.NoResult)
		see("agreed visit under way", h.Visit != 0 && h.Visit <= now && h.Result == schedule.NoResult)
		see("passed", h.Result == schedule.Pass)
		see("passed in part", h.Result == schedule.Partial)
		see("failed", h.Result == schedule.Fail)
		see("failed, called in again", h.Result == schedule.Fail && h.ResultAt != 0 && h.CalledIn > h.ResultAt)
		see("failed, the next visit agreed", h.Result == schedule.Fail && h.ResultAt != 0 && h.Visit > now)
		see("visit laid by hand", h.Laid != 0)
	}
}

func seeOrders(s *schedule.Site, now schedule.Minute, see func(string, bool)) {
	for i := range s.Orders {
		o := &s.Orders[i]
		see("goods not ordered", o.Ordered == 0 && o.Arrived == 0)
		see("goods with a lead", o.Ordered == 0 && o.Lead > 0)
		see("goods without", o.Ordered == 0 && o.Lead == 0)
		see("goods promised", o.Ordered != 0 && o.Due != 0)
		see("goods ordered, no day promised", o.Ordered != 0 && o.Due == 0)
		see("goods overdue", o.Ordered != 0 && o.Due != 0 && o.Due < now.Day())
		see("goods here", o.Arrived != 0)
		see("delivery laid by hand", o.Laid != 0)
		see("less than no lead", o.Lead < 0)
	}
}

func seeDays(s *schedule.Site, see func(string, bool)) {
	for _, a := range s.Away {
		see("days away", a.To >= a.From)
		see("one day away, its end left empty", a.To == 0)
		see("away for good", a.To > a.From+1000)
	}
	for _, x := range s.Shut {
		see("site shut", !x.Outdoor)
		see("shut for outdoor work", x.Outdoor)
		see("shut for long", x.To > x.From+5)
	}
	for _, o := range s.Openings {
		see("opening", o.From < o.To)
		see("opening that ends before it begins", o.From >= o.To)
	}
}

// seePlan sees that every kind of reason and of problem comes up.
func seePlan(s *schedule.Site, p *schedule.Plan, see func(string, bool)) {
	for _, k := range []schedule.ReasonKind{schedule.BecauseStart, schedule.BecauseNow, schedule.BecauseLink, schedule.BecauseCrew, schedule.BecausePlace,
		schedule.BecauseCalendar, schedule.BecauseWeather, schedule.BecauseDate, schedule.BecauseNotice, schedule.BecauseLead, schedule.BecauseVisit,
		schedule.BecauseLaid, schedule.BecauseFact} {
		see("a start because of "+string(k), slices.ContainsFunc(p.Lines, func(l schedule.Line) bool { return l.Because.Kind == k }))
	}
	for _, k := range []schedule.ProblemKind{schedule.ProblemCircle, schedule.ProblemUnknown, schedule.ProblemNegative, schedule.ProblemDates, schedule.ProblemNever,
		schedule.ProblemLate, schedule.ProblemMoved, schedule.ProblemVisit, schedule.ProblemOutOfOrder, schedule.ProblemOverdue, schedule.ProblemTooMuch} {
		see("problem "+string(k), slices.ContainsFunc(p.Problems, func(q schedule.Problem) bool { return q.Kind == k }))
	}
	for _, l := range p.Lines {
		a := s.Activity(l.ID)
		see("slack", l.Float > 0)
		see("free slack, less than all of it", l.FreeFloat > 0 && l.FreeFloat < l.Float)
		see("work over a weekend", a != nil && l.Start < schedule.Never && l.Start.Day().Weekday() > l.Finish.Day().Weekday())
		see("work that ends at midnight", a != nil && a.Labour.Typical > 0 && !l.Frozen && l.Start < schedule.Never && l.Finish.OfDay() == 0)
	}
}
