package engine

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"

	"batterboard/client/engine/template"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// A changed answer changes the plan by three readings of it: what the old answers made (base), what the new
// ones make (next), and what stands (the site). Where the site still says what base said, it follows
// next; where the owner wrote something else, that stays. So nothing has to be remembered about who
// wrote what, and two phones come to the same.

// made is the answer that says that the plan on the site was made from the answers.
const made = template.Made

// builtKinds in the order in which they are compared: crews and places last, because what is left of the
// work decides whether they are needed.
var builtKinds = []string{"activity", "hold", "order", "link", "crew", "place"}

// A kept thing is one the new answers would not have, and that stays because somebody touched it.
type kept struct{ kind, id string }

// rebuilt is the outcome of other answers.
type rebuilt struct {
	edits   []opsync.Edit
	added   []kept
	removed []kept
	changed []kept
	kept    []kept
}

// fieldsOf is a thing as fields, without its ID.
func fieldsOf(t reflect.Value) map[string]json.RawMessage {
	out := map[string]json.RawMessage{}
	typ := t.Type()
	for i := range typ.NumField() {
		name, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
		if f := t.Field(i); name != "id" && !f.IsZero() {
			out[name] = value(f.Interface())
		}
	}
	return out
}

// byID are the things of a kind, and their IDs in order.
func byID(site *schedule.Site, kind string) (ids []string, all map[string]map[string]json.RawMessage) {
	all = map[string]map[string]json.RawMessage{}
	l := list(site, kind)
	for i := range l.Len() {
		id := l.Index(i).FieldByName("ID").String()
		ids = append(ids, id)
		all[id] = fieldsOf(l.Index(i))
	}
	return ids, all
}

// rebuild compares what two sets of answers make with what stands.
func rebuild(site, base, next *schedule.Site) *rebuilt {
	r := &rebuilt{}
	stays := map[string]bool{} // nodes, crews and places that stay although the new answers have none
	for _, kind := range builtKinds {
		baseIDs, was := byID(base, kind)
		nextIDs, will := byID(next, kind)
		_, have := byID(site, kind)
		for _, id := range nextIDs {
			switch {
			case have[id] == nil && (was[id] == nil || r.needs(kind, id)):
				if kind != "link" || r.ends(site, next, will[id], stays) {
					r.put(kind, id, will[id])
				}
			case have[id] != nil:
				r.follow(kind, id, was[id], will[id], have[id])
			}
		}
		for _, id := range baseIDs {
			if will[id] != nil || have[id] == nil {
				continue
			}
			if r.leaves(kind, id, was[id], have[id], site, stays) {
				r.edits = append(r.edits, removed(kind, id, true))
				r.removed = append(r.removed, kept{kind, id})
			} else {
				stays[id] = true
				if kind != "link" {
					r.kept = append(r.kept, kept{kind, id})
				}
			}
		}
	}
	r.loose(site)
	return r
}

// loose takes out the owner's own links to things that go.
func (r *rebuilt) loose(site *schedule.Site) {
	for _, l := range site.Links {
		ours := slices.ContainsFunc(r.edits, func(e opsync.Edit) bool { return e.Thing == "link" && e.ID == l.ID && e.Gone != nil })
		if !ours && (r.gone(l.From) || r.gone(l.To)) {
			r.edits = append(r.edits, removed("link", l.ID, true))
		}
	}
}

// gone tells whether a node goes.
func (r *rebuilt) gone(id string) bool {
	return slices.ContainsFunc(r.removed, func(x kept) bool {
		return x.id == id && (x.kind == "activity" || x.kind == "hold" || x.kind == "order")
	})
}

func (r *rebuilt) put(kind, id string, fields map[string]json.RawMessage) {
	r.edits = append(r.edits, opsync.Edit{Thing: kind, ID: id, Set: fields})
	r.added = append(r.added, kept{kind, id})
}

// ends tells whether both ends of a link will be there.
func (r *rebuilt) ends(site, next *schedule.Site, link map[string]json.RawMessage, stays map[string]bool) bool {
	for _, end := range []string{plainValue(link["from"]), plainValue(link["to"])} {
		fresh := slices.ContainsFunc(r.added, func(a kept) bool { return a.id == end })
		if !fresh && !stays[end] && (!isNodeOf(site, end) || !isNodeOf(next, end)) {
			return false
		}
	}
	return true
}

func isNodeOf(s *schedule.Site, id string) bool {
	return s.Activity(id) != nil || s.Hold(id) != nil || s.Order(id) != nil
}

// happened are fields that say that something was done; a thing that has one is past being planned anew.
var happened = []string{"started", "finished", "calledIn", "result", "ordered", "arrived", "due", "reserved"}

// touched tells whether somebody wrote on a thing: where it was laid and what a crew heard is the plan's doing.
func touched(was, have map[string]json.RawMessage) bool {
	for _, name := range sortedKeys(have) {
		if was[name] == nil && name != "laid" && name != "toldStart" && name != "toldFinish" {
			return true
		}
	}
	for _, name := range sortedKeys(was) {
		if !sameText(was[name], have[name]) {
			return true
		}
	}
	return false
}

// sameText compares two values; a text of the set-up is the same in both languages.
func sameText(a, b json.RawMessage) bool {
	if string(a) == string(b) {
		return true
	}
	var x, y string
	if json.Unmarshal(a, &x) == nil && json.Unmarshal(b, &y) == nil {
		return template.Ours(x, y)
	}
	var p, q []string
	if json.Unmarshal(a, &p) != nil || json.Unmarshal(b, &q) != nil || len(p) != len(q) {
		return false
	}
	for i := range p {
		if !template.Ours(p[i], q[i]) {
			return false
		}
	}
	return true
}

// follow changes what still says what the old answers said.
func (r *rebuilt) follow(kind, id string, was, will, have map[string]json.RawMessage) {
	for _, f := range happened {
		if have[f] != nil {
			return
		}
	}
	set := map[string]json.RawMessage{}
	for _, name := range sortedKeys(will) {
		if !sameText(was[name], will[name]) && sameText(was[name], have[name]) {
			set[name] = will[name]
		}
	}
	for _, name := range sortedKeys(was) {
		if will[name] == nil && sameText(was[name], have[name]) {
			set[name] = json.RawMessage("null")
		}
	}
	if len(set) == 0 {
		return
	}
	r.edits = append(r.edits, opsync.Edit{Thing: kind, ID: id, Set: set})
	if len(set) > 1 || set["pos"] == nil {
		r.changed = append(r.changed, kept{kind, id})
	}
}

// leaves tells whether a thing that the new answers do not have may go.
func (r *rebuilt) leaves(kind, id string, was, have map[string]json.RawMessage, site *schedule.Site, stays map[string]bool) bool {
	if kind == "link" {
		from, to := plainValue(have["from"]), plainValue(have["to"])
		return r.gone(from) || r.gone(to) || !stays[from] && !stays[to] && !touched(was, have)
	}
	if touched(was, have) {
		return false
	}
	if kind != "crew" && kind != "place" {
		return true
	}
	after, err := applied(site, r.edits)
	if err != nil {
		return false
	}
	for i := range after.Activities {
		if a := &after.Activities[i]; kind == "crew" && slices.Contains(crewsOf(a), id) || kind == "place" && a.Place == id {
			return false
		}
	}
	return true
}

// needs tells whether work that is added or changed names a crew or a place that somebody took away.
func (r *rebuilt) needs(kind, id string) bool {
	return (kind == "crew" || kind == "place") && slices.ContainsFunc(r.edits, func(e opsync.Edit) bool { return plainValue(e.Set[kind]) == id })
}
