package engine

import (
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// cantActs are the crews that said no to days which still stand, or named another one: each leads to
// the ways through, with those days picked. One line a crew and visit, however many texts it answered.
func (s *sheet) cantActs() (out []due) {
	told := map[string]bool{}
	for i := range s.site.Texts {
		t := &s.site.Texts[i]
		c := s.crews[t.Crew]
		if c == nil || c.Own || t.Answer != "no" && t.Answer != "other" || t.Day < s.today() {
			continue
		}
		for _, id := range s.workOf(t.Crew, t.Day) {
			l := s.lines[id]
			if l.Frozen || told[t.Crew+" "+id] {
				continue
			}
			told[t.Crew+" "+id] = true
			out = append(out, s.cantAct(t, l))
		}
	}
	return out
}

func (s *sheet) cantAct(t *schedule.Text, l *schedule.Line) due {
	key, wish := "act.cant."+t.Answer, ""
	to := lastDay(l.Start, l.Finish)
	if t.Answer == "other" && t.Wish != 0 {
		key, wish = "act.cant.wish", s.w.Near(t.Wish, s.today())
		if t.Wish > t.Day { // the day it named is tried first
			to = min(to, t.Wish-1)
		}
	}
	text := s.w.Say(key, "who", s.crewName(t.Crew), "day", s.w.Near(t.Day, s.today()), "wish", wish)
	d := s.act("cant", t.Crew, text, (t.Day - 1).At(18*60), s.crews[t.Crew].Phone)
	d.ID, d.From, d.To = "cant/"+t.ID+"/"+l.ID, t.Day, to
	return d
}

// heardActs are what crews said on their pages and nobody has read yet.
func (s *sheet) heardActs() (out []due) {
	for i := range s.site.Notes {
		n := &s.site.Notes[i]
		c := s.crews[n.Crew]
		if c == nil || n.Seen {
			continue
		}
		text, kind := s.w.Say("act.heard", "who", or(n.By, s.crewName(n.Crew)), "said", clip(n.Said, 300)), "heard"
		if s.takes(n) {
			kind = "word"
		}
		out = append(out, s.act(kind, n.ID, text, n.Day.At(24*60-1), c.Phone))
	}
	return out
}

// heard marks what a crew said as read.
func (e *Engine) heard(r Request) {
	if !e.mayWrite() {
		return
	}
	for i := range e.sheet.site.Notes {
		if n := &e.sheet.site.Notes[i]; n.ID == r.ID {
			if !n.Seen {
				e.write(r, opsync.KindEdit, label{"heardSeen", n.Said}, []opsync.Edit{set("note", r.ID, "seen", true)})
			}
			return
		}
	}
	e.refuse("refused.gone")
}
