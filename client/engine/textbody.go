package engine

import (
	"strings"

	"batterboard/client/engine/words"
	"batterboard/schedule"
)

// maxBody keeps one text within ten parts of the phone network's alphabet; longer ones are refused by some networks.
const maxBody = 1500

// tomorrowBody is everything a crew needs for one day: when, where, how in, what, what will be ready,
// what to bring, who else is there, whom to ask, how to answer.
func (s *sheet) tomorrowBody(w *words.Lang, crew string, acts []string, d schedule.Day) string {
	var b lines
	first := acts[0]
	from, _, _ := s.onDay(crew, s.lines[first], d)
	b.add(w.Say("text.head", "site", s.site.Name, "day", w.Long(d), "time", w.Clock(from)))
	b.addIf(s.site.Address, w.Say("text.where", "address", s.site.Address))
	b.addIf(s.site.WayIn, w.Say("text.wayIn", "way", s.site.WayIn))
	for _, id := range acts {
		a := s.acts[id]
		if place := s.placeName(a.Place); place != "" {
			b.add(w.Say("text.workIn", "place", place, "what", stop(or(a.Scope, a.Name))))
		} else {
			b.add(w.Say("text.work", "what", stop(or(a.Scope, a.Name))))
		}
		ready := or(a.Ready, s.readyFrom(w, id, d))
		b.addIf(ready, w.Say("text.ready", "what", stop(ready)))
		b.addIf(a.Bring, w.Say("text.bring", "what", stop(a.Bring)))
	}
	if others := s.others(w, crew, d); others != "" {
		b.add(w.Say("text.others", "who", others))
	}
	b.add(s.contact(w))
	b.add(w.Say("text.reply"))
	return b.text()
}

// readyFrom says what will be done in front of an activity when its owner wrote nothing: the last work before it.
func (s *sheet) readyFrom(w *words.Lang, id string, d schedule.Day) string {
	var names []string
	for _, l := range s.into[id] {
		if p := s.lines[l.From]; p != nil && (l.Kind == "" || l.Kind == schedule.FS) && p.Finish <= s.lines[id].Start && len(names) < 3 {
			names = append(names, s.name(l.From))
		}
	}
	if len(names) == 0 {
		return ""
	}
	return w.Say("text.doneBefore", "what", w.List(names))
}

func (s *sheet) own(crew string) bool { return s.crews[crew] != nil && s.crews[crew].Own }

// others names who else is on site that day: "Carpentry (close the vent)".
func (s *sheet) others(w *words.Lang, crew string, d schedule.Day) string {
	var names []string
	for _, o := range s.onSite(d) {
		switch {
		case o.Crew == crew || o.Finished || s.own(o.Crew): // the owner's evening is no news to a crew
		case o.Kind == schedule.HoldNode:
			names = append(names, w.Say("text.visit", "what", o.What))
		case o.Kind == schedule.OrderNode:
			names = append(names, w.Say("text.delivery", "what", o.What))
		case o.Crew != "":
			names = append(names, o.Who+" ("+o.What+")")
		}
	}
	return w.List(names)
}

func (s *sheet) contact(w *words.Lang) string {
	if s.site.Contact == "" && s.site.Phone == "" {
		return ""
	}
	return w.Say("text.contact", "who", strings.TrimSpace(s.site.Contact+" "+s.site.Phone))
}

// movedBody tells a crew that its days moved: from what it was told to what is planned.
func (s *sheet) movedBody(w *words.Lang, b batch) string {
	var t lines
	t.add(w.Say("text.movedHead", "site", s.site.Name))
	for _, id := range b.acts {
		a, l := s.acts[id], s.lines[id]
		t.add(w.Say("text.movedLine", "what", s.inWords(w, a), "from", s.told(w, a), "to", s.spanIn(w, l.Start, l.Finish), "time", w.Clock(l.Start.OfDay())))
	}
	t.addIf(s.site.Address, w.Say("text.where", "address", s.site.Address))
	t.add(w.Say("text.movedSorry"))
	t.add(s.contact(w))
	t.add(w.Say("text.reply"))
	return t.text()
}

// askBody asks a crew for pencilled days, with a day to reply by.
func (s *sheet) askBody(w *words.Lang, b batch) string {
	var t lines
	t.add(w.Say("text.askHead", "site", s.site.Name, "address", or(s.site.Address, s.site.Name)))
	for _, id := range b.acts {
		a, l := s.acts[id], s.lines[id]
		what := s.inWords(w, a)
		if len(b.acts) == 1 {
			what = or(a.Scope, a.Name)
		}
		t.add(w.Say("text.askLine", "what", stop(what), "when", s.spanIn(w, l.Start, l.Finish), "time", w.Clock(l.Start.OfDay())))
	}
	t.add(w.Say("text.replyBy", "day", w.Long(s.replyBy(b.first.Day()))))
	t.add(s.contact(w))
	t.add(w.Say("text.reply"))
	return t.text()
}

// inWords is an activity in a line of a list: its name, but where the crew reads another language than
// the owner the beginning of the scope, which the owner wrote for that crew.
func (s *sheet) inWords(w *words.Lang, a *schedule.Activity) string {
	const room = 60
	if w.Code == s.w.Code || a.Scope == "" || s.langOf(a.Crew) != w {
		return a.Name
	}
	return clip(strings.TrimRight(a.Scope, ". "), room)
}

// replyBy leaves a crew two working days, but never past the day before the work.
func (s *sheet) replyBy(start schedule.Day) schedule.Day {
	d, left := s.today(), 2
	for left > 0 && d < s.today()+14 {
		d++
		if s.siteDay(d) {
			left--
		}
	}
	return max(s.today(), min(d, start-1))
}

func (s *sheet) told(w *words.Lang, a *schedule.Activity) string {
	if a.ToldFinish == 0 {
		return w.Dated(a.ToldStart.Day())
	}
	return s.spanIn(w, a.ToldStart, a.ToldFinish)
}

// spanIn always has the month: a text may be read days later.
func (s *sheet) spanIn(w *words.Lang, start, finish schedule.Minute) string {
	return w.Span(start.Day(), lastDay(start, finish), 0)
}

// lines gathers the lines of a text.
type lines struct{ b []string }

func (l *lines) add(s string) {
	if s != "" {
		l.b = append(l.b, s)
	}
}

func (l *lines) addIf(fact, s string) {
	if fact != "" {
		l.add(s)
	}
}

func (l *lines) text() string {
	s := words.Plain(strings.Join(l.b, "\n"))
	if r := []rune(s); len(r) > maxBody {
		return string(r[:maxBody-3]) + "..."
	}
	return s
}

// stop ends a sentence with one full stop.
func stop(s string) string { return strings.TrimRight(strings.TrimSpace(s), ".") + "." }
