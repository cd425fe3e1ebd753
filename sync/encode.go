package opsync

import (
	"bytes"
	"cmp"
	"slices"
	"strconv"
)

// Head is the thing, and the ID, of the site's own fields: name, address, hours.
const Head = "site"

func (e edit) compare(f edit) int {
	if c := cmp.Or(cmp.Compare(e.thing, f.thing), cmp.Compare(e.id, f.id)); c != 0 || e.fact == f.fact {
		return c
	}
	if f.fact {
		return -1
	}
	return 1
}

// appendPrefix writes the part of an operation that every schema has.
func (o *Op) appendPrefix(b []byte) []byte {
	if o.Needs > 1 {
		b = strconv.AppendInt(append(b, `{"n":`...), int64(o.Needs), 10)
		b = append(b, `,"d":`...)
	} else {
		b = append(b, `{"d":`...)
	}
	b = strconv.AppendUint(b, uint64(o.ID.Device), 10)
	b = strconv.AppendUint(append(b, `,"s":`...), uint64(o.ID.Seq), 10)
	b = strconv.AppendInt(append(b, `,"t":[`...), o.Stamp.Wall, 10)
	b = append(strconv.AppendInt(append(b, ','), o.Stamp.Count, 10), ']')
	if o.Wall < o.Stamp.Wall {
		b = strconv.AppendInt(append(b, `,"w":`...), o.Wall, 10)
	}
	b = appendString(append(b, `,"p":`...), o.Prev)
	if len(o.Seen) > 0 {
		b = appendIDs(append(b, `,"v":`...), o.Seen)
	}
	return b
}

// encode writes an operation in its one form. It is used once in an operation's life, by its author.
func (o *Op) encode() []byte {
	b := appendString(append(o.appendPrefix(make([]byte, 0, 160)), `,"k":`...), o.Kind)
	if o.Label != "" {
		b = appendString(append(b, `,"l":`...), o.Label)
	}
	if o.About != (OpID{}) {
		b = appendString(append(b, `,"o":`...), o.About.String())
	}
	b = append(b, `,"b":[`...)
	for i, e := range o.body {
		if i > 0 {
			b = append(b, ',')
		}
		b = e.encode(b)
	}
	return append(b, "]}"...)
}

func appendIDs(b []byte, ids []OpID) []byte {
	b = append(b, '[')
	for i, id := range ids {
		if i > 0 {
			b = append(b, ',')
		}
		b = strconv.AppendUint(append(b, '['), uint64(id.Device), 10)
		b = append(strconv.AppendUint(append(b, ','), uint64(id.Seq), 10), ']')
	}
	return append(b, ']')
}

func (e edit) encode(b []byte) []byte {
	b = appendString(append(b, `{"thing":`...), e.thing)
	b = appendString(append(b, `,"id":`...), e.id)
	if e.gone {
		b = append(b, `,"gone":true`...)
	} else if e.here {
		b = append(b, `,"gone":false`...)
	}
	if e.fact {
		b = append(b, `,"fact":true`...)
	}
	if len(e.set) > 0 {
		b = append(b, `,"set":{`...)
		for i, f := range e.set {
			if i > 0 {
				b = append(b, ',')
			}
			b = append(appendString(b, f.name), ':')
			b = append(b, f.json()...)
		}
		b = append(b, '}')
	}
	return append(b, '}')
}

// close turns edits as they come from the engine into their one form: sorted, one per thing, values
// canonical. Where two edits set the same field the later one counts.
func closeEdits(edits []Edit) ([]edit, error) {
	type numbered struct {
		edit
		n int
	}
	// Sorting pointers: one sort in the phone's program does for all of them.
	list := make([]*numbered, 0, len(edits))
	for i, e := range edits {
		c, err := e.close()
		if err != nil {
			return nil, err
		}
		list = append(list, &numbered{c, i})
	}
	slices.SortFunc(list, func(a, b *numbered) int { return cmp.Or(a.compare(b.edit), cmp.Compare(a.n, b.n)) })
	out := make([]edit, 0, len(list))
	for _, e := range list {
		if n := len(out); n > 0 && out[n-1].compare(e.edit) == 0 {
			out[n-1] = out[n-1].with(e.edit)
		} else {
			out = append(out, e.edit)
		}
	}
	for _, e := range out {
		if err := e.check(); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (e Edit) close() (c edit, err error) {
	c = edit{thing: e.Thing, id: e.ID, fact: e.Fact}
	if c.thing == Head && c.id == "" {
		c.id = Head
	}
	if err = checkName(c.thing, "the kind of a thing"); err != nil {
		return c, err
	}
	if err = checkID(c.thing, c.id); err != nil {
		return c, err
	}
	if e.Gone != nil {
		c.gone, c.here = *e.Gone, !*e.Gone
	}
	names := make([]string, 0, len(e.Set))
	for name := range e.Set {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		value, err := Canonical(e.Set[name])
		if err != nil {
			return c, err
		}
		if isNull(value) {
			value = nil
		}
		c.set = append(c.set, field{name, value})
	}
	return c, nil
}

// with joins a later edit of the same thing to e.
func (e edit) with(later edit) edit {
	if later.gone || later.here {
		e.gone, e.here = later.gone, later.here
	}
	for _, f := range later.set {
		i, found := slices.BinarySearchFunc(e.set, f.name, func(a field, name string) int { return cmp.Compare(a.name, name) })
		if found {
			e.set[i] = f
		} else {
			e.set = slices.Insert(e.set, i, f)
		}
	}
	if e.gone {
		e.set = nil
	}
	return e
}

// equal says whether two values are the same; nil is cleared.
func equal(a, b []byte) bool { return bytes.Equal(a, b) }
