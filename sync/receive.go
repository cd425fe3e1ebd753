package opsync

import (
	"errors"
	"maps"
)

// Received is what one message from the server asks for. Keep Store and Meta (strictly) before
// anything is shown or Frames is sent. Keep them also when there is an error: the good part of the
// message is in the log. Close the connection then, and open another.
type Received struct {
	Store   [][]byte          // operations to keep
	Meta    []byte            // to keep; nil when unchanged
	Frames  []string          // to send
	Changed bool              // the state is another one
	Names   map[string]string // device number -> name, when the server told
	Role    Role              // as the server says now; empty when unchanged
	Say     string            // a sentence from the server for the person, when there is one
	Why     string            // its code, for saying it in another language
	Want    []string          // names of picture files the server lacks: hand in those that are here
}

// Receive takes one message from the server.
func (p *Phone) Receive(frame string) (Received, error) { return p.ReceiveAt(frame, 0) }

// ReceiveAt is Receive with the phone's clock in milliseconds since 1970 UTC, to learn how far it is off.
func (p *Phone) ReceiveAt(frame string, wall int64) (r Received, err error) {
	m, err := readMessage([]byte(frame), MaxSnapshotFrame)
	if err != nil {
		return r, err
	}
	before := p.Meta()
	switch m.M {
	case msgWelcome:
		err = p.welcome(m, wall, &r)
	case msgOps:
		err = p.ops(m, &r)
	case msgSnapshot:
		err = p.snapshot(m, &r)
	case msgAck:
		p.ack(m)
	case msgReject:
		p.reject(m, &r)
	case msgNames:
		p.names(m, &r)
	case msgWant:
		r.Want = wanted(m.Files)
	case msgWait:
		r.Say, r.Why = m.Say, m.Why
		p.open = false // keep everything; the next hello settles what the hub has
	}
	if p.open {
		p.salvage()
	}
	if p.open || m.M == msgReject {
		p.rewrite(&r)
	}
	if after := p.Meta(); string(after) != string(before) {
		r.Meta = after
	}
	return r, err
}

func (p *Phone) welcome(m *message, wall int64, r *Received) error {
	if m.Proto != Proto {
		return refuse(WhySchema, "the server speaks another version; reload to get the current one. Everything is safe on this phone")
	}
	if m.Site != p.Site || m.Device != p.Dev {
		return refuse(WhySite, "the server answered for another site or device. Everything is safe on this phone")
	}
	if m.Role != p.kept.Role && m.Role != "" {
		p.kept.Role, r.Role = m.Role, m.Role
	}
	if wall != 0 && m.Wall != 0 {
		p.kept.Skew, p.kept.Skewed = wall-m.Wall, true
	}
	p.names(m, r)
	p.kept.Epoch = m.Epoch
	p.pushed, p.goal, p.open = m.vector(), m.vector(), true
	p.stored(p.pushed[p.Dev], m.Head)
	if !p.kept.Role.Writes() {
		p.mirror(r)
	}
	p.compare(m, r)
	p.welcomeSeals(m)
	r.Frames = append(r.Frames, p.Push()...)
	return nil
}

// compare asks for the chain of every device of which something else is here than at the hub under the same
// number: its phone wrote anew what a store that went backwards would not have, and this one has what was before.
func (p *Phone) compare(m *message, r *Received) {
	if len(m.Heads) != len(m.Seen) {
		return
	}
	for i, s := range m.Seen {
		id := OpID{Device(s[0]), s[1]}
		if o := p.Log.Op(id); o != nil && o.Hash != m.Heads[i] && id.Device != p.Dev && !p.doubt[id.Device] {
			p.ask(id.Device, r)
		}
	}
}

// mirror drops, on a viewer's phone, what others wrote and the hub does not have: a store that went
// backwards gets it from a writer's phone, or nobody has it but this one, which may not hand it in.
func (p *Phone) mirror(r *Received) {
	for _, c := range p.Log.chains { // of the log as it is: cutOut makes another
		next := OpID{c.device, p.pushed[c.device] + 1}
		if o := p.Log.Op(next); o != nil && !p.wrote(o) {
			p.cutOut(next, nobody, "", "")
			r.Changed = true
		}
	}
}

// stored takes the hub's word for how much of the phone's own chain it has: less than before, when
// the server went backwards. It counts only where the hash says it is the same chain.
func (p *Phone) stored(n uint32, head string) {
	own, _ := p.Log.Head(p.Dev)
	if o := p.Log.Op(OpID{p.Dev, n}); o != nil && o.Hash == head || n == 0 && own >= p.kept.Acked {
		p.kept.Acked = n
	}
}

func (p *Phone) names(m *message, r *Received) {
	if m.Names != nil && !maps.Equal(m.Names, p.kept.Names) {
		p.kept.Names, r.Names = m.Names, m.Names
	}
}

// Names returns device number -> name as the server last told.
func (p *Phone) Names() map[string]string { return p.kept.Names }

func (p *Phone) ack(m *message) {
	if o := p.Log.Op(OpID{p.Dev, m.Seq}); o != nil && o.Hash == m.Hash {
		p.kept.Acked = max(p.kept.Acked, m.Seq)
	}
}

func (p *Phone) ops(m *message, r *Received) error {
	ops := make([]*Op, 0, len(m.Ops))
	for _, raw := range m.Ops {
		o, err := decode(raw, p.Log.words)
		if err != nil {
			return err
		}
		if err := p.take(o, r); err != nil {
			return err
		}
		ops = append(ops, o)
	}
	p.sealed(ops, m.Seals)
	p.afterTaking(r)
	return nil
}

func (p *Phone) snapshot(m *message, r *Received) error {
	ops, err := openSnapshot(m.Packed, p.Log.words)
	if err != nil {
		return err
	}
	for _, o := range ops {
		if err := p.take(o, r); err != nil {
			return err
		}
	}
	p.sealed(ops, m.Seals)
	p.afterTaking(r)
	return nil
}

// take adds one operation the hub stored.
func (p *Phone) take(o *Op, r *Received) error {
	added, err := p.Log.add(o)
	if errors.Is(err, ErrFork) {
		if p.Log.Op(o.ID) == nil { // ours differ before this one: ask for that device's chain from the start
			p.ask(o.ID.Device, r)
			return nil
		}
		p.fork(o.ID)
		r.Changed = true
		added, err = p.Log.add(o)
	}
	if errors.Is(err, ErrGap) && (len(p.doubt) > 0 || !p.asked) {
		p.sayHelloAgain(r) // something before it got lost on the way: it comes again
		return nil
	}
	if err != nil && p.startOver(r) {
		return nil
	}
	if err != nil {
		return err
	}
	if added {
		r.Store, r.Changed = append(r.Store, o.Raw), true
		p.kept.undrop(o.Hash)
		p.kept.takenAfterAll(o)
	}
	delete(p.doubt, o.ID.Device)
	if p.pushed != nil {
		p.pushed[o.ID.Device] = max(p.pushed[o.ID.Device], o.ID.Seq)
	}
	if o.ID.Device == p.Dev {
		p.kept.Acked = max(p.kept.Acked, o.ID.Seq)
	}
	return nil
}

func (p *Phone) afterTaking(r *Received) {
	if p.settle() > 0 {
		r.Changed = true
		r.Frames = append(r.Frames, p.Push()...)
	}
}

// salvage gives up waiting once everything the hub has is here: operations of this phone's store that
// still miss what they follow never get it. Their edits are written anew; others' are the hub's affair.
func (p *Phone) salvage() {
	for d, n := range p.goal {
		if seq, _ := p.Log.Head(d); seq < n {
			return
		}
	}
	p.goal = nil
	for _, o := range p.waiting {
		if p.wrote(o) {
			p.again = append(p.again, o)
		} else {
			p.kept.Dropped = append(p.kept.Dropped, o.Hash)
		}
	}
	if len(p.waiting) > 0 {
		p.waiting = nil
		p.born = p.bornIn(p.again)
	}
}

// ask says hello again, as if it had nothing of a device.
func (p *Phone) ask(d Device, r *Received) {
	if !p.doubt[d] {
		p.doubt[d], p.asked = true, false
	}
	p.sayHelloAgain(r)
}

// startOver asks for everything again, once a connection: what the hub says does not fit to what is
// here, so something here was damaged without showing.
func (p *Phone) startOver(r *Received) bool {
	if p.overAgain {
		return false
	}
	p.overAgain, p.asked = true, false
	for d := range p.Log.Seen() {
		p.doubt[d] = true
	}
	p.sayHelloAgain(r)
	return true
}

// sayHelloAgain starts over within the connection, once.
func (p *Phone) sayHelloAgain(r *Received) {
	p.open = false
	if !p.asked {
		p.asked = true
		r.Frames = append(r.Frames, string(p.hello()))
	}
}

// fork is called when the hub has another operation under a number than this phone. The hub's stands,
// and the phone writes its own anew. If it is the phone's own number, a copy of it is about.
func (p *Phone) fork(id OpID) {
	p.kept.Twin = p.kept.Twin || id.Device == p.Dev && p.kept.Acked >= 1
	p.cutOut(id, nobody, "", "")
}

func (p *Phone) reject(m *message, r *Received) {
	id := OpID{m.Device, m.Seq}
	o := p.Log.Op(id)
	switch {
	case m.Seq == 0: // about the connection
		r.Say, r.Why = m.Say, m.Why
		p.open = false
	case o == nil || o.Hash != m.Hash: // about something that is not here any more
	case m.Why == WhyGap: // the hub has lost something
		p.sayHelloAgain(r)
	case m.Why == WhyFork:
		p.fork(id)
		p.asked = false
		p.sayHelloAgain(r)
	case m.Why == WhyStamp && p.startOver(r): // what it had seen is not what the hub has
	case m.Why == WhyDevice && id.Seq <= p.kept.Seals[id.Device].Seq && !(p.open && p.asked): // what vouches for it may have got lost on the way
		p.sayHelloAgain(r)
	case m.Why == WhyDevice && id.Device != p.Dev: // kept to be seen, until its own phone hands it in
		p.cutOut(id, func(o *Op) bool { return !p.wrote(o) }, m.Why, m.Say)
	case m.Why == WhyStamp, m.Why == WhyDevice: // not for what it says: it can be said anew
		p.cutOut(id, nobody, "", "")
	case m.Why == WhyRole, m.Why == WhyFull: // what follows would fare no better
		r.Say, r.Why = m.Say, m.Why
		p.cutOut(id, p.wrote, m.Why, m.Say)
	default:
		if id.Device == p.Dev {
			r.Say, r.Why = m.Say, m.Why
		}
		p.cutOut(id, func(k *Op) bool { return k == o }, m.Why, m.Say)
	}
}
