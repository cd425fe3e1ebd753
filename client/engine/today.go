package engine

import (
	"batterboard/schedule"
)

// todayView is who is here, what to do before it is too late, and what moved.
func (e *Engine) todayView(s *sheet) *TodayView {
	today := s.today()
	v := &TodayView{Day: s.day(today)}
	v.OnSite, v.Own = s.split(s.onSite(today))
	for d := today + 1; d <= today+45; d++ {
		if next := s.onSite(d); len(next) > 0 {
			day := s.day(d)
			v.NextDay, v.Next = &day, next
			break
		}
	}
	v.Acts = s.calls()
	v.Moved = e.movedLines(s)
	v.Lead = s.lead(v)
	return v
}

func (s *sheet) day(d schedule.Day) Day {
	return Day{Day: d, Short: s.w.Near(d, s.today()), Long: s.w.Long(d)}
}

// split parts the owner's own work from everybody else's.
func (s *sheet) split(all []OnSite) (others, own []OnSite) {
	for _, o := range all {
		if c := s.crews[o.Crew]; c != nil && c.Own {
			own = append(own, o)
		} else {
			others = append(others, o)
		}
	}
	return others, own
}

// onSite lists what lies on day d: work, then visits, then deliveries, each by time.
func (s *sheet) onSite(d schedule.Day) []OnSite {
	all := s.onSiteAt(d)
	order(all, func(i, j int) bool {
		if a, b := kindOrder(all[i].Kind), kindOrder(all[j].Kind); a != b {
			return a < b
		}
		return before(all[i].at, all[j].at, all[i].ID, all[j].ID)
	})
	return withoutTimes(all)
}

// byTheClock lists what lies on day d in the order it happens, whatever it is: a sheet of paper is read from top to bottom.
func (s *sheet) byTheClock(d schedule.Day) []OnSite {
	all := s.onSiteAt(d)
	order(all, func(i, j int) bool { return before(all[i].at, all[j].at, all[i].ID, all[j].ID) })
	return withoutTimes(all)
}

// A timedSite is what lies on a day with the moment it begins there.
type timedSite struct {
	OnSite
	at schedule.Minute
}

func withoutTimes(all []timedSite) []OnSite {
	out := make([]OnSite, len(all))
	for i, t := range all {
		out[i] = t.OnSite
	}
	return out
}

func (s *sheet) onSiteAt(d schedule.Day) (all []timedSite) {
	for i := range s.plan.Lines {
		l := &s.plan.Lines[i]
		switch l.Kind {
		case schedule.ActivityNode:
			a := s.acts[l.ID]
			if a == nil || l.Start == l.Finish && a.Crew == "" {
				continue
			}
			if from, to, on := s.onDay(a.Crew, l, d); on {
				all = append(all, timedSite{s.workOn(a, l, d, from, to), d.At(from)})
			}
		case schedule.HoldNode:
			if h := s.holds[l.ID]; h != nil && l.Start.Day() == d && !(h.Result == schedule.Pass && h.ResultAt.Day() != d) {
				all = append(all, timedSite{s.visitOn(h, l), l.Start})
			}
		case schedule.OrderNode:
			if o := s.orders[l.ID]; o != nil && l.Start.Day() == d {
				all = append(all, timedSite{s.goodsOn(o, l), l.Start})
			}
		}
	}
	return all
}

func kindOrder(k schedule.NodeKind) int {
	switch k {
	case schedule.ActivityNode:
		return 0
	case schedule.HoldNode:
		return 1
	}
	return 2
}

func (s *sheet) workOn(a *schedule.Activity, l *schedule.Line, d schedule.Day, from, to int32) OnSite {
	when := s.w.Hours(from, to)
	if k, n := s.dayOf(a.Crew, l, d); n > 1 {
		when = s.w.Say("dayOf", "hours", when, "k", itoa(k), "n", itoa(n))
	}
	if from == to {
		when = s.w.Clock(from)
	}
	o := OnSite{ID: a.ID, Kind: schedule.ActivityNode, Crew: a.Crew, Who: or(s.crewName(a.Crew), s.w.Say("nobody")),
		Trade: s.trade(a.Crew), What: a.Name, When: when, Place: s.placeName(a.Place), Booking: a.Booking,
		Started: a.Started != 0, Finished: a.Finished != 0, Done: a.Done, Taut: l.Taut,
		Waits: s.waitsLine(a.ID), Caution: s.cautionLine(a)}
	if c := s.crews[a.Crew]; c != nil && !c.Own {
		o.Answer = s.answerFor(a.Crew, d)
	}
	return o
}

func (s *sheet) visitOn(h *schedule.Hold, l *schedule.Line) OnSite {
	o := OnSite{ID: h.ID, Kind: schedule.HoldNode, Who: or(h.Agency, s.w.Say("inspector")), What: h.Name,
		When: s.w.Hours(l.Start.OfDay(), endOfDay(l.Finish)), Taut: l.Taut, Finished: h.Result == schedule.Pass, Waits: s.waitsLine(h.ID)}
	if h.CalledIn != 0 {
		o.Booking = schedule.Asked
	}
	if h.Visit != 0 {
		o.Booking = schedule.Firm
	}
	return o
}

func (s *sheet) goodsOn(o *schedule.Order, l *schedule.Line) OnSite {
	v := OnSite{ID: o.ID, Kind: schedule.OrderNode, Who: or(o.Supplier, s.w.Say("delivery")), What: o.Goods,
		When: s.w.Say("deliveryDay"), Place: s.placeName(o.Stands), Taut: l.Taut, Finished: o.Arrived != 0}
	if o.Ordered != 0 {
		v.Booking = schedule.Firm
	}
	return v
}

func (s *sheet) placeName(id string) string {
	if id == "" {
		return ""
	}
	return s.name(id)
}

// waitsLine names what is not yet done directly in front of a node: "Waits for Rough plumbing and Batts".
func (s *sheet) waitsLine(id string) string {
	var open []string
	for _, l := range s.into[id] {
		if holdsStart := l.Kind != schedule.FF && l.Kind != schedule.SF; holdsStart && s.isNode(l.From) && !s.linkMet(l) {
			open = append(open, s.name(l.From))
		}
	}
	if len(open) == 0 {
		return ""
	}
	if len(open) > 3 {
		return s.w.Say("waitsMore", "what", s.w.List(open[:2]), "n", itoa(len(open)-2))
	}
	return s.w.Say("waits", "what", s.w.List(open))
}

// linkMet says whether what a link asks of its From has happened.
func (s *sheet) linkMet(l *schedule.Link) bool {
	if l.Kind == schedule.SS || l.Kind == schedule.SF {
		if a := s.acts[l.From]; a != nil {
			return a.Started != 0
		}
	}
	return s.done(l.From)
}

// cautionLine is the weightiest caution of an activity that is not finished.
func (s *sheet) cautionLine(a *schedule.Activity) string {
	if a.Finished != 0 {
		return ""
	}
	for _, c := range s.cautions(a) {
		return c.Text
	}
	return ""
}

// lead is the one line that matters most this minute.
func (s *sheet) lead(v *TodayView) string {
	if len(s.plan.Lines) == 0 {
		return s.w.Say("lead.empty")
	}
	for _, a := range v.Acts {
		if a.Late {
			return s.w.Say("lead.late", "what", a.Text, "by", a.By)
		}
	}
	if at := s.plan.Finish; at != 0 && at <= s.now {
		return s.w.Say("lead.finished", "day", s.dated(lastDay(0, at)))
	}
	crews := map[string]bool{}
	for _, o := range v.OnSite {
		if o.Kind == schedule.ActivityNode && !o.Finished {
			crews[o.Crew] = true
		}
	}
	if len(v.Acts) > 0 && len(crews) == 0 {
		return s.w.Say("lead.noneAct", "what", v.Acts[0].Text, "by", v.Acts[0].By)
	}
	if len(v.Acts) > 0 {
		return s.w.Count("lead.act", int64(len(crews)), "what", v.Acts[0].Text, "by", v.Acts[0].By)
	}
	if len(crews) > 0 {
		return s.w.Count("lead.crews", int64(len(crews)))
	}
	if v.NextDay != nil {
		return s.w.Say("lead.quiet", "day", v.NextDay.Long)
	}
	return s.w.Say("lead.nothing")
}

// endOfDay is the minute of the day a line ends, 24:00 rather than 0:00.
func endOfDay(m schedule.Minute) int32 {
	if n := m.OfDay(); n != 0 {
		return n
	}
	return 24 * 60
}
