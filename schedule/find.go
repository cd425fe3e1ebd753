package schedule

// Crew finds a crew by ID, nil when there is none. So do the others below.
func (s *Site) Crew(id string) *Crew { return find(s.Crews, id, func(c *Crew) string { return c.ID }) }

func (s *Site) Place(id string) *Place {
	return find(s.Places, id, func(p *Place) string { return p.ID })
}

func (s *Site) Activity(id string) *Activity {
	return find(s.Activities, id, func(a *Activity) string { return a.ID })
}

func (s *Site) Hold(id string) *Hold { return find(s.Holds, id, func(h *Hold) string { return h.ID }) }

func (s *Site) Order(id string) *Order {
	return find(s.Orders, id, func(o *Order) string { return o.ID })
}

func (s *Site) Link(id string) *Link { return find(s.Links, id, func(l *Link) string { return l.ID }) }

func find[T any](things []T, id string, of func(*T) string) *T {
	for i := range things {
		if of(&things[i]) == id {
			return &things[i]
		}
	}
	return nil
}

// Line finds a line by ID, nil when the plan has none.
func (p *Plan) Line(id string) *Line {
	lo, hi := 0, len(p.Lines)
	for lo < hi {
		if mid := (lo + hi) / 2; p.Lines[mid].ID < id {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	if lo < len(p.Lines) && p.Lines[lo].ID == id {
		return &p.Lines[lo]
	}
	return nil
}

// WorkOf is how many minutes an activity takes when its crew works: labour by the hands at work.
// Negative labour counts as none; it is a Problem of its own.
func (s *Site) WorkOf(a *Activity) int64 {
	hands, labour := s.handsOf(a), int64(max(a.Labour.Typical, 0))
	return (labour + hands - 1) / hands
}

// handsOf is how many people are at work: the activity's own number, else the crew's, at least one.
func (s *Site) handsOf(a *Activity) int64 {
	hands := int64(a.Hands)
	if c := s.Crew(a.Crew); hands <= 0 && c != nil {
		hands = int64(c.Size)
	}
	return max(hands, 1)
}

// CrewsOf lists the crews an activity needs, each once, its own first. Unknown ones are left out.
func (s *Site) CrewsOf(a *Activity) []string {
	var out []string
	for i := -1; i < len(a.With); i++ {
		id := a.Crew
		if i >= 0 {
			id = a.With[i]
		}
		if s.Crew(id) != nil && !contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

func contains(list []string, s string) bool {
	for _, t := range list {
		if t == s {
			return true
		}
	}
	return false
}

// AnswerOf is what the owner said to a question of the set-up; empty when it was skipped.
func (s *Site) AnswerOf(id string) string {
	for i := range s.Answers {
		if s.Answers[i].ID == id {
			return s.Answers[i].Value
		}
	}
	return ""
}
