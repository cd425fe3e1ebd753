package engine

import "batterboard/schedule"

// Everything in this file crosses from the worker to the screen as JSON; client/ui/view.d.ts is made
// from it and kept fresh by a test. The engine writes the sentences (in the owner's language) that
// name things of the plan; labels of buttons and fields belong to the screen.

// View is the answer to every request of the screen.
type View struct {
	Head    Head          `json:"head"`
	Screen  string        `json:"screen"` // which of the parts below is filled
	Today   *TodayView    `json:"today,omitempty"`
	Cant    *CantView     `json:"cant,omitempty"`
	Changed *ChangedView  `json:"changed,omitempty"`
	Ways    *WaysView     `json:"ways,omitempty"`
	Strings *StringsView  `json:"strings,omitempty"`
	Block   *BlockView    `json:"block,omitempty"`
	Holds   *HoldsView    `json:"holds,omitempty"`
	Texts   *TextsView    `json:"texts,omitempty"`
	Words   *WordingsView `json:"words,omitempty"`
	Setup   *SetupView    `json:"setup,omitempty"`
	Thing   *ThingView    `json:"thing,omitempty"`
	Log     *LogView      `json:"log,omitempty"`
	Odds    *OddsView     `json:"odds,omitempty"`
	// Questions is the set-up by questions, Pace what finished work says about the rest.
	Questions *QuestionsView `json:"questions,omitempty"`
	Pace      *PaceView      `json:"pace,omitempty"`
	// What the trade knows: meters and waits, goods, hold points by habit, questions, the printed week.
	Readings *ReadingsView `json:"readings,omitempty"`
	Orders   *OrdersView   `json:"orders,omitempty"`
	Rules    *RulesView    `json:"rules,omitempty"`
	Review   *ReviewView   `json:"review,omitempty"`
	Week     *WeekView     `json:"week,omitempty"`
	Photos   *PhotosView   `json:"photos,omitempty"`
	People   *PeopleView   `json:"people,omitempty"`
	// Refused is set when the intent could not be done: what happened, what is safe, what to do next.
	Refused string `json:"refused,omitempty"`
	// Said is a short line about what was just done ("Way taken. 3 texts are ready.").
	Said string `json:"said,omitempty"`
	// Added is the ID of the thing that "add" made.
	Added string `json:"added,omitempty"`
}

// Head is on every screen.
type Head struct {
	SiteID     string          `json:"siteId"`
	Site       string          `json:"site"`
	Country    string          `json:"country,omitempty"` // whose telephone numbers are written without the country's code
	Zone       string          `json:"zone,omitempty"`    // IANA name, so that the screen can tell the site's wall clock
	Lang       string          `json:"lang"`
	Now        schedule.Minute `json:"now"`
	Finish     schedule.Minute `json:"finish"`
	FinishLine string          `json:"finishLine"`         // "finish Thu 22 Apr"
	TautLine   string          `json:"tautLine"`           // "taut line: board → taping → floor"
	Empty      bool            `json:"empty"`              // nothing planned yet: show the set-up
	Coming     bool            `json:"coming,omitempty"`   // the server has more of the site than has arrived here so far
	Role       string          `json:"role"`               // owner, second, viewer
	ReadOnly   string          `json:"readOnly,omitempty"` // why nothing can be changed, when that is so
	Unsent     int             `json:"unsent"`             // changes that have not reached the server
	Unread     int             `json:"unread"`             // what was decided on two phones at once: values, ways that stand back, links set aside
	TextsDue   int             `json:"textsDue"`           // drafted and not sent
	Rejected   int             `json:"rejected"`           // changes the server refused, kept and shown in the log
	Questions  int             `json:"questions"`          // open questions of the plan review
	Undo       string          `json:"undo,omitempty"`     // what the next undo takes back
	Problems   []ProblemLine   `json:"problems,omitempty"`
}

// ProblemLine is one contradiction in words, with the thing to open.
type ProblemLine struct {
	Text string `json:"text"`
	Open string `json:"open,omitempty"` // ID of an activity, hold or order
	// Kind says which screen opens it.
	Kind schedule.NodeKind `json:"kind,omitempty"`
	Loud bool              `json:"loud,omitempty"` // about this phone, not the plan: said before everything else
}

// Day is a date with its words, so that the screen never formats one.
type Day struct {
	Day   schedule.Day `json:"day"`
	Short string       `json:"short"` // "Tue 6"
	Long  string       `json:"long"`  // "Tuesday 6 April"
}

// ---- Today

type TodayView struct {
	Day     Day         `json:"day"`
	Lead    string      `json:"lead"` // the one line that matters most this minute
	OnSite  []OnSite    `json:"onSite"`
	Next    []OnSite    `json:"next"` // the next day with anybody on site
	NextDay *Day        `json:"nextDay,omitempty"`
	Acts    []Act       `json:"acts"`  // calls to make, in order of their last moment
	Moved   []MovedLine `json:"moved"` // what moved since this phone last looked
	Own     []OnSite    `json:"own"`   // the owner's own work this evening
}

// OnSite is one crew's activity (or a visit, or a delivery) on a day.
type OnSite struct {
	ID       string            `json:"id"`
	Kind     schedule.NodeKind `json:"kind"`
	Crew     string            `json:"crew"` // crew ID, empty for visits and deliveries
	Who      string            `json:"who"`  // name
	Trade    string            `json:"trade"`
	What     string            `json:"what"`
	When     string            `json:"when"` // "08:00–16:30" / "from Tue, day 2 of 3"
	Place    string            `json:"place,omitempty"`
	Booking  schedule.Booking  `json:"booking"`
	Answer   string            `json:"answer,omitempty"` // to tomorrow's text: yes, no, other, silent, notSent
	Started  bool              `json:"started"`
	Finished bool              `json:"finished"`
	Done     int32             `json:"done"`
	Taut     bool              `json:"taut"`
	Waits    string            `json:"waits,omitempty"`   // what is not yet done in front of it
	Caution  string            `json:"caution,omitempty"` // shown where the work is
}

// Act is one call or deed with its button.
type Act struct {
	ID     string `json:"id"`
	Kind   string `json:"kind"` // callIn, revisit, visitResult, order, arrived, ask, sendTexts, photos, answer, cant, heard, word
	On     string `json:"on"`   // the thing
	Text   string `json:"text"` // "Call in Rough electrical"
	By     string `json:"by"`   // "by Wed noon"
	Late   bool   `json:"late"`
	Today  bool   `json:"today"` // its last moment is today
	Phone  string `json:"phone,omitempty"`
	Button string `json:"button"` // "Called it in"
	// The days a crew says it can't come, when Kind is "cant".
	From schedule.Day `json:"from,omitzero"`
	To   schedule.Day `json:"to,omitzero"`
}

type MovedLine struct {
	ID   string            `json:"id"`
	Kind schedule.NodeKind `json:"kind"`
	Text string            `json:"text"` // "Electric, rough-in: Thu 8 ← from Tue 6, because …"
}

// ---- A crew can't come, and the ways through

// CantView is the small form: which crew, which days.
type CantView struct {
	Crews []CantCrew `json:"crews"` // those with work ahead, soonest first
	// Crew and Picked are filled in already when a crew's "no" led here.
	Crew   string         `json:"crew,omitempty"`
	Picked []schedule.Day `json:"picked,omitempty"`
}

type CantCrew struct {
	ID     string         `json:"id"`
	Name   string         `json:"name"`
	Trade  string         `json:"trade"`
	Next   string         `json:"next"` // "rough-in, Tue 6 – Wed 7"
	Days   []Day          `json:"days"` // the coming days it is booked, then the working days after
	Booked []schedule.Day `json:"booked"`
}

// WaysView is the answer to "what now": up to five cards.
type WaysView struct {
	Token string `json:"token"` // names this answer; taking a way hands it back
	Title string `json:"title"` // "Electric can't make Tue–Wed"
	Proof string `json:"proof"` // "Proved: nothing finishes sooner." / "Still looking" / "Best found so far"
	More  bool   `json:"more"`  // the search has not said its last word: ask again with the same token
	// Reach is the answer to "finished by a day: what would it take?"; Proof is its first line.
	Reach *ReachView `json:"reach,omitempty"`
	Cards []WayCard  `json:"cards"`
}

type WayCard struct {
	Key    string   `json:"key"`
	Finish string   `json:"finish"`          // "finish holds Thu 22" / "finish Fri 23 (+1)"
	Calls  string   `json:"calls"`           // "2 calls"
	Cost   string   `json:"cost,omitempty"`  // "+ $180"
	Extra  string   `json:"extra,omitempty"` // "Sat work"
	Best   bool     `json:"best"`
	Name   string   `json:"name"`  // "soonest finish", "fewest calls", "just push everything"
	Rows   []WayRow `json:"rows"`  // who must hear, first; then what else moves
	Quiet  int      `json:"quiet"` // rows that need no call, folded
	Proof  string   `json:"proof,omitempty"`
}

type WayRow struct {
	ID    string `json:"id"`
	Who   string `json:"who"`
	When  string `json:"when"` // "Tue 6"
	From  string `json:"from"` // "← from Wed 7": what it was
	What  string `json:"what"` // "close the vent, patch holes"
	Call  bool   `json:"call"`
	Phone string `json:"phone,omitempty"`
}

// ---- Strings

// StringsView is the whole picture; the screen draws, the engine measures nothing.
type StringsView struct {
	Crews  []StringCrew `json:"crews"`
	Days   []StringDay  `json:"days"` // every day from the first to the last, closed ones folded
	Blocks []Block      `json:"blocks"`
	Bars   []Bar        `json:"bars"`
	Goods  []Goods      `json:"goods"`
	Taut   [][2]string  `json:"taut"` // pairs of IDs joined by the chalk line, in order
}

type StringCrew struct {
	ID    string         `json:"id"`
	Name  string         `json:"name"`
	Trade string         `json:"trade"`
	Away  []schedule.Day `json:"away,omitempty"`
}

// StringDay is a row. Open and Close bound the day's height: minutes since midnight.
type StringDay struct {
	Day   schedule.Day `json:"day"`
	Short string       `json:"short"`
	Week  bool         `json:"week"` // first day of a week: ruled heavier, bold
	Open  int32        `json:"open"`
	Close int32        `json:"close"`
	Shut  string       `json:"shut,omitempty"` // why nobody works
	Wet   string       `json:"wet,omitempty"`  // why outdoor work rests
	Today bool         `json:"today"`
	Past  bool         `json:"past"`
}

type Block struct {
	ID       string           `json:"id"`
	Crew     string           `json:"crew"`
	With     []string         `json:"with,omitempty"`
	Name     string           `json:"name"`
	Trade    string           `json:"trade"`
	Start    schedule.Minute  `json:"start"`
	Finish   schedule.Minute  `json:"finish"`
	SlackTo  schedule.Minute  `json:"slackTo"` // how far it may slip: the later, the wider the string under it waves
	Slack    string           `json:"slack"`   // "2 days of slack" / "no slack"
	Booking  schedule.Booking `json:"booking"`
	Taut     bool             `json:"taut"`
	Done     int32            `json:"done"`
	Started  bool             `json:"started"`
	Finished bool             `json:"finished"`
	Late     bool             `json:"late"`
	Say      string           `json:"say"` // the whole block in words, for screen readers
}

// Bar is a hold point across the strings it blocks.
type Bar struct {
	ID     string          `json:"id"`
	Name   string          `json:"name"`
	State  string          `json:"state"` // signed, calledIn, notAsked, failed, partial
	At     schedule.Minute `json:"at"`
	To     schedule.Minute `json:"to"`
	Label  string          `json:"label"`  // "Rough electrical · call in by Wed 7, noon"
	Brief  string          `json:"brief"`  // "call Wed noon"
	Blocks []string        `json:"blocks"` // crew IDs it lies across: all whose work is shut behind it
	Taut   bool            `json:"taut"`
}

type Goods struct {
	ID    string          `json:"id"`
	Name  string          `json:"name"`
	At    schedule.Minute `json:"at"`
	State string          `json:"state"` // toOrder, ordered, arrived, short
	Label string          `json:"label"`
	For   []string        `json:"for"` // crew IDs
}

// BlockView is one activity opened.
type BlockView struct {
	ID         string           `json:"id"`
	Name       string           `json:"name"`
	Scope      string           `json:"scope"`
	Crew       string           `json:"crew"`
	CrewName   string           `json:"crewName"`
	Trade      string           `json:"trade"`
	When       string           `json:"when"`
	Because    string           `json:"because"` // why it starts when it does, a sentence
	Slack      string           `json:"slack"`
	WaitsFor   []LinkLine       `json:"waitsFor"`
	Behind     []LinkLine       `json:"behind"`
	Booking    schedule.Booking `json:"booking"`
	Told       string           `json:"told,omitempty"`
	Labour     schedule.Range   `json:"labour"`
	Days       string           `json:"days"`  // "2 days (1–3)"
	Basis      []string         `json:"basis"` // where the hours come from, a line a rate, while they are those of the answers
	Done       int32            `json:"done"`
	Started    schedule.Minute  `json:"started"`
	Finished   schedule.Minute  `json:"finished"`
	Start      schedule.Minute  `json:"start"`
	Finish     schedule.Minute  `json:"finish"`
	Frozen     bool             `json:"frozen"`
	Earlier    *schedule.Minute `json:"earlier,omitempty"` // one step earlier, when that is possible
	Later      *schedule.Minute `json:"later,omitempty"`
	NotEarlier string           `json:"notEarlier,omitempty"` // why no step earlier
	Wish       *WishView        `json:"wish,omitempty"`       // the answer to "could it start then?"
	Crews      []Choice         `json:"crews"`                // who could do it
	Cautions   []CautionLine    `json:"cautions"`
	Acked      string           `json:"acked,omitempty"`
	Came       *CameMark        `json:"came,omitempty"` // how the crew kept the day, when there is one to mark
	Pictures   []PhotoLine      `json:"pictures"`
	Papers     []PaperLine      `json:"papers"`
	Clashes    []Clash          `json:"clashes,omitempty"`
}

type LinkLine struct {
	Link  string            `json:"link"`
	ID    string            `json:"id"`
	Kind  schedule.NodeKind `json:"kind"`
	Name  string            `json:"name"`
	Text  string            `json:"text"` // "then 24 h, nights included"; empty where it just waits for the end
	When  string            `json:"when"`
	Done  bool              `json:"done"`
	Binds bool              `json:"binds"`
	Wait  bool              `json:"wait"` // it waits by a rule of the trade: the readings say more
}

type CautionLine struct {
	ID    string `json:"id"`
	Text  string `json:"text"`
	Defer string `json:"defer"`
	Stop  bool   `json:"stop"`
}

type Choice struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Note string `json:"note,omitempty"` // a small line beside it
}

// ---- Holds

type HoldsView struct {
	For     string     `json:"for"`
	Name    string     `json:"name"`
	Trade   string     `json:"trade"`
	Line    string     `json:"line"`    // "Board starts Thu 15 Apr at the earliest. 2 of 4 signed."
	Choices []Choice   `json:"choices"` // cover-ups first, then everything with something in front
	Holds   []HoldLine `json:"holds"`
	Others  []LinkLine `json:"others"`            // other work and goods in front of it
	Foot    string     `json:"foot"`              // who decides
	Clashes []Clash    `json:"clashes,omitempty"` // of the holds shown
}

type HoldLine struct {
	ID     string        `json:"id"`
	Name   string        `json:"name"`
	Code   string        `json:"code,omitempty"`
	State  string        `json:"state"`  // signed, calledIn, notAsked, failed, partial
	Status string        `json:"status"` // "signed Tue 6" / "call in by Wed noon"
	Waits  []LinkLine    `json:"waits"`
	Ready  []string      `json:"ready"`
	Photos int32         `json:"photos"`
	Taken  int32         `json:"taken"` // kept here, and counted by hand
	Visit  string        `json:"visit"`
	Phone  string        `json:"phone,omitempty"`
	Agency string        `json:"agency,omitempty"`
	Said   string        `json:"said,omitempty"`
	Late   bool          `json:"late"`
	Effect string        `json:"effect,omitempty"` // what a failed visit does to the finish
	Visits []VisitChoice `json:"visits"`           // windows one may agree on when calling in
	Next   string        `json:"next"`             // callIn, result, photos, "" (signed)
	// Pictures are the photos kept here.
	Pictures []PhotoLine `json:"pictures"`
	Papers   []PaperLine `json:"papers"`
	// Parts may pass one by one; Passed did. PartsLine says so, Fee what the next visit costs.
	Parts     []string `json:"parts"`
	Passed    []string `json:"passed"`
	PartsLine string   `json:"partsLine,omitempty"`
	Fee       string   `json:"fee,omitempty"`
}

type VisitChoice struct {
	At   schedule.Minute `json:"at"`
	Text string          `json:"text"` // "Mon 12, morning"
}

// ---- Set-up

// SetupView lists every thing of the site, for adding and changing.
type SetupView struct {
	Site      map[string]any `json:"site"` // the head fields as in the site file
	Groups    []Group        `json:"groups"`
	Gone      []Choice       `json:"gone"` // removed things that can be restored: "kind/id"
	Templates []Choice       `json:"templates"`
}

type Group struct {
	Kind  string      `json:"kind"` // crew, place, activity, link, hold, order, away, shut
	Lines []GroupLine `json:"lines"`
}

type GroupLine struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Note string `json:"note"`
}

// ThingView is one thing to edit: its fields as in the site file.
type ThingView struct {
	Kind    string         `json:"kind"`
	ID      string         `json:"id"`
	Name    string         `json:"name"`
	Fields  map[string]any `json:"fields"`
	Links   []LinkLine     `json:"links,omitempty"`
	Clashes []Clash        `json:"clashes,omitempty"`
	Crews   []Choice       `json:"crews"`
	Places  []Choice       `json:"places"`
	Nodes   []Choice       `json:"nodes"` // what a link may join
	Waits   []Choice       `json:"waits"` // the waits of the trade, for a link
	Units   string         `json:"units"` // us, metric: what a weight is written in
	// Trust is how a crew kept its days, and what the odds make of it.
	Trust []string `json:"trust,omitempty"`
	// Pictures are the photos of an order.
	Pictures []PhotoLine `json:"pictures,omitempty"`
	Papers   []PaperLine `json:"papers,omitempty"`
}

// Clash is a field that two phones wrote without knowing of each other.
type Clash struct {
	Kind   string       `json:"kind"`
	ID     string       `json:"id"`
	Name   string       `json:"name"`
	Field  string       `json:"field"`
	Label  string       `json:"label"` // the field, or all that the same acts wrote, in words
	Kept   string       `json:"kept"`
	By     string       `json:"by"`
	Op     string       `json:"op"` // of the value that stands, handed back to keep it
	Others []ClashValue `json:"others"`
}

type ClashValue struct {
	Value string `json:"value"`
	By    string `json:"by"`
	Op    string `json:"op"` // "device.seq", handed back to choose it
}

// ---- Log: what was changed, by whom; what was written over; what was refused

type LogView struct {
	Lines   []LogLine     `json:"lines"` // newest first, at most 200
	Clashes []Clash       `json:"clashes"`
	Aside   []ProblemLine `json:"aside"` // links set aside because they close a circle
	Ways    []LogLine     `json:"ways"`  // ways that were taken at the same time as another and stand back
	// Repaired is where the plan differs from the way taken last: what was not known when it was taken.
	Repaired []MovedLine `json:"repaired"`
	Refused  []LogLine   `json:"refused"`
	Devices  []Choice    `json:"devices"`
}

type LogLine struct {
	Op     string `json:"op"`
	When   string `json:"when"`
	By     string `json:"by"`
	Text   string `json:"text"`
	Sent   bool   `json:"sent"`
	Undone bool   `json:"undone"`
}
