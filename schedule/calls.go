package schedule

import "sort"

// CallWeight is what it counts to move somebody who was told: an asked crew 2, one that said yes 3, as
// an agreed visit does; four times that for today and tomorrow, three times within three days, twice
// within a week. Our own measure: what is near and firm hurts more.
func CallWeight(b Booking, told, now Minute) int32 {
	weight := int32(2)
	if b == Firm {
		weight = 3
	}
	switch days := told.Day() - now.Day(); {
	case days <= 1:
		return 4 * weight
	case days <= 3:
		return 3 * weight
	case days <= 7:
		return 2 * weight
	}
	return weight
}

// promise is a line that somebody was told of: while it starts from From to To, nobody needs a call.
type promise struct {
	node     int32
	from, to Minute
	person   int32
	weight   int32
}

// told is what somebody last heard of an activity.
type told struct{ start, finish Minute }

// toldOf is the days told; where the booking has none written down, those it was planned on before.
func toldOf(a *Activity, before *Plan) told {
	t := told{a.ToldStart, a.ToldFinish}
	if l := before.Line(a.ID); t.start == 0 && l != nil && l.Start < Never {
		t = told{l.Start, l.Finish}
	}
	return t
}

// kept tells whether a crew that was told t need not be called: it comes on the day told, no earlier in
// the day, and is done on the day told.
func (t told) kept(start, finish Minute) bool {
	return start.Day() == t.start.Day() && start >= t.start && (t.finish == 0 || lastDay(finish) == lastDay(t.finish))
}

// span is the starts of node n that keep t; ok is false when there are none.
func (m *model) span(n *node, t told) (from, to Minute, ok bool) {
	day, end, last := t.start.Day(), Minute(0), (t.start.Day() + daysAhead).Start()
	if t.finish != 0 {
		end = lastDay(t.finish).Start() + 1
		last = (lastDay(t.finish) + 1).Start()
	}
	from, _ = m.earliest(n, max(t.start, n.low), end)
	to, ok = m.latest(n, (day+1).Start()-1, last)
	return from, to, ok && from.Day() == day && from <= to
}

// people is everybody who may have to be called, in order: hired crews, then inspectors by hold.
type people struct {
	keys []string
}

func peopleOf(s *Site) *people {
	p := &people{}
	for _, c := range s.Crews {
		if !c.Own {
			p.keys = append(p.keys, "crew/"+c.ID)
		}
	}
	for i := range s.Holds {
		p.keys = append(p.keys, "hold/"+s.Holds[i].ID)
	}
	sort.Strings(p.keys)
	return p
}

// of is somebody's number, -1 for the owner's own people.
func (p *people) of(key string) int32 {
	i := sort.SearchStrings(p.keys, key)
	if i < len(p.keys) && p.keys[i] == key {
		return int32(i)
	}
	return -1
}
