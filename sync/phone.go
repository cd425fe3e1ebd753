package opsync

import (
	"errors"
	"maps"
	"slices"
	"strconv"
)

// Phone is a phone's side of the wire around its log. Write through Log, then send Push(). Nothing in
// here waits: every call says what to keep and what to send, and the log is the outbox.
type Phone struct {
	Log  *Log
	Site string
	Dev  Device

	kept    meta
	open    bool     // the socket is open and the hub has said welcome
	pushed  Vector   // what the hub has, or is on its way there, in this connection
	waiting [][]byte // from the store, still missing what they follow
	doubt   map[Device]bool
	damaged int
}

// OpenPhone makes a phone from what its store kept: operations in any order, meta as last returned
// (nil at first). Operations that cannot be read are passed over: the server hands them out again.
func OpenPhone(site string, dev Device, role Role, kept []byte, ops [][]byte) (*Phone, error) {
	if dev == 0 || dev > MaxDevice {
		return nil, refuse(WhyDevice, "this phone has no device number on this site; pair it again")
	}
	p := &Phone{Log: NewLog(), Site: site, Dev: dev, kept: meta{Role: role, Device: dev}, doubt: map[Device]bool{}}
	if err := p.kept.read(kept); err != nil {
		return nil, err
	}
	if p.kept.Device != dev { // paired anew: the number is another one, what was refused stays to be seen
		p.kept.Device, p.kept.Acked, p.kept.Fork = dev, 0, false
	}
	if role != "" {
		p.kept.Role = role
	}
	dropped := p.kept.droppedSet()
	for _, raw := range ops {
		if !dropped[HashOf(raw)] {
			p.waiting = append(p.waiting, raw)
		}
	}
	p.settle()
	p.damaged = len(p.waiting)
	return p, nil
}

// settle adds what was waiting for something else and can be added now.
func (p *Phone) settle() (added int) {
	if len(p.waiting) == 0 {
		return 0
	}
	added, _ = p.Log.AddAll(p.waiting)
	p.waiting = slices.DeleteFunc(p.waiting, func(raw []byte) bool {
		o, err := Decode(raw)
		return err == nil && p.Log.Op(o.ID) != nil
	})
	return added
}

// Damaged counts operations of the store that could not be added when the phone was opened.
func (p *Phone) Damaged() int { return p.damaged }

// Role returns what this device may do, as the server last said.
func (p *Phone) Role() Role { return p.kept.Role }

// Connected tells that the socket is open, and returns the hello.
func (p *Phone) Connected() (frames []string) {
	p.open, p.pushed = false, nil
	return []string{string(p.hello())}
}

// Cut tells that the socket is closed.
func (p *Phone) Cut() { p.open, p.pushed = false, nil }

func (p *Phone) hello() []byte {
	seen := p.Log.Seen()
	for d := range p.doubt {
		delete(seen, d)
	}
	_, head := p.Log.Head(p.Dev)
	b := appendInt(appendInt(begin(msgHello), "proto", Proto), "schema", Schema)
	b = appendText(appendText(b, "site", p.Site), "epoch", p.kept.Epoch)
	b = appendInt(appendText(appendSeen(b, seen), "head", head), "acked", int64(p.kept.Acked))
	return append(b, '}')
}

// Push returns the frames that hand in what the hub does not have; none while not connected.
func (p *Phone) Push() (frames []string) {
	if !p.open {
		return nil
	}
	var raws [][]byte
	for _, o := range p.Log.order {
		own := o.ID.Device == p.Dev
		if o.ID.Seq > p.pushed[o.ID.Device] && (own && !p.kept.Fork || !own && p.kept.Role.Writes()) {
			raws = append(raws, o.Raw)
		}
	}
	for d, n := range p.Log.Seen() {
		p.pushed[d] = max(p.pushed[d], n)
	}
	for _, b := range opsMessages(msgPush, raws) {
		frames = append(frames, string(b))
	}
	return frames
}

// Unsent counts own operations the server has not said it stored.
func (p *Phone) Unsent() int {
	seq, _ := p.Log.Head(p.Dev)
	return int(seq - min(p.kept.Acked, seq))
}

// Acked says how far the server has stored the phone's own chain.
func (p *Phone) Acked() uint32 { return p.kept.Acked }

// Epoch names the server's store as last met. It changes when the store was restored from a backup.
func (p *Phone) Epoch() string { return p.kept.Epoch }

// ReadOnly says why nothing may be written, "" when writing is fine: WhyRole for a viewer, WhySchema
// when the site has changes of a later program, WhyFork when this device's number is in use twice.
func (p *Phone) ReadOnly() string {
	switch {
	case p.kept.Fork:
		return WhyFork
	case !p.kept.Role.Writes():
		return WhyRole
	case p.Log.State().NeedsNewer():
		return WhySchema
	}
	return ""
}

// Skew returns how far the phone's clock is ahead of the server's, in milliseconds, when known.
func (p *Phone) Skew() (ms int64, known bool) { return p.kept.Skew, p.kept.Skewed }

// Received is what one message from the server asks for. Keep Store and Meta (strictly) before
// anything is shown or Frames is sent.
type Received struct {
	Store   [][]byte          // operations to keep
	Meta    []byte            // to keep; nil when unchanged
	Frames  []string          // to send
	Changed bool              // the state is another one
	Names   map[string]string // device number -> name, when the server told
	Role    Role              // as the server says now; empty when unchanged
	Say     string            // a sentence from the server for the person, when there is one
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
	case msgWait:
		r.Say = m.Say
		p.open = false // keep everything; the next hello settles what the hub has
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
	p.pushed, p.open = m.vector(), true
	own, _ := p.Log.Head(p.Dev)
	p.kept.Acked = min(p.pushed[p.Dev], own) // a server gone backwards has less than it had
	r.Frames = append(r.Frames, p.Push()...)
	return nil
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
	for _, raw := range m.Ops {
		o, err := decode(raw, p.Log.words)
		if err != nil {
			return err
		}
		if err := p.take(o, r); err != nil {
			return err
		}
	}
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
		p.fork(o.ID, r)
		added, err = p.Log.add(o)
	}
	if errors.Is(err, ErrGap) && len(p.doubt) > 0 {
		return nil // it comes again with the chain that was asked for
	}
	if err != nil {
		return err
	}
	if added {
		r.Store, r.Changed = append(r.Store, o.Raw), true
		p.kept.undrop(o.Hash)
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

// ask says hello anew without what it has of a device, once.
func (p *Phone) ask(d Device, r *Received) {
	if !p.doubt[d] {
		p.doubt[d] = true
		p.open = false
		r.Frames = append(r.Frames, string(p.hello()))
	}
}

// fork is called when the hub has another operation under a number than this phone. The hub's stands.
// If it is the phone's own number, somebody else writes with it: a copy of this phone. What this one
// wrote since is put aside to be seen, and it must be paired anew before it writes again.
func (p *Phone) fork(id OpID, r *Received) {
	if id.Device == p.Dev {
		p.kept.Fork = true
		p.kept.Acked = min(p.kept.Acked, id.Seq-1)
	}
	p.cutOut(id, WhyFork, forkSentence, r)
}

const forkSentence = "Another phone writes with this phone's number, as if one were a copy of the other. " +
	"These changes are kept here but not on the server. Pair this phone again, then take them in again."

func (p *Phone) reject(m *message, r *Received) {
	id := OpID{m.Device, m.Seq}
	o := p.Log.Op(id)
	switch {
	case m.Seq == 0: // about the connection
		r.Say = m.Say
		p.open = false
	case o == nil || o.Hash != m.Hash: // about something that is not here any more
	case m.Why == WhyGap: // the hub has lost something: start over
		p.open = false
		r.Frames = append(r.Frames, string(p.hello()))
	case m.Why == WhyFork:
		p.fork(id, r)
		p.open = false
		r.Frames = append(r.Frames, string(p.hello()))
	default:
		if id.Device == p.Dev {
			r.Say = m.Say
		}
		p.cutOut(id, m.Why, m.Say, r)
		r.Frames = append(r.Frames, p.Push()...)
	}
}

// Rejected returns what the server refused, kept to be shown; oldest first.
func (p *Phone) Rejected() []RejectedOp {
	var list []RejectedOp
	for _, k := range p.kept.Rejected {
		if o, err := Decode([]byte(k.Op)); err == nil {
			list = append(list, RejectedOp{Op: o, Why: k.Why, Say: k.Say})
		}
	}
	return list
}

// RejectedOp is an operation the server refused, with its reason.
type RejectedOp struct {
	Op  *Op
	Why string // a code: WhyRole, ...
	Say string // a sentence
}

// Forget drops a refused operation from the list, once it has been seen.
func (p *Phone) Forget(hash string) {
	p.kept.Rejected = slices.DeleteFunc(p.kept.Rejected, func(k keptReject) bool { return HashOf([]byte(k.Op)) == hash })
}

func deviceName(d Device) string { return strconv.FormatUint(uint64(d), 10) }
