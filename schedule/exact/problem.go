package exact

// Problem is a plan to schedule. Nodes, calendars and resources are named by their index.
type Problem struct {
	Horizon   int32 // no node starts or finishes later; 1 to MaxHorizon
	Calendars []Calendar
	Nodes     []Node
	Arcs      []Arc
	Resources []Resource
	Calls     []int32 // weight of each call: what it costs when any of its promises is broken
	Promises  []Promise
}

// Calendar is open time: windows in order that do not touch. A day that is open round midnight is
// one window.
type Calendar []Window

// Window is open time From <= t < To.
type Window struct{ From, To int32 }

// Always is the calendar that is always open; 1 is Problem.Calendars[0], 2 the next.
const Always int32 = 0

// Node is work that is done in one go.
type Node struct {
	Dur int32 // working time; 0 is a milestone, which finishes as it starts
	Cal int32 // Always, or 1 + the index of its calendar
	// Slot makes the node take one window of its calendar: it starts with the window and finishes
	// with it, whatever Dur says.
	Slot bool
	// Places, when there are any, are the only ways the node can lie, whatever Dur, Cal and Slot say:
	// rising starts, each with a finish that is not before that of the place before.
	Places []Place
	Min    int32 // earliest start
	Max    int32 // latest start; 0 means no limit but the horizon
	// Fixed is a fact or work under way: it lies from Start to Finish, holds its resources, and holds
	// what waits for it. Arcs into it are not looked at, and two facts may overlap: facts are true.
	Fixed         bool
	Start, Finish int32
}

// Place is one way a node can lie.
type Place struct{ Start, Finish int32 }

// Arc makes a point of To wait for a point of From: point(To) >= point(From) + Lag.
type Arc struct {
	From, To       int32
	FromEnd, ToEnd bool // the finish instead of the start: FromEnd alone is finish-to-start
	// Lag may be negative (a lead; or, turned round, the most that may lie between). It counts units
	// of the calendar Cal: with a Lag of 8 at least 8 open units lie between the points; with -8 the
	// point of To may come first, with at most 8 open units in between.
	Lag int32
	Cal int32
	// After, when there is any, is the arc in full, for a From with Places: After[k] is the earliest
	// start of To when From lies in its place k. It never falls.
	After []int32
}

// Resource is a crew, a place, or anything else of which there is only so much at once.
type Resource struct {
	Cap  int32
	Uses []Use
}

// Use is what a node takes of a resource from its start to its finish.
type Use struct{ Node, Demand int32 }

// Promise is kept when Node starts within From <= start <= To. Several promises may hang on one call:
// a crew is called once however many of its days move.
type Promise struct {
	Node, From, To int32
	Call           int32 // index into Problem.Calls
}

// Want is what an Ask minimises.
type Want uint8

const (
	Finish Want = iota // the latest finish of all nodes
	Cost               // the weight of all calls
	Any                // nothing: any schedule within the bounds
)

// Ask is one question.
type Ask struct {
	Want  Want
	By    int32 // finish no later than this; 0 means the horizon
	Cost  int32 // calls weigh no more than this, where Limit is set
	Limit bool  // Cost is a limit
	// Hint is a schedule to start from (a start for each node), or nil. A hint within the bounds is the
	// first answer to beat; any hint guides the search. Answers depend on hints only when unproved, or
	// where several schedules are equally good.
	Hint  []int32
	Steps int64 // how many bound changes to spend: about a million take a second
}

// Answer is the best that was found.
type Answer struct {
	Found  bool    // Starts, Finish and Cost are a schedule within the bounds
	Proved bool    // nothing better exists; when not Found: there is no such schedule
	Starts []int32 // start of each node
	Ends   []int32 // finish of each node
	Finish int32
	Cost   int32
	Lower  int32 // no schedule within the bounds has a smaller finish, or cost, than this
	Steps  int64 // spent
	// Conflicts is how many dead ends were learned from, for measuring.
	Conflicts int64
}
