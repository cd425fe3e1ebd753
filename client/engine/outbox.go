package engine

import (
	"slices"
	"strings"

	"batterboard/schedule"
)

// The outbox is who must hear what. Nothing of it is stored: it follows from the plan and from what each
// one heard last, so a later change replaces a text that was not sent, and a change that is taken back
// leaves nothing to say. Of one piece of work a crew gets one text at most:
//
//	they heard other days than planned      moved    (within tomorrow's text when it is about tomorrow)
//	on site the next day                     tomorrow
//	nobody has asked                         ask
//	all in front is done, as they know it    go
//	a week, two weeks before                 remind7, remind14
//
// Two things only happen once and would be forgotten, so they are kept as texts that wait: off, a crew
// that is not needed any more, and reorder, a supplier whose promised day moved.

// A letter is what one text tells, before it is words.
type letter struct {
	kind  string
	about string   // crew, hold or order; "street" for the neighbours
	acts  []string // the activities (hold, order) it tells about
	day   schedule.Day
	first schedule.Minute
	since schedule.Minute // when the need arose; 0: not known
	told  []string        // the days it tells where they are not the plan's: off, reorder
}

func (l *letter) id() string { return textID(l.kind, l.about, l.day) }

// letterKinds are the kinds of text that are sent, in the order of their hurry.
var letterKinds = []string{"off", "moved", "tomorrow", "ask", "go", "reorder", "order", "remind7", "remind14", "street"}

// textID names a text by what it is about, so that two phones that mark the same text end with one record.
func textID(kind, about string, d schedule.Day) string { return kind + "/" + about + "/" + d.String() }

// parseTextID is the inverse of textID. An ID of what it is about may hold slashes itself.
func parseTextID(id string) (kind, about string, d schedule.Day, ok bool) {
	kind, rest, ok1 := strings.Cut(id, "/")
	i := strings.LastIndexByte(rest, '/')
	if !ok1 || i <= 0 || !slices.Contains(letterKinds, kind) {
		return "", "", 0, false
	}
	d, err := schedule.ParseDay(rest[i+1:])
	return kind, rest[:i], d, err == nil && d != 0
}

// span writes the days a text tells of one piece of work.
func span(start, finish schedule.Minute) string { return start.String() + "/" + finish.String() }

func parseSpan(s string) (start, finish schedule.Minute, ok bool) {
	a, b, ok := strings.Cut(s, "/")
	start, err1 := schedule.ParseMinute(a)
	finish, err2 := schedule.ParseMinute(b)
	return start, finish, ok && err1 == nil && err2 == nil && start != 0 && finish >= start
}

// tells are the days a letter tells, one for each piece of work.
func (s *sheet) tells(l *letter) []string {
	if l.told != nil {
		return l.told
	}
	out := make([]string, len(l.acts))
	for i, id := range l.acts {
		if line := s.lines[id]; line != nil {
			out[i] = span(line.Start, line.Finish)
		}
	}
	return out
}

// sameDays says whether somebody who heard one span would come on the days of the other: the same days,
// and the same half of the first. Minutes shift as a morning passes and are nobody's news.
func sameDays(a, b, c, d schedule.Minute) bool {
	return a.Day() == c.Day() && lastDay(a, b) == lastDay(c, d) && (a.OfDay() < 12*60) == (c.OfDay() < 12*60)
}

// stillTrue says whether a text that was sent, or given to the server, says what this letter says.
func (s *sheet) stillTrue(t *schedule.Text, l *letter) bool {
	if len(t.On) == 0 { // from before texts remembered what they told
		return true
	}
	tells := s.tells(l)
	if len(t.Told) != len(t.On) || len(l.acts) != len(t.On) {
		return false
	}
	for i, id := range l.acts {
		k := slices.Index(t.On, id)
		if k < 0 {
			return false
		}
		a, b, ok1 := parseSpan(t.Told[k])
		c, d, ok2 := parseSpan(tells[i])
		if !ok1 || !ok2 || !sameDays(a, b, c, d) {
			return false
		}
	}
	return true
}

// heard is what everybody heard, by crew and piece of work, from the texts that were sent: oldest first.
type heard map[[2]string][]*schedule.Text

func (s *sheet) heardTexts() heard {
	h := heard{}
	for i := range s.site.Texts {
		t := &s.site.Texts[i]
		for _, id := range t.On {
			if t.Sent != 0 && t.Crew != "" {
				h[[2]string{t.Crew, id}] = append(h[[2]string{t.Crew, id}], t)
			}
		}
	}
	for key, list := range h { // any order: each list is sorted by itself
		order(list, func(i, j int) bool {
			if a, b := list[i], list[j]; a.Sent == b.Sent { // of two in one minute the booking knows which came last
				if x, y := s.booked(a, key[1]), s.booked(b, key[1]); x != y {
					return y
				}
			}
			return before(list[i].Sent, list[j].Sent, list[i].ID, list[j].ID)
		})
	}
	return h
}

// booked says whether a text told the days that stand in the booking of a piece of work.
func (s *sheet) booked(t *schedule.Text, id string) bool {
	a, k := s.acts[id], slices.Index(t.On, id)
	return a != nil && a.ToldStart != 0 && k < len(t.Told) && t.Told[k] == span(a.ToldStart, or0m(a.ToldFinish, a.ToldStart))
}

// last is the latest text about a piece of work, of the kinds named (all where none is).
func (h heard) last(crew, id string, kinds ...string) *schedule.Text {
	for _, t := range slices.Backward(h[[2]string{crew, id}]) {
		if len(kinds) == 0 || slices.Contains(kinds, t.Kind) {
			return t
		}
	}
	return nil
}

// toldDays is what a crew last heard of its days. A crew that only helps has no booking of its own: there
// the texts alone know.
func (h heard) toldDays(crew string, a *schedule.Activity) (start, finish schedule.Minute, ok bool) {
	if crew == a.Crew {
		if a.Booking == schedule.Pencilled || a.ToldStart == 0 {
			return 0, 0, false
		}
		return a.ToldStart, a.ToldFinish, true
	}
	t := h.last(crew, a.ID)
	if t == nil || t.Kind == "off" {
		return 0, 0, false
	}
	if k := slices.Index(t.On, a.ID); k < len(t.Told) {
		return parseSpan(t.Told[k])
	}
	return 0, 0, false
}

// toldOther says whether a crew that kept to what it was told would come on other days than planned.
func toldOther(start, finish schedule.Minute, l *schedule.Line) bool {
	if finish == 0 {
		return start.Day() != l.Start.Day()
	}
	return !sameDays(start, finish, l.Start, l.Finish)
}

// Reminders: so many days before the first day one is due, and a text so many days before stands for it.
const (
	remind7From, remind7To, remind7Stands    = 3, 7, 10
	remind14From, remind14To, remind14Stands = 8, 14, 18
	goAhead                                  = 7 // days ahead in which "you can start" is news
	goFresh                                  = 3 // days after the last of what was in front is done
)

// A box is the outbox, by kind.
type box map[string][]letter

// outbox gathers every text that is due, about the next day with crews on site.
func (s *sheet) outbox() box {
	b, h := box{}, s.heardTexts()
	day := s.nextTextDay()
	b["tomorrow"] = s.tomorrowLetters(day)
	in := map[[2]string]bool{} // what tomorrow's texts tell
	for _, l := range b["tomorrow"] {
		for _, id := range l.acts {
			in[[2]string{l.about, id}] = !s.isSent(&l)
		}
	}
	soon := s.nextWorkDay() >= day // a change of days further off must not wait for the day before
	for i := range s.plan.Lines {
		l := &s.plan.Lines[i]
		a := s.acts[l.ID]
		if a == nil || a.Finished != 0 || l.Frozen || l.Start >= schedule.Never {
			continue
		}
		for _, id := range crewsOf(a) {
			told := in[[2]string{id, a.ID}]
			if c := s.crews[id]; c == nil || c.Own || told && soon {
				continue
			}
			kind, since := s.news(h, id, a, l)
			switch {
			case kind == "" || told && kind != "moved" && kind != "ask":
			case told:
				b.leaveOut("tomorrow", id, a.ID)
				b.put(kind, id, l, since)
			default:
				b.put(kind, id, l, since)
			}
		}
	}
	b.joinReminders()
	b["off"], b["reorder"] = s.waitingLetters("off"), s.waitingLetters("reorder")
	b["order"], b["callIn"], b["street"] = s.orderLetters(), s.callInLetters(), s.streetLetters()
	for _, kind := range append([]string{"callIn"}, letterKinds...) {
		for i := range b[kind] {
			s.settle(&b[kind][i])
		}
		all := b[kind]
		order(all, func(i, j int) bool { return before(all[i].first, all[j].first, all[i].about, all[j].about) })
	}
	return b
}

// put adds a piece of work to the text of its kind for a crew.
func (b box) put(kind, crew string, l *schedule.Line, since schedule.Minute) {
	for i := range b[kind] {
		if x := &b[kind][i]; x.about == crew {
			x.acts, x.first = append(x.acts, l.ID), min(x.first, l.Start)
			x.day, x.since = x.first.Day(), max(x.since, since)
			return
		}
	}
	b[kind] = append(b[kind], letter{kind: kind, about: crew, acts: []string{l.ID}, first: l.Start, day: l.Start.Day(), since: since})
}

// leaveOut takes a piece of work out of a crew's text of a kind.
func (b box) leaveOut(kind, crew, id string) {
	for i := range b[kind] {
		if x := &b[kind][i]; x.about == crew {
			x.acts = slices.DeleteFunc(slices.Clone(x.acts), func(a string) bool { return a == id })
		}
	}
	b[kind] = slices.DeleteFunc(b[kind], func(l letter) bool { return len(l.acts) == 0 })
}

// joinReminders makes one reminder of two for the same crew.
func (b box) joinReminders() {
	var rest []letter
	for _, far := range b["remind14"] {
		i := slices.IndexFunc(b["remind7"], func(x letter) bool { return x.about == far.about })
		if i < 0 {
			rest = append(rest, far)
			continue
		}
		b["remind7"][i].acts = append(b["remind7"][i].acts, far.acts...)
	}
	b["remind14"] = rest
}

// settle puts the work of a text in order of time.
func (s *sheet) settle(l *letter) {
	if l.told == nil && l.kind != "tomorrow" && l.kind != "street" {
		s.sortByStart(l.acts)
	}
}

// news is what a crew must hear about one piece of work that is not in tomorrow's text.
func (s *sheet) news(h heard, crew string, a *schedule.Activity, l *schedule.Line) (kind string, since schedule.Minute) {
	from, to, told := h.toldDays(crew, a)
	ahead := int(l.Start.Day() - s.today())
	switch {
	case told && toldOther(from, to, l):
		return "moved", s.wrote("activity", a.ID, "laid")
	case !told && crew == a.Crew && a.Booking != schedule.Pencilled: // booked before days were written down
		return "", 0
	case !told:
		if ahead < askAhead && l.Finish > s.now {
			return "ask", (l.Start.Day() - askAhead).At(8 * 60)
		}
		return "", 0
	}
	if at, ok := s.cleared(h, crew, a, l); ok {
		return "go", at
	}
	quiet := s.crews[crew].Quiet
	last := h.last(crew, a.ID)
	reminded := func(stands int) bool { return last != nil && int(l.Start.Day()-last.Sent.Day()) <= stands }
	switch {
	case ahead >= remind7From && ahead <= remind7To && !slices.Contains(quiet, "7") && !reminded(remind7Stands):
		return "remind7", (l.Start.Day() - remind7To).At(8 * 60)
	case ahead >= remind14From && ahead <= remind14To && !slices.Contains(quiet, "14") && !reminded(remind14Stands):
		return "remind14", (l.Start.Day() - remind14To).At(8 * 60)
	}
	return "", 0
}

// cleared says since when all in front of a piece of work is done, where that is news: others did it,
// lately, the work starts soon, and the crew has not been told since.
func (s *sheet) cleared(h heard, crew string, a *schedule.Activity, l *schedule.Line) (at schedule.Minute, ok bool) {
	if l.Start <= s.now || l.Start.Day() > s.today()+goAhead || a.Started != 0 {
		return 0, false
	}
	for _, k := range s.into[a.ID] {
		if !s.linkMet(k) {
			return 0, false
		}
		if p := s.acts[k.From]; p != nil && p.Crew != crew && p.Crew != "" {
			at = max(at, p.Finished)
		}
		if p := s.holds[k.From]; p != nil {
			at = max(at, p.ResultAt)
		}
	}
	if at == 0 || at.Day() < s.today()-goFresh {
		return 0, false
	}
	t := h.last(crew, a.ID, "go", "tomorrow")
	return at, t == nil || t.Sent < at
}

// nextWorkDay is the next day on which anybody works on site.
func (s *sheet) nextWorkDay() schedule.Day {
	for d := s.today() + 1; d <= s.today()+30; d++ {
		if s.siteDay(d) {
			return d
		}
	}
	return s.today() + 1
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

// tomorrowCrews are the hired crews with work on d that are texted the day before, in the site's order.
func (s *sheet) tomorrowCrews(d schedule.Day) []string {
	on := map[string]bool{}
	for i := range s.plan.Lines {
		a := s.acts[s.plan.Lines[i].ID]
		if a == nil || a.Finished != 0 {
			continue
		}
		for _, c := range crewsOf(a) {
			if _, _, is := s.onDay(c, &s.plan.Lines[i], d); is {
				on[c] = on[c] || !s.quietAbout(c, a)
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

// quietAbout says whether a crew that wants no text the day before knows already when it is to come.
func (s *sheet) quietAbout(crew string, a *schedule.Activity) bool {
	c := s.crews[crew]
	if c == nil || !slices.Contains(c.Quiet, "1") || a.Crew != crew || a.Booking == schedule.Pencilled {
		return false
	}
	return a.ToldStart == 0 || !toldOther(a.ToldStart, a.ToldFinish, s.lines[a.ID])
}

func (s *sheet) tomorrowLetters(d schedule.Day) (out []letter) {
	for _, c := range s.tomorrowCrews(d) {
		acts := s.workOf(c, d)
		out = append(out, letter{kind: "tomorrow", about: c, acts: acts, day: d, first: d.Start(), since: (d - 1).At(16 * 60)})
	}
	return out
}

func crewsOf(a *schedule.Activity) []string {
	if a.Crew == "" {
		return a.With
	}
	return append([]string{a.Crew}, a.With...)
}

// waitingLetters are the texts that were laid aside until somebody sends them, and are still true.
func (s *sheet) waitingLetters(kind string) (out []letter) {
	for i := range s.site.Texts {
		t := &s.site.Texts[i]
		if t.Kind != kind || len(t.On) == 0 || len(t.Told) != len(t.On) || t.Day < s.today() {
			continue
		}
		_, about, _, ok := parseTextID(t.ID)
		l := letter{kind: kind, about: about, day: t.Day, first: t.Day.Start(), since: s.wrote("text", t.ID, "told")}
		for k, id := range t.On {
			if ok && s.stillAside(t, about, id, t.Told[k]) {
				l.acts, l.told = append(l.acts, id), append(l.told, t.Told[k])
			}
		}
		if len(l.acts) > 0 {
			out = append(out, l)
		}
	}
	return out
}

// stillAside says whether a crew is still not needed, or a delivery still on another day than promised.
func (s *sheet) stillAside(t *schedule.Text, about, id, told string) bool {
	start, finish, ok := parseSpan(told)
	if !ok {
		return false
	}
	if t.Kind == "off" {
		a := s.acts[id]
		return s.crews[about] != nil && finish.Day() >= s.today() && (a == nil || !slices.Contains(crewsOf(a), about))
	}
	o := s.orders[id]
	return o != nil && o.Arrived == 0 && o.Due == t.Day && o.Due != start.Day()
}

// orderLetters are the orders to place soon.
func (s *sheet) orderLetters() (out []letter) {
	for i := range s.site.Orders {
		o := &s.site.Orders[i]
		l := s.lines[o.ID]
		if l == nil || o.Arrived != 0 || o.Ordered != 0 || o.Due != 0 || l.CallBy == 0 || l.CallBy > (s.today()+callAhead).Start() {
			continue
		}
		out = append(out, letter{kind: "order", about: o.ID, acts: []string{o.ID}, day: l.Start.Day(), first: l.CallBy, since: l.CallBy})
	}
	return out
}

// callInLetters are the inspections to call in soon: not a text, but what to say on the phone.
func (s *sheet) callInLetters() (out []letter) {
	for i := range s.site.Holds {
		h := &s.site.Holds[i]
		l := s.lines[h.ID]
		if l == nil || h.Result == schedule.Pass || h.CalledIn != 0 || l.CallBy == 0 || l.CallBy > (s.today()+callAhead).Start() {
			continue
		}
		out = append(out, letter{kind: "callIn", about: h.ID, acts: []string{h.ID}, day: l.Start.Day(), first: l.CallBy, since: l.CallBy})
	}
	return out
}

// streetDays is how far ahead a note to the neighbours looks.
const streetDays = 14

// streetLetters is the note to the neighbours, when something of the coming two weeks is loud, dusty or a truck.
func (s *sheet) streetLetters() []letter {
	l := letter{kind: "street", about: "street", first: schedule.Never}
	for _, id := range s.byStart() {
		line := s.lines[id]
		if line.Start.Day() > s.today()+streetDays || lastDay(line.Start, line.Finish) <= s.today() || !s.bothers(id) {
			continue
		}
		l.acts, l.first = append(l.acts, id), min(l.first, line.Start)
	}
	if len(l.acts) == 0 {
		return nil
	}
	l.day = max(l.first.Day(), s.today()+1)
	return []letter{l}
}

// bothers says whether the neighbours notice a piece of work or a delivery.
func (s *sheet) bothers(id string) bool {
	if a := s.acts[id]; a != nil {
		return a.Finished == 0 && (a.Noisy || dusty(a))
	}
	o := s.orders[id]
	return o != nil && o.Arrived == 0
}

func dusty(a *schedule.Activity) bool {
	return slices.Contains(a.Cautions, "dust") || slices.Contains(a.Cautions, "silica")
}

// record is what is known of a letter that was sent before, or given to the server.
func (s *sheet) record(l *letter) *schedule.Text {
	if t := s.texts[l.id()]; t != nil && s.stillTrue(t, l) {
		return t
	}
	return nil
}

// isSent says whether nothing is left to do about a letter: it was sent, or answered without.
func (s *sheet) isSent(l *letter) bool {
	t := s.record(l)
	return t != nil && (t.Sent != 0 || t.Answer != "")
}

// isQueued says whether the server has been asked to send a letter, and may still do so.
func (s *sheet) isQueued(l *letter) bool {
	t := s.record(l)
	return t != nil && t.Queued > t.Sent && t.Failed == ""
}

// textsDue counts what must be told and is neither sent nor given to the server. A first asking and an
// order are calls of Today and not counted twice; a reminder or the note to the neighbours presses nobody.
func (s *sheet) textsDue() int {
	n, b := 0, s.outbox()
	for _, kind := range []string{"off", "moved", "tomorrow", "go", "reorder"} {
		n += len(s.stillToSend(b[kind]))
	}
	return n
}

// stillToSend are those that nobody sent or gave to the server.
func (s *sheet) stillToSend(letters []letter) (out []letter) {
	for _, l := range letters {
		if !s.isSent(&l) && !s.isQueued(&l) {
			out = append(out, l)
		}
	}
	return out
}

// movedTexts are the texts to crews that were told other days than are planned now.
func (s *sheet) movedTexts() []letter { return s.stillToSend(s.outbox()["moved"]) }

// sampleLetters are all letters, to show what a wording makes of them.
func (s *sheet) sampleLetters() (out []letter) {
	b := s.outbox()
	for _, kind := range append([]string{"callIn"}, letterKinds...) {
		out = append(out, b[kind]...)
	}
	return out
}
