package opsync

import (
	"encoding/json"
	"strconv"
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

// Stamp is a hybrid logical clock: milliseconds since 1970 UTC and a counter. A stamp is always later
// than every stamp its author had seen, whatever the author's clock says (SPEC T1-T4).
type Stamp struct {
	Wall  int64
	Count int64
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
	ID     OpID
	Stamp  Stamp
	Wall   int64    // the author's own clock, for showing when; equals Stamp.Wall for most
	Prev   string   // Hash of the device's operation before; empty for the first
	Seen   []OpID   // the last operation of each other device that is new to the author since its last one
	Needs  int      // schema needed to fold it; 0 and 1 are the first
	Kind   string   // KindEdit, ...
	Label  string   // what the log shows
	About  OpID     // the operation undone or taken again; zero for none
	Edits  []Edit   // nil when Needs is beyond Schema
	Raw    []byte   // canonical bytes
	Hash   string   // of Raw, see HashOf
	past   []uint32 // dense by device index: what the author had seen, closed under cause
	device int      // index of ID.Device in the log's table of devices
}

// Edit changes one thing: a crew, an activity, a link, or the head of the site (Thing "site").
// Setting a field to null clears it. Gone true removes the thing, Gone false brings it back.
type Edit struct {
	Thing string                     // crew, place, activity, link, hold, order, away, shut, opening, text, note, site
	ID    string                     // [A-Za-z0-9._/-]{1,64}; "site" (or empty) for the head
	Gone  *bool                      //
	Fact  bool                       // within a way: what happened, not how it was answered. It stays when the way stands back.
	Set   map[string]json.RawMessage //
}

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
