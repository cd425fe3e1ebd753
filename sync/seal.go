package opsync

import (
	"encoding/base64"
	"slices"
	"strconv"
)

// A seal is the server's word that it stored an operation, and all before it in that device's chain:
// a MAC under a key that never leaves the server and is in every backup (SPEC E5). Phones keep the newest
// one of each device. When a store went backwards they show it, and hand in what the store lost in the
// name of whoever wrote it; without one nobody speaks for another (SPEC E3).

// maxSeal bounds a seal as a phone reads it: 16 bytes in base64url are 22.
const maxSeal = 64

// ---- the hub

func (h *Hub) seal(id OpID, hash string) string {
	text := make([]byte, 0, 128)
	text = append(append(append(text, "seal 1\n"...), h.start.Site...), '\n')
	text = append(strconv.AppendUint(text, uint64(id.Device), 10), '\n')
	text = append(strconv.AppendUint(text, uint64(id.Seq), 10), '\n')
	return base64.RawURLEncoding.EncodeToString(h.start.MAC(append(text, hash...))[:16])
}

// holds takes as long for a wrong seal as for a right one.
func (h *Hub) holds(id OpID, hash, seal string) bool {
	right, differ := h.seal(id, hash), byte(0)
	if len(seal) != len(right) {
		return false
	}
	for i := range len(right) {
		differ |= seal[i] ^ right[i]
	}
	return differ == 0
}

// seals are those of the last operation of each device in a message, by device.
func (h *Hub) seals(list []*hubOp) (seals []string) {
	if h.start.MAC == nil || len(list) == 0 {
		return nil
	}
	last := list[:1:1]
	if len(list) > 1 {
		last = lastOfEach(list, func(o *hubOp) OpID { return o.id })
	}
	for _, o := range last {
		seals = append(seals, h.seal(o.id, o.hash))
	}
	return seals
}

func (h *Hub) headSeals(seen Vector) (seals []string) {
	if h.start.MAC == nil {
		return nil
	}
	for _, id := range seen.last() {
		seals = append(seals, h.seal(id, h.op(id).hash))
	}
	return seals
}

// lastOfEach picks the operation with the highest number of each device, by device.
func lastOfEach[T any](list []T, id func(T) OpID) []T {
	last := map[Device]T{}
	var devices []OpID
	for _, o := range list {
		was, there := last[id(o).Device]
		if !there {
			devices = append(devices, OpID{Device: id(o).Device})
		}
		if !there || id(was).Seq < id(o).Seq {
			last[id(o).Device] = o
		}
	}
	sortByDevice(devices)
	picked := make([]T, 0, len(devices))
	for _, d := range devices {
		picked = append(picked, last[d.Device])
	}
	return picked
}

func appendSeals(b []byte, seals []string) []byte {
	if len(seals) == 0 {
		return b
	}
	return appendTexts(b, "seals", seals)
}

// vouch takes what shows that operations which are not here were stored once: a seal, then the chain in
// front of it, backwards. Each operation names the hash of the one before it, so nothing is believed that
// does not hang on a seal, and a hash is all that is kept.
func (h *Hub) vouch(c Conn, k *hubConn, m *message) (w Work) {
	if h.start.MAC == nil || !k.role.Writes() {
		return w
	}
	before := len(h.vouched)
	if id := (OpID{m.Device, m.Seq}); m.Seal != "" && id.Seq > 0 && h.holds(id, m.Hash, m.Seal) {
		h.vouchFor(id, m.Hash)
	}
	for _, raw := range m.Ops {
		o, err := Decode(raw)
		if err != nil {
			no := h.dismiss(c, codeOf(err), err.Error())
			w.Now, w.Close = append(w.Now, no.Now...), no.Close
			break
		}
		if h.vouched[o.ID] != o.Hash {
			break
		}
		h.vouchFor(OpID{o.ID.Device, o.ID.Seq - 1}, o.Prev)
	}
	if len(h.vouched) > before && !h.start.Restored {
		h.backwards(&w)
	}
	return w
}

func (h *Hub) vouchFor(id OpID, hash string) {
	if id.Seq > 0 && h.op(id) == nil {
		h.vouched[id] = hash
	}
}

// unsealed says that operations may be about that were stored once and have no seal.
func (h *Hub) unsealed() bool { return h.start.MAC == nil || h.start.Unsealed }

// speaksFor says whether an operation is taken from another device than its own.
func (h *Hub) speaksFor(o *Op) bool {
	if hash, ok := h.vouched[o.ID]; ok {
		return hash == o.Hash
	}
	return h.unsealed() && h.start.Restored && !h.chain(o.ID.Device).wrote
}

// ---- the phone

// keptSeal is the newest seal of a device's chain. The operation it is of is in the log.
type keptSeal struct {
	Device Device `json:"d"`
	Seq    uint32 `json:"s"`
	Seal   string `json:"seal"`
}

func (k keptSeal) id() OpID { return OpID{k.Device, k.Seq} }

// sealed keeps the seals that came with operations, where those are in the log now.
func (p *Phone) sealed(ops []*Op, seals []string) {
	if len(seals) == 0 {
		return
	}
	last := lastOfEach(ops, func(o *Op) OpID { return o.ID })
	if len(last) != len(seals) {
		return
	}
	for i, o := range last {
		if have := p.Log.Op(o.ID); have != nil && have.Hash == o.Hash {
			p.kept.seal(o.ID, seals[i], true)
		}
	}
}

// welcomeSeals keeps seals of what the hub says it has. Only its heads tell that this is what is here
// under the same number; without them a seal at hand is the better one.
func (p *Phone) welcomeSeals(m *message) {
	if len(m.Seals) != len(m.Seen) {
		return
	}
	heads := len(m.Heads) == len(m.Seen)
	for i, s := range m.Seen {
		id := OpID{Device(s[0]), s[1]}
		if o := p.Log.Op(id); o != nil && (!heads || m.Heads[i] == o.Hash) {
			p.kept.seal(id, m.Seals[i], heads)
		}
	}
}

// seal keeps a seal that is newer; again says that one of the same number is replaced.
func (m *meta) seal(id OpID, seal string, again bool) {
	if seal == "" || len(seal) > maxSeal {
		return
	}
	i, there := slices.BinarySearchFunc(m.Seals, id.Device, func(k keptSeal, d Device) int { return int(k.Device) - int(d) })
	k := keptSeal{id.Device, id.Seq, seal}
	switch {
	case !there:
		m.Seals = slices.Insert(m.Seals, i, k)
	case m.Seals[i].Seq < id.Seq, m.Seals[i].Seq == id.Seq && again:
		m.Seals[i] = k
	}
}

// unseal forgets the seals of what is not in the log any more.
func (m *meta) unseal(l *Log) {
	m.Seals = slices.DeleteFunc(m.Seals, func(k keptSeal) bool { return l.Op(k.id()) == nil })
}

// sealOf says whether a seal covers an operation.
func (p *Phone) sealOf(id OpID) bool {
	return slices.ContainsFunc(p.kept.Seals, func(k keptSeal) bool { return k.Device == id.Device && k.Seq >= id.Seq })
}

// vouch shows that operations of others which the hub lacks are theirs (SPEC E6).
func (p *Phone) vouch() (frames []string) {
	if !p.kept.Role.Writes() {
		return nil
	}
	for _, k := range p.kept.Seals {
		has, o := p.pushed[k.Device], p.Log.Op(k.id())
		if k.Device == p.Dev || k.Seq <= has || o == nil {
			continue
		}
		b := appendInt(appendInt(begin(msgVouch), "device", int64(k.Device)), "s", int64(k.Seq))
		frames = append(frames, string(append(appendText(appendText(b, "h", o.Hash), "seal", k.Seal), '}')))
		var raws [][]byte
		for n := k.Seq; n > has+1; n-- {
			raws = append(raws, p.Log.Op(OpID{k.Device, n}).Raw)
		}
		for _, b := range opsMessages(msgVouch, raws, nil) {
			frames = append(frames, string(b))
		}
	}
	return frames
}

// sealsAsWritten reads what appendSeals wrote and the end of the message, without decoding anything: a
// seal needs no escapes.
func sealsAsWritten(b []byte) (seals []string, ok bool) {
	if len(b) == 1 {
		return nil, b[0] == '}'
	}
	const before, end = `,"seals":["`, `"]}`
	if len(b) < len(before)+len(end) || string(b[:len(before)]) != before || string(b[len(b)-len(end):]) != end {
		return nil, false
	}
	for b = b[len(before) : len(b)-2]; len(b) > 0; {
		n := slices.IndexFunc(b, func(c byte) bool { return !sealLetter(c) })
		if n < 0 || b[n] != '"' {
			return nil, false
		}
		seals, b = append(seals, string(b[:n])), b[n+1:]
		if len(b) == 0 {
			return seals, true
		}
		if len(b) < 3 || b[0] != ',' || b[1] != '"' {
			return nil, false
		}
		b = b[2:]
	}
	return nil, false
}

func sealLetter(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' || c == '-' || c == '_'
}
