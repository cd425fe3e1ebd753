package engine

import (
	"slices"

	"batterboard/schedule"
)

// cantDays is how many days the little form offers for one crew.
const cantDays = 10

// cantView lists the crews with work ahead, soonest first.
func (s *sheet) cantView() *CantView {
	type ahead struct {
		CantCrew
		at schedule.Minute
	}
	var all []ahead
	for _, c := range s.site.Crews {
		acts := s.aheadOf(c.ID)
		if len(acts) == 0 {
			continue
		}
		l := s.lines[acts[0]]
		v := CantCrew{ID: c.ID, Name: c.Name, Trade: c.Trade, Next: s.name(acts[0]) + ", " + s.days(l.Start, l.Finish)}
		v.Booked = s.bookedDays(c.ID, acts)
		v.Days = s.offer(c.ID, v.Booked)
		all = append(all, ahead{v, max(l.Start, s.now)})
	}
	order(all, func(i, j int) bool { return all[i].at < all[j].at })
	v := &CantView{}
	for _, a := range all {
		v.Crews = append(v.Crews, a.CantCrew)
	}
	return v
}

// aheadOf lists a crew's open activities by date.
func (s *sheet) aheadOf(crew string) (out []string) {
	for _, id := range s.byStart() {
		if a := s.acts[id]; a != nil && a.Finished == 0 && slices.Contains(crewsOf(a), crew) && s.lines[id].Finish > s.now {
			out = append(out, id)
		}
	}
	return out
}

func (s *sheet) bookedDays(crew string, acts []string) (out []schedule.Day) {
	on := map[schedule.Day]bool{}
	for _, id := range acts {
		l := s.lines[id]
		for d := max(l.Start.Day(), s.today()); d <= lastDay(l.Start, l.Finish); d++ {
			if _, _, is := s.onDay(crew, l, d); is && !on[d] && len(on) < 60 {
				on[d] = true
				out = append(out, d)
			}
		}
	}
	order(out, func(i, j int) bool { return out[i] < out[j] })
	return out
}

// offer is the crew's coming working days from the first that is booked, but today and tomorrow at least.
func (s *sheet) offer(crew string, booked []schedule.Day) (out []Day) {
	from := s.today()
	if len(booked) > 0 && booked[0] > from+1 {
		from = booked[0]
	}
	for d := from; d < from+60 && len(out) < cantDays; d++ {
		if s.workDay(crew, d) || slices.Contains(booked, d) {
			out = append(out, s.day(d))
		}
	}
	return out
}

// byStart lists all lines by start, then ID.
func (s *sheet) byStart() []string {
	ids := make([]string, len(s.plan.Lines))
	for i := range s.plan.Lines {
		ids[i] = s.plan.Lines[i].ID
	}
	s.sortByStart(ids)
	return ids
}

func (s *sheet) sortByStart(ids []string) {
	order(ids, func(i, j int) bool { return before(s.lines[ids[i]].Start, s.lines[ids[j]].Start, ids[i], ids[j]) })
}
