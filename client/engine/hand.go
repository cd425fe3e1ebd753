package engine

import (
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// move lays one line by hand. Where it cannot lie, it is laid to the next moment that day, and said
// so; when there is none that day, it is refused with the chain of reasons. Others may be pushed.
func (e *Engine) move(r Request) {
	s := e.sheet
	l := s.lines[r.ID]
	if !e.mayWrite() {
		return
	}
	switch {
	case l == nil:
		e.refuse("refused.gone")
		return
	case l.Frozen:
		e.refuse("refused.frozen", "what", s.name(r.ID))
		return
	case r.At == 0:
		e.refuse("refused.noDay")
		return
	case r.At < r.Now:
		e.refuse("refused.past", "day", s.w.Moment(r.At, s.today()))
		return
	case r.At.Day() > s.today()+maxAhead:
		e.refuse("refused.span", "n", itoa(maxAhead))
		return
	}
	kind, ed := s.layEdit(r.ID, r.At)
	e.clearAgreed(ed, r.ID)
	lands, ok := e.landing(ed, r)
	if !ok {
		e.refuse("refused.change")
		return
	}
	if lands.Day() != r.At.Day() {
		e.refuseMove(r, lands)
		return
	}
	ed.Set["laid"] = value(lands)
	was, before := s.plan.Finish, starts(s)
	if !e.write(r, opsync.KindEdit, label{"move", s.name(r.ID), lands.Day().String()}, []opsync.Edit{ed}) {
		return
	}
	e.sayMoved(kind, r, lands, was, before)
}

// maxAhead is how far one may lay a line by hand: two years.
const maxAhead = 730

// clearAgreed takes away an agreed visit that a hand move replaces.
func (e *Engine) clearAgreed(ed opsync.Edit, id string) {
	if h := e.sheet.holds[id]; h != nil && h.Visit != 0 {
		ed.Set["visit"] = value(nil)
	}
}

// landing is where a line comes to lie when it is laid to a moment.
func (e *Engine) landing(ed opsync.Edit, r Request) (schedule.Minute, bool) {
	site, err := applied(e.site, []opsync.Edit{ed})
	if err != nil {
		return 0, false
	}
	l := schedule.Lay(site, r.Now).Line(r.ID)
	if l == nil {
		return 0, false
	}
	return l.Start, true
}

// refuseMove says why a line cannot start when it was dropped, back along the chain of reasons.
func (e *Engine) refuseMove(r Request, lands schedule.Minute) {
	s := e.sheet
	why, change := s.forbids(r.ID, schedule.EarliestFor(e.site, r.Now, r.ID, r.At).Chain)
	if len(why) == 0 {
		why = s.chain(r.ID, 3)
	}
	e.refuse("refused.move", "what", s.name(r.ID), "at", s.w.Moment(r.At, s.today()), "lands", s.w.Moment(lands, s.today()),
		"why", strings.TrimSpace(strings.Join(why, " ")+" "+change))
}

// sayMoved tells what a hand move did: to where, who moved with it, what it does to the finish.
func (e *Engine) sayMoved(kind string, r Request, lands, was schedule.Minute, before map[string]schedule.Minute) {
	s := e.sheet
	at := lands
	if l := s.lines[r.ID]; l != nil {
		at = l.Start
	}
	key := "said.moved"
	if at != r.At {
		key = "said.movedElse"
	}
	e.say(key, "what", s.name(r.ID), "at", s.w.Moment(at, s.today()), "wish", s.w.Clock(r.At.OfDay()))
	n := 0
	for i := range s.plan.Lines {
		l := &s.plan.Lines[i]
		if b, ok := before[l.ID]; ok && l.ID != r.ID && b.Day() != l.Start.Day() {
			n++
		}
	}
	if n > 0 {
		e.said += " " + s.w.Count("said.pushed", int64(n))
	}
	e.said += " " + s.finishShift(was)
}

// finishShift says what became of the finish: "Finish holds Thu 22." or "Finish moves from … to …".
func (s *sheet) finishShift(was schedule.Minute) string {
	a, b := lastDay(0, was), lastDay(0, s.plan.Finish)
	if a == b || was == 0 {
		return s.w.Say("shift.holds", "day", s.dated(b))
	}
	n := s.workDaysBetween(a, b)
	if n < 0 {
		return s.w.Count("shift.sooner", -n, "from", s.dated(a), "to", s.dated(b))
	}
	return s.w.Count("shift.later", n, "from", s.dated(a), "to", s.dated(b))
}

// steps finds one step earlier and one later: the starts of half days in the hours of the work where the
// line can really lie.
func (e *Engine) steps(s *sheet, a *schedule.Activity, l *schedule.Line) (earlier, later *schedule.Minute, notEarlier string) {
	if at, ok := s.stepBack(a, l.Start); ok && at >= s.now {
		got := schedule.EarliestFor(s.site, s.now, a.ID, at)
		if len(got.Chain) == 0 && got.At <= at {
			earlier = &at
		} else if len(got.Chain) > 0 {
			notEarlier = s.reason(got.Chain[0])
		}
	}
	if earlier == nil && notEarlier == "" {
		notEarlier = s.because(a.ID)
	}
	if at, ok := s.stepOn(a, l.Start); ok {
		later = e.stepLater(s, a.ID, l.Start, at)
	}
	return earlier, later, notEarlier
}

// stepLater is where the line comes to lie when it is laid half a day on: that half day, or behind
// what already fills the room then. A step that the move would refuse is no step.
func (e *Engine) stepLater(s *sheet, id string, from, at schedule.Minute) *schedule.Minute {
	_, ed := s.layEdit(id, at)
	lands, ok := e.landing(ed, Request{ID: id, Now: s.now})
	if !ok || lands <= from {
		return nil
	}
	return &lands
}

func (s *sheet) stepBack(a *schedule.Activity, at schedule.Minute) (schedule.Minute, bool) {
	for d := at.Day(); d > at.Day()-30; d-- {
		ws := s.workWindows(a.Crew, a, d)
		for i := len(ws) - 1; i >= 0; i-- {
			if m := d.At(ws[i].From); m < at {
				return m, true
			}
		}
	}
	return 0, false
}

func (s *sheet) stepOn(a *schedule.Activity, at schedule.Minute) (schedule.Minute, bool) {
	for d := at.Day(); d < at.Day()+60; d++ {
		for _, w := range s.workWindows(a.Crew, a, d) {
			if m := d.At(w.From); m > at {
				return m, true
			}
		}
	}
	return 0, false
}

// failEffect says what a failed visit does to the finish: the plan against the same plan had it passed.
func (e *Engine) failEffect(s *sheet, h *schedule.Hold) string {
	edits := []opsync.Edit{set("hold", h.ID, "result", "pass", "resultAt", h.ResultAt)}
	for _, k := range s.into[h.ID] {
		if a := s.acts[k.From]; a != nil && a.Finished == 0 {
			edits = append(edits, removed("link", k.ID, true))
			if len(s.from[a.ID]) == 1 { // the fix itself: it is there only because of the fail
				edits = append(edits, removed("activity", a.ID, true))
			}
		}
	}
	passed, err := applied(s.site, edits)
	if err != nil {
		return ""
	}
	was := schedule.Lay(passed, s.now).Finish
	if h.Result == schedule.Partial {
		return s.w.Say("fail.partial", "shift", s.finishShift(was))
	}
	return s.w.Say("fail.effect", "n", itoa(int(h.Fails)), "shift", s.finishShift(was))
}
