package engine

import "batterboard/schedule"

// loud tells whether the noise hours say when an activity may be worked at.
func (s *sheet) loud(a *schedule.Activity) bool { return a != nil && a.Noisy && s.site.Noise != nil }

// workWindows are the times a crew can work at an activity on d: its own, and for noisy work the part of them
// that lies in noise hours.
func (s *sheet) workWindows(crew string, a *schedule.Activity, d schedule.Day) []schedule.Window {
	ws := s.windows(crew, d)
	if s.loud(a) {
		ws = clipped(ws, s.site.Noise[d.Weekday()])
	}
	return ws
}

// clipped is what of some windows lies in others.
func clipped(ws, in []schedule.Window) (out []schedule.Window) {
	for _, w := range ws {
		for _, n := range in {
			if c := (schedule.Window{From: max(w.From, n.From), To: min(w.To, n.To)}); c.From < c.To {
				out = append(out, c)
			}
		}
	}
	return out
}

// workWeek is the week in which an activity can be worked at.
func (s *sheet) workWeek(a *schedule.Activity) schedule.Week {
	week := s.hours(a.Crew)
	if s.loud(a) {
		for d := range week {
			week[d] = clipped(week[d], s.site.Noise[d])
		}
	}
	return week
}
