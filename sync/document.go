package opsync

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// lists are the kinds of schema 1 and the names of their lists in the site document. A kind that is
// not here, of a later program, has its own name for a list (SPEC D4).
var lists = map[string]string{"crew": "crews", "place": "places", "activity": "activities", "link": "links",
	"hold": "holds", "order": "orders", "away": "away", "shut": "shut", "opening": "openings",
	"text": "texts", "wording": "wordings", "note": "notes", "photo": "photos", "paper": "papers", "answer": "answers",
	"reading": "readings", "settled": "settled"}

// ListOf names the list of the site document that holds things of a kind; empty for a kind this program
// does not know, and for the head, which is no list.
func ListOf(kind string) string { return lists[kind] }

// kindOf is the inverse of lists.
var kindOf = func() map[string]string {
	m := map[string]string{asideList: "link"}
	for kind, list := range lists {
		m[list] = kind
	}
	return m
}()

// asideList holds the links set aside, so that an exported site still has them.
const asideList = "linksAside"

// Document returns the site as one canonical JSON document without white space: names sorted, lists
// by pos then ID, unknown kinds and fields kept, values of the wrong shape left out (SPEC D5). The
// site's ID is not in it: a document can be taken in as another site.
func (s *State) Document() []byte {
	if s.fold.doc == nil {
		s.fold.doc = s.fold.document()
	}
	return slices.Clone(s.fold.doc)
}

func (f *fold) document() []byte {
	members := map[string]func([]byte) []byte{
		"format": func(b []byte) []byte { return append(b, '1') },
	}
	if head := f.things[thingKey{Head, Head}]; head != nil {
		for i := range head.fields {
			name := head.fields[i].name
			if w, _ := head.fields[i].standing(); w.value != nil && fits(Head, name, w.value) && !reserved(name) {
				members[name] = func(b []byte) []byte { return append(b, w.value...) }
			}
		}
	}
	links, aside := f.links()
	for kind := range f.kinds {
		f.addList(members, kind, links)
	}
	if len(aside) > 0 {
		members[asideList] = func(b []byte) []byte { return appendThings(b, asideThings(aside)) }
	}
	return appendMembers(nil, members)
}

func (f *fold) addList(members map[string]func([]byte) []byte, kind string, links []*thing) {
	name := lists[kind]
	if name == "" && (reserved(kind) || lowered[Head][strings.ToLower(kind)]) || kind == Head {
		return // the name is taken: a stranger's kind may not push out what we know
	}
	list := links
	if kind != "link" {
		list = f.shown(kind)
	}
	if n := caps[kind]; n > 0 && len(list) > n {
		list = list[:n]
	}
	if len(list) > 0 {
		members[cmp.Or(name, kind)] = func(b []byte) []byte { return appendThings(b, list) }
	}
}

// nodes share their IDs, as links join them. Should two have the same one, the first kind here is shown.
var nodes = []string{"activity", "hold", "order"}

// shown returns the things of a kind that the document lists.
func (f *fold) shown(kind string) []*thing {
	list := f.list(kind)
	n := slices.Index(nodes, kind)
	if n <= 0 {
		return list
	}
	return slices.DeleteFunc(list, func(t *thing) bool {
		return slices.ContainsFunc(nodes[:n], func(earlier string) bool {
			other := f.things[thingKey{earlier, t.id}]
			return other != nil && other.alive()
		})
	})
}

// reserved says whether a name in the document is not free for fields of the head.
func reserved(name string) bool {
	name = strings.ToLower(name) // encoding/json takes CREWS for crews
	return taken[name]
}

var taken = func() map[string]bool {
	m := map[string]bool{"format": true, "id": true, strings.ToLower(asideList): true}
	for kind, list := range lists {
		m[kind], m[list] = true, true
	}
	return m
}()

func appendMembers(b []byte, members map[string]func([]byte) []byte) []byte {
	names := make([]string, 0, len(members))
	for name := range members {
		names = append(names, name)
	}
	slices.Sort(names)
	b = append(b, '{')
	for i, name := range names {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(append(append(b, '"'), name...), '"', ':')
		b = members[name](b)
	}
	return append(b, '}')
}

func appendThings(b []byte, list []*thing) []byte {
	b = append(b, '[')
	for i, t := range list {
		if i > 0 {
			b = append(b, ',')
		}
		b = t.append(b)
	}
	return append(b, ']')
}

// append writes one thing, its ID among the sorted fields.
func (t *thing) append(b []byte) []byte {
	b = append(b, '{')
	start, id := len(b), false
	put := func(name string, value []byte) {
		if len(b) > start {
			b = append(b, ',')
		}
		b = append(append(append(b, '"'), name...), '"', ':')
		b = append(b, value...)
	}
	for i := range t.fields {
		r := &t.fields[i]
		if !id && r.name > "id" {
			put("id", appendString(nil, t.id))
			id = true
		}
		if w, _ := r.standing(); w.value != nil && fits(t.kind, r.name, w.value) {
			put(r.name, w.value)
		}
	}
	if !id {
		put("id", appendString(nil, t.id))
	}
	return append(b, '}')
}

// pos is the place in the owner's order; 0 when there is none.
func (t *thing) pos() int64 {
	raw := t.value("pos")
	if raw == nil || !small(raw) {
		return 0
	}
	n, _ := strconv.ParseInt(string(raw), 10, 32) // it is small
	return n
}
