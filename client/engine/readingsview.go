package engine

import "batterboard/schedule"

// ReadingsView is what the meters said, the waits that follow from it, and what they would do to the plan.
type ReadingsView struct {
	Line     string        `json:"line"`
	Waits    []WaitLine    `json:"waits"`  // waits still ahead, soonest first
	Differ   int           `json:"differ"` // of them, how many say something else than the plan
	Effect   string        `json:"effect,omitempty"`
	Checks   []string      `json:"checks"` // what a reading says about work ahead: too cold, too wet
	Readings []ReadingLine `json:"readings"`
	Places   []Choice      `json:"places"`
	Kinds    []Choice      `json:"kinds"` // what can be measured
	Metric   bool          `json:"metric"`
	Foot     string        `json:"foot"`
}

// WaitLine is one link with a wait of the trade.
type WaitLine struct {
	Link    string   `json:"link"`
	Name    string   `json:"name"`  // "Tape coat → Second coat"
	Rule    string   `json:"rule"`  // which wait it is
	Now     string   `json:"now"`   // in the plan: "17 h"
	Says    string   `json:"says"`  // by the rule and the readings: "24 h (20–28 h)"
	Basis   string   `json:"basis"` // "reading of Tue 6, 8:00 am: 60 °F, 50 %" or "nobody has measured: 70 °F, 50 %"
	When    string   `json:"when"`
	How     string   `json:"how,omitempty"`
	Source  string   `json:"source"`
	Mark    string   `json:"mark"`
	Shorter []string `json:"shorter"` // what would shorten it, with what comes of it
	Differs bool     `json:"differs"`
	Setting bool     `json:"setting"` // a coat that could be done with setting-type compound
}

type ReadingLine struct {
	ID   string          `json:"id"`
	At   schedule.Minute `json:"at"`
	When string          `json:"when"`
	Text string          `json:"text"` // "air: 60 °F, 50 %"
	By   string          `json:"by,omitempty"`
	Said string          `json:"said,omitempty"`
}
