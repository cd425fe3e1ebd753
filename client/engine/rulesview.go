package engine

// RulesView is the habit of building departments that the hold points started from, with its switches,
// and what another choice would change. Everything in it is the owner's to edit.
type RulesView struct {
	Line     string        `json:"line"`   // not your town's rule: ask
	Chosen   RulesChoice   `json:"chosen"` // what is looked at: as the site has it, or as it was asked for
	Profiles []RuleProfile `json:"profiles"`
	Boards   []Choice      `json:"boards"`
	Editions []Choice      `json:"editions"`
	Changes  []string      `json:"changes"` // what taking this choice would change
	Effect   string        `json:"effect,omitempty"`
	Same     bool          `json:"same"` // it is what the site has
	Holds    []RuleHold    `json:"holds"`
	More     []Choice      `json:"more"` // hold points some departments ask for that are not on the site
}

// RulesChoice is a choice of habit and switches.
type RulesChoice struct {
	Profile string `json:"profile"`
	Board   string `json:"board"` // off, rated, always; empty: as the profile has it
	Base    bool   `json:"base"`
	Edition string `json:"edition"`
}

type RuleProfile struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	Note   string `json:"note"`
	Source string `json:"source"`
	Mark   string `json:"mark"`
}

// RuleHold is one hold point with what is agreed with the office about it.
type RuleHold struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	Code   string `json:"code,omitempty"`
	Terms  string `json:"terms"` // "1 working day of notice, calls by noon, $60, again $75"
	Fixed  bool   `json:"fixed"` // called in, looked at or signed: no habit touches it
	Source string `json:"source,omitempty"`
	Mark   string `json:"mark,omitempty"`
}
