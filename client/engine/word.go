package engine

import (
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// A crew's word: what it said in figures on its page, late by so many minutes or so much of it done.
// It stands in the diary and moves nothing until somebody on site takes it, with one tap.

// takes says whether a word would change the plan; the others are only to be read.
func (s *sheet) takes(n *schedule.Note) bool {
	a, l := s.acts[n.On], s.lines[n.On]
	if a == nil || l == nil || a.Finished != 0 || n.Seen {
		return false
	}
	switch n.Word {
	case "late":
		return n.Count > 0 && n.Day == s.today() && (a.Started == 0 && l.Start.Day() == n.Day || a.Started != 0 && a.Done == 0 && l.Finish > s.now)
	case "done":
		return n.Count > 0 && (a.Started == 0 || a.Done < n.Count)
	}
	return false
}

// word takes a crew's word into the plan.
func (e *Engine) word(r Request) {
	if !e.mayWrite() {
		return
	}
	s := e.sheet
	var n *schedule.Note
	for i := range s.site.Notes {
		if s.site.Notes[i].ID == r.ID {
			n = &s.site.Notes[i]
		}
	}
	if n == nil || !s.takes(n) {
		e.refuse("refused.gone")
		return
	}
	a, l := s.acts[n.On], s.lines[n.On]
	if n.Word == "done" && a.Started == 0 && !e.acked(a) {
		return
	}
	edits := []opsync.Edit{set("note", n.ID, "seen", true), s.wordEdit(n, a, l)}
	was := s.plan.Finish
	if e.write(r, opsync.KindEdit, label{"word." + n.Word, or(n.By, s.crewName(n.Crew)), a.Name, itoa(int(n.Count))}, edits) {
		e.say("said.word", "what", a.Name, "when", e.sheet.days(e.sheet.lines[a.ID].Start, e.sheet.lines[a.ID].Finish), "shift", e.sheet.finishShift(was))
	}
}

// wordEdit is what a crew's word does to its work. Who is late and has not begun begins later; who is
// late to work under way needs that much longer in all.
func (s *sheet) wordEdit(n *schedule.Note, a *schedule.Activity, l *schedule.Line) opsync.Edit {
	switch {
	case n.Word == "late" && a.Started == 0:
		return set("activity", a.ID, "notBefore", l.Start+schedule.Minute(n.Count))
	case n.Word == "late":
		more := a.Labour
		more.Typical += n.Count * s.hands(a)
		return set("activity", a.ID, "labour", fit(more))
	}
	ed := set("activity", a.ID, "done", n.Count, "doneAt", s.now)
	if a.Started == 0 {
		ed.Set["started"] = value(min(l.Start, s.now))
	}
	if n.Count >= 100 {
		ed.Set["finished"] = value(s.now)
	}
	return ed
}
