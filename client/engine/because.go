package engine

import "batterboard/schedule"

// because says in one sentence why a line starts when it does.
func (s *sheet) because(id string) string {
	l := s.lines[id]
	if l == nil {
		return ""
	}
	if l.Start >= schedule.Never {
		return s.w.Say("because.never")
	}
	r := l.Because
	if r.Kind == schedule.BecauseCalendar || r.Kind == schedule.BecauseWeather || r.Kind == schedule.BecauseNoise { // the day it opens says more than the hour it closed
		r.At = l.Start
	}
	return s.reason(r)
}

func (s *sheet) reason(r schedule.Reason) string {
	at := s.w.Moment(r.At, s.today())
	by, who := s.name(r.By), s.name(r.Who)
	switch r.Kind {
	case schedule.BecauseLink:
		return s.linkReason(r)
	case schedule.BecauseCrew:
		return s.w.Say("because.crew", "who", who, "what", by, "when", at)
	case schedule.BecausePlace:
		return s.w.Say("because.place", "where", who, "what", by, "when", at)
	case schedule.BecauseCalendar:
		if who == "" {
			return s.w.Say("because.closed", "when", at)
		}
		return s.w.Say("because.calendar", "who", who, "when", at)
	case schedule.BecauseDate, schedule.BecauseWeather, schedule.BecauseNoise, schedule.BecauseLaid, schedule.BecauseVisit, schedule.BecauseFact:
		return s.w.Say("because."+string(r.Kind), "when", at)
	case schedule.BecauseStart, schedule.BecauseNow, schedule.BecauseNotice, schedule.BecauseLead:
		return s.w.Say("because."+string(r.Kind), "when", at)
	}
	return ""
}

func (s *sheet) linkReason(r schedule.Reason) string {
	var link *schedule.Link
	for _, k := range s.into[s.linkTo(r.Link)] {
		if k.ID == r.Link {
			link = k
		}
	}
	by := s.name(r.By)
	when := r.At // the end of the lag; the sentence tells the end of the work, then the lag
	if l := s.lines[r.By]; l != nil {
		when = l.Finish
		if link != nil && (link.Kind == schedule.SS || link.Kind == schedule.SF) {
			when = l.Start
		}
	}
	at := s.w.Moment(when, s.today())
	key := "because.link"
	if s.holds[r.By] != nil {
		key = "because.hold"
	}
	if s.orders[r.By] != nil {
		key = "because.order"
	}
	if link != nil && (link.Kind == schedule.SS || link.Kind == schedule.SF) {
		key = "because.linkStart"
	}
	text := s.w.Say(key, "what", by, "when", at)
	if link != nil && link.Lag > 0 {
		lag := "because.lag"
		if link.Clock {
			lag = "because.lagClock"
		}
		text = s.w.Say(lag, "why", text, "n", s.lagWords(link.Lag, link.Clock))
	}
	return text
}

func (s *sheet) linkTo(id string) string {
	for i := range s.site.Links {
		if s.site.Links[i].ID == id {
			return s.site.Links[i].To
		}
	}
	return ""
}

// chain follows the reasons back from a line, at most n of them: why this, and why that in turn.
func (s *sheet) chain(id string, n int) (out []string) {
	seen := map[string]bool{}
	for ; n > 0 && id != "" && !seen[id]; n-- {
		seen[id] = true
		l := s.lines[id]
		if l == nil || l.Because.Kind == schedule.BecauseFact {
			break
		}
		if why := s.because(id); why != "" {
			out = append(out, s.w.Say("because.chain", "what", s.name(id), "why", why))
		}
		id = l.Because.By
	}
	return out
}
