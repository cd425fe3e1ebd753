package engine

import "batterboard/schedule"

// ReachView says whether a day can be reached, and when not, what forbids it.
type ReachView struct {
	Lines   []string `json:"lines"` // more about it, beside WaysView.Proof
	Reached bool     `json:"reached"`
	Why     []string `json:"why"` // the chain that forbids the day, nearest to the finish first
	Change  string   `json:"change,omitempty"`
}

// reachView is the line that answers, and what there is to say beside it.
func (s *sheet) reachView(a *schedule.Reached) (line string, v *ReachView) {
	day := s.dated(a.By)
	v = &ReachView{Reached: len(a.Ways) > 0}
	say := func(t string) { v.Lines = append(v.Lines, t) }
	if v.Reached {
		line = s.w.Count("reach.by", int64(len(a.Ways)), "day", day)
		switch {
		case a.Ways[0].Cost == 0:
			say(s.w.Say("reach.free"))
		case a.Proved:
			say(s.w.Say("reach.cheapest"))
		}
		return line, v
	}
	soonest := s.dated(a.Soonest)
	switch {
	case a.Proved:
		line = s.w.Say("reach.none", "day", day)
	case a.Done:
		line = s.w.Say("reach.noneFound", "day", day)
	default:
		return s.w.Say("reach.looking", "day", day, "soonest", soonest), v
	}
	say(s.w.Say("reach.soonest", "soonest", soonest))
	if a.Lower != 0 && a.Lower > a.By && a.Lower <= a.Soonest {
		say(s.w.Say("reach.lower", "lower", s.dated(a.Lower)))
	}
	v.Why, v.Change = s.forbids(a.Line, a.Chain)
	return line, v
}
