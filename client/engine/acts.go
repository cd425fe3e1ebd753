package engine

import (
	"batterboard/schedule"
)

// How far ahead calls are shown, in days: two weeks of asking, a week and a half of ordering and calling in.
const (
	askAhead  = 14
	callAhead = 10
)

// A call with its last moment, for sorting.
type due struct {
	Act
	at schedule.Minute
}

// hurry parts what is due at the same moment: whoever heard other days comes on the wrong one, then those who
// come tomorrow, then what can be asked.
func (d *due) hurry() int {
	switch {
	case d.Kind == "ask":
		return 3
	case d.ID == "sendTexts/tomorrow":
		return 2
	case d.Kind == "sendTexts":
		return 1
	}
	return 0
}

// calls lists the calls and deeds to do, in order of their last moment. Those that are late come first by nature.
func (s *sheet) calls() []Act {
	var all []due
	for i := range s.plan.Lines {
		l := &s.plan.Lines[i]
		switch l.Kind {
		case schedule.HoldNode:
			all = append(all, s.holdActs(s.holds[l.ID], l)...)
		case schedule.OrderNode:
			all = append(all, s.orderActs(s.orders[l.ID], l)...)
		}
	}
	all = append(all, s.textActs()...)
	all = append(all, s.cantActs()...)
	all = append(all, s.heardActs()...)
	all = append(all, s.paceActs()...)
	all = append(all, s.firmActs()...)
	all = append(all, s.waitActs()...)
	all = append(all, s.silenceActs()...)
	order(all, func(i, j int) bool {
		if a, b := all[i].hurry(), all[j].hurry(); all[i].at == all[j].at && a != b {
			return a < b
		}
		return before(all[i].at, all[j].at, all[i].ID, all[j].ID)
	})
	out := make([]Act, len(all))
	for i, d := range all {
		d.Act.Late, d.Act.Today = d.at < s.now, d.at.Day() == s.today()
		out[i] = d.Act
	}
	return out
}

func (s *sheet) by(at schedule.Minute) string {
	if at.Day() == s.today() && at.OfDay() != 0 {
		return s.w.Say("by.today", "time", s.w.Clock(at.OfDay()))
	}
	return s.w.Say("by", "when", s.byMoment(at))
}

// byMoment is a last moment as one says it: "Wed 7, noon", or the day alone when it ends with the day.
func (s *sheet) byMoment(at schedule.Minute) string {
	if at.OfDay() == 0 {
		return s.w.Near(at.Day()-1, s.today())
	}
	if at.OfDay() >= 23*60+59 {
		return s.w.Near(at.Day(), s.today())
	}
	return s.w.Moment(at, s.today())
}

func (s *sheet) act(kind, on, text string, at schedule.Minute, phone string) due {
	return due{Act{ID: kind + "/" + on, Kind: kind, On: on, Text: text, By: s.by(at), Phone: phone, Button: s.w.Say("button." + kind)}, at}
}

func (s *sheet) holdActs(h *schedule.Hold, l *schedule.Line) (out []due) {
	if h == nil || h.Result == schedule.Pass {
		return nil
	}
	soon := (s.today() + callAhead).Start()
	switch {
	case h.CalledIn == 0 && l.CallBy != 0 && l.CallBy <= soon:
		out = append(out, s.act("callIn", h.ID, s.w.Say("act.callIn", "what", h.Name), l.CallBy, h.Phone))
	case h.CalledIn != 0 && h.Visit == 0 && l.Start > s.now && l.Start <= soon:
		out = append(out, s.act("revisit", h.ID, s.w.Say("act.revisit", "what", h.Name, "when", s.visitWords(l.Start)), l.Start, h.Phone))
	case h.CalledIn != 0 && l.Start <= s.now:
		out = append(out, s.act("visitResult", h.ID, s.w.Say("act.result", "what", h.Name), (l.Start.Day()+1).Start(), h.Phone))
	}
	if s.taken(h) < h.Photos && l.Start <= (s.today()+4).Start() {
		text := s.w.Say("act.photos", "what", h.Name, "k", itoa(int(s.taken(h))), "n", itoa(int(h.Photos)))
		out = append(out, s.act("photos", h.ID, text, l.Start, ""))
	}
	return out
}

func (s *sheet) orderActs(o *schedule.Order, l *schedule.Line) []due {
	if o == nil || o.Arrived != 0 {
		return nil
	}
	switch {
	case o.Ordered == 0 && o.Due == 0 && l.CallBy != 0 && l.CallBy <= (s.today()+callAhead).Start():
		return []due{s.act("order", o.ID, s.w.Say("act.order", "what", o.Goods), l.CallBy, o.Phone)}
	case (o.Ordered != 0 || o.Due != 0) && l.Start.Day() <= s.today():
		return []due{s.act("arrived", o.ID, s.w.Say("act.arrived", "what", o.Goods), (l.Start.Day() + 1).Start(), o.Phone)}
	}
	return nil
}

// textActs gathers what is to be texted, asked and answered; one line a crew, or one for all where the screen is the same.
func (s *sheet) textActs() (out []due) {
	unsent := 0
	next, b := s.nextTextDay(), s.outbox()
	for _, l := range b["tomorrow"] {
		if t := s.record(&l); t == nil || t.Sent == 0 && t.Answer == "" && !s.isQueued(&l) {
			unsent++
		}
	}
	if unsent > 0 {
		at := (next - 1).At(16 * 60) // four o'clock the day before: what crews expect (common practice, no source)
		text := s.w.Count("act.tomorrow", int64(unsent), "day", s.w.Day(next))
		out = append(out, s.act("sendTexts", "tomorrow", text, at, ""))
	}
	for _, kind := range []string{"off", "reorder"} {
		for _, l := range b[kind] {
			if !s.isSent(&l) && !s.isQueued(&l) {
				text := s.w.Say("act."+kind, "who", s.toWhom(l))
				d := s.act("sendTexts", l.id(), text, min(l.first, (s.today()+1).Start()), s.phoneOf(l))
				out = append(out, d)
			}
		}
	}
	if moved := s.stillToSend(b["moved"]); len(moved) > 0 {
		at := moved[0].first
		for _, m := range moved {
			at = min(at, m.first, s.heardFirst(&m))
		}
		at = max(at, (s.today() + 1).Start()) // today's day was called off by themselves, or has come
		text := s.w.Count("act.moved", int64(len(moved)))
		out = append(out, s.act("sendTexts", "moved", text, (at.Day()-1).At(16*60), ""))
	}
	for _, a := range s.stillToSend(b["ask"]) {
		text := s.w.Say("act.ask", "who", s.crewName(a.about), "what", s.name(a.acts[0]), "when", s.lineDays(a.acts[0]))
		by := max((a.first.Day() - 3).At(16*60), s.wrote("activity", a.acts[0], "name")) // nobody could ask before there was such work
		out = append(out, s.act("ask", textID("ask", a.about, a.day), text, by, s.crews[a.about].Phone))
	}
	return out
}

// heardFirst is the first day that a crew believes it comes for the work of a letter.
func (s *sheet) heardFirst(l *letter) schedule.Minute {
	first, h := schedule.Never, s.heardTexts()
	for _, id := range l.acts {
		if from, _, told := h.toldDays(l.about, s.acts[id]); told {
			first = min(first, from)
		}
	}
	return first
}
