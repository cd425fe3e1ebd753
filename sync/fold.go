package opsync

import (
	"cmp"
	"slices"
)

// fold is the site as far as it is folded. For each field it keeps the writes nobody has written over
// knowingly: usually one. Of these the one latest in fold order stands, the others are its clash.
//
//	Anna  ──a1───────a2──        a2 saw a1 and b1: it alone is kept
//	Ben   ──────b1──/            before a2, a1 and b1 were both kept: a clash
type fold struct {
	things map[thingKey]*thing
	kinds  map[string][]*thing // in the order they turned up
	named  map[string]bool     // every ID ever used
	ways   []*Op               // ways and agains, in fold order
	newer  bool                // there are operations of a later schema
	// What is derived from the things, made when asked for; nil after a change.
	parted *parted
	doc    []byte
}

type thingKey struct{ kind, id string }

type thing struct {
	thingKey
	fields  []register
	touches []write // removals and touches nobody knew of when writing a later one
}

// register holds the writes of one field.
type register struct {
	name   string
	writes []write // none has seen another; in fold order, the last one stands
}

type write struct {
	op    *Op
	value []byte // nil: cleared
	gone  bool   // for touches: a removal
}

func newFold() *fold {
	return &fold{things: map[thingKey]*thing{}, kinds: map[string][]*thing{}, named: map[string]bool{}}
}

// folded brings the fold up to date and returns it.
func (l *Log) folded() *fold {
	if len(l.pending) == 0 {
		return l.fold
	}
	if l.fold.rank(l.pending) {
		l.fold = newFold()
		l.fold.rank(l.order)
		l.pending = l.order
	}
	for _, o := range l.pending {
		l.fold.take(o)
	}
	l.fold.parted, l.fold.doc = nil, nil
	l.pending = nil
	return l.fold
}

// rank takes new ways in and decides which ways stand. It reports whether that differs for a way
// that is folded already: then everything is folded anew, as there is no taking back.
func (f *fold) rank(ops []*Op) (anew bool) {
	fresh := map[*Op]bool{}
	for _, o := range ops {
		if o.whole() {
			fresh[o] = true
			f.ways = append(f.ways, o)
		}
	}
	if len(fresh) == 0 {
		return false
	}
	slices.SortFunc(f.ways, (*Op).compare)
	var stands []*Op
	for _, o := range slices.Backward(f.ways) {
		back := slices.ContainsFunc(stands, func(later *Op) bool { return !later.saw(o) })
		if !back {
			stands = append(stands, o)
		}
		anew = anew || back != o.back && !fresh[o]
		o.back = back
	}
	return anew
}

// take folds one operation. The result does not depend on the order of calls.
func (f *fold) take(o *Op) {
	f.newer = f.newer || o.Needs > Schema
	for i := range o.body {
		e := &o.body[i]
		if !o.applies(e) {
			continue
		}
		t := f.thing(e.thing, e.id)
		if e.gone || e.touches() {
			t.touches = merge(t.touches, write{op: o, gone: e.gone})
		}
		for _, s := range e.set {
			r := t.field(s.name)
			r.writes = merge(r.writes, write{op: o, value: s.value})
		}
	}
}

// applies says whether an edit counts: of a way that stands back only the facts do (SPEC W3).
func (o *Op) applies(e *edit) bool { return !o.back || e.fact }

// touches says whether an edit keeps a thing against a removal that did not know of it. Being laid
// elsewhere does not: that is the plan's doing, nobody meant the thing itself (SPEC M5).
func (e *edit) touches() bool {
	return e.here || len(e.set) > 1 || len(e.set) == 1 && e.set[0].name != "laid"
}

func (f *fold) thing(kind, id string) *thing {
	key := thingKey{kind, id}
	t := f.things[key]
	if t == nil {
		t = &thing{thingKey: key}
		f.things[key] = t
		f.kinds[kind] = append(f.kinds[kind], t)
		f.named[id] = true
	}
	return t
}

func (t *thing) field(name string) *register {
	i, found := t.search(name)
	if !found {
		t.fields = slices.Insert(t.fields, i, register{name: name})
	}
	return &t.fields[i]
}

// search is where a field is among the thing's, or would be.
func (t *thing) search(name string) (i int, found bool) {
	return slices.BinarySearchFunc(t.fields, name, func(r register, name string) int { return cmp.Compare(r.name, name) })
}

// merge takes a write in: it drops those it saw, and is dropped if another saw it. Where a way sets a
// field as a fact and otherwise, the fact comes later in its body and counts.
func merge(list []write, w write) []write {
	if len(list) == 1 && w.op.saw(list[0].op) { // the usual case
		list[0] = w
		return list
	}
	for _, have := range list {
		if have.op.saw(w.op) {
			return list
		}
	}
	list = slices.DeleteFunc(list, func(have write) bool { return w.op == have.op || w.op.saw(have.op) })
	i, _ := slices.BinarySearchFunc(list, w, func(a, b write) int { return a.op.compare(b.op) })
	return slices.Insert(list, i, w)
}

// standing returns the write that stands; ok is false when there is none.
func (r *register) standing() (w write, ok bool) {
	if len(r.writes) == 0 {
		return write{}, false
	}
	return r.writes[len(r.writes)-1], true
}

// standing returns the write of a field that stands; ok is false when there is none.
func (t *thing) standing(name string) (w write, ok bool) {
	i, found := t.search(name)
	if !found {
		return write{}, false
	}
	return t.fields[i].standing()
}

// value returns a field as it stands, nil when it is not set.
func (t *thing) value(name string) []byte {
	w, _ := t.standing(name)
	return w.value
}

// alive says whether the thing is there: somebody added or changed it, and nobody who knew removed it.
func (t *thing) alive() bool {
	return slices.ContainsFunc(t.touches, func(w write) bool { return !w.gone })
}
