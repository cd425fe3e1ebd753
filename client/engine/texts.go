package engine

import (
	"slices"
	"strings"

	"batterboard/client/engine/words"
	"batterboard/schedule"
)

// textID names a text by what it is about, so that two phones that mark the same text end with one record.
func textID(kind, crew string, d schedule.Day) string { return kind + "/" + crew + "/" + d.String() }

// parseTextID is the inverse of textID. A crew's ID may hold slashes itself.
func parseTextID(id string) (kind, crew string, d schedule.Day, ok bool) {
	kind, rest, ok1 := strings.Cut(id, "/")
	i := strings.LastIndexByte(rest, '/')
	if !ok1 || i <= 0 || kind != "tomorrow" && kind != "moved" && kind != "ask" {
		return "", "", 0, false
	}
	d, err := schedule.ParseDay(rest[i+1:])
	return kind, rest[:i], d, err == nil && d != 0
}

// A batch is what one text tells one crew: which of its activities, from when.
type batch struct {
	crew  string
	acts  []string
	first schedule.Minute
}

// nextTextDay is the day tomorrow's texts are about: the next day on which a hired crew is on site.
// On a Friday that is Monday. With nobody ahead it is the calendar's tomorrow.
func (s *sheet) nextTextDay() schedule.Day {
	for d := s.today() + 1; d <= s.today()+30; d++ {
		if len(s.tomorrowCrews(d)) > 0 {
			return d
		}
	}
	return s.today() + 1
}

// tomorrowCrews are the hired crews with work on d, in the site's order.
func (s *sheet) tomorrowCrews(d schedule.Day) []string {
	on := map[string]bool{}
	for i := range s.plan.Lines {
		a := s.acts[s.plan.Lines[i].ID]
		if a == nil || a.Finished != 0 {
			continue
		}
		for _, c := range crewsOf(a) {
			if _, _, is := s.onDay(c, &s.plan.Lines[i], d); is {
				on[c] = true
			}
		}
	}
	var out []string
	for _, c := range s.site.Crews {
		if on[c.ID] && !c.Own {
			out = append(out, c.ID)
		}
	}
	return out
}

func crewsOf(a *schedule.Activity) []string {
	if a.Crew == "" {
		return a.With
	}
	return append([]string{a.Crew}, a.With...)
}

// movedTexts are the crews who were told other days than are planned now. It is derived from the told
// dates, so a second change before sending simply drafts anew.
func (s *sheet) movedTexts() []batch {
	return s.batches(func(a *schedule.Activity, l *schedule.Line) bool {
		return a.Booking != schedule.Pencilled && a.ToldStart != 0 && !l.Frozen && s.toldOther(a, l)
	})
}

// toldOther says whether a crew that kept to what it was told would come on other days than planned.
func (s *sheet) toldOther(a *schedule.Activity, l *schedule.Line) bool {
	if a.ToldStart.Day() != l.Start.Day() {
		return true
	}
	return a.ToldFinish != 0 && lastDay(a.ToldStart, a.ToldFinish) != lastDay(l.Start, l.Finish)
}

// asks are the pencilled crews of the next two weeks whom nobody has asked.
func (s *sheet) asks() []batch {
	limit := (s.today() + askAhead).Start()
	return s.batches(func(a *schedule.Activity, l *schedule.Line) bool {
		return a.Booking == schedule.Pencilled && !l.Frozen && l.Start < limit && l.Finish > s.now
	})
}

// batches gathers the activities that want a text, by crew, soonest first.
func (s *sheet) batches(want func(*schedule.Activity, *schedule.Line) bool) []batch {
	by := map[string]*batch{}
	var out []*batch
	for i := range s.plan.Lines {
		l := &s.plan.Lines[i]
		a := s.acts[l.ID]
		if a == nil || l.Start >= schedule.Never || !want(a, l) {
			continue
		}
		for _, id := range crewsOf(a) {
			c := s.crews[id]
			if c == nil || c.Own {
				continue
			}
			if by[id] == nil {
				by[id] = &batch{crew: id, first: l.Start}
				out = append(out, by[id])
			}
			b := by[id]
			b.acts, b.first = append(b.acts, l.ID), min(b.first, l.Start)
		}
	}
	res := make([]batch, len(out))
	for i, b := range out {
		s.sortByStart(b.acts)
		res[i] = *b
	}
	order(res, func(i, j int) bool { return before(res[i].first, res[j].first, res[i].crew, res[j].crew) })
	return res
}

// textsView drafts every text that is due.
func (s *sheet) textsView(day schedule.Day) *TextsView {
	if day == 0 {
		day = s.nextTextDay()
	}
	v := &TextsView{Day: s.day(day)}
	notAsked, silent := 0, 0
	for _, c := range s.tomorrowCrews(day) {
		card := s.tomorrowCard(c, day)
		switch {
		case card.Booking == schedule.Pencilled && !card.Sent:
			notAsked++
		case card.Answer == "" && (card.Sent || card.Booking == schedule.Asked):
			silent++
		}
		v.Tomorrow = append(v.Tomorrow, card)
	}
	for _, b := range s.movedTexts() {
		v.Moved = append(v.Moved, s.batchCard("moved", b))
	}
	for _, b := range s.asks() {
		v.Ask = append(v.Ask, s.batchCard("ask", b))
	}
	v.Moved = append(v.Moved, s.waiting("moved")...)
	v.Ask = append(v.Ask, s.waiting("ask")...)
	v.Line = s.textsLine(len(v.Tomorrow), notAsked, silent, day)
	return v
}

func (s *sheet) textsLine(n, notAsked, silent int, day schedule.Day) string {
	if n == 0 {
		return s.w.Say("texts.none", "day", s.w.Long(day))
	}
	line := s.w.Count("texts.crews", int64(n), "day", s.w.Long(day))
	if notAsked > 0 {
		line += " " + s.w.Say("texts.notAsked", "n", itoa(notAsked))
	}
	if silent > 0 {
		line += " " + s.w.Say("texts.silent", "n", itoa(silent))
	}
	return line
}

// answerFor is how a crew answered the text about day d: yes, no, other, silent, notSent.
func (s *sheet) answerFor(crew string, d schedule.Day) string {
	t := s.texts[textID("tomorrow", crew, d)]
	switch {
	case t == nil || t.Sent == 0 && t.Answer == "":
		return "notSent"
	case t.Answer == "":
		return "silent"
	}
	return t.Answer
}

func (s *sheet) tomorrowCard(crew string, d schedule.Day) TextCard {
	acts := s.workOf(crew, d)
	card := s.card("tomorrow", crew, d, func(w *words.Lang) string { return s.tomorrowBody(w, crew, acts, d) })
	for _, id := range acts {
		card.Booking = weaker(card.Booking, s.acts[id].Booking, id == acts[0])
	}
	card.Warn = s.warn(card)
	return card
}

func (s *sheet) batchCard(kind string, b batch) TextCard {
	body := func(w *words.Lang) string {
		if kind == "moved" {
			return s.movedBody(w, b)
		}
		return s.askBody(w, b)
	}
	card := s.card(kind, b.crew, b.first.Day(), body)
	for i, id := range b.acts {
		card.Booking = weaker(card.Booking, s.acts[id].Booking, i == 0)
	}
	if kind == "moved" || card.Warn == "" && s.crews[b.crew].Phone == "" {
		card.Warn = s.phoneWarn(b.crew)
	}
	return card
}

// weaker is the less sure of two bookings: one pencilled day in a crew's week makes the week unsure.
func weaker(a, b schedule.Booking, first bool) schedule.Booking {
	rank := func(x schedule.Booking) int {
		switch x {
		case schedule.Firm:
			return 2
		case schedule.Asked:
			return 1
		}
		return 0
	}
	if first || rank(b) < rank(a) {
		return b
	}
	return a
}

func (s *sheet) warn(c TextCard) string {
	switch {
	case s.phoneWarn(c.Crew) != "":
		return s.phoneWarn(c.Crew)
	case c.Answer == "no":
		return s.w.Say("warn.no")
	case c.Answer == "other":
		return s.w.Say("warn.other")
	case c.Answer == "yes":
		return ""
	case c.Booking == schedule.Pencilled && !c.Sent:
		return s.w.Say("warn.notAsked")
	case c.Sent || c.Booking == schedule.Asked:
		return s.w.Say("warn.silent")
	}
	return ""
}

func (s *sheet) phoneWarn(crew string) string {
	if c := s.crews[crew]; c == nil || smsNumber(c.Phone) == "" {
		return s.w.Say("warn.phone")
	}
	return ""
}

// card fills what every text has; body says it in a language.
func (s *sheet) card(kind, crew string, d schedule.Day, body func(*words.Lang) string) TextCard {
	c := s.crews[crew]
	w := s.langOf(crew)
	t := TextCard{ID: textID(kind, crew, d), Kind: kind, Crew: crew, Name: c.Name, Trade: c.Trade,
		Phone: c.Phone, Lang: w.Code, Body: body(w)}
	if w.Code != s.w.Code {
		t.Own = body(s.w)
	}
	t.Href, t.Parts = smsHref(c.Phone, t.Body), smsParts(t.Body)
	if rec := s.texts[t.ID]; rec != nil {
		t.Answer = rec.Answer
		if rec.Sent != 0 {
			t.Sent, t.SentLine = true, s.w.Say("texts.sent", "when", s.w.Moment(rec.Sent, s.today()))
		}
	}
	return t
}

// langOf is the language a crew is texted in; the owner's where none is set.
func (s *sheet) langOf(crew string) *words.Lang {
	if c := s.crews[crew]; c != nil && c.Lang != "" {
		return words.In(c.Lang)
	}
	return s.w
}

// workOf lists a crew's activities on d by time.
func (s *sheet) workOf(crew string, d schedule.Day) []string {
	type timed struct {
		id string
		at schedule.Minute
	}
	var all []timed
	for i := range s.plan.Lines {
		l := &s.plan.Lines[i]
		a := s.acts[l.ID]
		if a == nil || a.Finished != 0 || !slices.Contains(crewsOf(a), crew) {
			continue
		}
		if from, _, on := s.onDay(crew, l, d); on {
			all = append(all, timed{l.ID, d.At(from)})
		}
	}
	order(all, func(i, j int) bool { return before(all[i].at, all[j].at, all[i].id, all[j].id) })
	out := make([]string, len(all))
	for i, t := range all {
		out[i] = t.id
	}
	return out
}
