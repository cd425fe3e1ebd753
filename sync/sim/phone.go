package sim

import (
	"errors"
	"fmt"

	"batterboard/sync"
	"batterboard/sync/laws"
)

// Phone is one phone: the app while it runs, and its store, which survives it.
type Phone struct {
	world *World
	name  string
	dev   opsync.Device
	role  opsync.Role
	off   int64 // how far its clock is ahead
	app   *opsync.Phone
	ops   [][]byte
	meta  []byte
	wire  *wire
	lost  bool // its store was damaged or emptied
}

// start opens the app from the store.
func (p *Phone) start() {
	app, err := opsync.OpenPhone("laundry", p.dev, "", p.meta, p.ops)
	if err != nil {
		panic(fmt.Sprintf("seed %d: %s does not open: %v", p.world.Seed, p.name, err))
	}
	if app.Role() == "" {
		app, _ = opsync.OpenPhone("laundry", p.dev, p.role, p.meta, p.ops)
	}
	p.app = app
	p.meta = app.Meta()
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
	if p.wire != nil {
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
	p.keep(r.Store, r.Meta)
	p.note(frame)
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

func (p *Phone) keep(ops [][]byte, meta []byte) {
	p.ops = append(p.ops, ops...)
	if meta != nil {
		p.meta = meta
	}
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
	p.write(func() ([]byte, error) {
		return laws.Act(p.world.rng, p.app.Log, p.dev, p.clock(), p.world.label())
	})
}

// write is one act of the person, all the way: written, kept, then sent.
func (p *Phone) write(do func() ([]byte, error)) {
	raw, err := do()
	if errors.Is(err, opsync.ErrNothing) {
		return
	}
	if err != nil {
		panic(fmt.Sprintf("seed %d: %s cannot write: %v", p.world.Seed, p.name, err))
	}
	if p.world.hit(CrashWrite) {
		p.crash()
		return
	}
	p.keep([][]byte{raw}, nil)
	p.world.log("%s writes %s", p.name, raw)
	if p.world.hit(CrashStored) {
		p.crash()
		return
	}
	p.send(p.app.Push())
}
