package exact

// Hunt looks for the soonest finish of one problem with all this package has: lists and breeding for a
// good schedule, the search for the proof. It goes on for as long as it is told to.
type Hunt struct {
	p       *Problem
	s       *Solver
	b       *Breeder
	answer  Answer
	portion int64
	bred    bool
}

// NewHunt checks a problem and makes the first schedules.
func NewHunt(p *Problem) (*Hunt, error) {
	s, err := New(p)
	if err != nil {
		return nil, err
	}
	h := &Hunt{p: p, s: s, portion: 20000}
	h.answer.Lower = s.bound[2*s.sink]
	if len(p.Nodes) > small {
		h.b = NewBreeder(p, 1<<20)
	}
	return h, nil
}

// small is up to how many nodes the search is the quicker way; what it has not done in the first steps
// gets one litter of schedules to beat.
const (
	small  = 62
	first  = 40000
	litter = 12000
)

// Step spends about so many steps more, half of them on breeding where that is done: one schedule counts
// as many as it places nodes, for a bound moved by the search takes about as long as a node placed.
func (h *Hunt) Step(steps int64) {
	for end := h.answer.Steps + steps; h.answer.Steps < end && !h.answer.Proved; {
		switch {
		case len(h.p.Nodes) > small:
			if h.b != nil {
				h.breed(min(h.portion, end-h.answer.Steps))
			}
		case h.answer.Steps > first && !h.bred:
			h.bred = true
			h.Breed(litter)
		}
		h.search(min(h.portion, end-h.answer.Steps))
	}
}

// Breed makes so many schedules more without searching; nothing happens in problems that cannot be bred.
func (h *Hunt) Breed(schedules int64) bool {
	if h.b == nil {
		h.b = NewBreeder(h.p, schedules)
	}
	if h.b == nil {
		return false
	}
	h.breed(schedules * int64(len(h.p.Nodes)))
	return true
}

func (h *Hunt) breed(steps int64) {
	n := int64(len(h.p.Nodes))
	before := h.b.Made()
	h.b.Run(before + max(1, steps/n))
	h.answer.Steps += (h.b.Made() - before) * n
	starts, finish, proved := h.b.Best()
	if h.answer.Found && finish >= h.answer.Finish || starts == nil {
		return
	}
	ends, err := Check(h.p, starts)
	if err != nil {
		panic("exact: a bred schedule breaks its problem; this cannot be: " + err.Error())
	}
	h.answer.Found, h.answer.Finish = true, finish
	h.answer.Starts, h.answer.Ends = append([]int32(nil), starts...), ends
	if proved {
		h.answer.Proved, h.answer.Lower = true, finish
	}
}

func (h *Hunt) search(steps int64) {
	if h.answer.Proved || steps <= 0 {
		return
	}
	a := h.s.Solve(Ask{Want: Finish, Hint: h.answer.Starts, Steps: steps})
	a.Steps += h.answer.Steps + 1
	a.Conflicts += h.answer.Conflicts
	a.Lower = max(a.Lower, h.answer.Lower)
	h.answer = a
}

// Schedules is how many list schedules were made.
func (h *Hunt) Schedules() int64 {
	if h.b == nil {
		return 0
	}
	return h.b.Made()
}

// Best is the answer so far. Its schedule has passed Check.
func (h *Hunt) Best() Answer { return h.answer }
