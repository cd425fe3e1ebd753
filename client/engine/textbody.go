package engine

import (
	"slices"
	"strings"

	"batterboard/client/engine/words"
	"batterboard/schedule"
)

// maxBody keeps one text within ten parts of the phone network's alphabet; longer ones are refused by some networks.
const maxBody = 1500

// bodyOf writes a letter in a language, by the owner's wording or the standard one.
func (s *sheet) bodyOf(w *words.Lang, l letter) string {
	s = s.read(w)
	text, _ := s.wording(wordingOf(l.kind), w)
	return s.finished(fillBlanks(text, s.blanksFor(w, l)))
}

// blanksFor finds what stands in the blanks of a letter.
func (s *sheet) blanksFor(w *words.Lang, l letter) blanks {
	b := s.common(w, l.about)
	switch l.kind {
	case "tomorrow":
		s.dayBlanks(b, w, l)
	case "callIn":
		s.callInBlanks(b, w, l)
	case "order", "reorder":
		s.orderBlanks(b, w, l)
	case "street":
		s.streetBlanks(b, w, l)
	default:
		s.listBlanks(b, w, l)
	}
	return b
}

// common is what every text may name.
func (s *sheet) common(w *words.Lang, about string) blanks {
	b := blanks{"site": or(s.site.Name, w.Say("site.ours")), "address": s.site.Address, "wayIn": strings.TrimSpace(s.site.WayIn),
		"contact": strings.TrimSpace(s.site.Contact + " " + s.site.Phone), "page": s.pages[about]}
	if c := s.crews[about]; c != nil {
		b["name"] = or(c.Contact, c.Name)
	}
	return b
}

// dayBlanks is everything a crew needs for one day: when, what, what will be ready, what to bring, who else is there.
func (s *sheet) dayBlanks(b blanks, w *words.Lang, l letter) {
	b["day"] = w.Long(l.day)
	var work, ready, bring []string
	place := ""
	h := s.heardTexts()
	for i, id := range l.acts {
		a, line := s.acts[id], s.lines[id]
		if from, _, on := s.onDay(l.about, line, l.day); on && i == 0 {
			b["time"] = w.Clock(from)
		}
		what := stop(s.scope(w, a))
		if p := s.placeName(a.Place); p != "" && p != place {
			place, what = p, w.Say("text.workIn", "place", p, "what", what)
		}
		work = append(work, what)
		ready = addNew(ready, or(noStop(a.Ready), s.readyFrom(w, id)))
		bring = addNew(bring, noStop(a.Bring))
		if from, to, told := h.toldDays(l.about, a); told && !line.Frozen && toldOther(from, to, line) && b["was"] == "" {
			b["was"] = s.spanIn(w, from, or0m(to, from))
		}
	}
	b["work"] = strings.Join(work, "\n")
	b["ready"], b["bring"] = strings.Join(ready, "; "), strings.Join(bring, "; ")
	b["others"] = s.others(w, l.about, l.day)
}

// listBlanks is a list of work with its days.
func (s *sheet) listBlanks(b blanks, w *words.Lang, l letter) {
	var list []string
	h, tells := s.heardTexts(), s.tells(&l)
	for i, id := range l.acts {
		start, finish, _ := parseSpan(tells[i])
		gaps := []string{"what", s.listed(w, l, id), "to", s.spanIn(w, start, finish), "time", w.Clock(start.OfDay())}
		key := "text.listLine"
		if l.kind == "off" {
			key = "text.offLine"
		} else if a := s.acts[id]; a != nil && l.kind == "moved" {
			if from, to, told := h.toldDays(l.about, a); told {
				key, gaps = "text.movedLine", append(gaps, "from", s.spanIn(w, from, or0m(to, from)))
			}
		}
		list = append(list, w.Say(key, gaps...))
	}
	b["list"] = strings.Join(list, "\n")
	b["replyBy"] = w.Long(s.replyBy(l.day))
	b["in"] = s.howSoon(w, l.day)
	if l.kind == "go" {
		before, signed := s.doneBefore(w, l)
		if len(signed) > 0 {
			b["signed"] = strings.Join(append(before, signed...), "; ")
		} else {
			b["before"] = strings.Join(before, "; ")
		}
	}
}

// listed is a piece of work in a line of a list: alone it is told in full.
func (s *sheet) listed(w *words.Lang, l letter, id string) string {
	a := s.acts[id]
	if a == nil {
		return s.name(id)
	}
	if l.kind == "ask" && len(l.acts) == 1 {
		return noStop(s.scope(w, a))
	}
	return s.called(w, a)
}

// doneBefore names what others did in front of the work of a letter, and what was signed.
func (s *sheet) doneBefore(w *words.Lang, l letter) (before, signed []string) {
	for _, id := range l.acts {
		for _, k := range s.into[id] {
			if a := s.acts[k.From]; a != nil && a.Crew != l.about && a.Crew != "" && !s.own(a.Crew) && len(before) < 3 {
				before = addNew(before, s.called(w, a))
			}
			if h := s.holds[k.From]; h != nil && len(signed) < 3 {
				signed = addNew(signed, h.Name)
			}
		}
	}
	return before, signed
}

func (s *sheet) howSoon(w *words.Lang, d schedule.Day) string {
	switch n := int64(d - s.today()); n {
	case 0:
		return w.Say("in.today")
	case 1:
		return w.Say("in.tomorrow")
	case 7:
		return w.Say("in.oneWeek")
	case 14:
		return w.Say("in.twoWeeks")
	default:
		return w.Say("in.days", "n", itoa(int(n)))
	}
}

// callInBlanks is what one says on the inspector's phone line.
func (s *sheet) callInBlanks(b blanks, w *words.Lang, l letter) {
	h, line := s.holds[l.about], s.lines[l.about]
	if h == nil || line == nil {
		return
	}
	var ready []string
	for _, r := range h.Ready {
		ready = addNew(ready, noStop(r))
	}
	b["what"], b["code"], b["when"] = h.Name, h.Code, w.Long(line.Start.Day())
	b["ready"], b["name"] = strings.Join(ready, "; "), h.Agency
}

// orderBlanks is what a supplier must know.
func (s *sheet) orderBlanks(b blanks, w *words.Lang, l letter) {
	o, line := s.orders[l.about], s.lines[l.about]
	if o == nil || line == nil {
		return
	}
	b["what"], b["quantity"], b["name"], b["place"] = o.Goods, o.Quantity, o.Supplier, s.placeName(o.Stands)
	b["when"], b["replyBy"] = w.Long(line.Start.Day()), w.Long(s.replyBy(line.Start.Day()))
	if start, _, ok := parseSpan(strings.Join(l.told, "")); ok {
		b["was"] = w.Long(start.Day())
	}
}

// streetBlanks is what the neighbours will notice: the days, and neither whose work nor which goods. A
// note in every letter box is no place to say when something of value stands in the yard.
func (s *sheet) streetBlanks(b blanks, w *words.Lang, l letter) {
	var loud, dust, trucks, all []schedule.Day
	var from, to int32 // within which hours it is loud
	for _, id := range l.acts {
		line, a := s.lines[id], s.acts[id]
		for d := max(line.Start.Day(), s.today()); d <= lastDay(line.Start, line.Finish) && d <= s.today()+streetDays; d++ {
			if a == nil {
				trucks, all = append(trucks, d), append(all, d)
			} else if f, t, on := s.onDay(a.Crew, line, d); on {
				all = append(all, d)
				if a.Noisy {
					if len(loud) == 0 {
						from, to = f, t
					}
					loud, from, to = append(loud, d), min(from, f), max(to, t)
				}
				if dusty(a) {
					dust = append(dust, d)
				}
			}
		}
	}
	b["address"] = or(s.site.Address, s.site.Name)
	b["noise"], b["dust"], b["deliveries"] = s.dayList(w, loud), s.dayList(w, dust), s.dayList(w, trucks)
	b["hours"] = s.usualHours(w)
	if s.site.Noise != nil && len(loud) > 0 {
		b["noise"] = w.Say("text.loud", "days", b["noise"], "hours", w.Say("text.hours", "from", w.Clock(from), "to", w.Clock(to)))
	}
	if len(all) == 0 {
		return
	}
	first, last := slices.Min(all), slices.Max(all)
	b["when"] = w.Dated(first)
	if last > first {
		b["when"] = w.Say("text.until", "from", w.Dated(first), "to", w.Dated(last))
	}
}

// dayList writes days, those next to each other as one span: "Wed 7 - Thu 8 Apr; Mon 12 Apr".
func (s *sheet) dayList(w *words.Lang, days []schedule.Day) string {
	slices.Sort(days)
	days = slices.Compact(days)
	var out []string
	for i := 0; i < len(days); {
		k := i
		for k+1 < len(days) && days[k+1] == days[k]+1 {
			k++
		}
		out = append(out, w.Span(days[i], days[k], 0))
		i = k + 1
	}
	return strings.Join(out, "; ")
}

// usualHours is from when to when the site works on its first open weekday.
func (s *sheet) usualHours(w *words.Lang) string {
	for _, day := range s.week {
		if n := len(day); n > 0 {
			return w.Say("text.hours", "from", w.Clock(day[0].From), "to", w.Clock(day[n-1].To))
		}
	}
	return ""
}

// readyFrom says what will be done in front of an activity when its owner wrote nothing: the last work before it.
func (s *sheet) readyFrom(w *words.Lang, id string) string {
	var names []string
	for _, l := range s.into[id] {
		if p := s.lines[l.From]; p != nil && plainLink(l) && p.Finish <= s.lines[id].Start && len(names) < 3 {
			name := s.name(l.From)
			if a := s.acts[l.From]; a != nil {
				name = s.called(w, a)
			}
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		return ""
	}
	return w.Say("text.doneBefore", "what", strings.Join(names, "; "))
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
			names = append(names, o.Who+" ("+s.called(w, s.acts[o.ID])+")")
		}
	}
	if len(names) > maxOthers {
		names = append(names[:maxOthers-1:maxOthers-1], w.Say("text.more", "n", itoa(len(names)-maxOthers+1)))
	}
	return w.List(names)
}

// maxOthers is how many are named: who is one of twelve on a full day needs no roll call, and pays by the message.
const maxOthers = 4

// foreign says whether a language is another than the one the site is written in.
func (s *sheet) foreign(w *words.Lang) bool {
	return w.Code != words.In(or(s.site.Lang, s.w.Code)).Code
}

// scope is the sentence a crew reads about its work, in its language where there is one.
func (s *sheet) scope(w *words.Lang, a *schedule.Activity) string {
	if s.foreign(w) {
		return or(a.ScopeAlso, or(a.Scope, or(a.Also, a.Name)))
	}
	return or(a.Scope, a.Name)
}

// called is the name of a piece of work in a language. Where the owner wrote no name in the crew's
// language but a scope, its first words are the name.
func (s *sheet) called(w *words.Lang, a *schedule.Activity) string {
	switch {
	case !s.foreign(w):
		return a.Name
	case a.Also != "":
		return a.Also
	case a.Scope != "" && s.crews[a.Crew] != nil && s.crews[a.Crew].Lang == w.Code: // written for that crew
		return firstWords(noStop(a.Scope))
	}
	return a.Name
}

// firstWords is a sentence up to a comma, about as long as a name may be.
func firstWords(text string) string {
	const room = 44
	r := []rune(text)
	if len(r) <= room {
		return text
	}
	end := -1
	for i, x := range r[:room] {
		if strings.ContainsRune(",;:", x) {
			end = i
		}
	}
	if end < 0 {
		return clip(text, room)
	}
	return string(r[:end])
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
	return s.spanIn(w, a.ToldStart, or0m(a.ToldFinish, a.ToldStart))
}

// spanIn always has the month: a text may be read days later.
func (s *sheet) spanIn(w *words.Lang, start, finish schedule.Minute) string {
	return w.Span(start.Day(), lastDay(start, finish), 0)
}

func or0m(a, b schedule.Minute) schedule.Minute {
	if a != 0 {
		return a
	}
	return b
}

// addNew adds what is not said yet, alone or within something longer.
func addNew(list []string, s string) []string {
	if s == "" || slices.ContainsFunc(list, func(have string) bool { return strings.Contains(strings.ToLower(have), strings.ToLower(s)) }) {
		return list
	}
	return append(list, s)
}

// stop ends a sentence with one full stop.
func stop(s string) string { return noStop(s) + "." }

func noStop(s string) string { return strings.TrimRight(strings.TrimSpace(s), ".") }
