package sim

import (
	"encoding/json"
	"strconv"

	"batterboard/sync"
)

// act lets the person at a phone do one thing.
func (p *Phone) act() {
	if p.app == nil {
		p.start()
	}
	if why := p.app.ReadOnly(); why != "" && (why != opsync.WhyRole || !p.world.hit(ViewerWrites)) {
		return
	}
	r, log, at := p.world.rng, p.app.Log, p.clock()
	label := p.world.label()
	switch r.IntN(12) {
	case 0:
		p.write(func() ([]byte, error) {
			if o, ok := log.LastAct(p.dev); ok {
				return log.Undo(p.dev, at, label, o.ID)
			}
			return nil, opsync.ErrNothing
		})
	case 1:
		p.write(func() ([]byte, error) {
			if back := log.State().StoodBack(); len(back) > 0 {
				return log.Again(p.dev, at, label, back[r.IntN(len(back))])
			}
			return nil, opsync.ErrNothing
		})
	case 2:
		p.write(func() ([]byte, error) {
			c := log.State().Clashes()
			if len(c) == 0 {
				return nil, opsync.ErrNothing
			}
			k := c[r.IntN(len(c))]
			return log.Choose(p.dev, at, label, k.Thing, k.ID, k.Field, k.Values[r.IntN(len(k.Values))].Op)
		})
	case 3:
		p.write(func() ([]byte, error) { return log.Write(p.dev, at, opsync.KindWay, label, p.way()) })
	default:
		p.write(func() ([]byte, error) { return log.Write(p.dev, at, opsync.KindEdit, label, p.edits()) })
	}
}

// A small site, so that people get in each other's way.
var kinds = []string{"activity", "activity", "crew", "link", "hold"}

func (p *Phone) thing() (kind, id string) {
	r := p.world.rng
	kind = kinds[r.IntN(len(kinds))]
	return kind, kind[:1] + strconv.Itoa(r.IntN(5))
}

func (p *Phone) edits() []opsync.Edit {
	var list []opsync.Edit
	for range 1 + p.world.rng.IntN(3) {
		list = append(list, p.edit())
	}
	return list
}

func (p *Phone) edit() opsync.Edit {
	r := p.world.rng
	kind, id := p.thing()
	e := opsync.Edit{Thing: kind, ID: id}
	switch n := r.IntN(12); {
	case n == 0:
		e.Gone = &[]bool{true}[0]
	case n == 1:
		e.Gone = &[]bool{false}[0]
	case n == 2: // a new thing, born here
		e.ID = p.app.Log.NextID(p.dev)
		e.Set = p.fields(kind)
	default:
		e.Set = p.fields(kind)
	}
	return e
}

func (p *Phone) fields(kind string) map[string]json.RawMessage {
	r := p.world.rng
	number := json.RawMessage(strconv.Itoa(r.IntN(9)))
	switch kind {
	case "link":
		return map[string]json.RawMessage{"from": p.node(), "to": p.node()}
	case "crew":
		return pick(r.IntN(3), "size", number, "name", quote("crew "+string(number)), "pos", number)
	}
	return pick(r.IntN(3), "pos", number, "name", quote(kind+" "+string(number)), "phone", quote("555-01"+string(number)+"0"))
}

// pick takes the i-th pair.
func pick(i int, a string, av json.RawMessage, b string, bv json.RawMessage, c string, cv json.RawMessage) map[string]json.RawMessage {
	switch i {
	case 0:
		return map[string]json.RawMessage{a: av}
	case 1:
		return map[string]json.RawMessage{b: bv, a: json.RawMessage("null")}
	}
	return map[string]json.RawMessage{c: cv}
}

func (p *Phone) node() json.RawMessage { return quote("a" + strconv.Itoa(p.world.rng.IntN(5))) }

func quote(s string) json.RawMessage { return json.RawMessage(strconv.Quote(s)) }

// way is a fact and its answer.
func (p *Phone) way() []opsync.Edit {
	r := p.world.rng
	list := []opsync.Edit{{Thing: "away", ID: p.app.Log.NextID(p.dev), Fact: true, Set: map[string]json.RawMessage{
		"crew": quote("c" + strconv.Itoa(r.IntN(5))), "from": quote("2027-04-06"), "to": quote("2027-04-07")}}}
	for i := range 5 {
		list = append(list, opsync.Edit{Thing: "activity", ID: "a" + strconv.Itoa(i), Set: map[string]json.RawMessage{
			"laid": quote("2027-04-1" + strconv.Itoa(r.IntN(10)) + "T08:00")}})
	}
	return list
}
