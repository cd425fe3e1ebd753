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
	Twin     bool              `json:"twin,omitempty"`
	Skew     int64             `json:"skew,omitempty"`
	Skewed   bool              `json:"skewed,omitempty"`
	Names    map[string]string `json:"names,omitempty"`
	Rejected []keptReject      `json:"rejected,omitempty"`
	// Was are numbers the phone had before it was paired anew, and how far their chains were stored:
	// the rest is to be written anew.
	Was []formerDevice `json:"was,omitempty"`
	// Former are all those numbers: what was written under them is this phone's to answer for.
	Former []Device `json:"former,omitempty"`
	// Dropped are hashes of operations that may still lie in the store and are not part of the log any
	// more: refused ones, and those that came after and were written anew.
	Dropped []string `json:"dropped,omitempty"`
	// Again are operations taken out of the log that are still to be written anew, as they were. The
	// store may have another one in their place already.
	Again []string `json:"again,omitempty"`
	// Seals are the newest seals of the devices' chains.
	Seals map[Device]keptSeal `json:"seals,omitempty"`
}

type formerDevice struct {
	Device Device `json:"device"`
	Acked  uint32 `json:"acked"`
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
	p.kept.Again = nil
	for _, o := range p.again {
		p.kept.Again = append(p.kept.Again, string(o.Raw))
	}
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

// takenAfterAll drops what was refused on its author's behalf and has come from the hub.
func (m *meta) takenAfterAll(o *Op) {
	for i, k := range m.Rejected {
		if k.Why == WhyDevice && k.Op == string(o.Raw) {
			m.Rejected = append(m.Rejected[:i:i], m.Rejected[i+1:]...)
			return
		}
	}
}

func (m *meta) refused(o *Op, why, say string) {
	m.Rejected = append(m.Rejected, keptReject{string(o.Raw), why, say})
	if n := len(m.Rejected); n > MaxRejected {
		m.Rejected = m.Rejected[n-MaxRejected:]
	}
}
