package schedule

// NodeKind says what a planned line is.
type NodeKind string

const (
	ActivityNode NodeKind = "activity"
	HoldNode     NodeKind = "hold"
	OrderNode    NodeKind = "order"
)

// Plan is where everything lies. It always exists: what cannot be kept is a Problem beside it.
type Plan struct {
	Now      Minute    `json:"now"`
	Finish   Minute    `json:"finish"` // the last planned finish
	Lines    []Line    `json:"lines"`  // sorted by ID
	Taut     []string  `json:"taut"`   // one chain without slack, from now to the finish
	Problems []Problem `json:"problems,omitempty"`
}

// Line is one activity, hold visit or delivery in the plan. Early and late dates and floats take the
// chosen order of crews and places as given, so a float is slack that really is there.
type Line struct {
	ID     string   `json:"id"`
	Kind   NodeKind `json:"kind"`
	Start  Minute   `json:"start"`
	Finish Minute   `json:"finish"`

	EarlyStart  Minute `json:"earlyStart"`
	EarlyFinish Minute `json:"earlyFinish"`
	LateStart   Minute `json:"lateStart"`
	LateFinish  Minute `json:"lateFinish"`
	Float       int64  `json:"float"`     // total float: working minutes on the line's own calendar
	FreeFloat   int64  `json:"freeFloat"` // working minutes it may slip before anything else must
	Taut        bool   `json:"taut,omitempty"`

	Because Reason `json:"because"`
	// CallBy is the last moment of the next call: a hold's call-in, an order's order-by (end of that day).
	CallBy Minute `json:"callBy,omitzero"`
	Frozen bool   `json:"frozen,omitempty"` // started, finished, passed or arrived: it does not move
}

// ReasonKind says what binds a start.
type ReasonKind string

const (
	BecauseStart    ReasonKind = "start"     // the site starts then
	BecauseNow      ReasonKind = "now"       // it cannot start in the past
	BecauseLink     ReasonKind = "link"      // waits for By over Link
	BecauseCrew     ReasonKind = "crew"      // the crew (Who) is busy with By until then
	BecausePlace    ReasonKind = "place"     // the place (Who) is full with By until then
	BecauseCalendar ReasonKind = "calendar"  // the crew (Who) is away or closed before
	BecauseWeather  ReasonKind = "weather"   // outdoor work is shut before
	BecauseNoise    ReasonKind = "noise"     // its crews work before, and noise is not allowed
	BecauseDate     ReasonKind = "notBefore" // not before the date the owner set
	BecauseNotice   ReasonKind = "notice"    // the inspector needs notice
	BecauseLead     ReasonKind = "lead"      // the goods need their lead time
	BecauseVisit    ReasonKind = "visit"     // the agreed visit
	BecauseLaid     ReasonKind = "laid"      // the line was laid to this date
	BecauseFact     ReasonKind = "fact"      // it happened then
)

// Reason is the one thing that keeps a line from starting earlier.
type Reason struct {
	Kind ReasonKind `json:"kind"`
	By   string     `json:"by,omitempty"`   // the activity, hold or order it waits for
	Link string     `json:"link,omitempty"` // the link, when Kind is link
	Who  string     `json:"who,omitempty"`  // the crew or place
	At   Minute     `json:"at,omitzero"`    // when that lets go
}

// ProblemKind names a contradiction or a broken wish. The words for people live in client/engine/words.
type ProblemKind string

const (
	ProblemCircle     ProblemKind = "circle"     // IDs: the links' ends in order; the last link was set aside
	ProblemUnknown    ProblemKind = "unknown"    // IDs: the thing and the ID it names that does not exist
	ProblemNegative   ProblemKind = "negative"   // IDs: the thing with a negative duration or count
	ProblemDates      ProblemKind = "dates"      // IDs: the thing whose dates are in the wrong order
	ProblemNever      ProblemKind = "never"      // IDs: the thing and the crew that has no time for it within the horizon
	ProblemLate       ProblemKind = "late"       // IDs: the activity planned after its MustBy
	ProblemMoved      ProblemKind = "moved"      // IDs: the asked or firm activity that could not keep the days told
	ProblemVisit      ProblemKind = "visit"      // IDs: the hold whose agreed visit comes too early, or on a day the site is shut
	ProblemOutOfOrder ProblemKind = "outOfOrder" // IDs: started before what it waits for was done: [activity, predecessor]
	ProblemOverdue    ProblemKind = "overdue"    // IDs: running past its planned finish
	ProblemTooMuch    ProblemKind = "tooMuch"    // IDs: demand above what the place or crew ever has
)

// Problem is one contradiction, by kind and the IDs it is about.
type Problem struct {
	Kind ProblemKind `json:"kind"`
	IDs  []string    `json:"ids"`
	At   Minute      `json:"at,omitzero"`
	Link string      `json:"link,omitempty"` // the link that was set aside
}

// MoveKind says who must hear of a move.
type MoveKind string

const (
	MoveCrew     MoveKind = "crew"     // a booking of a hired crew
	MoveVisit    MoveKind = "visit"    // a call-in already made
	MoveDelivery MoveKind = "delivery" // goods already ordered
	MoveOwn      MoveKind = "own"      // the owner's own work, or pencilled: nobody to call
)

// Move is one line that lies elsewhere than it was told or planned before.
type Move struct {
	ID   string   `json:"id"`
	Kind MoveKind `json:"kind"`
	Who  string   `json:"who,omitempty"` // the crew; for a stand-in the new one
	Was  string   `json:"was,omitempty"` // the crew before, where a stand-in takes over
	// Call says somebody must hear of it: the day they were told, or agreed, changes.
	Call       bool   `json:"call,omitempty"`
	Weight     int32  `json:"weight,omitempty"` // what the call counts: see CallWeight
	FromStart  Minute `json:"fromStart"`
	FromFinish Minute `json:"fromFinish"`
	Start      Minute `json:"start"`
	Finish     Minute `json:"finish"`
}

// Way is one proposed reshuffle: where every open line would lie, who must hear, what it costs, and
// what is proved about it.
type Way struct {
	Key    string `json:"key"` // the part it plays in this answer: "soonest", "fewest", "push", …; a later answer may give the part to another way
	Finish Minute `json:"finish"`
	Calls  int32  `json:"calls"`  // people to call: one per crew, visit or delivery
	Weight int32  `json:"weight"` // the calls weighted by how firm and how soon
	Cost   int64  `json:"cost"`   // cents, of the openings and second visits used
	Drift  int64  `json:"drift"`  // sum of |days moved| over all lines, the tie-break

	Moves    []Move    `json:"moves"`
	Laid     []Laid    `json:"laid"`               // every open line's new start, sorted by ID
	Openings []Opening `json:"openings,omitempty"` // Saturday and overtime this way opens (IDs empty)
	StandIns []StandIn `json:"standIns,omitempty"`
	Twice    []string  `json:"twice,omitempty"` // activities done in two visits, sorted
	Proved   Proof     `json:"proved"`
	// Also names the other parts this way plays, where two would be the same: it may be the soonest and
	// the one with the fewest calls at once.
	Also []string `json:"also,omitempty"`
}

// Laid is the start a way lays a line to.
type Laid struct {
	ID string `json:"id"`
	At Minute `json:"at"`
}

// StandIn is a crew that takes over an activity of another of the same trade.
type StandIn struct {
	Activity string `json:"activity"`
	Crew     string `json:"crew"`
}

// Proof says what is known for certain about a way. False means "not proved", never "false".
type Proof struct {
	Soonest bool `json:"soonest,omitempty"` // no way at this cost or less finishes sooner
	Fewest  bool `json:"fewest,omitempty"`  // no way finishing as soon needs fewer (weighted) calls at this cost or less
}
