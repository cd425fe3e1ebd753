package engine

import (
	"encoding/json"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// repaired says where the plan differs from the way that was taken last, because facts came to light
// that whoever took it did not know: a longer job, a later delivery, written on another phone meanwhile.
func (e *Engine) repaired(s *sheet) (out []MovedLine) {
	way := e.lastWay()
	if way == nil {
		return nil
	}
	state := e.phone.Log.State()
	for _, ed := range way.Edits() {
		raw, ok := ed.Set["laid"]
		l := s.lines[ed.ID]
		if !ok || l == nil || l.Frozen || s.done(ed.ID) || len(out) >= maxRepaired {
			continue
		}
		if now := state.Fields(ed.Thing, ed.ID)["laid"]; string(now) != string(raw) {
			continue // laid elsewhere since, by somebody who meant it
		}
		var laid schedule.Minute
		if json.Unmarshal(raw, &laid) != nil || laid.Day() == l.Start.Day() {
			continue
		}
		text := s.w.Say("repaired", "what", s.fullName(ed.ID), "to", s.lineDays(ed.ID), "from", s.w.Near(laid.Day(), s.today()))
		out = append(out, MovedLine{ID: ed.ID, Kind: s.kind(ed.ID), Text: text + " " + s.because(ed.ID)})
	}
	return out
}

// maxRepaired is how many lines one reads.
const maxRepaired = 40

// lastWay is the last way that stands and was not taken back.
func (e *Engine) lastWay() *opsync.Op {
	back := map[opsync.OpID]bool{}
	for _, id := range e.phone.Log.State().StoodBack() {
		back[id] = true
	}
	ops := e.phone.Log.Ops()
	for i := len(ops) - 1; i >= 0; i-- {
		o := ops[i]
		if (o.Kind == opsync.KindWay || o.Kind == opsync.KindAgain) && !back[o.ID] && !e.phone.Log.Undone(o.ID) {
			return o
		}
	}
	return nil
}
