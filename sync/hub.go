package opsync

import (
	"compress/flate"
	"errors"
	"slices"
)

// Conn names a connection; the server chooses the numbers.
type Conn uint64

// HubStart is what the server knows when it opens a site.
type HubStart struct {
	Site  string
	Epoch string // a random word, minted when the store was made, and anew when it was restored from a backup
	// Restored says that the store may lack operations that phones have: they are taken from any
	// writer's phone, not only from their author's.
	Restored bool
}

// Hub is the server's side for one site: it checks what phones hand in, says what to store and whom
// to tell what. It never folds and never plans. Not safe for concurrent use.
type Hub struct {
	start  HubStart
	chains map[Device]*hubChain
	order  []*hubOp // as accepted; order[:stored] are on disk
	stored int
	bytes  int
	conns  map[Conn]*hubConn
	ready  []Conn // those that said hello, sorted
	names  map[Device]string
	parts  [][]byte // packed messages for newcomers, over order[:packed]
	packed int
}

type hubChain struct {
	ops []*hubOp
	// wrote says that the device itself handed something in since the hub was opened: nobody else
	// speaks for it then.
	wrote bool
}

// hubOp is what the hub keeps of an operation in memory.
type hubOp struct {
	id    OpID
	stamp Stamp
	raw   []byte
	hash  string
	from  Conn // who handed it in, until it is stored
}

type hubConn struct {
	device Device
	role   Role
	ready  bool // said hello
}

// NewHub returns the hub of a site without operations.
func NewHub(start HubStart) *Hub {
	return &Hub{start: start, chains: map[Device]*hubChain{}, conns: map[Conn]*hubConn{}, names: map[Device]string{}}
}

// Load takes one stored operation, in the order it was stored. The error says what is wrong with it:
// the store is damaged, and what is left can be served.
func (h *Hub) Load(raw []byte) error {
	o, err := Decode(raw)
	if err != nil {
		return err
	}
	if h.op(o.ID) != nil {
		return ErrFork
	}
	seq, hash := h.head(o.ID.Device)
	if err := o.follows(seq, hash, h.stamp); err != nil {
		return err
	}
	h.accept(o, 0)
	h.stored++
	return nil
}

func (h *Hub) op(id OpID) *hubOp {
	c := h.chains[id.Device]
	if c == nil || id.Seq == 0 || int(id.Seq) > len(c.ops) {
		return nil
	}
	return c.ops[id.Seq-1]
}

func (h *Hub) stamp(id OpID) (Stamp, bool) {
	if o := h.op(id); o != nil {
		return o.stamp, true
	}
	return Stamp{}, false
}

func (h *Hub) head(d Device) (seq uint32, hash string) {
	if c := h.chains[d]; c != nil && len(c.ops) > 0 {
		o := c.ops[len(c.ops)-1]
		return o.id.Seq, o.hash
	}
	return 0, ""
}

func (h *Hub) chain(d Device) *hubChain {
	if h.chains[d] == nil {
		h.chains[d] = &hubChain{}
	}
	return h.chains[d]
}

func (h *Hub) accept(o *Op, from Conn) {
	k := &hubOp{o.ID, o.Stamp, o.Raw, o.Hash, from}
	c := h.chain(o.ID.Device)
	c.ops = append(c.ops, k)
	h.order = append(h.order, k)
	h.bytes += len(o.Raw)
}

// Join tells of a connection whose device and role the server has checked; again to change its role.
func (h *Hub) Join(c Conn, dev Device, role Role) {
	k := h.conns[c]
	if k == nil {
		k = &hubConn{}
		h.conns[c] = k
	}
	k.device, k.role = dev, role
}

// Leave tells that a connection is gone.
func (h *Hub) Leave(c Conn) {
	if h.conns[c] != nil && h.conns[c].ready {
		h.ready = slices.DeleteFunc(slices.Clone(h.ready), func(o Conn) bool { return o == c })
	}
	delete(h.conns, c)
}

// Connections counts those that said hello.
func (h *Hub) Connections() int { return len(h.ready) }

// Work is what one message asks of the server: send Now at once, append Store and fsync it, then call
// Stored with the number of operations stored, in the order they were handed out over all messages.
type Work struct {
	Store []*Op
	Now   []Send
	Close string // close this connection, saying this
	// Epoch: a phone was told that more was stored than there is. The store went backwards unnoticed:
	// mint a new epoch, keep it with Restored set, call NewEpoch.
	Epoch bool
}

// Send is one frame to several connections. Neither is changed afterwards: both may be shared.
type Send struct {
	To    []Conn
	Frame []byte
}

// Receive takes one message of a connection. wall is the server's clock.
func (h *Hub) Receive(c Conn, frame []byte, wall int64) (w Work) {
	k := h.conns[c]
	if k == nil {
		return Work{Close: "not joined"}
	}
	m, err := readMessage(frame, MaxFrameBytes)
	if err != nil {
		return h.dismiss(c, codeOf(err), err.Error())
	}
	switch m.M {
	case msgHello:
		return h.hello(c, k, m, wall)
	case msgPush:
		if !k.ready {
			return h.dismiss(c, WhyForm, "a change before hello")
		}
		return h.push(c, k, m)
	}
	return Work{} // of a later version: passed over
}

// dismiss answers a message that makes no sense here and closes the connection.
func (h *Hub) dismiss(c Conn, why, say string) Work {
	return Work{Now: []Send{{[]Conn{c}, rejectMessage(OpID{}, "", why, say)}}, Close: say}
}

func (h *Hub) hello(c Conn, k *hubConn, m *message, wall int64) (w Work) {
	if m.Proto != Proto {
		return h.dismiss(c, WhySchema, "This app and the server speak different versions. Reload to get the current app; everything is safe on this phone.")
	}
	if m.Site != h.start.Site {
		return h.dismiss(c, WhySite, "This is another site's connection. Everything is safe on this phone.")
	}
	seen := m.vector()
	h.checkOwn(k.device, m, seen, &w)
	if !k.ready {
		k.ready = true
		i, _ := slices.BinarySearch(h.ready, c)
		h.ready = slices.Insert(slices.Clone(h.ready), i, c)
	}
	h.tell(c, h.welcome(k, wall), &w)
	for _, frame := range h.catchUp(seen) {
		h.tell(c, frame, &w)
	}
	return w
}

func (h *Hub) tell(c Conn, frame []byte, w *Work) {
	w.Now = append(w.Now, Send{[]Conn{c}, frame})
}

// checkOwn compares the phone's own chain with the stored one. Where they differ, a copy of the phone
// has written: the phone gets its chain from where the hub's word was last heard. Where the hub has
// less than it once said, the store went backwards.
func (h *Hub) checkOwn(d Device, m *message, seen Vector, w *Work) {
	stored := h.Seen()[d]
	if m.Acked > stored && m.Epoch == h.start.Epoch {
		h.backwards(w)
	}
	if n := seen[d]; n > 0 && n <= stored && h.op(OpID{d, n}).hash != m.Head {
		seen[d] = min(m.Acked, n-1)
	}
}

func (h *Hub) welcome(k *hubConn, wall int64) []byte {
	b := appendInt(appendInt(begin(msgWelcome), "proto", Proto), "schema", Schema)
	b = appendText(appendText(b, "site", h.start.Site), "epoch", h.start.Epoch)
	b = appendText(appendInt(b, "device", int64(k.device)), "role", string(k.role))
	seen := h.Seen()
	b = appendSeen(b, seen)
	if o := h.op(OpID{k.device, seen[k.device]}); o != nil {
		b = appendText(b, "head", o.hash)
	}
	return append(appendNames(appendInt(b, "wall", wall), h.names), '}')
}

// Seen says how much of each device's chain is stored.
func (h *Hub) Seen() Vector {
	v := Vector{}
	for d, c := range h.chains {
		if len(c.ops) > 0 {
			v[d] = uint32(len(c.ops))
		}
	}
	for _, o := range h.order[h.stored:] {
		v[o.id.Device] = min(v[o.id.Device], o.id.Seq-1)
		if v[o.id.Device] == 0 {
			delete(v, o.id.Device)
		}
	}
	return v
}

// snapshotFrom is the number of operations from which on they are sent packed.
const snapshotFrom = 100

// catchUp returns the messages that bring a phone up to what is stored. A newcomer gets parts packed
// once and kept; they may overlap with nothing it has.
func (h *Hub) catchUp(seen Vector) (frames [][]byte) {
	from := 0
	if len(seen) == 0 && h.stored >= snapshotFrom {
		frames, from = h.newcomer()
	}
	var raws [][]byte
	for _, o := range h.order[from:h.stored] {
		if o.id.Seq > seen[o.id.Device] {
			raws = append(raws, o.raw)
		}
	}
	if len(raws) < snapshotFrom {
		return append(frames, opsMessages(msgOps, raws)...)
	}
	return append(frames, snapshotMessages(h.decoded(raws), flate.DefaultCompression)...)
}

// Prepare packs what a newcomer gets, so that the first one need not wait for it: about 10 ms for a
// thousand operations, once. Call it when there is nothing better to do.
func (h *Hub) Prepare() {
	if h.stored >= snapshotFrom {
		h.newcomer()
	}
}

// newcomer returns the kept parts and how many operations they cover, packing more once enough have
// come together.
func (h *Hub) newcomer() (frames [][]byte, covered int) {
	const part = 10_000
	if h.packed == 0 || h.stored-h.packed >= part {
		var raws [][]byte
		for _, o := range h.order[h.packed:h.stored] {
			raws = append(raws, o.raw)
		}
		h.parts = append(h.parts, snapshotMessages(h.decoded(raws), flate.BestCompression)...)
		h.packed = h.stored
	}
	return slices.Clone(h.parts), h.packed
}

func (h *Hub) decoded(raws [][]byte) []*Op {
	ops := make([]*Op, 0, len(raws))
	for _, raw := range raws {
		o := &Op{Raw: raw, Needs: 1}
		if err := o.head(&scan{b: raw}); err != nil {
			panic("opsync: an accepted operation does not decode: " + err.Error())
		}
		ops = append(ops, o)
	}
	return ops
}

// push takes operations in. What is refused is answered at once; what came after it in its chain can
// only be refused as well, so the rest of that chain is passed over in silence: the phone writes it
// anew when it hears.
func (h *Hub) push(c Conn, k *hubConn, m *message) (w Work) {
	refused := map[Device]bool{}
	again := uint32(0)
	for _, raw := range m.Ops {
		o, err := Decode(raw)
		if err != nil {
			return h.dismiss(c, codeOf(err), err.Error())
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

// misses says that an operation that continues its chain is another device's, or has seen what is not
// here. What is not stored is told to nobody, so it was stored once: the store went backwards.
func (h *Hub) misses(k *hubConn, o *Op) bool {
	seq, hash := h.head(o.ID.Device)
	if !k.role.Writes() || o.ID.Seq != seq+1 || o.Prev != hash {
		return false
	}
	return o.ID.Device != k.device && !h.chain(o.ID.Device).wrote ||
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
	h.accept(o, c)
	return true, nil
}

func (h *Hub) allowed(k *hubConn, o *Op) error {
	switch {
	case !k.role.Writes():
		return refuse(WhyRole, "This phone may look at the site but not change it. Ask the owner to make it a second hand.")
	case o.ID.Device != k.device && (!h.start.Restored || h.chain(o.ID.Device).wrote):
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
	raws := make([][]byte, n)
	acks := map[Conn]*hubOp{}
	var authors []Conn
	for i, o := range done {
		raws[i] = o.raw
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
	for _, frame := range opsMessages(msgOps, raws) {
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

// NewEpoch tells the new epoch of a store that went backwards, and returns the messages that make
// everybody hand in what is missing.
func (h *Hub) NewEpoch(epoch string, wall int64) (out []Send) {
	h.start.Epoch, h.start.Restored = epoch, true
	for _, c := range h.ready {
		out = append(out, Send{[]Conn{c}, h.welcome(h.conns[c], wall)})
	}
	return out
}

// Names sets the devices' names and returns the message that tells everybody.
func (h *Hub) Names(names map[Device]string) []Send {
	h.names = names
	if len(h.ready) == 0 {
		return nil
	}
	return []Send{{h.ready, append(appendNames(begin(msgNames), names), '}')}}
}
