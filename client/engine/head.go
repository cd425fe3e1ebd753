package engine

import (
	"slices"
	"strconv"
	"strings"

	"batterboard/schedule"
)

// head is what stands on every screen.
func (e *Engine) head(s *sheet) Head {
	h := Head{SiteID: e.siteID, Site: s.site.Name, Country: s.site.Country, Zone: s.site.Zone, Lang: s.w.Code, Now: s.now, Finish: s.plan.Finish,
		Role: e.role, Unsent: e.phone.Unsent(), Unread: e.unread(), Rejected: len(e.phone.Rejected()),
		Empty: len(s.site.Activities) == 0, Coming: e.phone.Coming(), TextsDue: s.textsDue(), Questions: s.questions()}
	if why := e.phone.ReadOnly(); why != "" {
		h.ReadOnly = s.w.Say("readOnly." + why)
	}
	if !h.Empty && s.plan.Finish != 0 {
		h.FinishLine = s.w.Say("finishLine", "day", s.dated(lastDay(0, s.plan.Finish)))
		if s.site.Back != 0 && lastDay(0, s.plan.Finish) >= s.site.Back {
			h.FinishLine += " " + s.w.Say("finishLate", "day", s.dated(s.site.Back))
		}
		h.TautLine = s.tautLine()
	}
	if op, ok := e.phone.Log.LastAct(e.device); ok && h.ReadOnly == "" {
		h.Undo = e.sayLabel(s, op.Label)
	}
	if e.phone.Twin() {
		h.Problems = append(h.Problems, ProblemLine{Text: s.w.Say("twin"), Loud: true})
	}
	if ms, known := e.phone.Skew(); known && (ms > clockOff || ms < -clockOff) {
		h.Problems = append(h.Problems, ProblemLine{Text: s.skewWords(ms), Loud: true})
	}
	for _, p := range s.plan.Problems {
		if p.Kind == schedule.ProblemMoved { // that is what the moved texts are for
			continue
		}
		if t := s.problem(p); t != "" && len(h.Problems) < 20 {
			open := s.openOf(p)
			h.Problems = append(h.Problems, ProblemLine{Text: t, Open: open, Kind: s.kind(open)})
		}
	}
	return h
}

// tautLine names the trades that the chain without slack runs over, as they follow each other: "board →
// taping → floor". The owner's own hours, visits and deliveries between them go without saying, unless
// there is nothing else.
func (s *sheet) tautLine() string {
	names := s.tautNames(func(id string) string {
		a := s.site.Activity(id)
		if a == nil {
			return ""
		}
		c := s.site.Crew(a.Crew)
		switch {
		case c == nil || c.Trade == "owner":
			return ""
		case slices.Contains(schedule.Trades, c.Trade):
			return s.w.Say("trade." + c.Trade)
		}
		return c.Name
	})
	if len(names) == 0 {
		names = s.tautNames(func(id string) string { return short(s.name(id)) })
	}
	if len(names) == 0 {
		return ""
	}
	if len(names) > 4 {
		names = append(names[:4:4], "…")
	}
	chain := strings.Join(names, " → ")
	if day := s.tautFrom(); day > s.today()+1 {
		return s.w.Say("tautFrom", "day", s.w.Near(day, s.today()), "chain", chain)
	}
	return s.w.Say("tautLine", "chain", chain)
}

// tautFrom is the day on which the chain begins: before it, a lost day costs nothing yet.
func (s *sheet) tautFrom() schedule.Day {
	for _, id := range s.plan.Taut {
		if l := s.lines[id]; l != nil && !s.done(id) {
			return l.Start.Day()
		}
	}
	return 0
}

// tautNames lists the open lines of the taut chain by name, one for each run of the same.
func (s *sheet) tautNames(name func(id string) string) (names []string) {
	for _, id := range s.plan.Taut {
		if s.done(id) {
			continue
		}
		if n := name(id); n != "" && (len(names) == 0 || names[len(names)-1] != n) {
			names = append(names, n)
		}
	}
	return names
}

// short is the first part of a name: "Board, three layers" is "Board" on the chalk line.
func short(name string) string {
	if head, _, ok := strings.Cut(name, ","); ok && head != "" {
		return head
	}
	return name
}

// problem puts a contradiction into words.
func (s *sheet) problem(p schedule.Problem) string {
	name := func(i int) string {
		if i < len(p.IDs) {
			return s.anyName(p.IDs[i])
		}
		return ""
	}
	key := "problem." + string(p.Kind)
	if p.Kind == schedule.ProblemNever && len(p.IDs) > 0 && s.loud(s.acts[p.IDs[0]]) && s.site.TooLoud(s.acts[p.IDs[0]], s.today()) {
		key += "Loud"
	} else if p.Kind == schedule.ProblemNever && name(1) == "" {
		key += "Alone"
	}
	if !s.w.Has(key) {
		return ""
	}
	if p.Kind == schedule.ProblemCircle {
		var names []string
		for _, id := range p.IDs {
			names = append(names, s.anyName(id))
		}
		return s.w.Say(key, "chain", strings.Join(names, " → "))
	}
	when, by := "", ""
	if len(p.IDs) > 0 {
		when = s.lineDays(p.IDs[0])
		if a := s.acts[p.IDs[0]]; a != nil && a.MustBy != 0 {
			by = s.w.Near(a.MustBy, s.today())
		}
		if h := s.holds[p.IDs[0]]; h != nil && h.Visit != 0 {
			by = s.visitWords(h.Visit)
		}
		if a := s.acts[p.IDs[0]]; a != nil && a.ToldStart != 0 && p.Kind == schedule.ProblemMoved {
			by = s.told(s.w, a)
		}
	}
	return s.w.Say(key, "what", name(0), "other", name(1), "when", when, "by", by)
}

// anyName names a thing that may be of any kind, a link included.
func (s *sheet) anyName(id string) string {
	for i := range s.site.Links {
		if k := &s.site.Links[i]; k.ID == id {
			return s.name(k.From) + " → " + s.name(k.To)
		}
	}
	for _, a := range s.site.Away {
		if a.ID == id {
			return s.w.Say("awayOf", "who", s.crewName(a.Crew))
		}
	}
	return s.name(id)
}

// openOf is the thing to open for a problem: the first node it names.
func (s *sheet) openOf(p schedule.Problem) string {
	for _, id := range p.IDs {
		if s.isNode(id) {
			return id
		}
	}
	return ""
}

// clockOff is how far a phone's clock may be off before it is told: five minutes, in milliseconds.
const clockOff = 5 * 60 * 1000

// skewWords says how far the phone's clock is ahead of the server's, or behind.
func (s *sheet) skewWords(ms int64) string {
	key := "clock.ahead"
	if ms < 0 {
		key, ms = "clock.behind", -ms
	}
	min := ms / 60000
	n := s.w.Count("minutes", min)
	switch {
	case min >= 48*60:
		n = s.w.Count("days", min/(24*60))
	case min >= 120:
		n = s.w.Count("hours", min/60)
	}
	return s.w.Say(key, "n", n)
}

func itoa(n int) string { return strconv.Itoa(n) }
