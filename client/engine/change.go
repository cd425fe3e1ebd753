package engine

import (
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// maxSpan is the longest time one can be away or shut in one go: half a year.
const maxSpan = 183

// changeEdits turns a what-if into edits (marked as facts: they stay whatever way is taken), its title
// and its label for the log. ok is false when the change makes no sense; then it has been refused.
func (e *Engine) changeEdits(c *Change, now schedule.Minute) (edits []opsync.Edit, title string, lab label, ok bool) {
	if !e.fits("why", c.Why, maxShort) {
		return nil, "", nil, false
	}
	switch c.Kind {
	case "away":
		edits, title, lab, ok = e.awayChange(c, now)
	case "longer":
		edits, title, lab, ok = e.longerChange(c)
	case "slip":
		edits, title, lab, ok = e.slipChange(c, now)
	case "shut":
		edits, title, lab, ok = e.shutChange(c, now)
	case "short":
		edits, title, lab, ok = e.shortChange(c, now)
	case "found":
		edits, title, lab, ok = e.foundChange(c)
	case "waits":
		edits, title, lab, ok = e.waitsChange()
	case "tighten":
		title, lab, ok = e.words().Say("title.tighten"), label{"way.tighten"}, true
	case "by":
		title, lab, ok = e.byChange(c, now)
	case "fail":
		edits, title, lab, ok = e.failChange(c, now)
	case "visit":
		edits, title, lab, ok = e.visitChange(c, now)
	default:
		return nil, "", nil, e.refuse("refused.change")
	}
	for i := range edits {
		edits[i].Fact = true
	}
	return edits, title, lab, ok
}

// span checks two days; to may be left out.
func (e *Engine) span(c *Change, now schedule.Minute) (from, to schedule.Day, ok bool) {
	from, to = c.From, c.To
	if to == 0 {
		to = from
	}
	switch {
	case from == 0:
		return 0, 0, e.refuse("refused.noDay")
	case to < from:
		return 0, 0, e.refuse("refused.order", "from", e.sheet.w.Near(from, e.sheet.today()), "to", e.sheet.w.Near(to, e.sheet.today()))
	case to < now.Day():
		return 0, 0, e.refuse("refused.past", "day", e.sheet.dated(to))
	case to-from > maxSpan:
		return 0, 0, e.refuse("refused.span", "n", itoa(maxSpan))
	}
	return from, to, true
}

func (e *Engine) awayChange(c *Change, now schedule.Minute) ([]opsync.Edit, string, label, bool) {
	crew := e.sheet.crews[c.Crew]
	if crew == nil {
		return nil, "", nil, e.refuse("refused.gone")
	}
	from, to, ok := e.span(c, now)
	if !ok {
		return nil, "", nil, false
	}
	edit := set("away", e.newID(), "crew", c.Crew, "from", from, "to", to, "why", strings.TrimSpace(c.Why))
	title := e.words().Say("title.away", "who", crew.Name, "days", e.words().Span(from, to, now.Day()))
	return []opsync.Edit{edit}, title, label{"way.away", crew.Name, from.String(), to.String()}, true
}

func (e *Engine) longerChange(c *Change) ([]opsync.Edit, string, label, bool) {
	a := e.sheet.acts[c.ID]
	switch {
	case a == nil:
		return nil, "", nil, e.refuse("refused.gone")
	case a.Finished != 0:
		return nil, "", nil, e.refuse("refused.finished", "what", a.Name)
	case c.Labour == nil || c.Labour.Typical <= 0:
		return nil, "", nil, e.refuse("refused.negative", "what", a.Name)
	}
	fields, why := e.checked("activity", c.ID, map[string]any{"labour": fit(*c.Labour)})
	if why != "" {
		e.refused = why
		return nil, "", nil, false
	}
	title := e.words().Say("title.longer", "what", e.sheet.fullName(a.ID), "n", e.words().Effort(c.Labour.Typical))
	return []opsync.Edit{fields}, title, label{"way.longer", a.Name, e.words().Effort(c.Labour.Typical)}, true
}

// fit widens a range so that it holds its typical figure: who only says the typical one means just that.
func fit(r schedule.Range) schedule.Range {
	if r.Low > r.Typical {
		r.Low = r.Typical
	}
	if r.High != 0 && r.High < r.Typical {
		r.High = r.Typical
	}
	return r
}

func (e *Engine) slipChange(c *Change, now schedule.Minute) ([]opsync.Edit, string, label, bool) {
	o := e.sheet.orders[c.ID]
	switch {
	case o == nil:
		return nil, "", nil, e.refuse("refused.gone")
	case o.Arrived != 0:
		return nil, "", nil, e.refuse("refused.arrived", "what", o.Goods)
	case c.From == 0:
		return nil, "", nil, e.refuse("refused.noDay")
	case c.From < now.Day():
		return nil, "", nil, e.refuse("refused.promisedPast", "day", e.sheet.dated(c.From))
	}
	if !e.firmGate(o) {
		return nil, "", nil, false
	}
	title := e.words().Say("title.slip", "what", o.Goods, "day", e.words().Near(c.From, now.Day()))
	return []opsync.Edit{set("order", c.ID, "due", c.From, "laid", nil)}, title, label{"way.slip", o.Goods, c.From.String()}, true
}

// shutChange closes the site for everybody, or keeps outdoor work off rainy days.
func (e *Engine) shutChange(c *Change, now schedule.Minute) ([]opsync.Edit, string, label, bool) {
	from, to, ok := e.span(c, now)
	if !ok {
		return nil, "", nil, false
	}
	days := e.words().Span(from, to, now.Day())
	if !c.Outdoor {
		edit := set("shut", e.newID(), "from", from, "to", to, "why", strings.TrimSpace(c.Why))
		return []opsync.Edit{edit}, e.words().Say("title.shut", "days", days), label{"way.shut", or(c.Why, "-"), from.String(), to.String()}, true
	}
	if !e.outdoorWork(from, to) {
		return nil, "", nil, e.refuse("refused.noOutdoor", "days", days)
	}
	edit := set("shut", e.newID(), "from", from, "to", to, "why", strings.TrimSpace(c.Why), "outdoor", true)
	return []opsync.Edit{edit}, e.words().Say("title.outdoor", "days", days), label{"way.outdoor", or(c.Why, "-"), from.String(), to.String()}, true
}

// outdoorWork says whether any outdoor work lies on the days.
func (e *Engine) outdoorWork(from, to schedule.Day) bool {
	for i := range e.site.Activities {
		a := &e.site.Activities[i]
		l := e.sheet.lines[a.ID]
		if a.Outdoor && a.Finished == 0 && l != nil && l.Start < (to+1).Start() && l.Finish > from.Start() {
			return true
		}
	}
	return false
}

// byChange asks what it would take to be finished by a day. It changes nothing by itself.
func (e *Engine) byChange(c *Change, now schedule.Minute) (string, label, bool) {
	switch {
	case c.From == 0:
		return "", nil, e.refuse("refused.noDay")
	case c.From <= now.Day():
		return "", nil, e.refuse("refused.byPast", "day", e.sheet.dated(c.From))
	case c.From > now.Day()+maxAhead:
		return "", nil, e.refuse("refused.span", "n", itoa(maxAhead))
	case e.sheet.plan.Finish <= now:
		return "", nil, e.refuse("refused.nothingOpen")
	}
	return e.words().Say("title.by", "day", e.sheet.dated(c.From)), label{"way.by", c.From.String()}, true
}

func (e *Engine) failChange(c *Change, now schedule.Minute) ([]opsync.Edit, string, label, bool) {
	h := e.sheet.holds[c.ID]
	switch {
	case h == nil:
		return nil, "", nil, e.refuse("refused.gone")
	case h.Result == schedule.Pass:
		return nil, "", nil, e.refuse("refused.signed", "what", h.Name)
	}
	edits := e.sheet.failEdits(h, schedule.Fail, now, strings.TrimSpace(c.Why), e.newID())
	return edits, e.words().Say("title.fail", "what", h.Name), label{"way.fail", h.Name}, true
}

func (e *Engine) visitChange(c *Change, now schedule.Minute) ([]opsync.Edit, string, label, bool) {
	h := e.sheet.holds[c.ID]
	switch {
	case h == nil:
		return nil, "", nil, e.refuse("refused.gone")
	case h.Result == schedule.Pass:
		return nil, "", nil, e.refuse("refused.signed", "what", h.Name)
	}
	at := c.At
	if at == 0 && c.From != 0 {
		at = e.sheet.firstVisit(h, c.From)
	}
	if at == 0 {
		return nil, "", nil, e.refuse("refused.noDay")
	}
	if at < now {
		return nil, "", nil, e.refuse("refused.visitPast", "when", e.sheet.w.Moment(at, now.Day()))
	}
	edit := set("hold", h.ID, "visit", at, "laid", nil)
	if h.CalledIn == 0 {
		edit.Set["calledIn"] = value(now)
	}
	title := e.words().Say("title.visit", "what", h.Name, "when", e.sheet.visitWords(at))
	return []opsync.Edit{edit}, title, label{"way.visit", h.Name, at.Day().String()}, true
}

// firstVisit is the first visit window of a day, zero when there is none.
func (s *sheet) firstVisit(h *schedule.Hold, d schedule.Day) schedule.Minute {
	week := s.week
	if h.Hours != nil {
		week = *h.Hours
	}
	if ws := week[d.Weekday()]; len(ws) > 0 {
		return d.At(ws[0].From)
	}
	return 0
}
