package opsync

import (
	"cmp"
	"encoding/json"
	"slices"
)

// State is the folded site. It is valid until the next Add or Write; ask the log again then.
type State struct {
	log  *Log
	fold *fold
}

// State folds what is new and returns the site.
func (l *Log) State() *State { return &State{log: l, fold: l.folded()} }

// Fields returns the fields of a thing as they stand, nil when it is not there or removed. Without
// "id". The head of the site ("site") is always there.
func (s *State) Fields(thing, id string) map[string]json.RawMessage {
	if thing == Head {
		id = Head
	}
	t := s.fold.things[thingKey{thing, id}]
	if t == nil && thing == Head {
		return map[string]json.RawMessage{}
	}
	if t == nil || thing != Head && !t.alive() {
		return nil
	}
	return t.open()
}

func (t *thing) open() map[string]json.RawMessage {
	m := make(map[string]json.RawMessage, len(t.fields))
	for i := range t.fields {
		if w, ok := t.fields[i].standing(); ok && w.value != nil {
			m[t.fields[i].name] = w.value
		}
	}
	return m
}

// Was returns the fields of a thing as they stand, also of one that is removed; nil when it never was there.
func (s *State) Was(thing, id string) map[string]json.RawMessage {
	t := s.fold.things[thingKey{thing, id}]
	if t == nil {
		return nil
	}
	return t.open()
}

// Wrote says when the standing value of a field was written, in milliseconds since 1970 by its author's clock.
func (s *State) Wrote(thing, id, field string) (wall int64, ok bool) {
	t := s.fold.things[thingKey{thing, id}]
	if t == nil || !t.alive() {
		return 0, false
	}
	w, ok := t.standing(field)
	if !ok {
		return 0, false
	}
	return w.op.Wall, true
}

// Has says whether a thing is there and not removed.
func (s *State) Has(thing, id string) bool {
	t := s.fold.things[thingKey{thing, id}]
	return t != nil && t.alive()
}

// Known says whether a thing is or ever was there.
func (s *State) Known(thing, id string) bool { return s.fold.things[thingKey{thing, id}] != nil }

// IDs returns the IDs of all things of a kind that are there, in the document's order.
func (s *State) IDs(thing string) []string {
	var ids []string
	for _, t := range s.fold.list(thing) {
		ids = append(ids, t.id)
	}
	return ids
}

// list returns the things of a kind that are there by pos, then ID.
func (f *fold) list(kind string) []*thing {
	var list []*thing
	for _, t := range f.kinds[kind] {
		if t.alive() {
			list = append(list, t)
		}
	}
	slices.SortFunc(list, func(a, b *thing) int { return cmp.Or(cmp.Compare(a.pos(), b.pos()), cmp.Compare(a.id, b.id)) })
	return list
}

// Clash is a field with more than one value, written without knowing of each other. Values[0] is the
// one that stands. The field "gone" is a removal against a change: the thing stands, and choosing the
// removal removes it.
type Clash struct {
	Thing, ID, Field string
	Values           []ClashValue
}

// Joins tells whether two clashes are about one thing and between the same acts: they are one question.
func (c *Clash) Joins(o *Clash) bool {
	return c.Thing == o.Thing && c.ID == o.ID && slices.EqualFunc(c.Values, o.Values, func(v, w ClashValue) bool { return v.Op == w.Op })
}

// ClashValue is one written value; null when it was cleared. For the field "gone" it is true or false.
type ClashValue struct {
	Op    OpID
	Value json.RawMessage
}

// Clashes returns what is waiting for a choice, by thing, ID and field.
func (s *State) Clashes() []Clash {
	var list []*Clash
	for key, t := range s.fold.things {
		if key.kind != Head {
			list = add(list, t.goneClash())
			if !t.alive() {
				continue
			}
		}
		for i := range t.fields {
			list = add(list, t.fieldClash(&t.fields[i]))
		}
	}
	slices.SortFunc(list, func(a, b *Clash) int {
		return cmp.Or(cmp.Compare(a.Thing, b.Thing), cmp.Compare(a.ID, b.ID), cmp.Compare(a.Field, b.Field))
	})
	var out []Clash
	for _, c := range list {
		out = append(out, *c)
	}
	return out
}

func add(list []*Clash, c *Clash) []*Clash {
	if c == nil {
		return list
	}
	return append(list, c)
}

// fieldClash lists the values of one field that differ from the one that stands and from each other.
func (t *thing) fieldClash(r *register) *Clash {
	if len(r.writes) < 2 {
		return nil
	}
	c := &Clash{Thing: t.kind, ID: t.id, Field: r.name}
	for _, w := range slices.Backward(r.writes) {
		value := field{value: w.value}.json()
		same := func(v ClashValue) bool { return equal(v.Value, value) }
		if !slices.ContainsFunc(c.Values, same) {
			c.Values = append(c.Values, ClashValue{w.op.ID, value})
		}
	}
	if len(c.Values) < 2 {
		return nil
	}
	return c
}

// goneClash is a removal that stands against a change: the latest of each.
func (t *thing) goneClash() *Clash {
	var removal, touch *write
	for i := range t.touches {
		if w := &t.touches[i]; w.gone {
			removal = w
		} else {
			touch = w
		}
	}
	if removal == nil || touch == nil {
		return nil
	}
	return &Clash{Thing: t.kind, ID: t.id, Field: "gone", Values: []ClashValue{
		{touch.op.ID, json.RawMessage("false")}, {removal.op.ID, json.RawMessage("true")}}}
}

// GoneThing is a removed thing that can be restored with Edit.Gone false.
type GoneThing struct {
	Thing, ID string
	Name      string // its name as it was: the field name, goods or said
	Op        OpID   // the removal
}

// Gone returns the removed things, the latest removal first.
func (s *State) Gone() []GoneThing {
	type removed struct {
		GoneThing
		op *Op
	}
	var list []*removed
	for key, t := range s.fold.things {
		if n := len(t.touches); key.kind != Head && n > 0 && !t.alive() {
			op := t.touches[n-1].op
			list = append(list, &removed{GoneThing{t.kind, t.id, t.name(), op.ID}, op})
		}
	}
	slices.SortFunc(list, func(a, b *removed) int {
		return cmp.Or(b.op.compare(a.op), cmp.Compare(a.Thing, b.Thing), cmp.Compare(a.ID, b.ID))
	})
	out := make([]GoneThing, len(list))
	for i, r := range list {
		out[i] = r.GoneThing
	}
	return out
}

// name finds what people call a thing.
func (t *thing) name() string {
	for _, f := range []string{"name", "goods", "said", "why"} {
		var s string
		if json.Unmarshal(t.value(f), &s) == nil && s != "" {
			return s
		}
	}
	return ""
}

// StoodBack returns the ways that stand back behind another taken at the same time, and that nobody
// has taken again, taken back or answered with a later way knowing of them; the latest first.
func (s *State) StoodBack() []OpID {
	var ids []OpID
	for _, o := range slices.Backward(s.fold.ways) {
		if o.back && !s.answered(o) {
			ids = append(ids, o.ID)
		}
	}
	return ids
}

func (s *State) answered(o *Op) bool {
	knowing := func(later *Op) bool { return later.saw(o) }
	return slices.ContainsFunc(s.fold.ways, knowing) || len(s.log.about[o.ID]) > 0
}

// NeedsNewer says that the log has operations of a later schema: they are kept and passed on, but
// what is shown may lack something, so this phone must not write.
func (s *State) NeedsNewer() bool { return s.fold.newer }
