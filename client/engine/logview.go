package engine

import (
	"encoding/json"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// maxLog is how many lines of the log one sees.
const maxLog = 200

// logView shows what was changed by whom, what was written over, and what was refused.
func (e *Engine) logView(s *sheet) *LogView {
	v := &LogView{Clashes: e.clashes(s), Repaired: e.repaired(s)}
	ops := e.phone.Log.Ops()
	for i := len(ops) - 1; i >= 0 && len(v.Lines) < maxLog; i-- {
		v.Lines = append(v.Lines, e.logLine(s, ops[i]))
	}
	for _, a := range e.phone.Log.State().Aside() {
		names := make([]string, len(a.Circle))
		for i, id := range a.Circle {
			names[i] = s.name(id)
		}
		text := s.w.Say("aside", "from", s.name(a.From), "to", s.name(a.To), "chain", strings.Join(names, " → "))
		v.Aside = append(v.Aside, ProblemLine{Text: text, Open: a.To, Kind: s.kind(a.To)})
	}
	for _, id := range e.phone.Log.State().StoodBack() {
		if op := e.phone.Log.Op(id); op != nil {
			v.Ways = append(v.Ways, e.logLine(s, op))
		}
	}
	for _, r := range e.phone.Rejected() {
		if r.Op == nil {
			continue
		}
		line := e.logLine(s, r.Op)
		line.Text += ": " + e.whyWords(r.Why, r.Say)
		v.Refused = append(v.Refused, line)
	}
	for _, n := range sortedNames(e.names) {
		v.Devices = append(v.Devices, Choice{ID: n, Name: e.names[n]})
	}
	return v
}

func (e *Engine) logLine(s *sheet, op *opsync.Op) LogLine {
	sent := op.ID.Device != e.device || op.ID.Seq <= e.phone.Acked()
	return LogLine{Op: op.ID.String(), When: e.wallWords(s, op.Wall), By: e.who(op.ID.Device), Text: e.sayLabel(s, op.Label),
		Sent: sent, Undone: e.phone.Log.Undone(op.ID)}
}

// wallWords says when an operation was written, on the site's clock as this phone knows it: the
// difference between Wall and Now of the last request gives the offset.
func (e *Engine) wallWords(s *sheet, wall int64) string {
	m := schedule.Minute(wall/60000) + e.offset
	return s.w.Moment(m, s.today())
}

// sayLabel puts an operation's label into the words of who looks.
func (e *Engine) sayLabel(s *sheet, text string) string {
	verb, rest, _ := strings.Cut(text, "|")
	if verb == "undo" {
		return s.w.Say("log.undo", "what", e.sayLabel(s, rest))
	}
	if !s.w.Has("log." + verb) {
		return clip(text, 120)
	}
	if days := strings.Split(rest, "|"); len(days) > 2 && days[1] == days[2] && s.w.Has("log."+verb+".day") {
		verb += ".day" // from a day to the same one
	}
	gaps := []string{}
	for i, part := range strings.Split(rest, "|") {
		if i < 3 {
			gaps = append(gaps, []string{"what", "a", "b"}[i], s.labelPart(part))
		}
	}
	for len(gaps) < 6 {
		gaps = append(gaps, []string{"what", "a", "b"}[len(gaps)/2], "")
	}
	return s.w.Say("log."+verb, gaps...)
}

// labelPart is a date or a key of ours in words, anything else as it is.
func (s *sheet) labelPart(p string) string {
	if d, err := schedule.ParseDay(p); err == nil && d != 0 {
		return s.w.Near(d, s.today())
	}
	if head, rest, ok := strings.Cut(p, "."); ok && (head == "field" || head == "kind" || head == "booking" || head == "template") {
		if head == "field" {
			return s.fieldName(rest)
		}
		if s.w.Has(p) {
			return s.w.Say(p)
		}
	}
	return p
}

func sortedNames(m map[string]string) []string {
	raw := map[string]json.RawMessage{}
	for k := range m {
		raw[k] = nil
	}
	return sortedKeys(raw)
}
