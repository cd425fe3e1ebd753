package engine

import "batterboard/client/engine/template"

// basisOf says where the hours of an activity come from, while they are still those of the answers: a line a
// rate, with quantity, source and mark.
func (e *Engine) basisOf(s *sheet, id string) (out []string) {
	a := s.acts[id]
	if !e.isMade() || a == nil {
		return nil
	}
	if l, ok := template.LabourOf(e.given(), id); !ok || l != a.Labour { // somebody wrote other hours
		return nil
	}
	rates, days := template.BasisOf(e.given(), id, s.w.Code)
	for _, b := range rates {
		out = append(out, s.w.Say("basis.rate", "what", b.What, "much", itoa(int((b.Much+50)/100)), "unit", s.w.Say("unit."+b.Rate.Unit), "per", itoa(int(b.Rate.Per)),
			"low", hours100(b.Rate.Low), "typical", hours100(b.Rate.Typical), "high", hours100(b.Rate.High), "source", s.origin(b.From)))
	}
	if days.Source != "" {
		out = append(out, s.w.Say("basis.days", "source", s.origin(days)))
	}
	return out
}

// origin is a mark, and the source where there is one.
func (s *sheet) origin(f template.Source) string {
	return joined(s.w.Say("mark."+f.Mark), named(f.Source))
}

// hours100 writes hundredths of an hour.
func hours100(n int64) string {
	t := itoa(int(n / 100))
	if r := n % 100; r != 0 {
		t += "." + string(rune('0'+r/10))
		if r%10 != 0 {
			t += string(rune('0' + r%10))
		}
	}
	return t
}
