package engine

import "batterboard/schedule"

// OddsView is how the finish spreads over many runs of the job: a hundred dots, one above the other by
// the day they finish. It grows while More is set.
type OddsView struct {
	Line    string     `json:"line"`              // what it comes down to, in one sentence
	Promise string     `json:"promise,omitempty"` // the date one may give away
	Plan    string     `json:"plan,omitempty"`    // what the plan says, and how often it is kept
	Marks   []OddsMark `json:"marks"`             // half, 4 of 5, 19 of 20
	Days    []OddsDay  `json:"days"`              // from the first to the last with a dot, top down
	Most    int32      `json:"most"`              // the most dots of any row
	Taut    []OddsLine `json:"taut"`              // what is most often on the taut chain
	Made    string     `json:"made"`              // what it is made of
	Trust   []string   `json:"trust"`             // crews whose no-show chance is taken from what they did
	Left    string     `json:"left"`              // what it leaves out
	Runs    int32      `json:"runs"`
	Of      int32      `json:"of"`
	More    bool       `json:"more"`
}

// OddsMark is one of the three shares, in words.
type OddsMark struct {
	Key  string       `json:"key"`  // half, most, nearly
	Text string       `json:"text"` // "half of the runs finish by Thu 29 Apr"
	Day  schedule.Day `json:"day"`
}

// OddsDay is one row: a day, or a week where the spread is wide.
type OddsDay struct {
	Day   schedule.Day `json:"day"`
	Text  string       `json:"text"` // "Thu 29 Apr"
	Dots  int32        `json:"dots"`
	Count string       `json:"count"` // "12 of 100", empty for none
	Marks []string     `json:"marks"` // what is reached in this row, in words
	Plan  bool         `json:"plan"`  // the plan finishes here
}

// OddsLine is one line that is often on the taut chain.
type OddsLine struct {
	ID    string            `json:"id"`
	Kind  schedule.NodeKind `json:"kind"`
	Name  string            `json:"name"`
	Trade string            `json:"trade"`
	Often string            `json:"often"` // "in 84 of 100 runs"
	By    string            `json:"by"`    // "4 of 5 done by Thu 6 May"
	Share int32             `json:"share"` // of 100
}
