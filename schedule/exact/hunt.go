package exact

// Hunt looks for the soonest finish of one problem with all this package has: lists and breeding for a
// good schedule, windows of it to make it shorter, the search for the proof. It goes on for as long as it
// is told to.
type Hunt struct {
	p       *Problem
	s       *Solver
	b       *Breeder
	made    int64 // schedules of breeders before b
	budget  int64 // schedules b is made for
	f       *fitter
	round   int
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
		h.f = newFitter(p)
	}
	return h, nil
}

// small is up to how many nodes the search is the quicker way; what it has not done in the first steps
// gets one litter of schedules to beat.
const (
	small  = 62
	first  = 40000
	litter = 12000
	herded = 2000 // schedules of the first herd of a large plan: a good one soon, then ten times as many
)

// Step spends about so many steps more. One schedule counts as many as it places nodes, for a bound moved
// by the search takes about as long as a node placed. Of a large problem that can be bred a portion goes into
// breeding, then up to another into windows or, by turns, into the search. So half the steps are bred when
// Step is called with many portions, and most of them when it is called with one at a time.
func (h *Hunt) Step(steps int64) {
	for end := h.answer.Steps + steps; h.answer.Steps < end && !h.answer.Proved; h.round++ {
		switch {
		case h.f != nil:
			if h.b == nil {
				h.herd(herded)
			}
			h.breed(min(h.portion, end-h.answer.Steps))
		case h.answer.Steps > first && !h.bred && len(h.p.Nodes) <= small:
			h.bred = true
			h.Breed(litter)
		}
		if h.f != nil && h.round&1 == 1 {
			h.fit(min(h.portion, end-h.answer.Steps))
		} else {
			h.search(min(h.portion, end-h.answer.Steps))
		}
	}
}

// Breed makes so many schedules without searching, no more in all than these the first time; nothing
// happens in problems that cannot be bred.
func (h *Hunt) Breed(schedules int64) bool {
	if h.b == nil {
		if h.herd(schedules); h.b == nil {
			return false
		}
		h.run(schedules)
		return true
	}
	h.breed(schedules * int64(len(h.p.Nodes)))
	return true
}

// herd begins with a breeder for so many schedules. It starts from nothing: the best so far among its herd
// would soon be the father of all.
func (h *Hunt) herd(schedules int64) {
	b := NewBreeder(h.p, schedules)
	if b == nil {
		return
	}
	if h.b != nil {
		h.made += h.b.Made()
		b.l.rand = h.b.l.rand
	}
	h.b, h.budget = b, schedules
	h.answer.Steps += b.Made() * int64(len(h.p.Nodes))
	h.take()
}

// breed makes schedules for about so many steps. A breeder that has made what it was made for is followed
// by one for ten times as many.
func (h *Hunt) breed(steps int64) {
	if h.b.Made()+mostClimbed > h.budget && h.budget < 1<<30 {
		h.herd(10 * h.budget)
	}
	h.run(h.b.Made() + max(mostClimbed, steps/int64(len(h.p.Nodes))))
}

func (h *Hunt) run(schedules int64) {
	before := h.b.Made()
	h.b.Run(schedules)
	h.answer.Steps += (h.b.Made() - before) * int64(len(h.p.Nodes))
	h.take()
}

// fit looks for a window of the best schedule that can be shorter.
func (h *Hunt) fit(steps int64) {
	for steps > 0 && h.answer.Found && !h.answer.Proved {
		starts := append([]int32(nil), h.answer.Starts...)
		spent, shorter := h.f.shorten(starts, h.answer.Finish, steps)
		h.answer.Steps += spent
		steps -= spent
		if shorter {
			_, end, _ := h.value(starts)
			h.b.adopt(starts, end)
			h.take()
		}
	}
}

// take takes the best schedule of the breeder when it is better.
func (h *Hunt) take() {
	starts, finish, proved := h.b.Best()
	if h.answer.Found && finish >= h.answer.Finish || starts == nil {
		return
	}
	ends, _, err := h.value(starts)
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
	return h.made + h.b.Made()
}

// value checks a schedule and says when it finishes.
func (h *Hunt) value(starts []int32) (ends []int32, finish int32, err error) {
	if ends, err = Check(h.p, starts); err == nil {
		finish, _ = h.p.Value(starts, ends)
	}
	return ends, finish, err
}

// Best is the answer so far. Its schedule has passed Check.
func (h *Hunt) Best() Answer { return h.answer }
