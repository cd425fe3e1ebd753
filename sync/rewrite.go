package opsync

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
)

// Sometimes what a phone wrote cannot stay as it is: the hub refuses an operation, or has another one
// under its number. Then the operation is taken out, and what the phone wrote after it, or on top of
// it, is written anew under the next free numbers:
//
//	phone   5 ── 6 ── 7          the hub refuses 5
//	phone   6' ── 7'             with the edits of 6 and 7; 5 is kept to be seen
//
//	phone   5 ── 6               the hub has another 5, by a copy of this phone
//	phone   5* ── 5' ── 6'       5* from the hub, then the edits of 5 and 6

// cutOut takes an operation out of the log that the hub will not have, and with it whatever came after
// it or had seen it. Own operations among them are to be written anew.
func (p *Phone) cutOut(id OpID, refused func(*Op) bool, why, say string) {
	out := p.Log.Op(id)
	var keep []*Op
	for _, o := range p.Log.order {
		if o != out && !o.saw(out) {
			keep = append(keep, o)
			continue
		}
		own := p.wrote(o)
		if own && !refused(o) {
			p.again = append(p.again, o)
			continue
		}
		p.kept.Dropped = append(p.kept.Dropped, o.Hash)
		if own {
			p.kept.refused(o, why, say)
			p.refused = o.ID
		} else if refused(o) && len(p.kept.Rejected) < MaxRejected { // one of others pushes out none of its own
			p.kept.refused(o, why, say)
		}
	}
	p.Log = NewLog()
	for _, o := range keep {
		_, _ = p.Log.Add(o.Raw) // it was there: it follows
	}
	for d, n := range p.pushed {
		seq, _ := p.Log.Head(d)
		p.pushed[d] = min(n, seq)
	}
	p.kept.unseal(p.Log)
	seq, _ := p.Log.Head(p.Dev)
	p.kept.Acked = min(p.kept.Acked, seq)
	p.born = p.bornIn(p.again)
}

// nobody is the answer to which operations are refused when none is.
func nobody(*Op) bool { return false }

// wrote says whether this phone wrote an operation, under the number it has now or an earlier one.
func (p *Phone) wrote(o *Op) bool {
	return o.ID.Device == p.Dev || slices.Contains(p.kept.Former, o.ID.Device)
}

// bornIn returns the IDs of this phone's making that only ops have: things they brought.
func (p *Phone) bornIn(ops []*Op) map[string]bool {
	f, born := p.Log.folded(), map[string]bool{}
	for _, o := range ops {
		for _, e := range o.body {
			if strings.HasPrefix(e.id, deviceName(o.ID.Device)+".") && !f.named[e.id] {
				born[e.id] = true
			}
		}
	}
	return born
}

// rewrite writes what is due to be written anew, in its order. Taking back what was
// refused has become needless. Things it brought get another ID where a copy of this phone has used theirs.
func (p *Phone) rewrite(r *Received) {
	p.kept.Was = nil
	if len(p.again) == 0 {
		return
	}
	ops := p.again
	p.again = nil
	defer func() { p.refused = OpID{} }()
	ids, now := p.freshIDs(), map[OpID]OpID{}
	for _, o := range ops {
		if have := p.Log.Op(o.ID); have != nil && have.Hash == o.Hash {
			continue // the hub had it after all, and has handed it out meanwhile
		}
		p.kept.Dropped = append(p.kept.Dropped, o.Hash) // not sooner: until here the store has nothing else
		about := o.About
		if to, moved := now[about]; moved {
			about = to
		} else if about != (OpID{}) && about == p.refused {
			continue
		}
		raw, err := p.Log.WriteAbout(p.Dev, o.Wall, o.Kind, o.Label, about, renamed(o.Edits(), ids))
		if err != nil {
			p.kept.refused(o, codeOf(err), err.Error())
			continue
		}
		seq, _ := p.Log.Head(p.Dev)
		now[o.ID] = OpID{p.Dev, seq}
		r.Store = append(r.Store, raw)
		p.kept.undrop(HashOf(raw))
	}
	r.Changed = true
	r.Frames = append(r.Frames, p.Push()...)
}

// freshIDs finds new IDs for born things whose IDs are taken by now.
func (p *Phone) freshIDs() map[string]string {
	f, ids := p.Log.folded(), map[string]string{}
	old := make([]string, 0, len(p.born))
	for id := range p.born {
		old = append(old, id)
	}
	slices.Sort(old)
	base, n := p.Log.NextID(p.Dev), 0
	for _, id := range old {
		if !f.named[id] {
			continue
		}
		for fresh := ""; fresh == "" || f.named[fresh] || p.born[fresh]; {
			n++
			fresh = base + "." + strconv.Itoa(n)
			ids[id] = fresh
		}
	}
	return ids
}

// references are the fields that hold IDs of other things.
var references = map[string]bool{"from": true, "to": true, "crew": true, "with": true, "place": true,
	"stands": true, "on": true}

// renamed puts new IDs into edits, where they name the thing and where they refer to it.
func renamed(edits []Edit, ids map[string]string) []Edit {
	if len(ids) == 0 {
		return edits
	}
	for i := range edits {
		if to := ids[edits[i].ID]; to != "" {
			edits[i].ID = to
		}
		for name, raw := range edits[i].Set {
			if references[name] {
				edits[i].Set[name] = renamedValue(raw, ids)
			}
		}
	}
	return edits
}

func renamedValue(raw json.RawMessage, ids map[string]string) json.RawMessage {
	var one string
	var many []string
	switch {
	case json.Unmarshal(raw, &one) == nil && ids[one] != "":
		return appendString(nil, ids[one])
	case json.Unmarshal(raw, &many) == nil && many != nil:
		b := []byte{'['}
		for i, id := range many {
			if i > 0 {
				b = append(b, ',')
			}
			if to := ids[id]; to != "" {
				id = to
			}
			b = appendString(b, id)
		}
		return append(b, ']')
	}
	return raw
}
