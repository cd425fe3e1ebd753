package opsync

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"encoding/binary"
	"io"
	"slices"
)

// A snapshot is many operations packed: their heads as short numbers, without the hashes that the
// reader works out again, then their bodies as they are, all deflated (RFC 1951) and in base64. What
// comes out is byte for byte what went in: an operation has one way of writing.
//
//	uvarint  number of operations
//	per operation
//	  uvarint  flags: 1 needs, 2 own clock, 4 seen, 8 first of its device here
//	  uvarint  device
//	  uvarint  number, only with flag 8; otherwise one more than the last of the device
//	  [16]     hash before it, only with flag 8 and a number above 1
//	  uvarint  needs, only with flag 1
//	  varint   stamp's milliseconds, less those of the operation before
//	  uvarint  stamp's count
//	  uvarint  milliseconds the own clock is behind the stamp, only with flag 2
//	  uvarint  entries of seen, only with flag 4; each uvarint device, varint number less the
//	           device's last one in this snapshot
//	  uvarint  length of the body
//	bodies, from ,"k": on, one after the other
const (
	packNeeds = 1 << iota
	packClock
	packSeen
	packFirst
)

type packer struct {
	heads, bodies []byte
	last          map[Device]uint32
	wall          int64
}

// pack packs operations that are in an order of cause.
func pack(ops []*Op) []byte {
	p := packer{last: map[Device]uint32{}}
	p.heads = binary.AppendUvarint(nil, uint64(len(ops)))
	for _, o := range ops {
		p.op(o)
	}
	return append(p.heads, p.bodies...)
}

func (p *packer) op(o *Op) {
	first := p.last[o.ID.Device] == 0
	flags := bit(o.Needs > 1, packNeeds) | bit(o.Wall < o.Stamp.Wall, packClock) |
		bit(len(o.Seen) > 0, packSeen) | bit(first, packFirst)
	b := binary.AppendUvarint(p.heads, uint64(flags))
	b = binary.AppendUvarint(b, uint64(o.ID.Device))
	if first {
		b = binary.AppendUvarint(b, uint64(o.ID.Seq))
		b = append(b, unhexAll(o.Prev)...)
	}
	if o.Needs > 1 {
		b = binary.AppendUvarint(b, uint64(o.Needs))
	}
	b = binary.AppendVarint(b, o.Stamp.Wall-p.wall)
	b = binary.AppendUvarint(b, uint64(o.Stamp.Count))
	if o.Wall < o.Stamp.Wall {
		b = binary.AppendUvarint(b, uint64(o.Stamp.Wall-o.Wall))
	}
	if len(o.Seen) > 0 {
		b = binary.AppendUvarint(b, uint64(len(o.Seen)))
		for _, id := range o.Seen {
			b = binary.AppendUvarint(b, uint64(id.Device))
			b = binary.AppendVarint(b, int64(id.Seq)-int64(p.last[id.Device]))
		}
	}
	body := o.Raw[len(o.prefix()):]
	p.heads = binary.AppendUvarint(b, uint64(len(body)))
	p.bodies = append(p.bodies, body...)
	p.last[o.ID.Device], p.wall = o.ID.Seq, o.Stamp.Wall
}

func bit(on bool, value int) int {
	if on {
		return value
	}
	return 0
}

// unpacker reads what packer wrote, as from a stranger.
type unpacker struct {
	b    []byte
	err  error
	last map[Device]uint32
	hash map[Device]string
	wall int64
}

var errPacked = refuse(WhyForm, "a packed message from the server is damaged")

// unpack returns raw operations. Each is decoded once on the way, as its hash is needed for the next.
func unpack(b []byte, words map[string]string) ([]*Op, error) {
	u := unpacker{b: b, last: map[Device]uint32{}, hash: map[Device]string{}}
	n := u.number(int64(len(b)))
	heads := make([]*Op, 0, min(n, 4096))
	lengths := make([]int, 0, min(n, 4096))
	for range n {
		o, length := u.head()
		if u.err != nil {
			return nil, u.err
		}
		heads, lengths = append(heads, o), append(lengths, length)
	}
	for i, o := range heads {
		if heads[i] = u.whole(o, lengths[i], words); u.err != nil {
			return nil, u.err
		}
	}
	if len(u.b) > 0 {
		return nil, errPacked
	}
	return heads, u.err
}

// number reads 0 to max; out of that the message is damaged.
func (u *unpacker) number(max int64) int64 {
	n, k := binary.Uvarint(u.b)
	if u.err == nil && (k <= 0 || n > uint64(max)) {
		u.err = errPacked
	}
	if u.err != nil {
		return 0
	}
	u.b = u.b[k:]
	return int64(n)
}

func (u *unpacker) signed() int64 {
	n, k := binary.Varint(u.b)
	if u.err == nil && (k <= 0 || n > MaxWall || n < -MaxWall) {
		u.err = errPacked
	}
	if u.err != nil {
		return 0
	}
	u.b = u.b[k:]
	return n
}

func (u *unpacker) head() (o *Op, length int) {
	o = &Op{Needs: 1}
	flags := u.number(15)
	o.ID.Device = Device(u.number(MaxDevice))
	o.ID.Seq = u.last[o.ID.Device] + 1
	if flags&packFirst != 0 {
		o.ID.Seq = uint32(u.number(MaxSeq))
		if o.ID.Seq > 1 {
			u.hash[o.ID.Device] = u.rawHash()
		}
	}
	if flags&packNeeds != 0 {
		o.Needs = int(u.number(1000))
	}
	o.Stamp.Wall = u.wall + u.signed()
	o.Stamp.Count = u.number(MaxCount)
	o.Wall = o.Stamp.Wall
	if flags&packClock != 0 {
		o.Wall -= u.number(MaxWall)
	}
	if flags&packSeen != 0 {
		for range u.number(MaxSeen) {
			d := Device(u.number(MaxDevice))
			o.Seen = append(o.Seen, OpID{d, uint32(int64(u.last[d]) + u.signed())})
		}
	}
	u.last[o.ID.Device], u.wall = o.ID.Seq, o.Stamp.Wall
	return o, int(u.number(MaxOpBytes))
}

func (u *unpacker) rawHash() string {
	if len(u.b) < 16 {
		u.err = errPacked
		return ""
	}
	h := hexAll(u.b[:16])
	u.b = u.b[16:]
	return h
}

// whole puts head and body together again and reads the operation.
func (u *unpacker) whole(head *Op, length int, words map[string]string) *Op {
	if length > len(u.b) {
		u.err = errPacked
		return nil
	}
	head.Prev = u.hash[head.ID.Device]
	o, err := decode(append(head.prefix(), u.b[:length]...), words)
	if err != nil {
		u.err = err
		return nil
	}
	u.b = u.b[length:]
	u.hash[o.ID.Device] = o.Hash
	return o
}

func unhexAll(h string) []byte {
	b := make([]byte, 0, len(h)/2)
	for i := 0; i+1 < len(h); i += 2 {
		b = append(b, byte(unhex(h[i])<<4|unhex(h[i+1])))
	}
	return b
}

func hexAll(b []byte) string {
	h := make([]byte, 0, 2*len(b))
	for _, c := range b {
		h = append(h, hexDigits[c>>4], hexDigits[c&15])
	}
	return string(h)
}

// snapshotMessages packs operations into messages of about a megabyte unpacked each: a phone shows
// the first ones while the others come.
func snapshotMessages(ops []*Op) [][]byte {
	var out [][]byte
	for len(ops) > 0 {
		n, size := 0, 0
		for n < len(ops) && (n == 0 || size+len(ops[n].Raw) <= snapshotPart) {
			size += len(ops[n].Raw)
			n++
		}
		out = append(out, snapshotMessage(ops[:n]))
		ops = ops[n:]
	}
	return out
}

func snapshotMessage(ops []*Op) []byte {
	var z bytes.Buffer
	w, _ := flate.NewWriter(&z, flate.DefaultCompression) // the level is a valid one
	_, _ = w.Write(pack(ops))                             // into memory: cannot fail
	_ = w.Close()
	b := append(begin(msgSnapshot), `,"z":"`...)
	b = base64.StdEncoding.AppendEncode(b, z.Bytes())
	return append(b, `"}`...)
}

// openSnapshot returns the operations of a snapshot message.
func openSnapshot(packed string, words map[string]string) ([]*Op, error) {
	z, err := base64.StdEncoding.DecodeString(packed)
	if err != nil {
		return nil, errPacked
	}
	b, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(z)), MaxSnapshotBytes+1))
	if err != nil {
		return nil, errPacked
	}
	if len(b) > MaxSnapshotBytes {
		return nil, refuse(WhyLimit, "a packed message of more than "+count(MaxSnapshotBytes>>20)+" MB")
	}
	return unpack(slices.Clip(b), words)
}
