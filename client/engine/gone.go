package engine

import (
	"encoding/json"
	"slices"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// Things that go and come back. What hangs on a thing goes with it in the same operation, so that one
// restore, or one undo, brings all of it back.

func (e *Engine) remove(r Request) {
	if !e.mayWrite() {
		return
	}
	if r.Kind == "site" || !e.phone.Log.State().Has(r.Kind, r.ID) {
		e.refuse("refused.gone")
		return
	}
	if a := e.sheet.acts[r.ID]; r.Kind == "activity" && a != nil && a.Finished != 0 {
		e.refuse("refused.removeDone", "what", a.Name)
		return
	}
	if h := e.site.Hold(r.ID); r.Kind == "hold" && h != nil && h.Result == schedule.Pass {
		e.refuse("refused.removeSigned", "what", h.Name)
		return
	}
	if why := e.sheet.stillUsed(r.Kind, r.ID); why != "" {
		e.refused = why
		return
	}
	name := e.sheet.thingName(r.Kind, r.ID)
	edits := append([]opsync.Edit{removed(r.Kind, r.ID, true)}, e.hangs(r.Kind, r.ID)...)
	bridges, told := e.bridges(r.Kind, r.ID)
	edits = append(edits, bridges...)
	if e.writeAndSay(r, label{"remove", name}, e.sheet.withAsides(Change{}, edits)) {
		e.said = strings.TrimSpace(e.words().Say("said.removed", "what", name) + " " + told + " " + e.said)
	}
}

// hangs are the removals of what makes no sense without a thing: the links of a node, the days of a crew.
func (e *Engine) hangs(kind, id string) (edits []opsync.Edit) {
	if kind != "crew" && !e.sheet.isNode(id) {
		return nil
	}
	for _, k := range e.site.Links {
		if k.From == id || k.To == id {
			edits = append(edits, removed("link", k.ID, true))
		}
	}
	for _, a := range e.site.Away {
		if kind == "crew" && a.Crew == id {
			edits = append(edits, removed("away", a.ID, true))
		}
	}
	for _, o := range e.site.Openings {
		if kind == "crew" && o.Crew == id {
			edits = append(edits, removed("opening", o.ID, true))
		}
	}
	return edits
}

// maxTold is how many new links are named; who removed a thing wants the one or two beside it.
const maxTold = 2

// bridges keep the order of the work when a piece or a visit is taken out of the middle: what waited for it
// waits for what it waited for, and as long: what has to dry before the one has to before the other. Without
// them taking out an inspection would let the board go up before the wires.
func (e *Engine) bridges(kind, id string) (edits []opsync.Edit, told string) {
	if kind != "activity" && kind != "hold" {
		return nil, ""
	}
	site := *e.site
	site.Links = slices.DeleteFunc(slices.Clone(site.Links), func(k schedule.Link) bool { return k.From == id || k.To == id })
	var lines []string
	for _, in := range e.sheet.into[id] {
		for _, out := range e.sheet.from[id] {
			if !plainLink(in) || !plainLink(out) || len(site.Links) >= schedule.MaxLinks {
				continue
			}
			k := schedule.Link{ID: e.newID() + "." + itoa(len(edits)+1), From: in.From, To: out.To}
			edit := set("link", k.ID, "from", k.From, "to", k.To)
			if in.Lag > 0 {
				k.Lag, k.Clock = in.Lag, in.Clock
				edit = set("link", k.ID, "from", k.From, "to", k.To, "lag", in.Lag, "clock", in.Clock, "why", in.Why, "wait", in.Wait, "thick", in.Thick)
			}
			if linked(&site, &k) || k.Lag == 0 && leads(&site, k.From, k.To) || circle(&site, &k) != nil {
				continue
			}
			site.Links = append(site.Links, k)
			edits = append(edits, edit)
			if len(lines) < maxTold {
				lines = append(lines, e.words().Say("said.nowWaits", "from", e.sheet.name(k.From), "to", e.sheet.name(k.To)))
			}
		}
	}
	return edits, strings.Join(lines, " ")
}

func plainLink(k *schedule.Link) bool { return k.Kind == "" || k.Kind == schedule.FS }

// linked tells whether a link of the same ends stands already.
func linked(site *schedule.Site, k *schedule.Link) bool {
	return slices.ContainsFunc(site.Links, func(l schedule.Link) bool { return l.From == k.From && l.To == k.To })
}

// leads tells whether a chain of links runs from one node to another.
func leads(site *schedule.Site, from, to string) bool {
	return circle(site, &schedule.Link{From: to, To: from}) != nil
}

// stillUsed says who still needs a crew or a place.
func (s *sheet) stillUsed(kind, id string) string {
	var names []string
	for i := range s.site.Activities {
		a := &s.site.Activities[i]
		if kind == "crew" && slices.Contains(crewsOf(a), id) || kind == "place" && a.Place == id {
			names = append(names, a.Name)
		}
	}
	if len(names) == 0 {
		return ""
	}
	n := len(names)
	return s.w.Count("refused.used", int64(n), "what", s.name(id), "by", s.w.List(names[:min(n, 3)]))
}

func (e *Engine) restore(r Request) {
	if !e.mayWrite() {
		return
	}
	kind, id := r.Kind, r.ID
	if kind == "" {
		kind, id, _ = strings.Cut(r.ID, "/")
	}
	back := &comeback{state: e.phone.Log.State()}
	back.gone = back.state.Gone()
	what := back.bring(kind, id)
	if what == nil {
		e.refuse("refused.gone")
		return
	}
	name := or(what.Name, e.words().Say("kind."+kind))
	if !e.write(r, opsync.KindEdit, label{"restore", or(what.Name, "kind."+kind)}, back.edits) {
		return
	}
	if len(back.with) > 0 {
		e.say("said.restoredWith", "what", name, "with", e.words().List(back.with))
		return
	}
	e.say("said.restored", "what", name)
}

// comeback gathers what one restore brings: the thing, what it cannot be without, and what went with it.
type comeback struct {
	state *opsync.State
	gone  []opsync.GoneThing
	edits []opsync.Edit
	with  []string // the names of what it cannot be without
}

// bring is nil where nothing of that name is gone, or where it is coming already.
func (b *comeback) bring(kind, id string) *opsync.GoneThing {
	at := slices.IndexFunc(b.gone, func(g opsync.GoneThing) bool { return g.Thing == kind && g.ID == id })
	if at < 0 {
		return nil
	}
	g := b.gone[at]
	b.gone = slices.Delete(b.gone, at, at+1)
	b.edits = append(b.edits, removed(kind, id, false))
	for _, need := range needs(kind, b.state.Was(kind, id)) {
		for _, k := range need.kinds {
			if x := b.bring(k, need.id); x != nil {
				b.with = append(b.with, or(x.Name, x.ID))
			}
		}
	}
	for _, x := range slices.Clone(b.gone) {
		if x.Op == g.Op && (x.Thing == "link" || x.Thing == "away" || x.Thing == "opening") && kind != x.Thing && b.complete(x) {
			b.bring(x.Thing, x.ID)
		}
	}
	return &g
}

// complete tells whether all that a thing needs is there or coming: a link whose other end went later stays with it.
func (b *comeback) complete(x opsync.GoneThing) bool {
	for _, n := range needs(x.Thing, b.state.Was(x.Thing, x.ID)) {
		if slices.ContainsFunc(b.gone, func(g opsync.GoneThing) bool { return slices.Contains(n.kinds, g.Thing) && g.ID == n.id }) {
			return false
		}
	}
	return true
}

type need struct {
	kinds []string
	id    string
}

// needs are the things that a thing of these fields names: work its crews and its place, a link its ends.
func needs(kind string, fields map[string]json.RawMessage) (out []need) {
	name := func(field string, kinds ...string) {
		var id string
		if json.Unmarshal(fields[field], &id) == nil && id != "" {
			out = append(out, need{kinds, id})
		}
	}
	switch kind {
	case "activity":
		name("crew", "crew")
		name("place", "place")
		var with []string
		_ = json.Unmarshal(fields["with"], &with)
		for _, id := range with {
			out = append(out, need{[]string{"crew"}, id})
		}
	case "link":
		name("from", "activity", "hold", "order")
		name("to", "activity", "hold", "order")
	case "order":
		name("stands", "place")
	case "away", "opening":
		name("crew", "crew")
	}
	return out
}
