package engine

import (
	"slices"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// New work and short deliveries: changes that bring things of their own into the plan.

// maxJoined is how many links new work gets by this door; more belong into the set-up.
const maxJoined = 12

// foundChange is work found on site: it goes behind After and in front of Before.
func (e *Engine) foundChange(c *Change) ([]opsync.Edit, string, label, bool) {
	s, id, name := e.sheet, e.newID(), strings.TrimSpace(c.Name)
	if len(e.site.Activities) >= schedule.MaxActivities || len(e.site.Links)+2*maxJoined > schedule.MaxLinks {
		return nil, "", nil, e.refuse("refused.full", "n", itoa(len(e.site.Activities)), "what", s.w.Say("kind.activity"))
	}
	if c.Labour == nil || c.Labour.Typical <= 0 {
		return nil, "", nil, e.refuse("refused.noHours", "what", or(name, s.w.Say("kind.activity")))
	}
	if !e.joins(c) {
		return nil, "", nil, false
	}
	fields := map[string]any{"name": name, "labour": fit(*c.Labour), "scope": strings.TrimSpace(c.Why)}
	for k, v := range map[string]string{"crew": c.Crew, "place": c.Place} { // any order: a table
		if v != "" {
			fields[k] = v
		}
	}
	work, why := e.checked("activity", id, fields)
	if why != "" {
		e.refused = why
		return nil, "", nil, false
	}
	work.Set["pos"] = value(e.posBehind(c.After))
	edits := append([]opsync.Edit{work}, joinsOf(id, c)...)
	if why := e.wrongLinks(edits); why != "" {
		e.refused = why
		return nil, "", nil, false
	}
	return edits, s.w.Say("title.found", "what", name), label{"way.found", name}, true
}

// joins checks what new work is put between.
func (e *Engine) joins(c *Change) bool {
	s := e.sheet
	if len(c.After) > maxJoined || len(c.Before) > maxJoined {
		return e.refuse("refused.count", "field", e.words().Say("kind.link"), "n", itoa(maxJoined))
	}
	for _, id := range append(slices.Clone(c.After), c.Before...) {
		if !s.isNode(id) {
			return e.refuse("refused.gone")
		}
	}
	for _, id := range c.Before {
		if a := s.acts[id]; s.done(id) || a != nil && a.Started != 0 || s.orders[id] != nil {
			return e.refuse("refused.begun", "what", s.name(id))
		}
		if slices.Contains(c.After, id) {
			return e.refuse("refused.both", "what", s.name(id))
		}
	}
	return true
}

// wrongLinks looks for a link among the edits that cannot be, on the site as it would be.
func (e *Engine) wrongLinks(edits []opsync.Edit) string {
	after, err := applied(e.site, edits)
	if err != nil {
		return e.words().Say("refused.change")
	}
	for i := range edits {
		if edits[i].Thing != "link" {
			continue
		}
		if why := e.sheet.wrongLink(after, after.Link(edits[i].ID)); why != "" {
			return why
		}
	}
	return ""
}

// posBehind puts new work into the list right behind what it comes after.
func (e *Engine) posBehind(after []string) int32 {
	pos := int32(0)
	for _, id := range after {
		if a := e.sheet.acts[id]; a != nil {
			pos = max(pos, a.Pos)
		}
	}
	if pos == 0 {
		return e.nextPos("activity")
	}
	return pos
}

// shortChange is a delivery that came with something missing: what there is is here, the rest is
// ordered anew with its own lead time, and what has not begun waits for it.
func (e *Engine) shortChange(c *Change, now schedule.Minute) ([]opsync.Edit, string, label, bool) {
	s, o, missing := e.sheet, e.sheet.orders[c.ID], strings.TrimSpace(c.Why)
	switch {
	case o == nil:
		return nil, "", nil, e.refuse("refused.gone")
	case missing == "":
		return nil, "", nil, e.refuse("refused.missing.what")
	case c.From != 0 && c.From < now.Day():
		return nil, "", nil, e.refuse("refused.promisedPast", "day", s.dated(c.From))
	case c.Days < 0 || c.Days > 730:
		return nil, "", nil, e.refuse("refused.count", "field", s.fieldName("lead"), "n", "730")
	case len(e.site.Orders) >= schedule.MaxOrders || len(e.site.Links)+len(s.from[o.ID]) > schedule.MaxLinks:
		return nil, "", nil, e.refuse("refused.full", "n", itoa(len(e.site.Orders)), "what", s.w.Say("kind.order"))
	}
	id, due := e.newID(), c.From
	if due == 0 {
		due = now.Day() + schedule.Day(c.Days)
	}
	came := set("order", o.ID, "short", missing)
	if o.Arrived == 0 && !c.Later {
		came.Set["arrived"] = value(now.Day())
	}
	rest := set("order", id, "goods", clip(s.w.Say("short.rest", "what", o.Goods), 60), "quantity", missing, "supplier", o.Supplier, "phone", o.Phone,
		"lead", int32(due-now.Day()), "ordered", now.Day(), "due", due, "pos", o.Pos)
	if o.Stands != "" {
		rest.Set["stands"] = value(o.Stands)
	}
	edits := []opsync.Edit{came, rest}
	for _, k := range s.from[o.ID] {
		if a := s.acts[k.To]; a != nil && (a.Started != 0 || a.Finished != 0) || !s.isNode(k.To) || s.done(k.To) || !wantsRest(c, k.To) {
			continue
		}
		edits = append(edits, set("link", id+"."+itoa(len(edits)), "from", id, "to", k.To))
	}
	return edits, s.w.Say("title.short", "what", o.Goods), label{"way.short", o.Goods, missing}, true
}

// wantsRest: named, only those named need what is missing; else all.
func wantsRest(c *Change, id string) bool { return len(c.Before) == 0 || slices.Contains(c.Before, id) }
