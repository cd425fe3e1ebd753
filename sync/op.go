package opsync

import (
	"bytes"
	"cmp"
	"encoding/json"
	"strconv"
	"strings"
)

// Schema is the version of operations and site that this program understands. An operation may say
// that it needs a later one: it is kept and passed on, and the phone turns read-only (SPEC O7).
const Schema = 1

// Device is a device's number on one site, given by the server at pairing. 0 is nobody.
type Device uint32

// OpID names an operation for good: the device that wrote it and its place in that device's chain,
// counted from 1.
type OpID struct {
	Device Device
	Seq    uint32
}

// String writes 2.14: the 14th operation of device 2.
func (id OpID) String() string {
	return strconv.FormatUint(uint64(id.Device), 10) + "." + strconv.FormatUint(uint64(id.Seq), 10)
}

// ParseOpID reads 2.14.
func ParseOpID(s string) (OpID, error) {
	d, q, ok := strings.Cut(s, ".")
	dev, ok1 := smallNumber(d, MaxDevice)
	seq, ok2 := smallNumber(q, MaxSeq)
	if !ok || !ok1 || !ok2 {
		return OpID{}, refuse(WhyForm, "a change is named like 2.14, not "+strconv.Quote(s))
	}
	return OpID{Device(dev), seq}, nil
}

// smallNumber reads 1 to max without a leading zero.
func smallNumber(s string, max uint64) (uint32, bool) {
	n, err := strconv.ParseUint(s, 10, 32)
	return uint32(n), err == nil && n > 0 && n <= max && s[0] >= '1' && s[0] <= '9'
}

// Stamp is a hybrid logical clock: milliseconds since 1970 UTC and a counter. A stamp is always later
// than every stamp its author had seen, whatever the author's clock says (SPEC T1-T4).
//
// The idea is from Kulkarni, Demirbas, Madappa, Avva, Leone: "Logical Physical Clocks and Consistent
// Snapshots in Globally Distributed Databases", 2014.
type Stamp struct {
	Wall  int64
	Count int64
}

// Compare returns -1, 0 or 1.
func (t Stamp) Compare(u Stamp) int {
	return cmp.Or(cmp.Compare(t.Wall, u.Wall), cmp.Compare(t.Count, u.Count))
}

// after returns the stamp of an act at wall by somebody who has seen t.
func (t Stamp) after(wall int64) Stamp {
	if wall = min(max(wall, MinWall), MaxWall); wall > t.Wall {
		return Stamp{Wall: wall}
	}
	return Stamp{Wall: t.Wall, Count: t.Count + 1}
}

// follows says whether t is a stamp that after could have made of u, at whatever clock.
func (t Stamp) follows(u Stamp) bool {
	if t.Wall == u.Wall {
		return t.Count == u.Count+1
	}
	return t.Wall > u.Wall && t.Count == 0
}

// The kinds of act. A kind this program does not know is folded as KindEdit.
const (
	KindEdit   = "edit"   // somebody changed something
	KindWay    = "way"    // a way through was taken: one whole, see Edit.Fact
	KindUndo   = "undo"   // About was taken back, where its values still stood
	KindChoose = "choose" // a clash was settled
	KindAgain  = "again"  // the way About, which stood back, was taken again: one whole as well
)

// Op is one operation, as decoded. Raw is what is stored, hashed and sent; nothing is ever sent that
// was encoded anew.
type Op struct {
	ID    OpID
	Stamp Stamp
	Wall  int64  // the author's own clock, for showing when; equals Stamp.Wall for most
	Prev  string // Hash of the device's operation before; empty for the first
	Seen  []OpID // the last operation of each other device that is new to the author since its last one
	Needs int    // schema needed to fold it; 1 is the first
	Kind  string // KindEdit, ...
	Label string // what the log shows
	About OpID   // the operation undone or taken again; zero for none
	Raw   []byte // canonical bytes
	Hash  string // of Raw, see HashOf

	body   []edit
	past   []uint32 // by device index: how much of each chain the author had seen, closed under cause
	device int      // index of ID.Device in the log's list of devices
	back   bool     // a way that stands back
}

// edit is Edit as it lies in Raw.
type edit struct {
	thing, id  string
	gone, here bool // "gone":true, "gone":false
	fact       bool
	set        []field
}

type field struct {
	name  string
	value []byte // nil: cleared
}

// Edit changes one thing: a crew, an activity, a link, or the head of the site (Thing "site").
// Setting a field to null clears it. Gone true removes the thing, Gone false brings it back.
type Edit struct {
	Thing string // crew, place, activity, link, hold, order, away, shut, opening, text, note, site
	ID    string // [A-Za-z0-9._/-]{1,64}; "site" (or empty) for the head
	Gone  *bool
	// Fact, within a way, marks what happened (a crew away, longer work), as opposed to how it was
	// answered (the laid line, openings, stand-ins). A fact stays when the way stands back.
	Fact bool
	Set  map[string]json.RawMessage
}

// Edits returns what the operation changes; nil when it needs a later schema.
func (o *Op) Edits() []Edit {
	var list []Edit
	for _, e := range o.body {
		list = append(list, e.open())
	}
	return list
}

func (e edit) open() Edit {
	out := Edit{Thing: e.thing, ID: e.id, Fact: e.fact}
	if e.gone || e.here {
		out.Gone = &[]bool{e.gone}[0]
	}
	if len(e.set) > 0 {
		out.Set = make(map[string]json.RawMessage, len(e.set))
	}
	for _, f := range e.set {
		out.Set[f.name] = f.json()
	}
	return out
}

func (f field) json() json.RawMessage {
	if f.value == nil {
		return json.RawMessage("null")
	}
	return f.value
}

// HashOf is the chain's hash: SHA-256 of the canonical bytes, the first 16 bytes in hex. 128 bits: a
// device can only forge its own past, and has nothing to win by it.
func HashOf(raw []byte) string {
	sum := hash256(raw)
	return hexAll(sum[:16])
}

// before is the fold order: stamp, device, number.
func (o *Op) before(p *Op) bool { return o.compare(p) < 0 }

func (o *Op) compare(p *Op) int {
	return cmp.Or(o.Stamp.Compare(p.Stamp), cmp.Compare(o.ID.Device, p.ID.Device), cmp.Compare(o.ID.Seq, p.ID.Seq))
}

// saw says whether the author of o had seen p.
func (o *Op) saw(p *Op) bool {
	if o.device == p.device {
		return o.ID.Seq > p.ID.Seq
	}
	return p.device < len(o.past) && o.past[p.device] >= p.ID.Seq
}

// whole says whether the operation stands or stands back as one.
func (o *Op) whole() bool { return o.Kind == KindWay || o.Kind == KindAgain }

// Vector says of each device how much of its chain one has: operations 1 to n.
type Vector map[Device]uint32

// Role is what a device may do on a site. The server decides it.
type Role string

const (
	Owner  Role = "owner"
	Second Role = "second" // the second hand: the same plan, both can change it
	Viewer Role = "viewer" // sees everything, writes nothing
)

// Writes says whether the role may write operations.
func (r Role) Writes() bool { return r == Owner || r == Second }

func isNull(raw []byte) bool { return bytes.Equal(raw, []byte("null")) }
