package engine

import (
	"encoding/json"
	"slices"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// maxClashes is how many one is shown at a time.
const maxClashes = 200

// clashes are what two phones wrote without knowing of each other, in words.
func (e *Engine) clashes(s *sheet) (out []Clash) {
	for _, these := range e.toAnswer() {
		out = append(out, e.clash(s, these))
	}
	return out
}

// toAnswer are the clashes by question: what the same acts wrote of one thing is settled by one answer.
func (e *Engine) toAnswer() (out [][]opsync.Clash) {
	all := e.phone.Log.State().Clashes()
	for len(all) > 0 && len(out) < maxClashes {
		c := all[0]
		same := func(o opsync.Clash) bool { return o.Joins(&c) }
		var these []opsync.Clash
		for _, o := range all {
			if same(o) {
				these = append(these, o)
			}
		}
		all = slices.DeleteFunc(all, same)
		out = append(out, these)
	}
	return out
}

func (e *Engine) clash(s *sheet, these []opsync.Clash) Clash {
	told := slices.DeleteFunc(slices.Clone(these), func(c opsync.Clash) bool { return slices.Contains(unsaid, c.Field) })
	if len(told) > 0 {
		these = told
	}
	c := these[0]
	var labels []string
	for _, x := range these {
		if l := s.fieldName(x.Field); !slices.Contains(labels, l) {
			labels = append(labels, l)
		}
	}
	words := func(i int) string {
		var all []string
		for _, x := range these {
			if w := s.clashWords(x.Field, x.Values[i].Value); !slices.Contains(all, w) {
				all = append(all, w)
			}
		}
		return strings.Join(all, "; ")
	}
	v := Clash{Kind: c.Thing, ID: c.ID, Name: s.thingName(c.Thing, c.ID), Field: c.Field, Label: s.w.List(labels),
		Kept: words(0), By: e.whoYou(c.Values[0].Op.Device), Op: c.Values[0].Op.String()}
	for i, x := range c.Values[1:] {
		v.Others = append(v.Others, ClashValue{Value: words(i + 1), By: e.whoYou(x.Op.Device), Op: x.Op.String()})
	}
	return v
}

// unsaid are fields that go with another one and say nothing by themselves.
var unsaid = []string{"resultAt", "doneAt", "ackedAt", "toldStart", "toldFinish", "fails", "pos"}

// clashesOn are those of one thing, or of several.
func (e *Engine) clashesOn(s *sheet, kind string, ids ...string) (out []Clash) {
	for _, c := range e.clashes(s) {
		if c.Kind == kind && slices.Contains(ids, c.ID) {
			out = append(out, c)
		}
	}
	return out
}

// unread counts what was decided on two phones at once and waits for somebody to look.
func (e *Engine) unread() int {
	state := e.phone.Log.State()
	return len(e.toAnswer()) + len(state.StoodBack()) + len(state.Aside())
}

// whoYou is who, for whoever looks.
func (e *Engine) whoYou(d opsync.Device) string {
	if d == e.device {
		return e.words().Say("you")
	}
	return e.who(d)
}

// clashWords is a field's value as a person reads it: dates and moments in words, IDs by name.
func (s *sheet) clashWords(field string, raw json.RawMessage) string {
	if field == "gone" {
		return s.w.Say("value.gone." + strings.TrimSpace(string(raw)))
	}
	var text string
	var yes bool
	var n int64
	var list []string
	var r schedule.Range
	switch {
	case string(raw) == "null":
		return s.w.Say("value.none")
	case json.Unmarshal(raw, &text) == nil:
		return s.clashText(field, text)
	case json.Unmarshal(raw, &yes) == nil:
		return s.w.Say("value." + string(raw))
	case json.Unmarshal(raw, &n) == nil:
		return s.clashNumber(field, n)
	case json.Unmarshal(raw, &list) == nil && len(list) > 0:
		for i, id := range list {
			if slices.Contains(idFields, field) {
				list[i] = s.name(id)
			}
		}
		return clip(s.w.List(list), 160)
	case field == "labour" && json.Unmarshal(raw, &r) == nil:
		return s.w.Effort(r.Typical)
	}
	return s.w.Say("value.own")
}

// idFields are the fields that hold IDs.
var idFields = []string{"crew", "place", "from", "to", "stands", "with", "on", "gate"}

func (s *sheet) clashText(field, text string) string {
	if d, err := schedule.ParseDay(text); err == nil && d != 0 {
		return s.w.Dated(d)
	}
	if m, err := schedule.ParseMinute(text); err == nil && m != 0 {
		return s.w.Moment(m, 0)
	}
	switch {
	case text == "":
		return s.w.Say("value.none")
	case slices.Contains(idFields, field):
		return or(s.crewName(text), s.name(text))
	case field == "booking":
		return s.booking(schedule.Booking(text))
	case field == "trade" && s.w.Has("trade."+text):
		return s.w.Say("trade." + text)
	case (field == "result" || field == "answer") && s.w.Has("value."+text):
		return s.w.Say("value." + text)
	}
	return clip(text, 160)
}

func (s *sheet) clashNumber(field string, n int64) string {
	switch field {
	case "done", "noShow", "failPct":
		return itoa(int(n)) + " %"
	case "cost", "fee", "feeAgain":
		return s.w.Money(n)
	case "cutoff", "answerBy", "from", "to":
		return s.w.Clock(int32(n))
	case "lag":
		return s.long(int32(n))
	}
	return itoa(int(n))
}
