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

	kept      meta
	open      bool            // the socket is open and the hub has said welcome
	pushed    Vector          // what the hub has, or is on its way there, in this connection
	waiting   []*Op           // from the store, still missing what they follow
	goal      Vector          // what the hub had at its welcome; nil once it is all here
	doubt     map[Device]bool // devices whose chain here differs from the hub's
	asked     bool            // hello was said again in this connection for something missing
	overAgain bool            // everything was asked for again in this connection
	again     []*Op           // own operations to be written anew
	refused   OpID            // the one just refused
	born      map[string]bool // IDs of things they brought
	damaged   int
}

// OpenPhone makes a phone from what its store kept: operations in any order, meta as last returned
// (nil at first). Operations that cannot be read are passed over: the server hands them out again.
// Keep Meta() before anything is written: it knows then which device number the phone has.
func OpenPhone(site string, dev Device, role Role, kept []byte, ops [][]byte) (*Phone, error) {
	if dev == 0 || dev > MaxDevice {
		return nil, refuse(WhyDevice, "this phone has no device number on this site; pair it again")
	}
	p := &Phone{Log: NewLog(), Site: site, Dev: dev, kept: meta{Role: role, Device: dev}, doubt: map[Device]bool{}}
	if err := p.kept.read(kept); err != nil {
		return nil, err
	}
	if p.kept.Device != dev { // paired anew
		p.kept.Was = append(p.kept.Was, formerDevice{p.kept.Device, p.kept.Acked})
		p.kept.Device, p.kept.Acked, p.kept.Twin = dev, 0, false
	}
	if role != "" {
		p.kept.Role = role
	}
	dropped := p.kept.droppedSet()
	for _, raw := range ops {
		if o, err := decode(raw, p.Log.words); err != nil {
			p.damaged++
		} else if !dropped[o.Hash] {
			p.waiting = append(p.waiting, o)
		}
	}
	p.settle()
	p.damaged += len(p.waiting)
	for _, was := range p.kept.Was {
		p.adopt(was)
	}
	return p, nil
}

// adopt takes over what this phone wrote under a number it had before and did not hand in. It is
// written anew when the server has said welcome under the new one.
func (p *Phone) adopt(was formerDevice) {
	if p.Log.Op(OpID{was.Device, was.Acked + 1}) == nil {
		return
	}
	now, acked := p.Dev, p.kept.Acked
	p.Dev = was.Device
	p.cutOut(OpID{was.Device, was.Acked + 1}, func(*Op) bool { return false }, "", "")
	p.Dev, p.kept.Acked = now, acked
}

// settle adds what was waiting for something else and can be added now.
func (p *Phone) settle() (added int) {
	slices.SortFunc(p.waiting, (*Op).compare)
	p.waiting = slices.DeleteFunc(p.waiting, func(o *Op) bool {
		ok, err := p.Log.add(o)
		if ok {
			added++
		}
		return err == nil
	})
	return added
}

// Damaged counts operations of the store that could not be added when the phone was opened.
func (p *Phone) Damaged() int { return p.damaged }

// Role returns what this device may do, as the server last said.
func (p *Phone) Role() Role { return p.kept.Role }

// Connected tells that the socket is open, and returns the hello.
func (p *Phone) Connected() (frames []string) {
	p.open, p.pushed, p.asked, p.overAgain = false, nil, false, false
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
		if o.ID.Seq > p.pushed[o.ID.Device] && (own || p.kept.Role.Writes()) {
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
	return int(seq-min(p.kept.Acked, seq)) + len(p.again)
}

// Acked says how far the server has stored the phone's own chain.
func (p *Phone) Acked() uint32 { return p.kept.Acked }

// Epoch names the server's store as last met. It changes when the store was restored from a backup.
func (p *Phone) Epoch() string { return p.kept.Epoch }

// ReadOnly says why nothing may be written, "" when writing is fine: WhyRole for a viewer, WhySchema
// when the site has changes of a later program, WhyBehind when this phone's store lost changes of its
// own that the server has: it gets them with the next connection.
func (p *Phone) ReadOnly() string {
	seq, _ := p.Log.Head(p.Dev)
	switch {
	case seq < p.kept.Acked || slices.ContainsFunc(p.waiting, func(o *Op) bool { return o.ID.Device == p.Dev }):
		return WhyBehind
	case !p.kept.Role.Writes():
		return WhyRole
	case p.Log.State().NeedsNewer():
		return WhySchema
	}
	return ""
}

// Twin says that another phone writes with this phone's number, as if one were a copy of the other.
// Nothing is lost by it, but this phone should be paired again.
func (p *Phone) Twin() bool { return p.kept.Twin }

// Skew returns how far the phone's clock is ahead of the server's, in milliseconds, when known.
func (p *Phone) Skew() (ms int64, known bool) { return p.kept.Skew, p.kept.Skewed }

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
	r.Frames = append(r.Frames, p.Push()...)
	return nil
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
		if o.ID.Device == p.Dev {
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
	p.cutOut(id, func(*Op) bool { return false }, "", "")
}

func (p *Phone) reject(m *message, r *Received) {
	id := OpID{m.Device, m.Seq}
	o := p.Log.Op(id)
	switch {
	case m.Seq == 0: // about the connection
		r.Say = m.Say
		p.open = false
	case o == nil || o.Hash != m.Hash: // about something that is not here any more
	case m.Why == WhyGap: // the hub has lost something
		p.sayHelloAgain(r)
	case m.Why == WhyFork:
		p.fork(id)
		p.asked = false
		p.sayHelloAgain(r)
	case m.Why == WhyStamp && p.startOver(r): // what it had seen is damaged here
	default:
		if id.Device == p.Dev {
			r.Say = m.Say
		}
		p.cutOut(id, func(k *Op) bool { return k == o }, m.Why, m.Say)
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
