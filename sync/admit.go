package opsync

import (
	"bytes"
	"errors"
	"slices"
)

// push takes operations in. What is refused is answered at once; what came after it in its chain can
// only be refused as well, so the rest of that chain is passed over in silence: the phone writes it
// anew when it hears.
func (h *Hub) push(c Conn, k *hubConn, m *message) (w Work) {
	refused := map[Device]bool{}
	again := uint32(0)
	for _, raw := range m.Ops {
		o, err := Decode(raw)
		if err != nil { // what came before it is taken all the same
			no := h.dismiss(c, codeOf(err), err.Error())
			w.Now, w.Close = append(w.Now, no.Now...), no.Close
			return w
		}
		if refused[o.ID.Device] {
			continue
		}
		if !h.start.Restored && h.misses(k, o) {
			h.backwards(&w)
		}
		fresh, err := h.take(c, k, o)
		switch {
		case err != nil:
			refused[o.ID.Device] = true
			h.tell(c, rejectMessage(o.ID, o.Hash, codeOf(err), sentence(err)), &w)
		case fresh:
			w.Store = append(w.Store, o)
		case o.ID.Device == k.device:
			again = o.ID.Seq
		}
	}
	if again == 0 {
		return w
	}
	if stored := h.Seen()[k.device]; stored > 0 { // handed in again: say again what is stored
		h.tell(c, h.ackMessage(h.op(OpID{k.device, min(again, stored)})), &w)
	}
	return w
}

// misses says that an operation that continues its chain has seen what is not here, or, where not all was
// sealed, that it is another device's. What is not stored is told to nobody, so it was stored once: the
// store went backwards.
func (h *Hub) misses(k *hubConn, o *Op) bool {
	seq, hash := h.head(o.ID.Device)
	if !k.role.Writes() || o.ID.Seq != seq+1 || o.Prev != hash {
		return false
	}
	return o.ID.Device != k.device && h.unsealed() && !h.chain(o.ID.Device).wrote ||
		slices.ContainsFunc(o.Seen, func(id OpID) bool { return h.op(id) == nil })
}

// backwards: from here on the hub takes what it misses from whoever has it.
func (h *Hub) backwards(w *Work) { h.start.Restored, w.Epoch = true, true }

func sentence(err error) string {
	if errors.Is(err, ErrFork) {
		return "Another phone writes with this phone's number, as if one were a copy of the other. Nothing is lost; pair this phone again."
	}
	return err.Error()
}

// take checks one operation and accepts it. False without an error: it is there already.
func (h *Hub) take(c Conn, k *hubConn, o *Op) (fresh bool, err error) {
	if have := h.op(o.ID); have != nil {
		if have.hash == o.Hash {
			return false, nil
		}
		return false, ErrFork
	}
	if err := h.allowed(k, o); err != nil {
		return false, err
	}
	seq, hash := h.head(o.ID.Device)
	if err := o.follows(seq, hash, h.stamp); err != nil {
		return false, err
	}
	if o.ID.Device == k.device {
		h.chain(o.ID.Device).wrote = true
	}
	h.accept(o, bytes.Clone(o.Raw), c) // one small operation must not keep the whole message it came in
	return true, nil
}

func (h *Hub) allowed(k *hubConn, o *Op) error {
	switch {
	case !k.role.Writes():
		return refuse(WhyRole, "This phone may look at the site but not change it. Ask the owner to make it a second hand.")
	case o.ID.Device != k.device && !h.speaksFor(o):
		return refuse(WhyDevice, "This change was written by another phone; that phone has to hand it in itself.")
	case len(h.order) >= MaxSiteOps || h.bytes+len(o.Raw) > MaxSiteBytes:
		return refuse(WhyFull, "This site has reached what the server keeps for one site. Export it and go on in a new one; what is here stays.")
	}
	return o.checkShapes()
}

func (h *Hub) ackMessage(o *hubOp) []byte {
	return append(appendText(appendInt(begin(msgAck), "s", int64(o.id.Seq)), "h", o.hash), '}')
}

// Stored tells that the next n operations handed out in Work.Store are on disk, and returns the acks
// and the fan-out: one frame for all of them, shared by everybody.
func (h *Hub) Stored(n int) (out []Send) {
	done := h.order[h.stored : h.stored+n]
	h.stored += n
	if n == 0 {
		return nil
	}
	acks := map[Conn]*hubOp{}
	var authors []Conn
	for _, o := range done {
		if k := h.conns[o.from]; k != nil && k.device == o.id.Device {
			if acks[o.from] == nil {
				authors = append(authors, o.from)
			}
			acks[o.from] = o
		}
	}
	for _, c := range authors {
		out = append(out, Send{[]Conn{c}, h.ackMessage(acks[c])})
	}
	to := h.ready
	if from := done[0].from; !slices.ContainsFunc(done, func(o *hubOp) bool { return o.from != from }) {
		to = slices.DeleteFunc(slices.Clone(to), func(c Conn) bool { return c == from })
	}
	for _, o := range done {
		o.from = 0
	}
	if len(to) == 0 {
		return out
	}
	for _, frame := range h.opsMessages(done) {
		out = append(out, Send{to, frame})
	}
	return out
}

// NotStored tells that what was handed out and not yet stored could not be. It is forgotten, and the
// phones that handed it in are told to keep it, with the sentence say; they say hello again later.
func (h *Hub) NotStored(say string) (out []Send) {
	lost := h.order[h.stored:]
	var to []Conn
	for _, o := range lost {
		c := h.chains[o.id.Device]
		c.ops = c.ops[:min(len(c.ops), int(o.id.Seq-1))]
		h.bytes -= len(o.raw)
		if !slices.Contains(to, o.from) && h.conns[o.from] != nil {
			to = append(to, o.from)
		}
	}
	h.order = h.order[:h.stored]
	if len(to) == 0 {
		return nil
	}
	frame := append(appendText(appendText(begin(msgWait), "why", WhyStore), "say", say), '}')
	return []Send{{to, frame}}
}
