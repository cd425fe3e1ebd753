package engine

// QuestionsView is the set-up by questions: a page each, all of them skippable, all of them open again later.
type QuestionsView struct {
	Screens  []AskScreen   `json:"screens"`
	Made     bool          `json:"made"`    // the plan was made from these answers: another one changes the plan
	Blocked  string        `json:"blocked"` // why no plan can be made from them: there is one already, made by hand
	Units    string        `json:"units"`   // us, metric
	Answered int           `json:"answered"`
	Outcome  string        `json:"outcome"` // "61 activities, 17 visits … Finish about Thu 8 Jul."
	Assumed  []AssumedLine `json:"assumed"`
	Apart    string        `json:"apart,omitempty"`  // two people answered at once: what Change would mend
	Change   *ChangeSeen   `json:"change,omitempty"` // what the answers that are not taken yet would change
}

// AskScreen is one page.
type AskScreen struct {
	ID        string `json:"id"`
	Title     string `json:"title"`
	Help      string `json:"help,omitempty"`
	Questions []Ask  `json:"questions"`
	Said      string `json:"said"`    // the answers of the page in one line
	Skipped   bool   `json:"skipped"` // nothing on it was answered
}

// Ask is one question.
type Ask struct {
	ID      string   `json:"id"`
	Kind    string   `json:"kind"` // choice, many, length, count, day
	Ask     string   `json:"ask"`
	Help    string   `json:"help,omitempty"`
	Options []Choice `json:"options"`
	Value   string   `json:"value"` // as it is typed or tapped; empty: skipped
	Shown   string   `json:"shown,omitempty"`
	Usual   string   `json:"usual,omitempty"` // what counts while it is skipped
	Source  string   `json:"source,omitempty"`
	Mark    string   `json:"mark,omitempty"`
}

// AssumedLine is one thing nobody said, with where it is from and the page that asks for it.
type AssumedLine struct {
	Text   string `json:"text"`
	Source string `json:"source"`
	Mark   string `json:"mark"`
	Screen string `json:"screen"`
}

// ChangeSeen shows what other answers would change, before they are taken.
type ChangeSeen struct {
	Lines  []string `json:"lines"`  // "New: Channel." "Gone: Stucco." "Paint: 8 h → 12 h."
	Kept   []string `json:"kept"`   // what stays although the answers do not want it, and why
	Finish string   `json:"finish"` // "finish Fri 23 (+1)"
	Same   bool     `json:"same"`   // nothing of the plan changes
}

// PaceView is what finished work says about the work that is still to come: a proposal with its numbers,
// taken with one tap, taken back with undo, and never done by itself.
type PaceView struct {
	ID     string   `json:"id"`
	Title  string   `json:"title"`  // "Board, ceiling 1: Board took 12 h where 8 h was planned."
	How    string   `json:"how"`    // how it was counted
	Take   string   `json:"take"`   // what taking it does
	Lines  []string `json:"lines"`  // each later piece of work, hours then and now
	Finish string   `json:"finish"` // what that does to the finish
}
