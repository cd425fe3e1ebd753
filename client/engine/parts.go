package engine

import (
	"encoding/json"
	"slices"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// A visit may pass some walls and leave others open. What passed is named on the hold point; the gate stays
// shut for the rest, and work behind it can be parted so that it goes ahead where it may.

// partsPassed reads which parts passed, together with those that had. ok is false for a part that the hold
// point does not have.
func partsPassed(h *schedule.Hold, fields map[string]json.RawMessage) (passed []string, ok bool) {
	var now []string
	if raw, there := fields["passed"]; there && json.Unmarshal(raw, &now) != nil {
		return nil, false
	}
	for _, p := range now {
		if !slices.Contains(h.Parts, p) {
			return nil, false
		}
	}
	for _, p := range h.Parts {
		if slices.Contains(h.Passed, p) || slices.Contains(now, p) {
			passed = append(passed, p)
		}
	}
	return passed, true
}

// partsLine says what passed and what is still shut.
func (s *sheet) partsLine(h *schedule.Hold) string {
	if len(h.Passed) == 0 || h.Result == schedule.Pass {
		return ""
	}
	var open []string
	for _, p := range h.Parts {
		if !slices.Contains(h.Passed, p) {
			open = append(open, p)
		}
	}
	return s.w.Say("hold.parts", "passed", s.w.List(h.Passed), "open", s.w.List(open))
}

// feeLine says what the next visit costs.
func (s *sheet) feeLine(h *schedule.Hold) string {
	switch {
	case h.Result == schedule.Pass:
		return ""
	case h.Fails > 0 && h.FeeAgain > 0:
		return s.w.Say("hold.feeAgain", "fee", s.w.Money(h.FeeAgain))
	case h.Fails == 0 && h.Fee > 0:
		return s.w.Say("hold.fee", "fee", s.w.Money(h.Fee))
	}
	return ""
}

// partedEdits part the work right behind a hold point: one piece for the walls that passed now, which waits
// for what the visit waited for but not for the visit, and the rest, which waits for both. The hours go by
// the number of walls; the owner sets them right.
func (e *Engine) partedEdits(h *schedule.Hold, now []string, id string) (edits []opsync.Edit) {
	s := e.sheet
	for n, k := range s.from[h.ID] {
		a := e.site.Activity(k.To) // as it was written: the piece keeps the owner's words
		if a == nil || a.Started != 0 || a.Finished != 0 || a.Crew == "" || len(h.Parts) == 0 || len(now) == 0 {
			continue
		}
		open := int32(len(h.Parts) - len(h.Passed))
		share := func(m int32) int32 { return m * int32(len(now)) / max(open, 1) }
		part := schedule.Range{Low: share(a.Labour.Low), Typical: share(a.Labour.Typical), High: share(a.Labour.High)}
		rest := schedule.Range{Low: a.Labour.Low - part.Low, Typical: a.Labour.Typical - part.Typical, High: a.Labour.High - part.High}
		if part.Typical <= 0 || rest.Typical <= 0 {
			continue
		}
		piece := id + "." + itoa(n)
		name := clipBytes(s.w.Say("part.ahead", "what", a.Name, "parts", strings.Join(now, ", ")), maxName)
		ed := set("activity", piece, "name", name, "scope", a.Scope, "crew", a.Crew, "place", a.Place, "pos", a.Pos, "labour", part, "cover", a.Cover)
		if a.Hands > 0 {
			ed.Set["hands"] = value(a.Hands)
		}
		if len(a.With) > 0 {
			ed.Set["with"] = value(a.With)
		}
		if len(a.Cautions) > 0 {
			ed.Set["cautions"] = value(a.Cautions)
		}
		edits = append(edits, ed, set("activity", a.ID, "labour", rest), set("link", piece+".0", "from", piece, "to", a.ID))
		seen := map[string]bool{h.ID: true}
		for _, in := range slices.Concat(s.into[a.ID], s.into[h.ID]) {
			if !seen[in.From] && s.isNode(in.From) && in.From != a.ID {
				seen[in.From] = true
				edits = append(edits, set("link", piece+"."+itoa(len(seen)), "from", in.From, "to", piece, "lag", in.Lag, "clock", in.Clock))
			}
		}
	}
	return edits
}

// partialEdits are the edits of a visit that passed in part.
func (e *Engine) partialEdits(h *schedule.Hold, r Request, passed []string, said string, at schedule.Minute) []opsync.Edit {
	s, id := e.sheet, e.newID()
	edits := s.failEdits(h, schedule.Partial, at, said, id)
	if len(passed) > 0 {
		edits[0].Set["passed"] = value(passed)
	}
	var ahead bool
	if json.Unmarshal(r.Fields["ahead"], &ahead) == nil && ahead {
		var now []string
		for _, p := range passed {
			if !slices.Contains(h.Passed, p) {
				now = append(now, p)
			}
		}
		edits = append(edits, e.partedEdits(h, now, id+".p")...)
	}
	return edits
}
