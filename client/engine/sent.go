package engine

import (
	"slices"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// sent marks a text as sent. The crew now knows the days as they are planned, so its bookings say so:
// pencilled becomes asked, and days that moved must be confirmed anew.
func (e *Engine) sent(r Request) {
	kind, crew, day, acts, ok := e.textOf(r.ID)
	if !ok {
		return
	}
	s := e.sheet
	rec := set("text", r.ID, "kind", kind, "crew", crew, "day", day, "sent", r.Now)
	if body := s.bodyOf(kind, crew, day, acts); body != "" {
		rec.Set["body"] = value(body)
	}
	edits := []opsync.Edit{rec}
	for _, id := range acts {
		a, l := s.acts[id], s.lines[id]
		if l.Frozen {
			continue
		}
		if b := a.Booking; b == schedule.Pencilled || s.toldOther(a, l) {
			edits = append(edits, booked(a, l, schedule.Asked))
		}
	}
	if e.write(r, opsync.KindEdit, label{"sent", s.crewName(crew), day.String()}, edits) {
		e.say("said.sent", "who", s.crewName(crew))
	}
}

// answer writes what a crew answered. Yes makes its days firm; no leads to the ways through.
func (e *Engine) answer(r Request) {
	kind, crew, day, acts, ok := e.textOf(r.ID)
	if !ok {
		return
	}
	if r.Key != "yes" && r.Key != "no" && r.Key != "other" && r.Key != "" {
		e.refuse("refused.answer")
		return
	}
	s := e.sheet
	edits := []opsync.Edit{set("text", r.ID, "kind", kind, "crew", crew, "day", day, "answer", r.Key)}
	for _, id := range acts {
		if a, l := s.acts[id], s.lines[id]; r.Key == "yes" && !l.Frozen {
			edits = append(edits, booked(a, l, schedule.Firm))
		}
	}
	if e.write(r, opsync.KindEdit, label{"answer." + or(r.Key, "none"), s.crewName(crew), day.String()}, edits) && r.Key != "" {
		e.say("said.answer."+r.Key, "who", s.crewName(crew), "day", s.w.Day(day))
	}
	if e.refused == "" && (r.Key == "no" || r.Key == "other") {
		e.goTo = &cantFor{crew, day}
	}
}

// cantFor is the crew and day that the screen goes to after a "no".
type cantFor struct {
	crew string
	day  schedule.Day
}

// textOf finds what a text is about, or refuses.
func (e *Engine) textOf(id string) (kind, crew string, day schedule.Day, acts []string, ok bool) {
	if !e.mayWrite() {
		return
	}
	kind, crew, day, ok = parseTextID(id)
	if !ok || e.sheet.crews[crew] == nil || len(id) > 64 {
		return "", "", 0, nil, e.refuse("refused.gone")
	}
	return kind, crew, day, e.sheet.actsOf(kind, crew, day), true
}

// actsOf lists the activities a text tells about.
func (s *sheet) actsOf(kind, crew string, day schedule.Day) []string {
	if kind == "tomorrow" {
		return s.workOf(crew, day)
	}
	all := s.movedTexts()
	if kind == "ask" {
		all = s.asks()
	}
	for _, b := range all {
		if b.crew == crew && b.first.Day() == day {
			return b.acts
		}
	}
	// Sent already: the crew's days that wait for an answer.
	var out []string
	for _, id := range s.aheadOf(crew) {
		if a := s.acts[id]; a.Booking == schedule.Asked && a.Started == 0 {
			out = append(out, id)
		}
	}
	return out
}

func (s *sheet) bodyOf(kind, crew string, day schedule.Day, acts []string) string {
	if len(acts) == 0 {
		return ""
	}
	b := batch{crew: crew, acts: acts, first: s.lines[acts[0]].Start}
	w := s.langOf(crew)
	switch kind {
	case "moved":
		return s.movedBody(w, b)
	case "ask":
		return s.askBody(w, b)
	}
	return s.tomorrowBody(w, crew, acts, day)
}

// waiting are the moved and asking texts that were sent and have no answer yet.
func (s *sheet) waiting(kind string) (out []TextCard) {
	for _, t := range s.site.Texts {
		if t.Kind != kind || t.Sent == 0 || t.Answer != "" || s.crews[t.Crew] == nil || t.Day < s.today() {
			continue
		}
		if acts := s.actsOf(kind, t.Crew, t.Day); len(acts) > 0 && !slices.ContainsFunc(out, func(c TextCard) bool { return c.Crew == t.Crew }) {
			c := s.batchCard(kind, batch{crew: t.Crew, acts: acts, first: t.Day.Start()})
			if t.Body != "" {
				c.Body, c.Own = t.Body, ""
				c.Href, c.Parts = smsHref(c.Phone, c.Body), smsParts(c.Body)
			}
			c.Warn = s.w.Say("warn.silent")
			out = append(out, c)
		}
	}
	return out
}
