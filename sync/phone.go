package opsync

import (
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
		p.kept.Former = append(p.kept.Former, p.kept.Device)
		p.kept.Device, p.kept.Acked, p.kept.Twin = dev, 0, false
	}
	if role != "" {
		p.kept.Role = role
	}
	dropped, there := p.kept.droppedSet(), map[string]bool{}
	for _, raw := range ops {
		if o, err := decode(raw, p.Log.words); err != nil {
			p.damaged++
		} else if there[o.Hash] = true; !dropped[o.Hash] {
			p.waiting = append(p.waiting, o)
		}
	}
	p.settle()
	p.damaged += len(p.waiting)
	p.resume(there)
	for _, was := range p.kept.Was {
		p.adopt(was)
	}
	return p, nil
}

// resume goes on where a phone stopped between taking operations out and writing them anew. Those that
// still lie in the store, there says which, are in the log again and fare as they did the first time.
func (p *Phone) resume(there map[string]bool) {
	p.kept.Dropped = slices.DeleteFunc(p.kept.Dropped, func(hash string) bool { return !there[hash] })
	for _, raw := range p.kept.Again {
		if o, err := decode([]byte(raw), p.Log.words); err == nil && !there[o.Hash] && p.wrote(o) {
			p.again = append(p.again, o)
		}
	}
	if len(p.again) > 0 {
		p.born = p.bornIn(p.again)
	}
}

// adopt takes over what this phone wrote under a number it had before and did not hand in. It is
// written anew when the server has said welcome under the new one.
func (p *Phone) adopt(was formerDevice) {
	if p.Log.Op(OpID{was.Device, was.Acked + 1}) == nil {
		return
	}
	now, acked := p.Dev, p.kept.Acked
	p.Dev = was.Device
	p.cutOut(OpID{was.Device, was.Acked + 1}, nobody, "", "")
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
	frames = p.vouch()
	for _, o := range p.Log.order {
		own := o.ID.Device == p.Dev
		if o.ID.Seq > p.pushed[o.ID.Device] && (own || p.kept.Role.Writes()) {
			raws = append(raws, o.Raw)
		}
	}
	for d, n := range p.Log.Seen() {
		p.pushed[d] = max(p.pushed[d], n)
	}
	for _, b := range opsMessages(msgPush, raws, nil) {
		frames = append(frames, string(b))
	}
	return frames
}

// Unsent counts own operations the server has not said it stored.
func (p *Phone) Unsent() int {
	seq, _ := p.Log.Head(p.Dev)
	return int(seq-min(p.kept.Acked, seq)) + len(p.again)
}

// Coming says that there is more at the server than is here: this phone has never met it, or is still being told.
func (p *Phone) Coming() bool { return p.goal != nil || p.kept.Epoch == "" && len(p.Log.Seen()) == 0 }

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
	case seq < p.kept.Acked || slices.ContainsFunc(p.waiting, p.wrote):
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
