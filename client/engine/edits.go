package engine

import (
	"encoding/json"
	"strings"

	opsync "batterboard/sync"
)

// set is an edit of one thing: set("activity", id, "started", now, "done", 100). A nil value clears
// the field; values of the schedule's own types are written as in the site file.
func set(kind, id string, pairs ...any) opsync.Edit {
	e := opsync.Edit{Thing: kind, ID: id, Set: map[string]json.RawMessage{}}
	for i := 0; i+1 < len(pairs); i += 2 {
		e.Set[pairs[i].(string)] = value(pairs[i+1])
	}
	return e
}

// value writes v as JSON without escaping; zero times and empty strings are written as null, which clears.
func value(v any) json.RawMessage {
	var b strings.Builder
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if v == nil || enc.Encode(v) != nil {
		return json.RawMessage("null")
	}
	s := strings.TrimRight(b.String(), "\n")
	if s == `""` {
		s = "null"
	}
	return json.RawMessage(s)
}

func removed(kind, id string, gone bool) opsync.Edit {
	return opsync.Edit{Thing: kind, ID: id, Gone: &gone}
}

// A label is what the log keeps about an operation, without a language: a verb and the names and
// dates at the time. The log's words are made when it is shown, in the language of who looks.
type label []string

const maxLabelPart = 60

func (l label) text() string {
	parts := make([]string, len(l))
	for i, p := range l {
		parts[i] = strings.ReplaceAll(clip(p, maxLabelPart), "|", "/")
	}
	return strings.Join(parts, "|")
}
