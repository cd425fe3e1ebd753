package engine

import (
	"bytes"
	"encoding/json"

	"batterboard/schedule"
)

// A look is where everything lay when this phone last looked. Base is what moves are told against; it
// stays for the session, so that the list does not vanish under a thumb. Shown is what Today last
// showed: it becomes the base when the phone opens the site again, or says "looked".
type look struct {
	Base  map[string]schedule.Minute `json:"base,omitempty"`
	Shown map[string]schedule.Minute `json:"shown,omitempty"`
}

func (l look) open() look {
	if l.Shown != nil {
		l.Base = l.Shown
	}
	return look{Base: l.Base, Shown: l.Base}
}

// first takes the plan as it is when this phone has never looked.
func (l *look) first(s *sheet) {
	if l.Base == nil && len(s.plan.Lines) > 0 {
		l.Base = starts(s)
	}
}

func starts(s *sheet) map[string]schedule.Minute {
	m := make(map[string]schedule.Minute, len(s.plan.Lines))
	for i := range s.plan.Lines {
		m[s.plan.Lines[i].ID] = s.plan.Lines[i].Start
	}
	return m
}

// movedLines says what lies on another day than when this phone last looked, soonest first.
func (e *Engine) movedLines(s *sheet) (out []MovedLine) {
	e.look.Shown = starts(s)
	for _, id := range s.byStart() {
		l := s.lines[id]
		was, ok := e.look.Base[id]
		if !ok || was.Day() == l.Start.Day() || s.done(id) || len(out) >= 40 {
			continue
		}
		text := s.w.Say("moved", "what", s.fullName(id), "to", s.lineDays(id), "from", s.w.Near(was.Day(), s.today()))
		if why := s.because(id); why != "" && l.Because.Kind != schedule.BecauseLaid {
			text += " " + why
		}
		out = append(out, MovedLine{ID: id, Kind: s.kind(id), Text: text})
	}
	return out
}

// fullName puts the crew in front: "Electric, rough-in".
func (s *sheet) fullName(id string) string {
	if a := s.acts[id]; a != nil && a.Crew != "" {
		return s.crewName(a.Crew) + ", " + a.Name
	}
	return s.name(id)
}

// phoneMeta is Reply.Meta: what the phone's side of the wire keeps, and the look.
type phoneMeta struct {
	Phone json.RawMessage `json:"phone,omitempty"`
	Look  look            `json:"look,omitzero"`
}

// splitMeta reads what metaIfNew wrote; anything else is a phone's first opening.
func splitMeta(raw []byte) (m phoneMeta) {
	if json.Unmarshal(raw, &m) != nil {
		return phoneMeta{}
	}
	return m
}

// metaIfNew returns the meta to keep, nil when it is as it was.
func (e *Engine) metaIfNew() json.RawMessage {
	raw, err := json.Marshal(phoneMeta{Phone: e.phone.Meta(), Look: e.look})
	if err != nil || bytes.Equal(raw, e.meta) {
		return nil
	}
	e.meta = raw
	return raw
}
