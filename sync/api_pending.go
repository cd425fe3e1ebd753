package opsync

import (
	"encoding/json"
	"errors"
)

// This file holds signatures whose bodies are being written; it goes away.

var errPending = errors.New("not there yet")

// ParseOpID reads "2.14".
func ParseOpID(s string) (OpID, error) { return OpID{}, errPending }

// Decode reads one operation as from a stranger.
func Decode(raw []byte) (*Op, error) { return nil, errPending }

// HashOf is the chain's hash: sha256 of raw, first 16 bytes in hex.
func HashOf(raw []byte) string { return "" }

// Log is all operations a device has of one site. Not safe for concurrent use.
type Log struct{}

func NewLog() *Log { return &Log{} }

// Add takes one operation of anybody. False without an error: it was there already.
// ErrGap: its cause is not there yet. ErrFork: another operation has the same ID.
func (l *Log) Add(raw []byte) (added bool, err error) { return false, errPending }

// AddAll takes operations in any order, as a phone's store hands them out.
func (l *Log) AddAll(raws [][]byte) (added int, err error) { return 0, errPending }

var ErrGap = errors.New("opsync: an earlier operation is missing")
var ErrFork = errors.New("opsync: two different operations have the same number")

// Write makes an operation of dev, adds it and returns its bytes. wall is the device's clock in
// milliseconds since 1970 UTC.
func (l *Log) Write(dev Device, wall int64, kind, label string, edits []Edit) (raw []byte, err error) {
	return nil, errPending
}

// WriteAbout is Write for an act about another operation (undo, again).
func (l *Log) WriteAbout(dev Device, wall int64, kind, label string, about OpID, edits []Edit) (raw []byte, err error) {
	return nil, errPending
}

// Undo writes the inverse of id where its values still stand. ErrNothing when none do.
func (l *Log) Undo(dev Device, wall int64, label string, id OpID) (raw []byte, err error) {
	return nil, errPending
}

// Again takes the way id, which stood back, again.
func (l *Log) Again(dev Device, wall int64, label string, id OpID) (raw []byte, err error) {
	return nil, errPending
}

// Choose settles a clash with the value that the operation op wrote.
func (l *Log) Choose(dev Device, wall int64, label, thing, id, field string, op OpID) (raw []byte, err error) {
	return nil, errPending
}

var ErrNothing = errors.New("opsync: nothing to do")

// NextID names a thing that the next operation of dev brings; for several append ".1", ".2".
func (l *Log) NextID(dev Device) string { return "" }

// Seen says how much of each device's chain the log has.
func (l *Log) Seen() Vector { return nil }

// Since returns the raw operations beyond v, cause before effect.
func (l *Log) Since(v Vector) [][]byte { return nil }

// Ops returns all operations in fold order (stamp, device, seq). Do not change them.
func (l *Log) Ops() []*Op { return nil }

// Op returns one operation, nil when it is not there.
func (l *Log) Op(id OpID) *Op { return nil }

// Inverse returns the edits that take id back where its values still stand.
func (l *Log) Inverse(id OpID) []Edit { return nil }

// Undone says whether an undo about id stands.
func (l *Log) Undone(id OpID) bool { return false }

// LastAct returns the last operation of dev that can be undone.
func (l *Log) LastAct(dev Device) (op *Op, ok bool) { return nil, false }

// State returns the site as folded. It is valid until the next Add or Write.
func (l *Log) State() *State { return nil }

// State is the folded site.
type State struct{}

// Document returns the site as one canonical JSON document without white space: keys sorted, lists
// by pos then id, unknown kinds and fields kept. The site's ID is not in it. Links set aside are in
// the list "linksAside".
func (s *State) Document() []byte { return nil }

// Fields returns the fields of a thing as they stand, nil when it is not there or gone. Without "id".
func (s *State) Fields(thing, id string) map[string]json.RawMessage { return nil }

// Has says whether a thing is there and not gone.
func (s *State) Has(thing, id string) bool { return false }

// IDs returns the IDs of all things of a kind that are there, in the document's order.
func (s *State) IDs(thing string) []string { return nil }

// Clashes returns fields with more than one value, written without knowing of each other.
func (s *State) Clashes() []Clash { return nil }

// Clash is one such field. Values[0] is the one that stands. Field "gone" is a removal against a
// change: the thing stands, and choosing the removal's op removes it.
type Clash struct {
	Thing, ID, Field string
	Values           []ClashValue
}

// ClashValue is one written value; null when it was cleared.
type ClashValue struct {
	Op    OpID
	Value json.RawMessage
}

// Aside returns the links set aside because they close a circle.
func (s *State) Aside() []AsideLink { return nil }

// AsideLink is a link that would close a circle with older ones. Circle lists the nodes in order.
type AsideLink struct {
	ID, From, To string
	Op           OpID
	Circle       []string
}

// Gone returns the removed things, the latest removal first.
func (s *State) Gone() []GoneThing { return nil }

type GoneThing struct {
	Thing, ID string
	Name      string // its name (or goods, or said) as it was
	Op        OpID   // the removal
}

// StoodBack returns the ways that stand back behind another taken at the same time, and that nobody
// has taken again or answered with a newer way; the latest first.
func (s *State) StoodBack() []OpID { return nil }

// NeedsNewer says that the log has operations of a later schema: they are kept and passed on, but
// what is shown may lack something, so this phone must not write.
func (s *State) NeedsNewer() bool { return false }

// EditsFromDocument turns a site document into edits, at most MaxThings things, in the order of the document.
func EditsFromDocument(doc []byte) ([]Edit, error) { return nil, errPending }

// SplitEdits cuts edits into lists that fit into one operation each.
func SplitEdits(edits []Edit) [][]Edit { return nil }

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
