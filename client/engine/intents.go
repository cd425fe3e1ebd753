package engine

import (
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// intents are the acts of the screen. Each looks at the sheet, refuses with a sentence or writes one
// operation. The list of fields each reads is in request.go.
var intents map[string]func(*Engine, Request)

func init() {
	intents = map[string]func(*Engine, Request){
		"show": func(*Engine, Request) {}, "looked": (*Engine).looked, "odds": (*Engine).roll,
		"ways": (*Engine).ways, "more": (*Engine).more, "take": (*Engine).take, "undo": (*Engine).undo,
		"move": (*Engine).move, "wish": (*Engine).wish, "start": (*Engine).start, "finish": (*Engine).finish, "done": (*Engine).done,
		"ack": (*Engine).ack, "callIn": (*Engine).callIn, "result": (*Engine).result, "photos": (*Engine).photos, "photo": (*Engine).photo, "paper": (*Engine).paper,
		"order": (*Engine).order, "arrive": (*Engine).arrive, "sent": (*Engine).sent, "queue": (*Engine).queue, "wording": (*Engine).ownWording, "came": (*Engine).came, "answer": (*Engine).answer,
		"book": (*Engine).book, "edit": (*Engine).edit, "add": (*Engine).add, "remove": (*Engine).remove,
		"restore": (*Engine).restore, "choose": (*Engine).choose, "again": (*Engine).again,
		"template": (*Engine).template, "people": (*Engine).people, "note": (*Engine).note, "heard": (*Engine).heard, "word": (*Engine).word, "lay": (*Engine).lay,
	}
}

// mayWrite refuses when this phone only looks on.
func (e *Engine) mayWrite() bool {
	if why := e.phone.ReadOnly(); why != "" {
		return e.refuse("readOnly." + why)
	}
	return true
}

func (e *Engine) looked(r Request) {
	e.look.Base = starts(e.sheet)
	e.look.Shown = e.look.Base
}

// activity finds the activity of an intent, or refuses.
func (e *Engine) activity(id string) (*schedule.Activity, *schedule.Line, bool) {
	a, l := e.sheet.acts[id], e.sheet.lines[id]
	if !e.mayWrite() {
		return nil, nil, false
	}
	if a == nil || l == nil {
		return nil, nil, e.refuse("refused.gone")
	}
	return a, l, true
}

// fact checks the moment of something that happened: not set means now, never in the future.
func (e *Engine) fact(at, now schedule.Minute) (schedule.Minute, bool) {
	if at == 0 {
		at = now
	}
	if at > now {
		return 0, e.refuse("refused.future", "when", e.sheet.w.Moment(at, now.Day()))
	}
	if at.Day() < now.Day()-3650 {
		return 0, e.refuse("refused.tooOld")
	}
	return at, true
}

// acked refuses while a stop caution waits for a name.
func (e *Engine) acked(a *schedule.Activity) bool {
	if text, must := e.sheet.mustAck(a); must {
		return e.refuse("refused.caution", "what", a.Name, "caution", text)
	}
	return true
}

func (e *Engine) start(r Request) {
	a, _, ok := e.activity(r.ID)
	if !ok || !e.acked(a) {
		return
	}
	if a.Finished != 0 {
		e.refuse("refused.finished", "what", a.Name)
		return
	}
	at, ok := e.fact(r.At, r.Now)
	if !ok {
		return
	}
	waits := e.sheet.waitsLine(r.ID)
	if e.write(r, opsync.KindEdit, label{"start", a.Name}, []opsync.Edit{set("activity", r.ID, "started", at)}) {
		e.say("said.started", "what", a.Name)
		if waits != "" {
			e.said += " " + e.words().Say("said.outOfOrder", "waits", waits)
		}
	}
}

func (e *Engine) finish(r Request) {
	a, l, ok := e.activity(r.ID)
	if !ok || !e.acked(a) {
		return
	}
	at, ok := e.fact(r.At, r.Now)
	if !ok {
		return
	}
	if a.Started != 0 && at < a.Started {
		e.refuse("refused.finishBefore", "what", a.Name, "when", e.sheet.w.Moment(a.Started, r.Now.Day()))
		return
	}
	edit := set("activity", r.ID, "finished", at, "done", 100)
	if a.Started == 0 {
		edit.Set["started"] = value(min(l.Start, at))
	}
	if e.write(r, opsync.KindEdit, label{"finish", a.Name}, []opsync.Edit{edit}) {
		e.say("said.finished", "what", a.Name)
	}
}

func (e *Engine) done(r Request) {
	a, l, ok := e.activity(r.ID)
	if !ok {
		return
	}
	if r.Count < 0 || r.Count > 100 {
		e.refuse("refused.percent")
		return
	}
	edit := set("activity", r.ID, "done", r.Count, "doneAt", r.Now)
	if a.Started == 0 && r.Count > 0 {
		if !e.acked(a) {
			return
		}
		edit.Set["started"] = value(min(l.Start, r.Now))
	}
	e.write(r, opsync.KindEdit, label{"done", a.Name, itoa(int(r.Count))}, []opsync.Edit{edit})
}

func (e *Engine) ack(r Request) {
	a, _, ok := e.activity(r.ID)
	name := strings.TrimSpace(r.Name)
	if !ok {
		return
	}
	if name == "" || len(name) > 80 {
		e.refuse("refused.ackName")
		return
	}
	if e.write(r, opsync.KindEdit, label{"ack", a.Name, name}, []opsync.Edit{set("activity", r.ID, "acked", name, "ackedAt", r.Now)}) {
		e.say("said.acked", "who", name)
	}
}

// book sets a booking by hand. Asked and firm mean that the crew knows the days as they are planned.
func (e *Engine) book(r Request) {
	a, l, ok := e.activity(r.ID)
	if !ok {
		return
	}
	b := schedule.Booking(r.Key)
	if b != schedule.Pencilled && b != schedule.Asked && b != schedule.Firm {
		e.refuse("refused.booking")
		return
	}
	e.write(r, opsync.KindEdit, label{"book", a.Name, "booking." + or(r.Key, "pencilled")}, []opsync.Edit{booked(a, l, b)})
}

// booked is the edit that sets a booking and what the crew has been told.
func booked(a *schedule.Activity, l *schedule.Line, b schedule.Booking) opsync.Edit {
	if b == schedule.Pencilled {
		return set("activity", a.ID, "booking", "", "toldStart", nil, "toldFinish", nil)
	}
	return set("activity", a.ID, "booking", string(b), "toldStart", l.Start, "toldFinish", l.Finish)
}

// undo takes back this phone's last act, where its values still stand.
func (e *Engine) undo(r Request) {
	if !e.mayWrite() {
		return
	}
	op, ok := e.phone.Log.LastAct(e.device)
	if !ok {
		e.refuse("refused.nothingToUndo")
		return
	}
	what := op.Label
	raw, err := e.phone.Log.Undo(e.device, r.Wall, "undo|"+clip(what, 150), op.ID)
	if err == opsync.ErrNothing {
		e.refuse("refused.nothingToUndo")
		return
	}
	if e.wrote(r, raw, err) {
		e.say("said.undone", "what", e.sayLabel(e.sheet, what))
	}
}

// again takes the way that stood back behind another.
func (e *Engine) again(r Request) {
	if !e.mayWrite() {
		return
	}
	id, err := opsync.ParseOpID(r.Op)
	op := e.phone.Log.Op(id)
	if err != nil || op == nil {
		e.refuse("refused.gone")
		return
	}
	raw, err := e.phone.Log.Again(e.device, r.Wall, op.Label, id)
	if e.wrote(r, raw, err) {
		e.say("said.wayTaken", "finish", e.sheet.finishWords(), "texts", e.textsReady())
	}
}

// choose settles a clash with one of the written values.
func (e *Engine) choose(r Request) {
	if !e.mayWrite() {
		return
	}
	id, err := opsync.ParseOpID(r.Op)
	if err != nil {
		e.refuse("refused.gone")
		return
	}
	lab := label{"choose", e.sheet.thingName(r.Kind, r.ID), "field." + r.Field}
	raw, err := e.phone.Log.Choose(e.device, r.Wall, lab.text(), r.Kind, r.ID, r.Field, id)
	if err == opsync.ErrNothing {
		e.refuse("refused.gone")
		return
	}
	e.wrote(r, raw, err)
}

// note writes a line in the site diary.
func (e *Engine) note(r Request) {
	said := strings.TrimSpace(r.Said)
	if !e.mayWrite() {
		return
	}
	if said == "" {
		e.refuse("refused.noWords")
		return
	}
	if !e.fits("said", said, maxLong) {
		return
	}
	ed := set("note", e.newID(), "day", r.Now.Day(), "said", said, "by", e.who(e.device))
	if e.sheet.isNode(r.ID) {
		ed.Set["on"] = value(r.ID)
	}
	if e.write(r, opsync.KindEdit, label{"note", said}, []opsync.Edit{ed}) {
		e.say("said.noted")
	}
}

// lay keeps today's plan as the one to hold to: every open line is laid to where it is planned.
func (e *Engine) lay(r Request) {
	if !e.mayWrite() {
		return
	}
	edits := e.sheet.layAll(nil)
	if e.write(r, opsync.KindEdit, label{"lay"}, edits) {
		e.say("said.laid")
	}
}

func (e *Engine) newID() string { return e.phone.Log.NextID(e.device) }

func (e *Engine) who(d opsync.Device) string {
	id := itoa(int(d))
	return or(e.names[id], e.words().Say("device", "n", id))
}
