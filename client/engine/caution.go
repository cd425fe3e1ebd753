package engine

import (
	"batterboard/client/engine/trade"
	"batterboard/schedule"
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
