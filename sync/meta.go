package opsync

import (
	"encoding/json"
	"slices"
)

// meta is what a phone keeps beside its operations. It is JSON, and members are only added.
type meta struct {
	Device   Device            `json:"device"`
	Role     Role              `json:"role,omitempty"`
	Epoch    string            `json:"epoch,omitempty"`
	Acked    uint32            `json:"acked,omitempty"`
	Fork     bool              `json:"fork,omitempty"`
	Skew     int64             `json:"skew,omitempty"`
	Skewed   bool              `json:"skewed,omitempty"`
	Names    map[string]string `json:"names,omitempty"`
	Rejected []keptReject      `json:"rejected,omitempty"`
	// Dropped are hashes of operations that may still lie in the store and are not part of the log any
	// more: refused ones, and those that came after and were written anew.
	Dropped []string `json:"dropped,omitempty"`
}

// keptReject keeps the raw bytes as a text: JSON encoders may rewrite what is not one.
type keptReject struct {
	Op  string `json:"op"`
	Why string `json:"why"`
	Say string `json:"say"`
}

func (m *meta) read(b []byte) error {
	if len(b) == 0 || isNull(b) {
		return nil
	}
	if err := json.Unmarshal(b, m); err != nil {
		return refuse(WhyForm, "this phone's notes about the server cannot be read; its changes are safe")
	}
	return nil
}

// Meta returns what the store must keep beside the operations.
func (p *Phone) Meta() []byte {
	b, err := json.Marshal(p.kept)
	if err != nil {
		panic("opsync: plain data that does not encode: " + err.Error())
	}
	return b
}

func (m *meta) droppedSet() map[string]bool {
	set := make(map[string]bool, len(m.Dropped))
	for _, h := range m.Dropped {
		set[h] = true
	}
	return set
}

func (m *meta) undrop(hash string) {
	if len(m.Dropped) > 0 {
		m.Dropped = slices.DeleteFunc(m.Dropped, func(h string) bool { return h == hash })
	}
}

// cutOut takes an operation out of the log that the hub will not have, and with it what came after in
// its chain and whatever had seen it. Own operations among the latter are written anew, with the same
// edits and under the next free numbers, so that only what was refused is lost. What is refused is
// kept to be seen.
func (p *Phone) cutOut(id OpID, why, say string, r *Received) {
	out := p.Log.Op(id)
	var keep, again []*Op
	for _, o := range p.Log.order {
		own := o.ID.Device == p.Dev
		switch {
		case o != out && !o.saw(out):
			keep = append(keep, o)
			continue
		case own && (o == out || p.kept.Fork):
			p.kept.refused(o, why, say)
		case own:
			again = append(again, o)
		}
		p.kept.Dropped = append(p.kept.Dropped, o.Hash)
	}
	p.Log = NewLog()
	for _, o := range keep {
		_, _ = p.Log.Add(o.Raw) // it was there: it follows
	}
	for d, n := range p.pushed {
		seq, _ := p.Log.Head(d)
		p.pushed[d] = min(n, seq)
	}
	p.rewrite(again, r)
	r.Changed = true
}

func (m *meta) refused(o *Op, why, say string) {
	m.Rejected = append(m.Rejected, keptReject{string(o.Raw), why, say})
	if n := len(m.Rejected); n > MaxRejected {
		m.Rejected = m.Rejected[n-MaxRejected:]
	}
}

// rewrite writes own operations again, in their order. An act about one that is gone goes with it.
func (p *Phone) rewrite(ops []*Op, r *Received) {
	now := map[OpID]OpID{}
	for _, o := range ops {
		about := o.About
		if to, moved := now[about]; moved {
			about = to
		} else if about != (OpID{}) && p.Log.Op(about) == nil {
			continue
		}
		raw, err := p.Log.WriteAbout(p.Dev, o.Wall, o.Kind, o.Label, about, o.Edits())
		if err != nil {
			p.kept.refused(o, codeOf(err), err.Error())
			continue
		}
		seq, _ := p.Log.Head(p.Dev)
		now[o.ID] = OpID{p.Dev, seq}
		r.Store = append(r.Store, raw)
		p.kept.undrop(HashOf(raw))
	}
}

// Rewrite writes the operations that were refused because the phone's number was in use twice, under
// the number it has now. Returns the new operations to keep.
func (p *Phone) Rewrite() (store [][]byte) {
	var ops []*Op
	p.kept.Rejected = slices.DeleteFunc(p.kept.Rejected, func(k keptReject) bool {
		o, err := Decode([]byte(k.Op))
		if p.kept.Fork || err != nil || k.Why != WhyFork || o.ID.Device == p.Dev {
			return false
		}
		ops = append(ops, o)
		return true
	})
	var r Received
	p.rewrite(ops, &r)
	return r.Store
}
