package schedule

// Ways is the answer to a change.
type Ways struct {
	Ways []Way `json:"ways"`
	// Whole says the set is complete: every best trade of finish, calls and cost was looked at.
	Whole bool  `json:"whole,omitempty"`
	Done  bool  `json:"done"`  // the search has said its last word
	Steps int64 `json:"steps"` // counted steps so far
}

// Search looks for ways step by step; the same steps give the same ways on every machine.
type Search struct{ w Ways }

// NewSearch prepares the search for ways from the site as it was to the site as changed.
func NewSearch(was, changed *Site, now Minute) *Search { return &Search{} }

// Step searches n counted steps further.
func (s *Search) Step(n int) {}

// Ways is the best answer so far.
func (s *Search) Ways() *Ways { return &s.w }

// FindWays is NewSearch, Step and Ways in one.
func FindWays(was, changed *Site, now Minute, steps int) *Ways {
	s := NewSearch(was, changed, now)
	s.Step(steps)
	return s.Ways()
}

// WhyNot says why the line id cannot start at wish: Earliest is when it could, and Chain is what stands in
// the way, the nearest first. An empty chain means that it can.
type Earliest struct {
	At    Minute   `json:"at"`
	Chain []Reason `json:"chain,omitempty"`
}

// EarliestFor answers a wished start.
func EarliestFor(site *Site, now Minute, id string, wish Minute) Earliest { return Earliest{} }
