package sim

import (
	"encoding/json"
	"errors"
	"fmt"

	"batterboard/sync"
	"batterboard/sync/laws"
)

// Phone is one phone: the app while it runs, and its store, which survives it.
type Phone struct {
	world   *World
	name    string
	dev     opsync.Device
	role    opsync.Role
	off     int64 // how far its clock is ahead
	app     *opsync.Phone
	ops     *shelf
	wire    *wire
	turn    int    // of the tab that is open
	last    string // the act last kept
	lost    bool   // its store was damaged or emptied
	taken   bool   // taken off the site
	gone    bool   // never heard of again
	looking bool   // about to look after its pictures
}

// start opens the app from the store.
func (p *Phone) start() {
	app, err := opsync.OpenPhone("laundry", p.dev, "", p.ops.meta, p.ops.raws())
	if err != nil {
		panic(fmt.Sprintf("seed %d: %s does not open: %v", p.world.Seed, p.name, err))
	}
	if app.Role() == "" {
		app, _ = opsync.OpenPhone("laundry", p.dev, p.role, p.ops.meta, p.ops.raws())
	}
	p.app = app
	p.ops.meta = app.Meta()
}

// crash stops the app without a word.
func (p *Phone) crash() {
	p.cut()
	p.app = nil
}

// cut closes the connection from the phone's side.
func (p *Phone) cut() {
	if p.wire != nil {
		p.wire.close()
		p.wire = nil
	}
	if p.app != nil {
		p.app.Cut()
	}
}

// noticer returns what tells the phone that a connection is gone.
func (p *Phone) noticer(c *wire) func() {
	return func() {
		if p.wire == c {
			p.cut()
		}
	}
}

func (p *Phone) connect() {
	if p.app == nil {
		p.start()
	}
	if p.wire != nil || p.taken {
		return
	}
	p.wire = p.world.dial(p)
	p.send(p.app.Connected())
}

func (p *Phone) send(frames []string) {
	for _, f := range frames {
		if p.wire != nil {
			p.wire.toServer(f)
		}
	}
}

// receive is a message from the server: taken, kept, then answered.
func (p *Phone) receive(c *wire, frame string) {
	if p.wire != c || p.app == nil {
		return
	}
	r, err := p.app.ReceiveAt(frame, p.clock())
	if p.world.hit(CrashTake) {
		p.crash()
		return
	}
	if !p.keep(r.Store, r.Meta, "") {
		return
	}
	p.note(frame)
	p.wanted(r.Want)
	defer p.look()
	if err != nil { // a message that makes no sense: start over
		p.world.log("%s: %v", p.name, err)
		p.cut()
		return
	}
	p.send(r.Frames)
}

// note remembers what the phone now believes to be stored.
func (p *Phone) note(frame string) {
	for seq := p.app.Acked(); seq > 0; seq-- {
		o := p.app.Log.Op(opsync.OpID{Device: p.dev, Seq: seq})
		if o == nil { // its store lost some of what is stored: it knows that, and says nothing of the rest
			return
		}
		if _, known := p.world.Known[o.Label]; known {
			break
		}
		p.world.Known[o.Label] = o.ID
		p.world.log("%s believes %s %s stored, by %.200s", p.name, o.ID, o.Hash, frame)
	}
}

// keep puts into the store what a reply of the machine asks for, all of it or nothing. Where it cannot,
// the app starts anew from what is there: what it would show is not saved.
func (p *Phone) keep(ops [][]byte, meta []byte, act string) bool {
	if p.turn != p.ops.turn { // another tab has taken over
		p.crash()
		return false
	}
	if p.world.hit(NoRoom) {
		p.crash()
		p.start()
		return false
	}
	p.ops.put(ops)
	if meta != nil {
		p.ops.meta = meta
	}
	if act != "" {
		p.ops.acts[act], p.last = true, act
	}
	return true
}

func (p *Phone) clock() int64 { return p.world.now + p.off }

// act lets the person at a phone do one thing.
func (p *Phone) act() {
	if p.app == nil {
		p.start()
	}
	if why := p.app.ReadOnly(); why != "" && (why != opsync.WhyRole || !p.world.hit(ViewerWrites)) {
		return
	}
	if p.world.faults[CrashPicture] > 0 && p.world.rng.IntN(4) == 0 {
		p.takePicture()
		return
	}
	name := p.world.label()
	if p.do(name) == late {
		p.world.later(p, name)
	}
	if p.app != nil && p.last == name && p.world.hit(NotAnswered) { // closed here; another tab asks the same again
		p.crash()
		p.openTab()
		p.world.later(p, name)
	}
}

// openTab is another tab of the phone that takes over.
func (p *Phone) openTab() {
	p.ops.turn++
	p.turn = p.ops.turn
	p.start()
}

type outcome string

const (
	kept outcome = "kept"
	none outcome = "none" // there was nothing to do, or no room, or the phone stopped
	late outcome = "late" // another tab has the turn
)

// do is one act of the person, all the way: written, kept, then sent. An act that is in the store by its
// name is not done twice.
func (p *Phone) do(name string) outcome {
	if p.ops.acts[name] {
		return kept
	}
	raw, err := laws.Act(p.world.rng, p.app.Log, p.dev, p.clock(), name)
	if errors.Is(err, opsync.ErrNothing) {
		return none
	}
	if err != nil {
		panic(fmt.Sprintf("seed %d: %s cannot write: %v", p.world.Seed, p.name, err))
	}
	return p.write(name, raw)
}

// edit is an operation, added to a log of the phone's, that sets one field.
func (p *Phone) edit(log *opsync.Log, label, thing, id, field, value string) []byte {
	return p.editAs(p.dev, log, label, thing, id, field, value)
}

func (p *Phone) editAs(dev opsync.Device, log *opsync.Log, label, thing, id, field, value string) []byte {
	raw, err := log.Write(dev, p.clock(), opsync.KindEdit, label, []opsync.Edit{{Thing: thing, ID: id,
		Set: map[string]json.RawMessage{field: json.RawMessage(value)}}})
	if err != nil {
		panic(fmt.Sprintf("seed %d: %s cannot write: %v", p.world.Seed, p.name, err))
	}
	return raw
}

func (p *Phone) write(name string, raw []byte) outcome {
	if p.world.hit(CrashWrite) {
		p.crash()
		return none
	}
	if old := p.turn != p.ops.turn; !p.keep([][]byte{raw}, nil, name) {
		if old {
			return late
		}
		return none
	}
	p.world.log("%s writes %s", p.name, raw)
	if o, err := opsync.Decode(raw); err == nil && o.Kind != opsync.KindUndo && o.Kind != opsync.KindAgain {
		p.world.Kept[o.Label] = p
	}
	if p.world.hit(CrashStored) {
		p.crash()
		return kept
	}
	p.send(p.app.Push())
	return kept
}
