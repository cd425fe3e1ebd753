package opsync

import (
	"encoding/json"
	"slices"
	"strconv"
)

// EditsFromDocument turns a site document into the edits that make this site, in the document's order.
// Unknown lists of things with IDs and unknown fields of the head are kept. "id" and "format" are not
// taken: the site it is read into has its own.
func EditsFromDocument(doc []byte) ([]Edit, error) {
	if len(doc) > MaxDocument {
		return nil, refuse(WhyLimit, "this file has more than "+count(MaxDocument>>20)+" MB. Nothing was changed")
	}
	names, members, err := object(doc)
	if err != nil || members == nil {
		return nil, refuse(WhyForm, "this is not a site file: it does not read as one JSON object. Nothing was changed")
	}
	if raw, ok := members["format"]; ok && string(raw) != "1" {
		return nil, refuse(WhySchema, "this site file is of format "+cut(string(raw), 20)+
			"; this program reads format 1. Update, then open it again. Nothing was changed")
	}
	in := importer{head: Edit{Thing: Head, ID: Head, Set: map[string]json.RawMessage{}}}
	for _, name := range names {
		if err := in.member(name, members[name]); err != nil {
			return nil, err
		}
	}
	if len(in.things) > MaxThings {
		return nil, refuse(WhyLimit, "this file has "+count(len(in.things))+" things; a site has at most "+count(MaxThings)+". Nothing was changed")
	}
	if len(in.head.Set) > 0 {
		in.things = slices.Insert(in.things, 0, in.head)
	}
	return in.things, nil
}

// object reads a JSON object's members and the order of their names.
func object(raw []byte) (names []string, members map[string]json.RawMessage, err error) {
	if err = json.Unmarshal(raw, &members); err != nil {
		return nil, nil, err
	}
	for name := range members {
		names = append(names, name)
	}
	slices.Sort(names)
	return names, members, nil
}

type importer struct {
	head   Edit
	things []Edit
}

func (in *importer) member(name string, raw json.RawMessage) error {
	switch {
	case name == "id" || name == "format":
		return nil
	case kindOf[name] != "":
		return in.list(kindOf[name], name, raw)
	case isList(raw) && checkName(name, "") == nil && lists[name] == "":
		return in.list(name, name, raw)
	}
	if err := checkName(name, "a field of the site"); err != nil {
		return err
	}
	return in.field(&in.head, name, raw)
}

// isList says whether raw is a list of things with IDs, as a kind of a later program is.
func isList(raw json.RawMessage) bool {
	var items []struct {
		ID string `json:"id"`
	}
	if json.Unmarshal(raw, &items) != nil || len(items) == 0 {
		return false
	}
	return items[0].ID != ""
}

func (in *importer) field(e *Edit, name string, raw json.RawMessage) error {
	value, err := Canonical(raw)
	if err != nil {
		return err
	}
	if len(value) > MaxValueBytes {
		return refuse(WhyLimit, "the field "+name+" of "+e.Thing+" "+e.ID+" is longer than "+count(MaxValueBytes)+" bytes. Nothing was changed")
	}
	if isNull(value) {
		return nil
	}
	if !fits(e.Thing, name, value) {
		return refuse(WhyForm, "the field "+name+" of "+e.Thing+" "+e.ID+" does not hold what it should: "+cut(string(value), 60)+". Nothing was changed")
	}
	e.Set[name] = value
	return nil
}

func (in *importer) list(kind, name string, raw json.RawMessage) error {
	var items []json.RawMessage
	if json.Unmarshal(raw, &items) != nil {
		return refuse(WhyForm, "in this file "+name+" is not a list. Nothing was changed")
	}
	first, seen := len(in.things), map[string]bool{}
	for i, item := range items {
		e, err := in.thing(kind, item)
		if err != nil {
			return refuse(codeOf(err), name+", number "+strconv.Itoa(i+1)+": "+err.Error())
		}
		if seen[e.ID] {
			return refuse(WhyForm, name+": two of them have the ID "+e.ID+". Nothing was changed")
		}
		seen[e.ID] = true
		in.things = append(in.things, e)
	}
	keepOrder(kind, in.things[first:])
	return nil
}

func (in *importer) thing(kind string, raw json.RawMessage) (e Edit, err error) {
	names, members, err := object(raw)
	if err != nil || members == nil {
		return e, refuse(WhyForm, "not an object with an id")
	}
	e = Edit{Thing: kind, Gone: new(bool), Set: map[string]json.RawMessage{}}
	if json.Unmarshal(members["id"], &e.ID) != nil {
		return e, refuse(WhyForm, "the id is not a text")
	}
	if err := checkID(kind, e.ID); err != nil {
		return e, err
	}
	for _, name := range names {
		if name == "id" {
			continue
		}
		if err := checkName(name, "a field"); err != nil {
			return e, err
		}
		if err := in.field(&e, name, members[name]); err != nil {
			return e, err
		}
	}
	return e, nil
}

// keepOrder gives things a pos where the file's own order would otherwise be lost.
func keepOrder(kind string, things []Edit) {
	if shapes[kind]["pos"] == nil {
		return
	}
	sorted := true
	for i := range things {
		if things[i].Set["pos"] != nil {
			return
		}
		sorted = sorted && (i == 0 || things[i-1].ID < things[i].ID)
	}
	for i := range things {
		if !sorted {
			things[i].Set["pos"] = json.RawMessage(strconv.Itoa(i + 1))
		}
	}
}

// SplitEdits cuts edits into lists that fit into one operation each, with room to spare.
func SplitEdits(edits []Edit) [][]Edit {
	var out [][]Edit
	from, size := 0, 0
	for i, e := range edits {
		n := 80 + len(e.ID)
		for name, value := range e.Set {
			n += len(name) + len(value) + 4
		}
		if i > from && (size+n > MaxOpBytes/2 || i-from == MaxEdits) {
			out = append(out, edits[from:i])
			from, size = i, 0
		}
		size += n
	}
	if from < len(edits) {
		out = append(out, edits[from:])
	}
	return out
}
