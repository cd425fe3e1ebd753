package engine

import (
	"encoding/json"
	"reflect"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// unread says why what was typed is no value of its field, in the words of who typed it: the way a file
// writes things is nobody's business on site.
func (s *sheet) unread(blank reflect.Value, kind, id, name string, v json.RawMessage, fields map[string]json.RawMessage) string {
	f, _ := fieldOf(blank, name)
	typ := f.Type()
	if typ.Kind() == reflect.Pointer {
		typ = typ.Elem()
	}
	switch typ {
	case reflect.TypeFor[schedule.Week]():
		return s.w.Say("refused.week", "value", clip(wrongSpan(v), 40))
	case reflect.TypeFor[schedule.Range]():
		return s.unreadHours(or(plainValue(fields["name"]), s.nameOf(kind, id)), name, v)
	}
	switch _, words := reflect.New(typ).Interface().(interface{ UnmarshalText([]byte) error }); {
	case name == "weightKg":
		return s.w.Say("refused.weight", "value", clip(plainValue(v), 40))
	case words || !reflect.Zero(typ).CanInt() && !isNumber(v):
		return s.w.Say("refused.value", "field", s.fieldName(name), "value", clip(plainValue(v), 40))
	case name == "lag" && isNumber(v):
		return s.w.Say("refused.lag")
	}
	return s.unreadNumber(name, v)
}

func (s *sheet) nameOf(kind, id string) string {
	if id == "" {
		return s.w.Say("kind." + kind)
	}
	return or(s.thingName(kind, id), s.w.Say("kind."+kind))
}

func (s *sheet) unreadNumber(name string, v json.RawMessage) string {
	switch text := strings.TrimSpace(string(v)); {
	case !isNumber(v):
		return s.w.Say("refused.number", "field", s.fieldName(name), "value", clip(plainValue(v), 40))
	case strings.Contains(text, ".") && !strings.ContainsAny(text, "eE"):
		return s.w.Say("refused.whole", "field", s.fieldName(name), "value", clip(text, 40))
	}
	return s.w.Say("refused.huge", "field", s.fieldName(name))
}

// unreadHours finds the one of least, usual and most that is no number; numbers that do not fit are too large.
func (s *sheet) unreadHours(what, name string, v json.RawMessage) string {
	var parts struct{ Low, Typical, High json.RawMessage }
	_ = json.Unmarshal(v, &parts)
	for _, p := range []json.RawMessage{parts.Typical, parts.Low, parts.High} {
		if p != nil && !isNumber(p) {
			return s.unreadNumber(name, p)
		}
	}
	return s.w.Say("refused.tooLong", "what", what, "n", itoa(maxLabour/60))
}

func isNumber(v json.RawMessage) bool {
	s := strings.TrimSpace(string(v))
	return s != "" && (s[0] == '-' || s[0] >= '0' && s[0] <= '9')
}

// wrongSpan is the first span of a week that cannot be read, else all of it.
func wrongSpan(v json.RawMessage) string {
	var days [][]string
	if json.Unmarshal(v, &days) != nil {
		return plainValue(v)
	}
	for _, d := range days {
		for _, span := range d {
			if new(schedule.Window).UnmarshalText([]byte(span)) != nil {
				return span
			}
		}
	}
	return plainValue(v)
}

// noHours tells whether somebody shut every day of a week. A site without hours of its own has the usual ones,
// so an empty week would come back as a full one.
func noHours(v json.RawMessage) bool {
	var w schedule.Week
	return json.Unmarshal(v, &w) == nil && w.IsZero()
}

// cleaned takes out of a text what nobody sees and what turns the rest of a line round, and the space at its ends.
// What joins the parts of one sign stays: families and trades of emoji are made of it.
func cleaned(v json.RawMessage) json.RawMessage {
	var s string
	if len(v) < 2 || v[0] != '"' || json.Unmarshal(v, &s) != nil {
		return v
	}
	if c := strings.TrimSpace(strings.Map(seen, s)); c != s {
		if c == "" {
			return json.RawMessage(`""`)
		}
		return value(c)
	}
	return v
}

func seen(r rune) rune {
	if r < 0x20 && r != '\n' && r != '\t' || r >= 0x7f && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
		return -1
	}
	return r
}

// toldApart refuses a second crew or place of the same name: in a list one could not tell which is which.
func (e *Engine) toldApart(edit opsync.Edit) bool {
	raw, named := edit.Set["name"]
	if !named || edit.Thing != "crew" && edit.Thing != "place" {
		return true
	}
	name := strings.TrimSpace(plainValue(raw))
	all := list(e.site, edit.Thing)
	for i := range all.Len() {
		x := all.Index(i)
		if x.FieldByName("ID").String() != edit.ID && strings.EqualFold(strings.TrimSpace(x.FieldByName("Name").String()), name) {
			return e.refuse("refused.sameName", "name", clip(name, 60))
		}
	}
	return true
}
