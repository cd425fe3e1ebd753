package engine

import "batterboard/schedule"

// ReviewView is what a careful planner would question about the plan.
type ReviewView struct {
	Line      string       `json:"line"`
	Questions []ReviewLine `json:"questions"` // open, weightiest first
	Settled   []ReviewLine `json:"settled"`   // left as they are, with the reason given
	Foot      string       `json:"foot"`
}

// ReviewLine is one thing to think about: what it is, why it matters, and what to open.
type ReviewLine struct {
	ID   string            `json:"id"`
	Rule string            `json:"rule"`
	Text string            `json:"text"` // "Board, walls: nothing is looked at before it covers."
	Why  string            `json:"why"`  // why a careful planner asks
	Open string            `json:"open,omitempty"`
	Kind schedule.NodeKind `json:"kind,omitempty"`
	Go   string            `json:"go,omitempty"`   // the screen to open instead
	Left string            `json:"left,omitempty"` // why it was left as it is, and by whom
}
