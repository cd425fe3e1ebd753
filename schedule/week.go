package schedule

import (
	"encoding/json"
	"fmt"
	"sort"
)

// DefaultWeek is Monday to Friday 08:00-12:00 and 12:30-16:30: eight hours with a break at noon.
func DefaultWeek() Week {
	var w Week
	for d := range 5 {
		w[d] = []Window{{8 * 60, 12 * 60}, {12*60 + 30, 16*60 + 30}}
	}
	return w
}

// IsZero tells whether no window is set at all; Site.Hours then means DefaultWeek.
func (w Week) IsZero() bool {
	for _, d := range w {
		if len(d) > 0 {
			return false
		}
	}
	return true
}

// String writes a window as 08:00-12:00.
func (w Window) String() string { return Clock(w.From) + "-" + Clock(w.To) }

func (w Window) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// UnmarshalText reads 08:00-12:00.
func (w *Window) UnmarshalText(b []byte) error {
	s := string(b)
	if len(s) != 11 || s[5] != '-' {
		return fmt.Errorf("%q: hours are written like 08:00-12:00", s)
	}
	from, err := ParseClock(s[:5])
	if err != nil {
		return err
	}
	to, err := ParseClock(s[6:])
	if err != nil {
		return err
	}
	if from >= to {
		return fmt.Errorf("%q: hours end after they begin", s)
	}
	*w = Window{from, to}
	return nil
}

// maxWindows is how many windows one day may have. Twelve is more than any crew was seen to have.
const maxWindows = 12

// MarshalJSON writes seven lists, Monday first; an empty day is [].
func (w Week) MarshalJSON() ([]byte, error) {
	b := []byte{'['}
	for d, day := range w {
		if d > 0 {
			b = append(b, ',')
		}
		b = append(b, '[')
		for i, win := range day {
			if i > 0 {
				b = append(b, ',')
			}
			b = append(b, '"')
			b = append(b, win.String()...)
			b = append(b, '"')
		}
		b = append(b, ']')
	}
	return append(b, ']'), nil
}

// UnmarshalJSON reads up to seven lists, Monday first; missing days are closed. Windows may come in any
// order; those that touch or overlap become one.
func (w *Week) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		return nil
	}
	var days [][]Window
	if err := json.Unmarshal(b, &days); err != nil {
		return fmt.Errorf("hours are seven lists, Monday first, like [[\"08:00-12:00\",\"12:30-16:30\"],…]: %w", err)
	}
	if len(days) > 7 {
		return fmt.Errorf("hours have %d days; a week has 7", len(days))
	}
	*w = Week{}
	for d, day := range days {
		if len(day) > maxWindows {
			return fmt.Errorf("a day has %d windows of hours; at most %d", len(day), maxWindows)
		}
		w[d] = joined(day)
	}
	return nil
}

// joined sorts windows and makes those that touch one.
func joined(day []Window) []Window {
	if len(day) == 0 {
		return nil
	}
	out := append([]Window(nil), day...)
	sort.Slice(out, func(i, j int) bool { return out[i].From < out[j].From })
	n := 0
	for _, w := range out {
		w = Window{max(w.From, 0), min(w.To, MinutesPerDay)}
		switch {
		case w.From >= w.To:
		case n > 0 && w.From <= out[n-1].To:
			out[n-1].To = max(out[n-1].To, w.To)
		default:
			out[n] = w
			n++
		}
	}
	return out[:n]
}

// overlap is the time that is in both a and b, each in order.
func overlap(a, b []Window) []Window {
	var out []Window
	for i, j := 0, 0; i < len(a) && j < len(b); {
		if w := (Window{max(a[i].From, b[j].From), min(a[i].To, b[j].To)}); w.From < w.To {
			out = append(out, w)
		}
		if a[i].To < b[j].To {
			i++
		} else {
			j++
		}
	}
	return out
}
