package laws

import (
	"encoding/json"
	"math/rand/v2"
	"strconv"

	"batterboard/sync"
)

// Act lets the person at a device do one random thing. opsync.ErrNothing: there was nothing to do.
func Act(r *rand.Rand, log *opsync.Log, dev opsync.Device, wall int64, label string) ([]byte, error) {
	switch r.IntN(12) {
	case 0:
		if o, ok := log.LastAct(dev); ok {
			return log.Undo(dev, wall, label, o.ID)
		}
		return nil, opsync.ErrNothing
	case 1:
		if back := log.State().StoodBack(); len(back) > 0 {
			return log.Again(dev, wall, label, back[r.IntN(len(back))])
		}
		return nil, opsync.ErrNothing
	case 2:
		return choose(r, log, dev, wall, label)
	case 3:
		return log.Write(dev, wall, opsync.KindWay, label, way(r, log.NextID(dev)))
	}
	var list []opsync.Edit
	for range 1 + r.IntN(3) {
		list = append(list, edit(r, log.NextID(dev)))
	}
	return log.Write(dev, wall, opsync.KindEdit, label, list)
}

func choose(r *rand.Rand, log *opsync.Log, dev opsync.Device, wall int64, label string) ([]byte, error) {
	clashes := log.State().Clashes()
	if len(clashes) == 0 {
		return nil, opsync.ErrNothing
	}
	c := clashes[r.IntN(len(clashes))]
	return log.Choose(dev, wall, label, c.Thing, c.ID, c.Field, c.Values[r.IntN(len(c.Values))].Op)
}

// A small site, so that people get in each other's way.
var kinds = []string{"activity", "activity", "crew", "link", "hold", "site", "sketch"}

func edit(r *rand.Rand, next string) opsync.Edit {
	kind := kinds[r.IntN(len(kinds))]
	e := opsync.Edit{Thing: kind, ID: kind[:1] + strconv.Itoa(r.IntN(5))}
	if kind == opsync.Head {
		e.ID, e.Set = opsync.Head, fields(r, kind)
		return e
	}
	switch r.IntN(12) {
	case 0:
		e.Gone = &[]bool{true}[0]
	case 1:
		e.Gone = &[]bool{false}[0]
	case 2: // a new thing, born here
		e.ID, e.Set = next, fields(r, kind)
	default:
		e.Set = fields(r, kind)
	}
	return e
}

func fields(r *rand.Rand, kind string) map[string]json.RawMessage {
	number := json.RawMessage(strconv.Itoa(r.IntN(9)))
	word := quote(kind + " " + string(number))
	switch kind {
	case "link":
		return map[string]json.RawMessage{"from": node(r), "to": node(r)}
	case "crew":
		return pick(r.IntN(3), "size", number, "name", word, "pos", number)
	case opsync.Head:
		return pick(r.IntN(3), "lot", number, "name", word, "contact", word)
	}
	return pick(r.IntN(3), "pos", number, "name", word, "colour", quote("c"+string(number)))
}

// pick takes the i-th field; the second one clears the first.
func pick(i int, a string, av json.RawMessage, b string, bv json.RawMessage, c string, cv json.RawMessage) map[string]json.RawMessage {
	switch i {
	case 0:
		return map[string]json.RawMessage{a: av}
	case 1:
		return map[string]json.RawMessage{b: bv, a: json.RawMessage("null")}
	}
	return map[string]json.RawMessage{c: cv}
}

func node(r *rand.Rand) json.RawMessage { return quote("a" + strconv.Itoa(r.IntN(5))) }

func quote(s string) json.RawMessage { return json.RawMessage(strconv.Quote(s)) }

// way is a fact and its answer.
func way(r *rand.Rand, next string) []opsync.Edit {
	list := []opsync.Edit{{Thing: "away", ID: next, Fact: true, Set: map[string]json.RawMessage{
		"crew": quote("c" + strconv.Itoa(r.IntN(5))), "from": quote("2027-04-06"), "to": quote("2027-04-07")}}}
	for i := range 5 {
		list = append(list, opsync.Edit{Thing: "activity", ID: "a" + strconv.Itoa(i), Set: map[string]json.RawMessage{
			"laid": quote("2027-04-1" + strconv.Itoa(r.IntN(10)) + "T08:00")}})
	}
	return list
}
