package engine

import (
	"encoding/json"
	"slices"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// pageBlank stands in a text that is written down for the address of a crew's page: whoever has that
// answers for the crew, so it is in no log.
const pageBlank = "{page}"

// WithPage puts a crew's address where its text has the blank for it. Without one the line goes.
func WithPage(body, url string) string {
	if !strings.Contains(body, pageBlank) {
		return body
	}
	var out []string
	for _, line := range strings.Split(body, "\n") {
		if url != "" || !strings.Contains(line, pageBlank) {
			out = append(out, strings.ReplaceAll(line, pageBlank, url))
		}
	}
	return strings.Join(out, "\n")
}

// letterOf finds the letter a card was drawn from, with the days that card told; or refuses. A plan that
// changed after the card was drawn is no reason to refuse: what was sent was sent, and the crew then
// knows those days, not the new ones.
func (e *Engine) letterOf(r Request) (l letter, ok bool) {
	if !e.mayWrite() {
		return
	}
	s := e.sheet
	kind, about, day, ok := parseTextID(r.ID)
	if !ok || len(r.ID) > opsync.MaxID || !s.goesTo(kind, about) {
		return l, e.refuse("refused.gone")
	}
	l = s.letterNow(kind, about, day)
	var on, told []string
	if json.Unmarshal(orNull(r.Fields["on"]), &on) != nil || json.Unmarshal(orNull(r.Fields["told"]), &told) != nil || len(on) != len(told) || len(on) > 200 {
		return l, e.refuse("refused.gone")
	}
	for _, t := range told {
		if _, _, ok := parseSpan(t); !ok {
			return l, e.refuse("refused.gone")
		}
	}
	if len(on) > 0 {
		l.acts, l.told = on, told
	}
	return l, true
}

func orNull(raw json.RawMessage) json.RawMessage {
	if raw == nil {
		return json.RawMessage("null")
	}
	return raw
}

// goesTo says whether there is somebody a kind of text can go to.
func (s *sheet) goesTo(kind, about string) bool {
	switch kind {
	case "order", "reorder":
		return s.orders[about] != nil
	case "street":
		return about == "street"
	}
	return s.crews[about] != nil
}

// letterNow is the letter of that name as the plan is now; one that is not due tells what was told.
func (s *sheet) letterNow(kind, about string, day schedule.Day) letter {
	list := s.outbox()[kind]
	if kind == "tomorrow" {
		list = s.tomorrowLetters(day)
	}
	for _, l := range list {
		if l.about == about && l.day == day {
			return l
		}
	}
	l := letter{kind: kind, about: about, day: day, first: day.Start()}
	if t := s.texts[l.id()]; t != nil {
		if l.acts = s.actsOf(t); len(t.On) == len(t.Told) && len(t.On) > 0 {
			l.acts, l.told = t.On, t.Told
		}
	}
	return l
}

// sent marks a text as sent. The crew now knows the days the text told, so its bookings say so:
// pencilled becomes asked, and days that are others than it knew must be confirmed anew.
func (e *Engine) sent(r Request) {
	l, ok := e.letterOf(r)
	if !ok {
		return
	}
	s := e.sheet
	who := s.toWhom(l)
	if s.isSent(&l) && s.texts[l.id()].Sent != 0 {
		e.say("said.same")
		return
	}
	if e.write(r, opsync.KindEdit, label{"sent", who, l.day.String()}, s.sentEdits(l, s.bodyKept(l, r.Pages), r.Now)) {
		e.say("said.sent", "who", who)
	}
}

func (s *sheet) toWhom(l letter) string {
	var t TextCard
	s.addressed(&t, l)
	return or(t.Name, l.about)
}

// bodyKept is a text as it is written down: with a blank for the crew's address where it had one.
func (s *sheet) bodyKept(l letter, pages map[string]string) string {
	if len(l.acts) == 0 {
		return ""
	}
	c := *s
	c.pages = nil
	if s.withPages(pages).pages[l.about] != "" {
		c.pages = map[string]string{l.about: pageBlank}
	}
	if l.kind != "off" && l.kind != "reorder" && !slices.Equal(l.told, nil) {
		l = c.asTold(l)
	}
	return c.bodyOf(c.langOf(l.about), l)
}

// asTold keeps the days of a card out of the body's way when they are the plan's own.
func (s *sheet) asTold(l letter) letter {
	now := l
	now.told = nil
	if slices.Equal(l.told, s.tells(&now)) {
		return now
	}
	return l
}

// sentEdits say that a text was sent: the record of it, and what the crew knows now.
func (s *sheet) sentEdits(l letter, body string, now schedule.Minute) []opsync.Edit {
	rec := s.textEdit(l, body)
	rec.Set["sent"] = value(now)
	if was := s.texts[l.id()]; was != nil {
		for k, have := range map[string]bool{"answer": was.Answer != "", "wish": was.Wish != 0, "queued": was.Queued != 0, "via": was.Via != "", "failed": was.Failed != ""} { // any order: a map is written
			if have {
				rec.Set[k] = value(nil)
			}
		}
	}
	edits := []opsync.Edit{rec}
	if l.kind == "moved" {
		rec.Set["why"] = value(s.whoseMove(l))
	}
	if _, isCrew := s.crews[l.about]; !isCrew || l.kind == "off" || l.kind == "order" || l.kind == "reorder" {
		return edits
	}
	tells := s.tells(&l)
	for i, id := range l.acts {
		a, line := s.acts[id], s.lines[id]
		start, finish, ok := parseSpan(tells[i])
		if a == nil || line == nil || line.Frozen || a.Crew != l.about || !ok {
			continue
		}
		if a.Booking == schedule.Pencilled || a.ToldStart == 0 || a.ToldStart.Day() != start.Day() || a.ToldFinish != 0 && !sameDays(a.ToldStart, a.ToldFinish, start, finish) {
			edits = append(edits, set("activity", id, "booking", string(schedule.Asked), "toldStart", start, "toldFinish", finish))
		}
	}
	return edits
}

// textEdit is the record of a text: what it is about and what it tells.
func (s *sheet) textEdit(l letter, body string) opsync.Edit {
	rec := set("text", l.id(), "kind", l.kind, "day", l.day)
	if s.crews[l.about] != nil && l.kind != "order" && l.kind != "reorder" {
		rec.Set["crew"] = value(l.about)
	}
	if len(l.acts) > 0 {
		rec.Set["on"], rec.Set["told"] = value(l.acts), value(s.tells(&l))
	}
	if body != "" {
		rec.Set["body"] = value(body)
	}
	return rec
}

// whoseMove says whose doing it was that a crew's days moved: the crew's, when it is away on a day it
// had heard, or said no to it or asked for another.
func (s *sheet) whoseMove(l letter) string {
	h := s.heardTexts()
	for _, id := range l.acts {
		a := s.acts[id]
		if a == nil {
			continue
		}
		from, to, told := h.toldDays(l.about, a)
		if !told {
			continue
		}
		last := lastDay(from, or0m(to, from))
		for _, x := range s.site.Away {
			if x.Crew == l.about && x.From <= last && from.Day() <= x.To {
				return "theirs"
			}
		}
		if s.openAnswer(l.about, from.Day(), last) != nil {
			return "theirs"
		}
	}
	return "ours"
}

// queue gives a text to the server, or takes it back. It is written down with its words, so that it
// leaves as it was read; should the plan change first, it stays here and is drafted anew.
func (e *Engine) queue(r Request) {
	l, ok := e.letterOf(r)
	if !ok {
		return
	}
	s := e.sheet
	who := s.toWhom(l)
	if r.Op == "" {
		if rec := s.texts[l.id()]; rec != nil && rec.Queued != 0 && e.write(r, opsync.KindEdit, label{"queued", who, l.day.String()}, []opsync.Edit{set("text", l.id(), "queued", nil, "via", nil, "failed", nil)}) {
			e.say("said.unqueued")
		}
		return
	}
	switch {
	case r.Op != "email" && r.Op != "hook":
		e.refuse("refused.via")
		return
	case s.isSent(&l) && s.texts[l.id()].Sent != 0:
		e.refuse("refused.toldAlready")
		return
	case r.Op == "email" && (s.crews[l.about] == nil || s.crews[l.about].Email == ""):
		e.refuse("refused.noAddress", "who", who)
		return
	case r.Op == "hook" && smsNumber(s.phoneOf(l)) == "":
		e.refuse("refused.phone", "phone", s.phoneOf(l))
		return
	}
	c := *s
	c.pages = map[string]string{l.about: pageBlank} // the server makes the address
	rec := s.textEdit(l, c.bodyOf(c.langOf(l.about), c.asTold(l)))
	rec.Set["queued"], rec.Set["via"], rec.Set["failed"] = value(r.Now), value(r.Op), value(nil)
	if e.write(r, opsync.KindEdit, label{"queued", who, l.day.String()}, []opsync.Edit{rec}) {
		e.say("said.queued", "who", who)
	}
}

func (s *sheet) phoneOf(l letter) string {
	var t TextCard
	s.addressed(&t, l)
	return t.Phone
}

// OutText is a text that the server is asked to send. Body has "{page}" where the address of the crew's
// page goes: see WithPage.
type OutText struct {
	ID, Kind, About, Name, Phone, Email, Lang, Subject, Body, Via string
	Crew                                                          string // empty where it goes to no crew
	Day                                                           schedule.Day
	Queued                                                        schedule.Minute
}

// Queued lists the texts to send now. One whose days changed after it was given to the server is left
// out: the phone drafts it anew, and nobody gets two that contradict each other.
func (b *CrewBoard) Queued() (out []OutText) {
	s := b.s
	for i := range s.site.Texts {
		t := &s.site.Texts[i]
		kind, about, day, ok := parseTextID(t.ID)
		if !ok || t.Queued == 0 || t.Queued <= t.Sent || t.Failed != "" || t.Body == "" || !s.goesTo(kind, about) {
			continue
		}
		l := s.letterNow(kind, about, day)
		l.told = nil
		if kind == "off" || kind == "reorder" {
			l.told = t.Told
		}
		if len(l.acts) == 0 || !s.stillTrue(t, &l) {
			continue
		}
		var c TextCard
		s.addressed(&c, l)
		subject, _, _ := strings.Cut(t.Body, "\n")
		out = append(out, OutText{ID: t.ID, Kind: kind, About: about, Crew: c.Crew, Name: c.Name, Phone: c.Phone, Email: c.Email,
			Lang: s.langOf(about).Code, Subject: clip(subject, 100), Body: t.Body, Via: t.Via, Queued: t.Queued, Day: day})
	}
	return out
}

// Delivered is what to write when the server has sent a text: the same as when the owner did.
func (b *CrewBoard) Delivered(id string) (text string, edits []opsync.Edit) {
	s := b.s
	t := s.texts[id]
	kind, about, day, ok := parseTextID(id)
	if t == nil || !ok {
		return "", nil
	}
	l := letter{kind: kind, about: about, day: day, acts: t.On, told: t.Told}
	return label{"sent", s.toWhom(l), day.String()}.text(), s.sentEdits(l, t.Body, s.now)
}

// Undelivered is what to write when the server could not send a text: why is one of "refused",
// "unreachable", "address", "size", "unsure", "late".
func (b *CrewBoard) Undelivered(id, why string) (text string, edits []opsync.Edit) {
	kind, about, day, ok := parseTextID(id)
	if !ok || b.s.texts[id] == nil {
		return "", nil
	}
	l := letter{kind: kind, about: about, day: day}
	return label{"unsent", b.s.toWhom(l), day.String()}.text(), []opsync.Edit{set("text", id, "failed", clip(why, 20))}
}

// answer writes what a crew answered. Yes makes the days it was told firm; no leads to the ways through.
func (e *Engine) answer(r Request) {
	l, ok := e.letterOf(r)
	if !ok {
		return
	}
	if r.Key != "yes" && r.Key != "no" && r.Key != "other" && r.Key != "" {
		e.refuse("refused.answer")
		return
	}
	s := e.sheet
	if s.crews[l.about] == nil {
		e.refuse("refused.gone")
		return
	}
	rec := set("text", r.ID, "kind", l.kind, "crew", l.about, "day", l.day, "answer", r.Key)
	if t := s.texts[r.ID]; t != nil && len(t.On) > 0 && t.Sent != 0 { // the answer is to what was sent
		l.acts, l.told = s.stillTold(t)
	} else if l.told == nil {
		l.told = s.asHeard(l)
	}
	edits := append([]opsync.Edit{rec}, s.answered(l, r.Key)...)
	if e.write(r, opsync.KindEdit, label{"answer." + or(r.Key, "none"), s.crewName(l.about), l.day.String()}, edits) && r.Key != "" {
		e.say("said.answer."+r.Key, "who", s.crewName(l.about), "day", s.w.Day(l.day))
	}
	if e.refused == "" && (r.Key == "no" || r.Key == "other") {
		e.goTo = &cantFor{l.about, l.day}
	}
}

// stillTold is what a text that was sent told and no later one told anew: an answer is to that.
func (s *sheet) stillTold(t *schedule.Text) (acts, told []string) {
	h := s.heardTexts()
	for i, id := range t.On {
		if h.last(t.Crew, id) == t && i < len(t.Told) {
			acts, told = append(acts, id), append(told, t.Told[i])
		}
	}
	return acts, told
}

// asHeard are the days a crew heard of the work of a letter, those planned where it heard none: a yes to
// an old text is no yes to a new plan.
func (s *sheet) asHeard(l letter) []string {
	told := s.tells(&l)
	for i, id := range l.acts {
		if a := s.acts[id]; a != nil && a.Crew == l.about && a.Booking != schedule.Pencilled && a.ToldStart != 0 {
			told[i] = span(a.ToldStart, or0m(a.ToldFinish, a.ToldStart))
		}
	}
	return told
}

// answered are the edits an answer brings beside its own record.
func (s *sheet) answered(l letter, key string) (edits []opsync.Edit) {
	tells := s.tells(&l)
	for i, id := range l.acts {
		a, line := s.acts[id], s.lines[id]
		if a == nil || line == nil || line.Frozen || a.Crew != l.about || i >= len(tells) {
			continue
		}
		start, finish, ok := parseSpan(tells[i])
		switch {
		case key == "yes" && ok:
			edits = append(edits, set("activity", id, "booking", string(schedule.Firm), "toldStart", start, "toldFinish", finish))
		case key == "no" || key == "other":
			edits = append(edits, s.gaveBack(l.about, a)...)
		}
	}
	return edits
}

// cantFor is the crew and day that the screen goes to after a "no".
type cantFor struct {
	crew string
	day  schedule.Day
}

// mailHref is the link that opens the phone's mail program with the text filled in (RFC 6068 section 2).
func mailHref(to, subject, body string) string {
	at := strings.LastIndexByte(to, '@')
	if at <= 0 || at == len(to)-1 || strings.ContainsAny(to, " \r\n<>,;") {
		return ""
	}
	return "mailto:" + percent(to[:at]) + "@" + percent(to[at+1:]) + "?subject=" + percent(subject) + "&body=" + percent(body)
}
