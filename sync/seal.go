package opsync

import (
	"bytes"
	"encoding/base64"
	"strconv"
	"strings"
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
	if len(list) == 1 {
		return []string{h.seal(list[0].id, list[0].hash)}
	}
	last := Vector{}
	for _, o := range list {
		last[o.id.Device] = max(last[o.id.Device], o.id.Seq)
	}
	return h.sealsOf(last)
}

func (h *Hub) sealsOf(last Vector) (seals []string) {
	if h.start.MAC == nil {
		return nil
	}
	for _, id := range last.last() {
		seals = append(seals, h.seal(id, h.op(id).hash))
	}
	return seals
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
	Seq  uint32 `json:"s"`
	Seal string `json:"seal"`
}

// sealed keeps the seals that came with operations, where those are in the log now.
func (p *Phone) sealed(ops []*Op, seals []string) {
	last := Vector{}
	for _, o := range ops {
		last[o.ID.Device] = max(last[o.ID.Device], o.ID.Seq)
	}
	if len(last) != len(seals) {
		return
	}
	for i, id := range last.last() {
		if p.Log.Op(id) != nil {
			p.kept.seal(id, seals[i], true)
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
	if k := m.Seals[id.Device]; k.Seq < id.Seq || k.Seq == id.Seq && again {
		if m.Seals == nil {
			m.Seals = map[Device]keptSeal{}
		}
		m.Seals[id.Device] = keptSeal{id.Seq, seal}
	}
}

// unseal forgets the seals of what is not in the log any more.
func (m *meta) unseal(l *Log) {
	for d, k := range m.Seals { // any order: each is looked at by itself
		if l.Op(OpID{d, k.Seq}) == nil {
			delete(m.Seals, d)
		}
	}
}

// vouch shows that operations of others which the hub lacks are theirs (SPEC E6).
func (p *Phone) vouch() (frames []string) {
	if !p.kept.Role.Writes() {
		return nil
	}
	for _, c := range p.Log.chains {
		k, has := p.kept.Seals[c.device], p.pushed[c.device]
		o := p.Log.Op(OpID{c.device, k.Seq})
		if c.device == p.Dev || k.Seq <= has || o == nil {
			continue
		}
		b := appendInt(appendInt(begin(msgVouch), "device", int64(c.device)), "s", int64(k.Seq))
		frames = append(frames, string(append(appendText(appendText(b, "h", o.Hash), "seal", k.Seal), '}')))
		var raws [][]byte
		for n := k.Seq; n > has+1; n-- {
			raws = append(raws, c.ops[n-1].Raw)
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
	if string(b) == "}" {
		return nil, true
	}
	b, ok = bytes.CutPrefix(b, []byte(`,"seals":["`))
	b, whole := bytes.CutSuffix(b, []byte(`"]}`))
	if !ok || !whole {
		return nil, false
	}
	seals = strings.Split(string(b), `","`)
	for _, s := range seals {
		for i := range len(s) {
			if !sealLetter(s[i]) {
				return nil, false
			}
		}
	}
	return seals, true
}

func sealLetter(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' || c == '-' || c == '_'
}
