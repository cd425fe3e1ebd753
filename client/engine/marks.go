package engine

import (
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// Marks on holds and deliveries: called in, what the inspector said, ordered, arrived.

func (e *Engine) hold(id string) (*schedule.Hold, bool) {
	h := e.sheet.holds[id]
	if !e.mayWrite() {
		return nil, false
	}
	if h == nil {
		return nil, e.refuse("refused.gone")
	}
	return h, true
}

func (e *Engine) callIn(r Request) {
	h, ok := e.hold(r.ID)
	if !ok {
		return
	}
	if h.Result == schedule.Pass {
		e.refuse("refused.signed", "what", h.Name)
		return
	}
	if r.At != 0 && r.At < r.Now {
		e.refuse("refused.visitPast", "when", e.sheet.w.Moment(r.At, r.Now.Day()))
		return
	}
	edit := set("hold", r.ID, "calledIn", r.Now, "visit", r.At)
	if e.write(r, opsync.KindEdit, label{"callIn", h.Name}, []opsync.Edit{edit}) {
		e.say("said.calledIn", "what", h.Name, "when", e.sheet.visitWords(e.sheet.lines[r.ID].Start))
	}
}

// result writes what the inspector said. Anything but a pass keeps the gate shut: the hold waits for
// a fix and for a second visit.
func (e *Engine) result(r Request) {
	h, ok := e.hold(r.ID)
	if !ok {
		return
	}
	said := strings.TrimSpace(r.Said)
	if !e.fits("said", said, maxLong) {
		return
	}
	if h.Result == schedule.Pass && r.Key != string(schedule.Pass) {
		e.refuse("refused.signed", "what", h.Name)
		return
	}
	at, ok := e.fact(r.At, r.Now)
	if !ok {
		return
	}
	switch schedule.Result(r.Key) {
	case schedule.Pass:
		edit := set("hold", r.ID, "result", "pass", "resultAt", at, "said", said)
		if len(h.Parts) > 0 {
			edit.Set["passed"] = value(h.Parts)
		}
		if e.write(r, opsync.KindEdit, label{"pass", h.Name}, []opsync.Edit{edit}) {
			e.say("said.passed", "what", h.Name, "behind", e.sheet.opens(r.ID))
		}
	case schedule.Fail, schedule.Partial:
		was := e.sheet.plan.Finish
		edits := e.sheet.failEdits(h, schedule.Result(r.Key), at, said, e.newID())
		if schedule.Result(r.Key) == schedule.Partial {
			passed, ok := partsPassed(h, r.Fields)
			if !ok || len(h.Parts) > 0 && len(passed) == len(h.Parts) {
				e.refuse("refused.parts")
				return
			}
			edits = e.partialEdits(h, r, passed, said, at)
		}
		if e.write(r, opsync.KindEdit, label{r.Key, h.Name}, edits) {
			e.say("said.failed", "what", h.Name, "effect", e.sheet.finishShift(was))
			if parts := e.sheet.partsLine(e.sheet.holds[r.ID]); parts != "" && schedule.Result(r.Key) == schedule.Partial {
				e.said = h.Name + ". " + parts + " " + e.sheet.finishShift(was)
			}
		}
	default:
		e.refuse("refused.result")
	}
}

// failEdits shuts the gate anew: the visit is used up, and a fix stands in front of the next one.
// The fix is half a day of the crew whose work was looked at; the owner sets it right once it is known.
func (s *sheet) failEdits(h *schedule.Hold, res schedule.Result, at schedule.Minute, said, id string) []opsync.Edit {
	edits := []opsync.Edit{set("hold", h.ID, "result", string(res), "resultAt", at, "said", said,
		"fails", h.Fails+1, "calledIn", nil, "visit", nil, "laid", nil)}
	fix := set("activity", id, "name", s.w.Say("fix", "what", h.Name), "scope", said,
		"labour", schedule.Range{Low: 60, Typical: 240, High: 480})
	if a := s.lookedAt(h.ID); a != nil {
		fix.Set["crew"], fix.Set["place"], fix.Set["pos"] = value(a.Crew), value(a.Place), value(a.Pos)
		if n := s.hands(a); n > 1 { // hours on the clock stay half a day, whoever comes
			fix.Set["hands"] = value(1)
		}
	}
	link := set("link", id+".1", "from", id, "to", h.ID)
	return append(edits, fix, link)
}

// lookedAt is the activity a hold looks at: the last to finish of those directly in front of it.
func (s *sheet) lookedAt(id string) (a *schedule.Activity) {
	for _, k := range s.into[id] {
		if p := s.acts[k.From]; p != nil && p.Crew != "" && s.lines[k.From] != nil {
			if a == nil || s.lines[k.From].Finish > s.lines[a.ID].Finish {
				a = p
			}
		}
	}
	return a
}

// opens names what a passed hold lets start.
func (s *sheet) opens(id string) string {
	var names []string
	for _, k := range s.from[id] {
		if a := s.acts[k.To]; a != nil && a.Started == 0 && len(names) < 3 {
			names = append(names, a.Name)
		}
	}
	if len(names) == 0 {
		return ""
	}
	return s.w.Say("opens", "what", s.w.List(names))
}

func (e *Engine) photos(r Request) {
	h, ok := e.hold(r.ID)
	if !ok {
		return
	}
	if r.Count < 0 || r.Count > 999 {
		e.refuse("refused.count", "field", e.sheet.fieldName("photos"), "n", "999")
		return
	}
	e.write(r, opsync.KindEdit, label{"photos", h.Name, itoa(int(r.Count))}, []opsync.Edit{set("hold", r.ID, "taken", max(0, r.Count-e.sheet.pictures(r.ID)))})
}

func (e *Engine) goodsOf(id string) (*schedule.Order, bool) {
	o := e.sheet.orders[id]
	if !e.mayWrite() {
		return nil, false
	}
	if o == nil {
		return nil, e.refuse("refused.gone")
	}
	return o, true
}

func (e *Engine) order(r Request) {
	o, ok := e.goodsOf(r.ID)
	if !ok {
		return
	}
	if r.From != 0 && r.From < r.Now.Day() {
		e.refuse("refused.promisedPast", "day", e.sheet.dated(r.From))
		return
	}
	if !e.firmGate(o) {
		return
	}
	edit := set("order", r.ID, "ordered", r.Now.Day(), "due", r.From)
	if o.Ordered != 0 {
		delete(edit.Set, "ordered")
	}
	if e.write(r, opsync.KindEdit, label{"order", o.Goods}, []opsync.Edit{edit}) {
		e.say("said.ordered", "what", o.Goods, "day", e.sheet.w.Near(e.sheet.lines[r.ID].Start.Day(), r.Now.Day()))
	}
}

func (e *Engine) arrive(r Request) {
	o, ok := e.goodsOf(r.ID)
	if !ok {
		return
	}
	day := r.From
	if day == 0 {
		day = r.Now.Day()
	}
	if day > r.Now.Day() {
		e.refuse("refused.future", "when", e.sheet.dated(day))
		return
	}
	short := strings.TrimSpace(r.Said)
	if !e.fits("short", short, maxLong) {
		return
	}
	if e.write(r, opsync.KindEdit, label{"arrive", o.Goods}, []opsync.Edit{set("order", r.ID, "arrived", day, "short", short)}) {
		e.say("said.arrived", "what", o.Goods)
	}
}
