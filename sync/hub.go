package opsync

import (
	"slices"
)

// Conn names a connection; the server chooses the numbers.
type Conn uint64

// HubStart is what the server knows when it opens a site.
type HubStart struct {
	Site  string
	Epoch string // a random word, minted when the store was made, and anew when it was restored from a backup
	// Restored says that the store may lack operations that phones have.
	Restored bool
	// MAC is HMAC-SHA-256 under the store's key; nil: nothing is sealed, which is as if Unsealed were set.
	MAC func(text []byte) []byte
	// Unsealed says that operations may have been told without a seal: where Restored is set as well, those
	// of others are taken from any writer's phone (SPEC E8).
	Unsealed bool
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
	// vouched are hashes of operations that are not here and were once: see seal.go.
	vouched map[OpID]string
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
	return &Hub{start: start, chains: map[Device]*hubChain{}, conns: map[Conn]*hubConn{}, names: map[Device]string{},
		vouched: map[OpID]string{}}
}

// Load takes one stored operation, in the order it was stored, and keeps its bytes. The error says what is wrong with it:
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
	h.accept(o, raw, 0)
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

// accept takes an operation that was found good; raw is its bytes, for the hub to keep.
func (h *Hub) accept(o *Op, raw []byte, from Conn) {
	k := &hubOp{o.ID, o.Stamp, raw, o.Hash, from}
	c := h.chain(o.ID.Device)
	c.ops = append(c.ops, k)
	h.order = append(h.order, k)
	h.bytes += len(o.Raw)
	if len(h.vouched) > 0 {
		delete(h.vouched, o.ID)
	}
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
	case msgVouch:
		if !k.ready {
			return h.dismiss(c, WhyForm, "a seal before hello")
		}
		return h.vouch(c, k, m)
	}
	return Work{} // of a later version: passed over
}

// dismiss answers a message that makes no sense here and closes the connection.
func (h *Hub) dismiss(c Conn, why, say string) Work {
	return Work{Now: []Send{{[]Conn{c}, rejectMessage(OpID{}, "", why, say)}}, Close: say}
}

func (h *Hub) tell(c Conn, frame []byte, w *Work) {
	w.Now = append(w.Now, Send{[]Conn{c}, frame})
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

// Names sets the devices' names and returns the message that tells everybody.
func (h *Hub) Names(names map[Device]string) []Send {
	h.names = names
	if len(h.ready) == 0 {
		return nil
	}
	return []Send{{h.ready, append(appendNames(begin(msgNames), names), '}')}}
}
