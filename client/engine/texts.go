package engine

import (
	"slices"
	"strings"

	"batterboard/client/engine/words"
	"batterboard/schedule"
)

// withPages is the sheet with the crews' addresses that the screen knows.
func (s *sheet) withPages(pages map[string]string) *sheet {
	c := *s
	c.pages = map[string]string{}
	for crew, url := range pages { // any order: each is looked at by itself
		if len(url) <= 300 && (strings.HasPrefix(url, "https://") || strings.HasPrefix(url, "http://")) && !strings.ContainsAny(url, " \n\r\"") {
			c.pages[crew] = url
		}
	}
	return &c
}

// wrote says when a field was last written; 0 where there is no log to ask.
func (s *sheet) wrote(kind, id, field string) schedule.Minute {
	if s.since == nil {
		return 0
	}
	return s.since(kind, id, field)
}

// textsView drafts every text that is due, and shows those that wait for an answer.
func (s *sheet) textsView(day schedule.Day) *TextsView {
	b := s.outbox()
	next := s.nextTextDay()
	if day != 0 && day != next {
		next, b["tomorrow"] = day, s.tomorrowLetters(day)
		for _, l := range b["tomorrow"] { // a look ahead tells what a reminder would
			for _, id := range l.acts {
				b.leaveOut("remind7", l.about, id)
				b.leaveOut("remind14", l.about, id)
				b.leaveOut("go", l.about, id)
			}
		}
	}
	v := &TextsView{Day: s.day(next)}
	v.Tomorrow = s.cards(b["tomorrow"])
	v.Off, v.Street, v.CallIn = s.cards(b["off"]), s.cards(b["street"]), s.cards(b["callIn"])
	v.Moved = append(s.cards(b["moved"]), s.sentTexts(b, "moved")...)
	v.Ask = append(s.cards(b["ask"]), s.sentTexts(b, "ask")...)
	v.Go = s.unsent(s.cards(b["go"]))
	v.Remind = append(s.unsent(append(s.cards(b["remind7"]), s.cards(b["remind14"])...)), s.sentTexts(b, "remind7", "remind14")...)
	v.Order = append(s.cards(b["reorder"]), s.cards(b["order"])...)
	notAsked, silent := 0, 0
	for _, c := range v.Tomorrow {
		switch {
		case c.Booking == schedule.Pencilled && !c.Sent:
			notAsked++
		case c.Answer == "" && (c.Sent || c.Booking == schedule.Asked):
			silent++
		}
	}
	v.Line = s.textsLine(len(v.Tomorrow), notAsked, silent, next)
	return v
}

func (s *sheet) cards(letters []letter) (out []TextCard) {
	for _, l := range letters {
		out = append(out, s.card(l))
	}
	return out
}

// unsent leaves out what was sent: a reminder or a "you can start" is done with then.
func (s *sheet) unsent(cards []TextCard) []TextCard {
	return slices.DeleteFunc(cards, func(c TextCard) bool { return c.Sent })
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

// card draws a letter: to whom, in their language and the owner's, and what is known of it.
func (s *sheet) card(l letter) TextCard {
	w := s.langOf(l.about)
	t := TextCard{ID: l.id(), Kind: l.kind, KindName: s.w.Say("textKind." + l.kind), On: l.acts, Told: s.tells(&l), Lang: w.Code, Body: s.bodyOf(w, l)}
	s.addressed(&t, l)
	if w.Code != s.w.Code {
		t.Own, t.OwnLang = s.bodyOf(s.w, l), s.w.Code
	} else if t.Crew == "" { // an office's line, and a neighbour, may speak another language than the owner
		other := words.In(words.Codes[(slices.Index(words.Codes, w.Code)+1)%len(words.Codes)])
		t.Own, t.OwnLang = s.bodyOf(other, l), other.Code
	}
	text, _ := s.wording(wordingOf(l.kind), w)
	t.Wants = t.Crew != "" && s.pages[t.Crew] == "" && strings.Contains(text, "{page}")
	t.Why = s.whyOf(l)
	if l.since != 0 && l.since <= s.now && l.since.Day() >= s.site.Start { // nobody could know before the site began
		t.Since = s.w.Say("since", "when", s.w.Moment(l.since, s.today()))
	}
	for i, id := range l.acts {
		if a := s.acts[id]; a != nil && t.Crew != "" {
			t.Booking = weaker(t.Booking, a.Booking, i == 0)
		}
	}
	s.known(&t, l)
	if t.Sent && l.kind == "ask" { // somebody has asked by now
		t.Why = s.w.Say("why.asked", "to", s.letterDays(l))
	}
	s.links(&t)
	t.Warn = s.warn(t)
	if t.Crew != "" {
		t.Trust = s.trust(t.Crew).line(s)
	}
	return t
}

// addressed says to whom a letter goes.
func (s *sheet) addressed(t *TextCard, l letter) {
	if c := s.crews[l.about]; c != nil && l.kind != "order" && l.kind != "reorder" && l.kind != "callIn" && l.kind != "street" {
		t.Crew, t.Name, t.Trade, t.Phone, t.Email = l.about, or(c.Name, l.about), c.Trade, c.Phone, c.Email
		return
	}
	if h := s.holds[l.about]; h != nil {
		t.Name, t.Phone = or(h.Agency, s.w.Say("inspector"))+": "+h.Name, h.Phone
	}
	if o := s.orders[l.about]; o != nil {
		t.Name, t.Phone = or(o.Supplier, s.w.Say("delivery"))+": "+o.Goods, o.Phone
	}
	if l.kind == "street" {
		t.Name = s.w.Say("street.name")
	}
}

// known fills in what was done about a letter so far.
func (s *sheet) known(t *TextCard, l letter) {
	rec := s.texts[t.ID]
	if rec == nil {
		return
	}
	if s.record(&l) == nil {
		if rec.Queued > rec.Sent && rec.Failed == "" {
			t.Failed = s.w.Say("texts.changed")
		}
		return
	}
	t.Answer = rec.Answer
	if rec.Sent != 0 {
		t.Sent, t.SentLine = true, s.w.Say("texts.sent", "when", s.w.Moment(rec.Sent, s.today()))
		if rec.Body != "" {
			t.Body = WithPage(rec.Body, s.pages[t.Crew])
		}
		if rec.Answer == "" && t.Crew != "" && l.kind != "off" && l.kind != "go" {
			t.Silent = s.w.Say("texts.silentSince", "when", s.w.Moment(rec.Sent, s.today()))
		}
	}
	switch {
	case rec.Queued <= rec.Sent:
	case rec.Failed != "":
		key := "failed." + rec.Failed
		if !s.w.Has(key) {
			key = "failed.other"
		}
		t.Failed = s.w.Say(key)
	default:
		t.Queued, t.SentLine = true, s.w.Say("texts.queued", "when", s.w.Moment(rec.Queued, s.today()))
	}
}

// links are the ways out through the phone's own programs.
func (s *sheet) links(t *TextCard) {
	t.Href, t.Parts, t.Length = smsHref(t.Phone, t.Body), smsParts(t.Body), s.lengthWords(t.Body)
	t.Subject = s.site.Name
	if first, _, ok := strings.Cut(t.Body, "\n"); ok && t.Crew != "" {
		t.Subject = clip(first, 100)
	}
	if t.Email != "" {
		t.Mail = mailHref(t.Email, t.Subject, t.Body)
	}
}

// whyOf says why somebody must hear.
func (s *sheet) whyOf(l letter) string {
	days := s.letterDays(l)
	switch l.kind {
	case "tomorrow":
		if h := s.heardTexts(); s.anyOther(h, l) {
			return s.w.Say("why.tomorrowMoved", "day", s.w.Day(l.day))
		}
		return "" // the heading above has the day
	case "moved":
		a := s.acts[l.acts[0]]
		from, to, _ := s.heardTexts().toldDays(l.about, a)
		line := s.lines[a.ID]
		return s.w.Say("why.moved", "from", s.w.Span(from.Day(), lastDay(from, or0m(to, from)), s.today()), "to", s.days(line.Start, line.Finish))
	case "go":
		return s.w.Say("why.go", "what", s.name(l.acts[0]))
	case "callIn", "order":
		return s.w.Say("why."+l.kind, "by", s.byMoment(l.first))
	case "reorder":
		from, _, _ := parseSpan(l.told[0])
		o := s.orders[l.about]
		return s.w.Say("why.reorder", "from", s.w.Near(from.Day(), s.today()), "to", s.w.Near(o.Due, s.today()))
	case "street":
		why := s.w.Say("why.street", "to", days)
		if t := s.lastStreet(); t != nil {
			why += " " + s.w.Say("why.streetTold", "when", s.w.Near(t.Sent.Day(), s.today()))
		}
		return why
	}
	return s.w.Say("why."+l.kind, "to", days)
}

// letterDays are the days a letter tells, from the first to the last.
func (s *sheet) letterDays(l letter) string {
	start, finish := s.ends(l)
	return s.w.Span(start.Day(), lastDay(start, finish), s.today())
}

// ends are the first start and the last finish a letter tells.
func (s *sheet) ends(l letter) (first, last schedule.Minute) {
	for _, t := range s.tells(&l) {
		if a, b, ok := parseSpan(t); ok {
			if first == 0 || a < first {
				first = a
			}
			last = max(last, b)
		}
	}
	return first, last
}

func (s *sheet) anyOther(h heard, l letter) bool {
	for _, id := range l.acts {
		from, to, told := h.toldDays(l.about, s.acts[id])
		if line := s.lines[id]; told && !line.Frozen && toldOther(from, to, line) {
			return true
		}
	}
	return false
}

func (s *sheet) lastStreet() (last *schedule.Text) {
	for i := range s.site.Texts {
		if t := &s.site.Texts[i]; t.Kind == "street" && t.Sent != 0 && (last == nil || t.Sent > last.Sent) {
			last = t
		}
	}
	return last
}

// sentTexts are texts that were sent and have no answer yet, where nothing newer is to be told.
func (s *sheet) sentTexts(b box, kinds ...string) (out []TextCard) {
	for i := range s.site.Texts {
		t := &s.site.Texts[i]
		if !slices.Contains(kinds, t.Kind) || t.Sent == 0 || t.Answer != "" || s.crews[t.Crew] == nil || t.Day < s.today() {
			continue
		}
		l := letter{kind: t.Kind, about: t.Crew, acts: s.actsOf(t), day: t.Day, first: t.Day.Start()}
		if len(l.acts) == 0 || b.has(l.kind, l.about) || slices.ContainsFunc(out, func(c TextCard) bool { return c.Crew == t.Crew }) {
			continue
		}
		c := s.card(l)
		if !c.Sent || c.Body == "" {
			continue
		}
		c.Own, c.Warn = "", s.w.Say("warn.silent")
		out = append(out, c)
	}
	return out
}

func (b box) has(kind, about string) bool {
	return slices.ContainsFunc(b[kind], func(l letter) bool { return l.about == about })
}

// actsOf lists the open work a text that was sent told about.
func (s *sheet) actsOf(t *schedule.Text) (out []string) {
	if len(t.On) == 0 { // from before texts remembered: the crew's days that wait for an answer
		for _, id := range s.aheadOf(t.Crew) {
			if a := s.acts[id]; a.Booking == schedule.Asked && a.Started == 0 {
				out = append(out, id)
			}
		}
		return out
	}
	h := s.heardTexts()
	for _, id := range t.On { // what a later text told anew is not this one's any more
		if a := s.acts[id]; a != nil && a.Finished == 0 && slices.Contains(crewsOf(a), t.Crew) && h.last(t.Crew, id) == t {
			out = append(out, id)
		}
	}
	return out
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
	case c.Kind == "street":
		return ""
	case smsNumber(c.Phone) == "":
		return s.w.Say("warn.phone")
	case c.Crew == "" || c.Kind != "tomorrow":
		return ""
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
