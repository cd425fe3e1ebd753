package engine

import (
	"encoding/json"
	"slices"

	"batterboard/client/engine/template"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// maxOf bounds how many things of a kind one adds by hand; the file formats allow no more either.
var maxOf = map[string]int{"activity": schedule.MaxActivities, "hold": schedule.MaxHolds, "order": schedule.MaxOrders,
	"link": schedule.MaxLinks, "crew": schedule.MaxCrews, "place": schedule.MaxPlaces, "away": schedule.MaxDated,
	"shut": schedule.MaxDated, "opening": schedule.MaxDated, "note": schedule.MaxNotes}

// edit sets fields of a thing. Facts about finished work can be corrected, never moved by the plan.
func (e *Engine) edit(r Request) {
	if !e.mayWrite() {
		return
	}
	if r.Kind != "site" && !e.phone.Log.State().Has(r.Kind, r.ID) {
		e.refuse("refused.gone")
		return
	}
	edit, why := e.checkedRaw(r.Kind, r.ID, r.Fields)
	if why != "" {
		e.refused = why
		return
	}
	if !e.tradeKept(&edit) || !e.toldApart(edit) {
		return
	}
	e.dropSame(&edit)
	if len(edit.Set) == 0 {
		e.say("said.same")
		return
	}
	lab := label{"edit", e.sheet.thingName(r.Kind, r.ID), "field." + sortedKeys(edit.Set)[0]}
	e.writeAndSay(r, lab, e.sheet.withAsides(Change{}, []opsync.Edit{edit}))
}

// writeAndSay writes edits and tells what they did to the finish.
func (e *Engine) writeAndSay(r Request, label label, edits []opsync.Edit) bool {
	was := e.sheet.plan.Finish
	if !e.write(r, opsync.KindEdit, label, edits) {
		return false
	}
	e.sayChanged(was)
	return true
}

// sayChanged tells what an edit did to the finish, when it did.
func (e *Engine) sayChanged(was schedule.Minute) {
	if was != 0 && lastDay(0, was) != lastDay(0, e.sheet.plan.Finish) {
		e.said = e.words().Say("said.saved") + " " + e.sheet.finishShift(was)
		return
	}
	e.say("said.saved")
}

// dropSame leaves out fields that are as they were: nothing is written over that nobody changed.
func (e *Engine) dropSame(edit *opsync.Edit) {
	have := e.phone.Log.State().Fields(edit.Thing, edit.ID)
	for k, v := range edit.Set {
		old, ok := have[k]
		if ok && sameJSON(old, v) || !ok && string(v) == "null" {
			delete(edit.Set, k)
		}
	}
}

func sameJSON(a, b json.RawMessage) bool {
	var x, y any
	if json.Unmarshal(a, &x) != nil || json.Unmarshal(b, &y) != nil {
		return false
	}
	p, _ := json.Marshal(x)
	q, _ := json.Marshal(y)
	return string(p) == string(q)
}

// add makes a new thing. Its ID is made from the operation that brings it.
func (e *Engine) add(r Request) {
	if !e.mayWrite() {
		return
	}
	if !slices.Contains(kinds, r.Kind) {
		e.refuse("refused.gone")
		return
	}
	if n := list(e.site, r.Kind).Len(); n >= maxOf[r.Kind] {
		e.refuse("refused.full", "n", itoa(n), "what", e.words().Say("kind."+r.Kind))
		return
	}
	id := e.newID()
	edit, why := e.checkedRaw(r.Kind, id, r.Fields)
	if why != "" {
		e.refused = why
		return
	}
	if !e.tradeKept(&edit) || !e.toldApart(edit) {
		return
	}
	if _, ok := edit.Set["pos"]; !ok && hasPos(r.Kind) {
		edit.Set["pos"] = value(e.nextPos(r.Kind))
	}
	for k, v := range edit.Set {
		if string(v) == "null" {
			delete(edit.Set, k)
		}
	}
	edits, ok := e.joined(edit, r.Change)
	if !ok {
		return
	}
	name := or(plainValue(edit.Set["name"]), plainValue(edit.Set["goods"]))
	if e.writeAndSay(r, label{"add", or(name, "kind."+r.Kind)}, edits) {
		e.added = id
	}
}

// joined puts a new thing between those that Change names, by links of its own.
func (e *Engine) joined(edit opsync.Edit, c *Change) ([]opsync.Edit, bool) {
	edits := []opsync.Edit{edit}
	if c == nil || len(c.After)+len(c.Before) == 0 {
		return edits, true
	}
	if edit.Thing != "activity" && edit.Thing != "hold" && edit.Thing != "order" {
		return nil, e.refuse("refused.change")
	}
	if !e.joins(c) {
		return nil, false
	}
	edits = append(edits, joinsOf(edit.ID, c)...)
	if n := len(e.site.Links); n+len(edits)-1 > schedule.MaxLinks {
		return nil, e.refuse("refused.full", "n", itoa(n), "what", e.words().Say("kind.link"))
	}
	if why := e.wrongLinks(edits); why != "" {
		e.refused = why
		return nil, false
	}
	return edits, true
}

// joinsOf are the links of a new thing to what it comes behind and in front of.
func joinsOf(id string, c *Change) (edits []opsync.Edit) {
	for _, from := range c.After {
		edits = append(edits, set("link", id+"."+itoa(len(edits)+1), "from", from, "to", id))
	}
	for _, to := range c.Before {
		edits = append(edits, set("link", id+"."+itoa(len(edits)+1), "from", id, "to", to))
	}
	return edits
}

func hasPos(kind string) bool {
	return kind == "activity" || kind == "crew" || kind == "place" || kind == "hold" || kind == "order"
}

func (e *Engine) nextPos(kind string) int32 {
	all, top := list(e.site, kind), int64(0)
	for i := range all.Len() {
		top = max(top, all.Index(i).FieldByName("Pos").Int())
	}
	return int32(min(top+1, 1<<30))
}

// template fills an empty site.
func (e *Engine) template(r Request) {
	if !e.mayWrite() {
		return
	}
	doc := template.Document(r.Key, or(e.lang, e.site.Lang))
	if doc == nil {
		e.refuse("refused.gone")
		return
	}
	if len(e.site.Activities) > 0 {
		e.refuse("refused.notEmpty")
		return
	}
	edits, err := opsync.EditsFromDocument(doc)
	if err != nil {
		e.refuse("refused.log", "why", err.Error())
		return
	}
	fields := map[string]json.RawMessage{"start": value(or0(r.From, r.Now.Day()))}
	if e.site.Lang == "" { // the language its names are written in
		fields["lang"] = value(or(e.lang, "en"))
	}
	for k, v := range r.Fields {
		fields[k] = v
	}
	for i := range edits {
		if edits[i].Thing == "site" { // the site's own name and language stay
			for k, v := range edits[i].Set {
				if _, ok := fields[k]; !ok && k != "name" && k != "lang" && k != "format" {
					fields[k] = v
				}
			}
			edits = slices.Delete(edits, i, i+1)
			break
		}
	}
	if e.site.Name == "" && fields["name"] == nil {
		fields["name"] = value(e.words().Say("template." + r.Key))
	}
	head, why := e.checkedRaw("site", "site", fields)
	if why != "" {
		e.refused = why
		return
	}
	lab := label{"template", "template." + r.Key}
	for _, part := range opsync.SplitEdits(append([]opsync.Edit{head}, edits...)) {
		if !e.write(r, opsync.KindEdit, lab, part) {
			return
		}
	}
	e.say("said.template", "finish", e.sheet.finishWords())
}

func or0(a, b schedule.Day) schedule.Day {
	if a != 0 {
		return a
	}
	return b
}
