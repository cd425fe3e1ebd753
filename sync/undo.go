package opsync

import (
	"bytes"
	"slices"
)

// Inverse returns the edits that make the site as if id had not been, where what it wrote still
// stands. What somebody wrote over it later stays as it is.
func (l *Log) Inverse(id OpID) []Edit {
	o := l.Op(id)
	if o == nil {
		return nil
	}
	f := l.folded()
	pasts := l.pasts(o)
	var edits []Edit
	for i := range o.body {
		if e := &o.body[i]; o.applies(e) {
			key := thingKey{e.thing, e.id}
			if back, ok := l.inverse(f.things[key], o, e, pasts[key]); ok {
				edits = append(edits, back.open())
			}
		}
	}
	return edits
}

// past is what the log says of one thing, seen from an operation that is to be taken back.
type past struct {
	before  thing             // its touches before the operation
	values  map[string][]byte // the latest value of each field before the operation
	writers map[string][]*Op  // all that wrote a field, in fold order
	others  bool              // another device has worked on it since
	removed bool              // the operation removed it
}

// pasts gathers the past of everything o touches, in one pass through the log.
func (l *Log) pasts(o *Op) map[thingKey]*past {
	m := map[thingKey]*past{}
	for i := range o.body {
		m[thingKey{o.body[i].thing, o.body[i].id}] = &past{values: map[string][]byte{}, writers: map[string][]*Op{}}
	}
	for _, p := range l.order {
		for i := range p.body {
			if e := &p.body[i]; p.applies(e) {
				if h := m[thingKey{e.thing, e.id}]; h != nil {
					h.take(o, p, e)
				}
			}
		}
	}
	return m
}

func (h *past) take(o, p *Op, e *edit) {
	touch := e.gone || e.touches()
	for _, s := range e.set {
		h.writers[s.name] = append(h.writers[s.name], p)
	}
	switch {
	case p == o:
		h.removed = h.removed || e.gone
	case o.before(p):
		h.others = h.others || touch && !e.gone && p.ID.Device != o.ID.Device
	default:
		if touch {
			h.before.touches = merge(h.before.touches, write{op: p, gone: e.gone})
		}
		for _, s := range e.set {
			h.values[s.name] = s.value
		}
	}
}

// inverse takes one edit of o back. A thing that o brought is removed, unless another device has
// worked on it since: then it is left alone as it is. A thing that o removed comes back.
func (l *Log) inverse(t *thing, o *Op, e *edit, h *past) (back edit, ok bool) {
	back = edit{thing: e.thing, id: e.id}
	was, is := h.before.alive(), t.alive()
	switch {
	case e.thing == Head || was && is: // only its fields go back
	case is && h.others:
		return back, false
	case is:
		back.gone = true
		return back, true
	case h.removed && was && slices.ContainsFunc(t.touches, func(w write) bool { return w.op == o }):
		back.here = true
		return back, true
	default:
		return back, false
	}
	for _, s := range e.set {
		if w, there := t.standing(s.name); there && bytes.Equal(w.value, s.value) && l.speaksFor(w.op, o, h.writers[s.name]) {
			back.set = append(back.set, field{s.name, h.values[s.name]})
		}
	}
	return back, len(back.set) > 0
}

// speaksFor says whether the write of w is that of o: its own, or brought back by taking back what had
// been written over it.
//
//	o: B ── later: C ── w, taking C back: B        B stands by w, and is what o wrote
func (l *Log) speaksFor(w, o *Op, writers []*Op) bool {
	for w != o {
		i := slices.Index(writers, l.Op(w.About))
		if w.Kind != KindUndo || i <= 0 {
			return false
		}
		w = writers[i-1] // earlier than what was taken back, which is earlier than w: this ends
	}
	return true
}

// Undo writes the inverse of id. ErrNothing when nothing of it stands any more.
func (l *Log) Undo(dev Device, wall int64, label string, id OpID) (raw []byte, err error) {
	edits := l.Inverse(id)
	if len(edits) == 0 {
		return nil, ErrNothing
	}
	return l.WriteAbout(dev, wall, KindUndo, label, id, edits)
}

// Undone says whether id was taken back, and that was not itself taken back.
func (l *Log) Undone(id OpID) bool {
	for _, o := range l.about[id] {
		if o.Kind == KindUndo && !l.Undone(o.ID) {
			return true
		}
	}
	return false
}

// LastAct returns the last operation of dev that can be taken back: not taken back yet, and something
// of it still stands.
func (l *Log) LastAct(dev Device) (op *Op, ok bool) {
	if l.act.of != dev || l.act.at != len(l.order) {
		l.act = lastAct{dev, len(l.order), l.findLastAct(dev)}
	}
	return l.act.op, l.act.op != nil
}

// lastAct is the answer of LastAct for a log of so many operations: every screen asks.
type lastAct struct {
	of Device
	at int
	op *Op
}

func (l *Log) findLastAct(dev Device) *Op {
	i, ok := l.index[dev]
	if !ok {
		return nil
	}
	f := l.folded()
	for _, o := range slices.Backward(l.chains[i].ops) {
		if o.Kind != KindUndo && !l.Undone(o.ID) && f.stands(o) && len(l.Inverse(o.ID)) > 0 {
			return o
		}
	}
	return nil
}

// stands says whether any write of o may still count: by itself, or brought back by an undo.
func (f *fold) stands(o *Op) bool {
	for i := range o.body {
		e := &o.body[i]
		t := f.things[thingKey{e.thing, e.id}]
		if t == nil || !o.applies(e) {
			continue
		}
		if slices.ContainsFunc(t.touches, func(w write) bool { return w.op == o }) {
			return true
		}
		for _, s := range e.set {
			if w, _ := t.standing(s.name); w.op == o || w.op != nil && w.op.Kind == KindUndo {
				return true
			}
		}
	}
	return false
}

// Again takes the way id again: all of it but the facts, which stood all along.
func (l *Log) Again(dev Device, wall int64, label string, id OpID) (raw []byte, err error) {
	o := l.Op(id)
	if o == nil || !o.whole() {
		return nil, ErrNothing
	}
	var edits []Edit
	for _, e := range o.body {
		if !e.fact {
			edits = append(edits, e.open())
		}
	}
	return l.WriteAbout(dev, wall, KindAgain, label, id, edits)
}

// Choose settles a clash: the value that op wrote is written again, by somebody who knows the others. So is what
// else of the thing is between the same acts: it is one question, and one answer.
func (l *Log) Choose(dev Device, wall int64, label, thing, id, name string, op OpID) (raw []byte, err error) {
	if thing == Head {
		id = Head
	}
	all := l.State().Clashes()
	asked := slices.IndexFunc(all, func(c Clash) bool { return c.Thing == thing && c.ID == id && c.Field == name })
	if asked < 0 {
		return nil, ErrNothing
	}
	var with *Edit
	for _, c := range all {
		if !c.Joins(&all[asked]) || (c.Field == "gone") != (name == "gone") {
			continue
		}
		for _, v := range c.Values {
			if v.Op == op {
				with = with.and(c.settled(v))
			}
		}
	}
	if with == nil {
		return nil, ErrNothing
	}
	return l.Write(dev, wall, KindChoose, label, []Edit{*with})
}

// and puts what another edit sets into this one; both are of the same thing.
func (e *Edit) and(o Edit) *Edit {
	if e == nil {
		return &o
	}
	for name, v := range o.Set { // any order: each field is set once
		e.Set[name] = v
	}
	return e
}

func (c Clash) settled(v ClashValue) Edit {
	if c.Field == "gone" {
		return Edit{Thing: c.Thing, ID: c.ID, Gone: &[]bool{string(v.Value) == "true"}[0]}
	}
	return edit{thing: c.Thing, id: c.ID, set: []field{{c.Field, v.Value}}}.open()
}
