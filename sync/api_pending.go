package opsync

import (
	"errors"
)

// This file holds signatures whose bodies are being written; it goes away.

var errPending = errors.New("not there yet")

// Phone is a phone's side of the wire around its log. Write through Phone.Log, then send Push().
type Phone struct{ Log *Log }

// OpenPhone makes a phone from what its store kept; ops in any order, meta nil at first.
func OpenPhone(site string, dev Device, role Role, meta []byte, ops [][]byte) (*Phone, error) {
	return nil, errPending
}

// Connected: the socket is open. Returns the hello.
func (p *Phone) Connected() (frames []string) { return nil }

// Cut: the socket is closed.
func (p *Phone) Cut() {}

// Push returns the frames that hand in what was written since the last Push; none while not connected.
func (p *Phone) Push() (frames []string) { return nil }

// Received is what one message from the server asks for. Keep Store and Meta (strictly) before
// anything else is done.
type Received struct {
	Store   [][]byte          // operations to keep
	Meta    []byte            // to keep; nil when unchanged
	Frames  []string          // to send
	Changed bool              // the state is another
	Names   map[string]string // device number -> name, when the server told
	Role    Role              // as the server says now; empty when unchanged
}

// Receive takes one message from the server.
func (p *Phone) Receive(frame string) (Received, error) { return Received{}, errPending }

// Unsent counts own operations the server has not acknowledged.
func (p *Phone) Unsent() int { return 0 }

// Acked says how far the server has stored the phone's own chain.
func (p *Phone) Acked() uint32 { return 0 }

// Rejected returns what the server refused, kept to be shown; oldest first.
func (p *Phone) Rejected() []RejectedOp { return nil }

type RejectedOp struct {
	Op  *Op
	Why string // a Refusal code
	Say string // a sentence
}

// ReadOnly says why nothing may be written, "" when writing is fine: "role", "schema", "fork", "revoked".
func (p *Phone) ReadOnly() string { return "" }

// Skew returns how far the phone's clock is ahead of the server's, in milliseconds, when known.
// at is the phone's clock at the time the welcome was received.
func (p *Phone) Skew() (ms int64, known bool) { return 0, false }

// Meta returns what the store must keep beside the operations.
func (p *Phone) Meta() []byte { return nil }

// Conn names a connection; the server chooses the numbers.
type Conn uint64

// Hub is the server's side for one site. Not safe for concurrent use.
type Hub struct{}

// HubStart is what the server knows when it opens a site.
type HubStart struct {
	Site     string
	Epoch    string // a random word, minted when the store was made, and anew when it was restored from a backup
	Restored bool   // the store may lack operations that phones have: take them from any writer's phone
}

func NewHub(start HubStart) *Hub { return nil }

// Load takes one stored operation, in the order it was stored.
func (h *Hub) Load(raw []byte) error { return errPending }

// Join tells of a connection whose device and role the server has checked.
func (h *Hub) Join(c Conn, dev Device, role Role) {}

// Leave tells that a connection is gone.
func (h *Hub) Leave(c Conn) {}

// Work is what one message asks of the server: send Now at once; append Store and fsync it, then call
// Stored with the number of operations stored (in the order they were handed out over all messages).
type Work struct {
	Store []*Op
	Now   []Send
	Close string // close this connection, saying this
	Epoch bool   // the hub found that the store went backwards: mint a new epoch, keep it, call NewEpoch
}

// Send is one frame to several connections.
type Send struct {
	To    []Conn
	Frame []byte
}

// Receive takes one message of a connection. wall is the server's clock, names the devices' names (told in the welcome).
func (h *Hub) Receive(c Conn, frame []byte, wall int64) Work { return Work{} }

// Stored tells that the next n operations handed out in Work.Store are on disk: acks and fan-out.
func (h *Hub) Stored(n int) []Send { return nil }

// NotStored tells that everything handed out and not yet stored could not be: it is forgotten, and
// the phones are told to keep it (message wait) with the sentence say.
func (h *Hub) NotStored(say string) []Send { return nil }

// NewEpoch tells the new epoch and returns the messages that make everybody hand in what is missing.
func (h *Hub) NewEpoch(epoch string) []Send { return nil }

// Names sets the devices' names and returns the message that tells everybody.
func (h *Hub) Names(names map[Device]string) []Send { return nil }

// Seen says how much of each device's chain is stored.
func (h *Hub) Seen() Vector { return nil }
