package schedule

// Site is one job: everything the plan is made from. It is plain data with one JSON form, described
// by testdata/site.schema.json. Slices are kept in the order the owner sees (Pos, then ID); the
// planner's result does not depend on that order.
//
// Everything that can be merged on its own is a thing of its own with an ID: a day away is not a
// list inside a crew, a link is not a list inside an activity. Two phones can then add one each.
type Site struct {
	Format  int    `json:"format"` // 1
	ID      string `json:"id,omitempty"`
	Name    string `json:"name"`
	Address string `json:"address,omitempty"`
	WayIn   string `json:"wayIn,omitempty"`   // how a crew gets in: gate, key box, where to park
	Contact string `json:"contact,omitempty"` // who to ask on site
	Phone   string `json:"phone,omitempty"`
	Geo     string `json:"geo,omitempty"`     // where it is, "LATITUDE,LONGITUDE" in degrees (WGS 84), for map links
	Country string `json:"country,omitempty"` // ISO 3166-1 alpha-2: whose phone numbers are written without the country's code
	Zone    string `json:"zone,omitempty"`    // IANA name; for calendars and messages, the planner never reads it
	Lang    string `json:"lang,omitempty"`    // the owner's language, "en" or "es"
	Units   string `json:"units,omitempty"`   // "us" or "metric", as lengths and weights are shown; empty is us
	Start   Day    `json:"start,omitzero"`    // nothing is planned before this day
	Hours   Week   `json:"hours,omitzero"`    // zero: DefaultWeek
	// Noise is when noisy work may be done, of each weekday; nil: whenever its crews work. Towns and landlords
	// set such hours, the owner types them in.
	Noise *Week `json:"noise,omitempty"`
	Back  Day   `json:"back,omitzero"` // the day the owner wants to be back at work: shown against the finish, never forced
	// AnswerBy is when, on the eve of its day, a crew that has not answered counts as silent: minutes since
	// midnight, 0 means 18:00.
	AnswerBy int32 `json:"answerBy,omitempty"`
	// Weather is how many working days in a hundred are lost to weather for outdoor work: one number for
	// the whole year, or twelve, January first. Only the odds read it; days known to be lost are Shut.
	Weather []int32 `json:"weather,omitempty"`

	// Which habit of building departments the hold points started from, and its switches. The owner edits
	// the hold points themselves; these only say what a later change of habit is compared with.
	Profile   string `json:"profile,omitempty"`
	BoardSeen string `json:"boardSeen,omitempty"` // board looked at: "off", "rated", "always"; empty: as the profile has it
	BaseSeen  bool   `json:"baseSeen,omitempty"`  // the base layer is looked at before the next hides it
	Edition   string `json:"edition,omitempty"`   // the code whose clauses are named: "irc", "ibc2015", "ibc2018", "ibc2021"
	Plain     bool   `json:"plain,omitempty"`     // texts go without the accents that make a message two

	Crews      []Crew     `json:"crews,omitempty"`
	Places     []Place    `json:"places,omitempty"`
	Activities []Activity `json:"activities,omitempty"`
	Links      []Link     `json:"links,omitempty"`
	Holds      []Hold     `json:"holds,omitempty"`
	Orders     []Order    `json:"orders,omitempty"`
	Away       []Away     `json:"away,omitempty"`
	Shut       []Shut     `json:"shut,omitempty"`
	Openings   []Opening  `json:"openings,omitempty"`
	Texts      []Text     `json:"texts,omitempty"`
	Wordings   []Wording  `json:"wordings,omitempty"`
	Notes      []Note     `json:"notes,omitempty"`
	Photos     []Photo    `json:"photos,omitempty"`
	Papers     []Paper    `json:"papers,omitempty"`
	Answers    []Answer   `json:"answers,omitempty"` // what the set-up asked; the planner never reads it
	Readings   []Reading  `json:"readings,omitempty"`
	Settled    []Settled  `json:"settled,omitempty"`
}

// Answer is what the owner said to one question of the set-up. The plan was made from the answers, and
// follows when one of them changes.
type Answer struct {
	ID    string `json:"id"` // the question
	Value string `json:"value"`
}

// Window is working time within one day, in minutes since midnight: From <= t < To.
type Window struct{ From, To int32 }

// Week is the working windows of each weekday, Monday first; windows are in order and do not touch.
// In JSON a day is a list like ["08:00-12:00", "12:30-16:30"].
type Week [7][]Window

// Crew is who does work: a trade's people, or the owner in the evening.
type Crew struct {
	ID       string   `json:"id"`
	Pos      int32    `json:"pos,omitempty"`
	Name     string   `json:"name"`
	Trade    string   `json:"trade"` // one of Trades; chooses the hatch
	Contact  string   `json:"contact,omitempty"`
	Phone    string   `json:"phone,omitempty"` // E.164, as the message program needs it
	Email    string   `json:"email,omitempty"`
	Lang     string   `json:"lang,omitempty"`  // "en" or "es"
	Size     int32    `json:"size,omitempty"`  // people who come; 0 means 1
	Teams    int32    `json:"teams,omitempty"` // how many activities at once; 0 means 1
	Own      bool     `json:"own,omitempty"`   // the owner or the second hand: no texts, no calls
	Hours    *Week    `json:"hours,omitempty"` // own windows instead of the site's
	Saturday *Extra   `json:"saturday,omitempty"`
	Overtime *Extra   `json:"overtime,omitempty"`
	Stands   []string `json:"stands,omitempty"` // IDs of crews of the same trade who may stand in
	NoShow   int32    `json:"noShow,omitempty"` // chance in percent that a booked day is missed
	Twice    *Twice   `json:"twice,omitempty"`  // it is willing to do one piece of work in two visits
	// Quiet are the reminders this crew does not want: "14", "7", "1", days before its first day.
	Quiet []string `json:"quiet,omitempty"`
}

// Extra is time a crew is willing to work beyond its week: on a Saturday the window, in overtime
// the minutes after its last window of a day. Cost is what one such day adds, in cents.
type Extra struct {
	From int32 `json:"from"` // minutes since midnight
	To   int32 `json:"to"`
	Cost int64 `json:"cost,omitempty"`
}

// Twice is a crew's leave to come twice for one piece of work: before days on which it is away, and again
// after them. Cost is what the second visit adds, in cents.
type Twice struct {
	Cost int64 `json:"cost,omitempty"`
}

// Place is a room or the yard; Room is how many activities fit in at once (0 means 1).
type Place struct {
	ID   string `json:"id"`
	Pos  int32  `json:"pos,omitempty"`
	Name string `json:"name"`
	Room int32  `json:"room,omitempty"`
	// What goods stand on here: "slab" on the ground, or "wood", which carries so many pounds a square foot.
	Floor   string `json:"floor,omitempty"`
	Carries int32  `json:"carries,omitempty"`
}

// Range is a low, typical and high figure of one unit.
type Range struct {
	Low     int32 `json:"low,omitempty"`
	Typical int32 `json:"typical"`
	High    int32 `json:"high,omitempty"`
}

// Booking is how sure a crew's days are.
type Booking string

const (
	Pencilled Booking = ""      // in the plan, the crew has not heard
	Asked     Booking = "asked" // the crew has heard and not answered
	Firm      Booking = "firm"  // the crew said yes
)

// Activity is work that one crew, or several together, does in one go. It runs in the hours that all
// its crews work, noisy work only within the noise hours, and pauses over nights, weekends and shut days.
// It is not interrupted otherwise: it is never begun before days on which one of its crews is away and
// finished after them, unless Twice was agreed, and then over one such span at most.
type Activity struct {
	ID    string `json:"id"`
	Pos   int32  `json:"pos,omitempty"`
	Name  string `json:"name"`            // short: it stands on the block
	Scope string `json:"scope,omitempty"` // the sentence the crew reads
	// Also and ScopeAlso are name and scope in the other language, for those who read it; empty: the words
	// of the set-up where they are still those, else the owner's as they are.
	Also      string   `json:"also,omitempty"`
	ScopeAlso string   `json:"scopeAlso,omitempty"`
	Crew      string   `json:"crew,omitempty"` // empty: a milestone or nobody's work, runs in site hours
	With      []string `json:"with,omitempty"` // further crews needed for the whole of it
	Place     string   `json:"place,omitempty"`
	Whole     bool     `json:"whole,omitempty"`   // takes the whole place, not one share of it
	Labour    Range    `json:"labour"`            // minutes of work of one person
	Hands     int32    `json:"hands,omitempty"`   // people at work; 0 means the crew's size
	Cover     bool     `json:"cover,omitempty"`   // a cover-up: hides work that must be seen first
	Outdoor   bool     `json:"outdoor,omitempty"` // rests on days shut for outdoor work
	Twice     bool     `json:"twice,omitempty"`   // agreed: it may be done in two visits
	Noisy     bool     `json:"noisy,omitempty"`   // works only within Site.Noise, where that is set
	Bring     string   `json:"bring,omitempty"`   // what the crew brings
	Ready     string   `json:"ready,omitempty"`   // what will be ready for the crew

	NotBefore Minute `json:"notBefore,omitzero"`
	MustBy    Day    `json:"mustBy,omitzero"` // a wish: broken, it is a problem beside the plan

	Done     int32  `json:"done,omitempty"`   // percent, 0-100
	DoneAt   Minute `json:"doneAt,omitzero"`  // when that share was said: what is left counts from then
	Started  Minute `json:"started,omitzero"` // facts: they never move
	Finished Minute `json:"finished,omitzero"`

	Laid       Minute  `json:"laid,omitzero"` // start the line was last laid to (a way taken, a move by hand)
	Booking    Booking `json:"booking,omitempty"`
	ToldStart  Minute  `json:"toldStart,omitzero"` // what the crew last heard
	ToldFinish Minute  `json:"toldFinish,omitzero"`

	Cautions []string `json:"cautions,omitempty"` // caution IDs; a stop caution must be acknowledged
	Acked    string   `json:"acked,omitempty"`    // who acknowledged them
	AckedAt  Minute   `json:"ackedAt,omitzero"`   // and when
	Gate     bool     `json:"gate,omitempty"`     // not skippable milestone such as "permit posted"
	Closes   bool     `json:"closes,omitempty"`   // closes the wide opening: big goods must be in before
}

// LinkKind says which end of one activity holds which end of the other.
type LinkKind string

const (
	FS LinkKind = "FS" // finish to start
	SS LinkKind = "SS"
	FF LinkKind = "FF"
	SF LinkKind = "SF"
)

// Link makes To wait for From. From and To name an activity, a hold or an order.
type Link struct {
	ID   string   `json:"id"`
	From string   `json:"from"`
	To   string   `json:"to"`
	Kind LinkKind `json:"kind,omitempty"` // empty means FS
	Lag  int32    `json:"lag,omitempty"`  // minutes; negative is a lead
	// Clock says the lag runs day and night, as drying does. Otherwise it counts working time: of To's
	// crew where it holds a start (FS, SS), likewise of To's crew where it holds a finish.
	Clock bool   `json:"clock,omitempty"`
	Why   string `json:"why,omitempty"`
	// Wait names the rule of the trade that the lag comes from, Thick how thick the coat or slab is, in
	// 1/64 in. The lag itself stands in Lag: the planner knows no rules, and a reading of the room changes
	// a lag only when somebody says so.
	Wait  string `json:"wait,omitempty"`
	Thick int32  `json:"thick,omitempty"`
}

// Result is what an inspector said.
type Result string

const (
	NoResult Result = ""
	Pass     Result = "pass"
	Partial  Result = "partial" // some of it passed: the gate stays shut for the rest
	Fail     Result = "fail"
)

// Hold is a hold point: nothing linked behind it starts before it has passed. Links say what must be
// done first (From -> hold) and what it keeps shut (hold -> To). A visit takes one visit window.
type Hold struct {
	ID     string   `json:"id"`
	Pos    int32    `json:"pos,omitempty"`
	Name   string   `json:"name"`
	Code   string   `json:"code,omitempty"` // clause or "local"; editable data, never a rule of ours
	Agency string   `json:"agency,omitempty"`
	Phone  string   `json:"phone,omitempty"`
	Ready  []string `json:"ready,omitempty"`  // what must be ready, a line each
	Photos int32    `json:"photos,omitempty"` // photos wanted before cover
	Taken  int32    `json:"taken,omitempty"`  // photos taken
	Notice int32    `json:"notice,omitempty"` // working days from call-in to visit: 1 means the next working day
	Cutoff int32    `json:"cutoff,omitempty"` // minute of the day after which a call counts for the next; 0 means 24:00
	Hours  *Week    `json:"hours,omitempty"`  // visit windows; nil means the site's

	CalledIn Minute `json:"calledIn,omitzero"` // when the call was made
	Visit    Minute `json:"visit,omitzero"`    // start of the agreed visit window
	Result   Result `json:"result,omitempty"`
	ResultAt Minute `json:"resultAt,omitzero"`
	Said     string `json:"said,omitempty"`  // the inspector's list
	Fails    int32  `json:"fails,omitempty"` // failed visits so far
	Laid     Minute `json:"laid,omitzero"`
	FailPct  int32  `json:"failPct,omitempty"` // chance in percent that a visit fails

	Parts    []string `json:"parts,omitempty"`    // walls or rooms that may pass one by one
	Passed   []string `json:"passed,omitempty"`   // those that did
	Fee      int64    `json:"fee,omitempty"`      // cents
	FeeAgain int64    `json:"feeAgain,omitempty"` // cents for a visit after a failed one
}

// Order is goods with a lead time. Activities wait for it by links from the order.
type Order struct {
	ID       string `json:"id"`
	Pos      int32  `json:"pos,omitempty"`
	Goods    string `json:"goods"`
	Quantity string `json:"quantity,omitempty"`
	Supplier string `json:"supplier,omitempty"`
	Phone    string `json:"phone,omitempty"`
	Lead     int32  `json:"lead,omitempty"`   // calendar days from order to door
	Ordered  Day    `json:"ordered,omitzero"` // the day it was ordered
	Due      Day    `json:"due,omitzero"`     // the day promised
	Arrived  Day    `json:"arrived,omitzero"`
	Short    string `json:"short,omitempty"`  // what was missing at count-in
	Stands   string `json:"stands,omitempty"` // place ID
	WeightKg int32  `json:"weightKg,omitempty"`
	Cost     int64  `json:"cost,omitempty"` // cents
	Laid     Minute `json:"laid,omitzero"`
	Gate     string `json:"gate,omitempty"`    // the hold or work that could still cancel it: not firm before
	Reserved Day    `json:"reserved,omitzero"` // the day it was held at the supplier's, not firm
	Wide     bool   `json:"wide,omitempty"`    // comes in through the wide opening only
}

// Away is days a crew can't come, From to To inclusive.
type Away struct {
	ID   string `json:"id"`
	Crew string `json:"crew"`
	From Day    `json:"from"`
	To   Day    `json:"to"`
	Why  string `json:"why,omitempty"`
}

// Shut is days nobody works on site. Outdoor keeps only outdoor work off them: rain, frost, storm.
type Shut struct {
	ID      string `json:"id"`
	From    Day    `json:"from"`
	To      Day    `json:"to"`
	Why     string `json:"why,omitempty"`
	Outdoor bool   `json:"outdoor,omitempty"`
}

// Opening is agreed extra time of a crew on one day: a Saturday, an overtime evening.
type Opening struct {
	ID   string `json:"id"`
	Crew string `json:"crew"`
	Day  Day    `json:"day"`
	From int32  `json:"from"`
	To   int32  `json:"to"`
	Cost int64  `json:"cost,omitempty"`
}

// Text is a message that was sent, and what came back. Its ID is made from what it is about, so that
// two phones that mark the same text end with one record.
type Text struct {
	ID     string   `json:"id"`             // "tomorrow/CREW/2027-03-02", "order/ORDER/2027-03-02"
	Kind   string   `json:"kind"`           // tomorrow, moved, ask, remind14, remind7, go, off, order, reorder, street
	Crew   string   `json:"crew,omitempty"` // empty where it goes to a supplier or the neighbours
	Day    Day      `json:"day,omitzero"`
	On     []string `json:"on,omitempty"`   // activities or orders it tells about
	Told   []string `json:"told,omitempty"` // the days it tells, one for each of On: "2027-03-02T08:00/2027-03-03T16:30"
	Why    string   `json:"why,omitempty"`  // whose doing a move was: "theirs", "ours"
	Sent   Minute   `json:"sent,omitzero"`
	Queued Minute   `json:"queued,omitzero"`  // when the server was asked to send it
	Via    string   `json:"via,omitempty"`    // how the server is to send it: email, hook
	Failed string   `json:"failed,omitempty"` // why the server could not
	Answer string   `json:"answer,omitempty"` // "", yes, no, other
	Wish   Day      `json:"wish,omitzero"`    // the other day the crew named
	Body   string   `json:"body,omitempty"`   // never with the address of a crew's page: {page} stands for it
}

// Wording is the owner's own text for one kind of message in one language; empty: the standard one.
type Wording struct {
	ID   string `json:"id"` // KIND.LANGUAGE, "tomorrow.es"
	Text string `json:"text,omitempty"`
}

// Note is one line of the site diary.
type Note struct {
	ID   string `json:"id"`
	Day  Day    `json:"day"`
	On   string `json:"on,omitempty"` // what it is about
	Said string `json:"said"`
	By   string `json:"by,omitempty"`
	Crew string `json:"crew,omitempty"` // the crew that said it on its page
	Seen bool   `json:"seen,omitempty"` // what a crew said was read by somebody on site
	// Word and Count are what a crew said in figures about On: "late" by so many minutes, "done" so many
	// percent. The plan takes no notice of it until somebody on site takes the crew's word. Or Word is how a crew kept
	// its day: "cameLate", "noShow", "theyMoved".
	Word  string `json:"word,omitempty"`
	Count int32  `json:"count,omitempty"`
}

// Reading is what a meter said in a room. Times that things dry follow from it.
type Reading struct {
	ID       string `json:"id"`
	At       Minute `json:"at"`
	Place    string `json:"place,omitempty"`
	Of       string `json:"of"`                 // air, framing, subfloor, wood, slab
	Temp     *int32 `json:"temp,omitempty"`     // tenths of a degree Celsius
	Humidity int32  `json:"humidity,omitempty"` // percent, relative: of the air, or in the slab
	Moisture int32  `json:"moisture,omitempty"` // tenths of a percent, of wood or slab
	By       string `json:"by,omitempty"`
	Said     string `json:"said,omitempty"`
}

// Settled is a question of the plan review that the owner leaves as it is. Its ID is made from the
// question, so that two phones that settle the same one end with one record.
type Settled struct {
	ID  string `json:"id"`
	Why string `json:"why"`
	By  string `json:"by,omitempty"`
	At  Minute `json:"at,omitzero"`
}

// Trades are the hatches we can draw. A trade outside the list is drawn plain.
var Trades = []string{"owner", "carpentry", "plumbing", "electric", "mechanical", "insulation", "sound",
	"board", "taping", "paint", "floor", "stucco", "concrete", "doors", "demolition", "hauling", "data"}
