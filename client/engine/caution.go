package engine

import (
	"encoding/json"
	"slices"

	"batterboard/client/engine/trade"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// cautions lists an activity's cautions in words, those that stop the work first. A caution ID we
// have no words for is shown as it is, as a warning: better an odd word than silence.
func (s *sheet) cautions(a *schedule.Activity) (out []CautionLine) {
	for _, id := range a.Cautions {
		c := CautionLine{ID: id, Text: id}
		if k, ok := trade.ByID(id); ok {
			c.Text, c.Defer, c.Stop = k.Text.In(s.w.Code), k.Defer.In(s.w.Code), k.Severity == trade.Stop
		}
		out = append(out, c)
	}
	order(out, func(i, j int) bool { return out[i].Stop && !out[j].Stop })
	return out
}

// begun says that work is under way or over, however it was written down.
func begun(a *schedule.Activity) bool { return a.Started != 0 || a.Finished != 0 || a.Done > 0 }

// newStop says whether a change of cautions brings one that stops: whoever read the others has not read it.
func newStop(was, now []string) bool {
	for _, id := range now {
		if k, ok := trade.ByID(id); ok && k.Severity == trade.Stop && !slices.Contains(was, id) {
			return true
		}
	}
	return false
}

// mustAck says whether a stop caution waits for a name.
func (s *sheet) mustAck(a *schedule.Activity) (text string, must bool) {
	if a.Acked != "" {
		return "", false
	}
	for _, c := range s.cautions(a) {
		if c.Stop {
			return c.Text, true
		}
	}
	return "", false
}

// ackKept sees to it that cautions are acknowledged by name on their own page only, and anew where a change
// brings one that stops.
func (e *Engine) ackKept(edit *opsync.Edit) bool {
	for _, name := range []string{"acked", "ackedAt"} {
		if v, ok := edit.Set[name]; ok && string(v) != "null" {
			return e.refuse("refused.ackHere")
		}
	}
	was := e.sheet.acts[edit.ID]
	var now []string
	if raw, ok := edit.Set["cautions"]; ok && was != nil && was.Acked != "" && was.Started == 0 && json.Unmarshal(raw, &now) == nil && newStop(was.Cautions, now) {
		edit.Set["acked"], edit.Set["ackedAt"] = value(nil), value(nil)
	}
	return true
}
