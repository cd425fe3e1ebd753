package engine

import (
	"strings"

	"batterboard/schedule"
)

// weekView is one week on one page, for the wall of the site.
func (s *sheet) weekView(day schedule.Day) *WeekView {
	if day == 0 {
		day = s.today()
	}
	mon := day - schedule.Day(day.Weekday())
	v := &WeekView{Title: s.w.Say("week.title", "day", s.w.Long(mon)), Day: mon, Before: mon - 7, After: mon + 7, Site: s.site.Name,
		Printed: s.w.Say("week.printed", "when", s.w.Moment(s.now, s.today())), Foot: s.w.Say("week.foot")}
	for _, l := range []string{s.site.Address, s.site.WayIn} {
		if l != "" {
			v.Lines = append(v.Lines, l)
		}
	}
	if who := joined(s.site.Contact, s.site.Phone); who != "" {
		v.Lines = append(v.Lines, s.w.Say("week.ask", "who", who))
	}
	seen := map[string]bool{}
	var acts []*schedule.Activity
	crews := []string{}
	for d := mon; d < mon+7; d++ {
		wd := WeekDay{Day: s.day(d), Today: d == s.today()}
		for _, o := range s.byTheClock(d) {
			wd.Lines = append(wd.Lines, joinedBy(" · ", o.When, o.Who, o.What, o.Place))
			if a := s.acts[o.ID]; a != nil && !seen[a.ID] {
				seen[a.ID] = true
				acts = append(acts, a)
			}
			if o.Crew != "" && !seen["crew/"+o.Crew] {
				seen["crew/"+o.Crew] = true
				crews = append(crews, o.Crew)
			}
		}
		if why, shut := s.shut(d); shut {
			wd.Shut = or(why, s.w.Say("shut"))
		} else if len(wd.Lines) == 0 && !s.siteDay(d) {
			continue // an ordinary weekend is not worth a line of paper
		}
		v.Days = append(v.Days, wd)
	}
	v.Holds = s.weekHolds(mon)
	v.Cautions = s.weekCautions(acts)
	v.Contacts = s.weekContacts(crews, mon)
	return v
}

// weekHolds are the hold points visited this week, and those that shut work of this week.
func (s *sheet) weekHolds(mon schedule.Day) (out []WeekHold) {
	var all []*schedule.Hold
	for i := range s.site.Holds {
		h := &s.site.Holds[i]
		if l := s.lines[h.ID]; l != nil && h.Result != schedule.Pass && l.Start.Day() >= mon-2 && l.Start.Day() < mon+8 {
			all = append(all, h)
		}
	}
	order(all, func(i, j int) bool {
		return before(s.lines[all[i].ID].Start, s.lines[all[j].ID].Start, all[i].ID, all[j].ID)
	})
	for _, h := range all {
		var names []string
		for _, a := range s.keepsShut(h.ID) {
			if a.Started == 0 && len(names) < 4 {
				names = append(names, a.Name)
			}
		}
		out = append(out, WeekHold{Name: h.Name, Status: s.holdStatus(h, s.lines[h.ID]), Shuts: s.w.List(names), Ready: h.Ready})
	}
	return out
}

// weekCautions are those of this week's work, stops first, each said once with all the work it is about.
func (s *sheet) weekCautions(acts []*schedule.Activity) (out []WeekCaution) {
	at := map[string]int{}
	for _, a := range acts {
		if a.Finished != 0 {
			continue
		}
		for _, c := range s.cautions(a) {
			acked := ""
			if c.Stop && a.Acked != "" {
				acked = s.ackWords(a)
			}
			if k, ok := at[c.ID]; ok {
				out[k].For += ", " + a.Name
				out[k].Acked = joinedBy("; ", out[k].Acked, acked)
				continue
			}
			at[c.ID] = len(out)
			out = append(out, WeekCaution{Text: c.Text, Defer: c.Defer, Stop: c.Stop, For: a.Name, Acked: acked})
		}
	}
	order(out, func(i, j int) bool { return out[i].Stop && !out[j].Stop })
	return out
}

func (s *sheet) weekContacts(crews []string, mon schedule.Day) (out []WeekContact) {
	for _, id := range crews {
		if c := s.crews[id]; c != nil && c.Phone != "" {
			what := s.tradeName(c.Trade)
			if strings.EqualFold(what, c.Name) || c.Name == c.Contact {
				what = ""
			}
			who := joined(c.Name, c.Contact)
			if c.Name == c.Contact {
				who = c.Name
			}
			out = append(out, WeekContact{Who: who, What: what, Phone: c.Phone})
		}
	}
	seen := map[string]bool{}
	for i := range s.site.Holds {
		h := &s.site.Holds[i]
		if l := s.lines[h.ID]; l != nil && h.Phone != "" && h.Result != schedule.Pass && l.Start.Day() < mon+14 && !seen[h.Phone] {
			seen[h.Phone] = true
			out = append(out, WeekContact{Who: or(h.Agency, s.w.Say("inspector")), What: h.Name, Phone: h.Phone})
		}
	}
	for i := range s.site.Orders {
		o := &s.site.Orders[i]
		if l := s.lines[o.ID]; l != nil && o.Phone != "" && o.Arrived == 0 && l.Start.Day() < mon+8 && !seen[o.Phone] {
			seen[o.Phone] = true
			out = append(out, WeekContact{Who: or(o.Supplier, o.Goods), What: o.Goods, Phone: o.Phone})
		}
	}
	return out
}

// ackWords is who read the cautions, and when.
func (s *sheet) ackWords(a *schedule.Activity) string {
	if a.AckedAt == 0 {
		return a.Acked
	}
	return a.Acked + ", " + s.w.Moment(a.AckedAt, s.today())
}
