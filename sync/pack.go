package opsync

import (
	"bytes"
	"encoding/binary"
	"slices"
)

// progress is what packer and unpacker both know of the operations so far.
type progress struct {
	last  map[Device]uint32
	named map[Device]map[Device]uint32
	wall  int64
}

func newProgress() progress {
	return progress{map[Device]uint32{}, map[Device]map[Device]uint32{}, 0}
}

// unnamed lists what the author has not named in this snapshot.
func (p *progress) unnamed(author Device) (ids []OpID) {
	for d, n := range p.last {
		if d != author && n > p.named[author][d] {
			ids = append(ids, OpID{d, n})
		}
	}
	sortByDevice(ids)
	return ids
}

func (p *progress) pass(o *Op) {
	p.last[o.ID.Device], p.wall = o.ID.Seq, o.Stamp.Wall
	if p.named[o.ID.Device] == nil {
		p.named[o.ID.Device] = map[Device]uint32{}
	}
	for _, id := range o.Seen {
		p.named[o.ID.Device][id.Device] = id.Seq
	}
}

type packer struct {
	progress
	n    int
	cols [numColumns][]byte
	head []byte // the beginning of the operation at hand
}

func (p *packer) op(o *Op) {
	flags, more := byte(0), p.cols[colMore]
	if p.last[o.ID.Device] == 0 {
		flags |= packFirst
		more = append(binary.AppendUvarint(more, uint64(o.ID.Seq)), unhexAll(o.Prev)...)
	}
	if o.Needs > 1 {
		flags |= packNeeds
		more = binary.AppendUvarint(more, uint64(o.Needs))
	}
	if o.Stamp.Count > 0 {
		flags |= packCount
		more = binary.AppendUvarint(more, uint64(o.Stamp.Count))
	}
	if o.Wall < o.Stamp.Wall {
		flags |= packClock
		more = binary.AppendUvarint(more, uint64(o.Stamp.Wall-o.Wall))
	}
	if len(o.Seen) > 0 && slices.Equal(o.Seen, p.unnamed(o.ID.Device)) {
		flags |= packAll
	} else if len(o.Seen) > 0 {
		flags |= packSeen
		more = binary.AppendUvarint(more, uint64(len(o.Seen)))
		for _, id := range o.Seen {
			more = binary.AppendUvarint(binary.AppendUvarint(more, uint64(id.Device)), uint64(id.Seq))
		}
	}
	c := &p.cols
	c[colMore] = more
	c[colFlags] = append(c[colFlags], flags)
	c[colDevices] = binary.AppendUvarint(c[colDevices], uint64(o.ID.Device))
	c[colWalls] = binary.AppendVarint(c[colWalls], o.Stamp.Wall-p.wall)
	p.head = o.appendPrefix(p.head[:0])
	c[colBodies] = append(append(c[colBodies], o.Raw[len(p.head):]...), '\n')
	p.pass(o)
	p.n++
}

// unpacker reads what packer wrote, as from a stranger.
type unpacker struct {
	progress
	cols [numColumns][]byte
	err  error
	hash map[Device]string
	scan scan
	head []byte // the beginning of the operation at hand
}

var errPacked = refuse(WhyForm, "a packed message from the server is damaged")

// unpack returns the operations. Each is decoded once on the way, as its hash is needed for the next.
func unpack(b []byte, words map[string]string) (ops []*Op, err error) {
	u := unpacker{progress: newProgress(), hash: map[Device]string{}, scan: scan{words: words}}
	u.cols[0] = b
	n := u.number(0, int64(len(b)))
	u.split(u.cols[0])
	if u.err != nil || n != int64(len(u.cols[colFlags])) {
		return nil, errPacked
	}
	ops = make([]*Op, 0, n)
	for range n {
		o := u.op()
		u.body(o)
		if u.err != nil {
			return nil, u.err
		}
		ops = append(ops, o)
	}
	for _, c := range u.cols {
		if len(c) > 0 {
			return nil, errPacked
		}
	}
	return ops, nil
}

// split cuts the columns apart.
func (u *unpacker) split(b []byte) {
	for i := range u.cols {
		u.cols[i] = b
		n := u.number(i, int64(len(b)))
		if u.err != nil || n > int64(len(u.cols[i])) {
			u.err = errPacked
			return
		}
		b = u.cols[i][n:]
		u.cols[i] = u.cols[i][:n]
	}
	if len(b) > 0 {
		u.err = errPacked
	}
}

// number reads 0 to max from a column; out of that the message is damaged.
func (u *unpacker) number(col int, max int64) int64 {
	n, k := binary.Uvarint(u.cols[col])
	if u.err == nil && (k <= 0 || n > uint64(max)) {
		u.err = errPacked
	}
	if u.err != nil {
		return 0
	}
	u.cols[col] = u.cols[col][k:]
	return int64(n)
}

func (u *unpacker) wallDelta() int64 {
	n, k := binary.Varint(u.cols[colWalls])
	if u.err == nil && (k <= 0 || n > MaxWall || n < -MaxWall) {
		u.err = errPacked
	}
	if u.err != nil {
		return 0
	}
	u.cols[colWalls] = u.cols[colWalls][k:]
	return n
}

// op reads what the columns say of an operation.
func (u *unpacker) op() *Op {
	flags := u.cols[colFlags][0]
	u.cols[colFlags] = u.cols[colFlags][1:]
	o := &Op{Needs: 1}
	o.ID.Device = Device(u.number(colDevices, MaxDevice))
	o.ID.Seq = u.last[o.ID.Device] + 1
	o.Stamp.Wall = u.wall + u.wallDelta()
	if flags&packFirst != 0 {
		o.ID.Seq = uint32(u.number(colMore, MaxSeq))
		if o.ID.Seq > 1 {
			u.hash[o.ID.Device] = u.rawHash()
		}
	}
	if flags&packNeeds != 0 {
		o.Needs = int(u.number(colMore, 1000))
	}
	if flags&packCount != 0 {
		o.Stamp.Count = u.number(colMore, MaxCount)
	}
	o.Wall = o.Stamp.Wall
	if flags&packClock != 0 {
		o.Wall -= u.number(colMore, MaxWall)
	}
	if flags&packAll != 0 {
		o.Seen = u.unnamed(o.ID.Device)
	} else if flags&packSeen != 0 {
		for range u.number(colMore, MaxSeen) {
			o.Seen = append(o.Seen, OpID{Device(u.number(colMore, MaxDevice)), uint32(u.number(colMore, MaxSeq))})
		}
	}
	u.pass(o)
	return o
}

func (u *unpacker) rawHash() string {
	b := u.cols[colMore]
	if len(b) < 16 {
		u.err = errPacked
		return ""
	}
	u.cols[colMore] = b[16:]
	return hexAll(b[:16])
}

// body puts an operation's bytes together again and reads all of it from them.
func (u *unpacker) body(o *Op) {
	end := bytes.IndexByte(u.cols[colBodies], '\n')
	if end < 0 || u.err != nil {
		u.err = errPacked
		return
	}
	o.Prev = u.hash[o.ID.Device]
	u.head = o.appendPrefix(u.head[:0])
	raw := make([]byte, 0, len(u.head)+end)
	raw = append(append(raw, u.head...), u.cols[colBodies][:end]...)
	u.scan.b, u.scan.i, u.scan.prev = raw, 0, o.Prev
	*o = Op{Raw: raw, Seen: o.Seen[:0]}
	if u.err = o.decode(&u.scan); u.err != nil {
		return
	}
	u.cols[colBodies] = u.cols[colBodies][end+1:]
	u.hash[o.ID.Device] = o.Hash
}

func unhexAll(h string) []byte {
	b := make([]byte, 0, len(h)/2)
	for i := 0; i+1 < len(h); i += 2 {
		b = append(b, byte(unhex(h[i])<<4|unhex(h[i+1])))
	}
	return b
}

func hexAll(b []byte) string {
	h := make([]byte, 0, 32)
	for _, c := range b {
		h = append(h, hexDigits[c>>4], hexDigits[c&15])
	}
	return string(h)
}
