package engine

import (
	"encoding/json"

	"batterboard/schedule"
)

// Request is what the worker hands the engine: bytes in. Do says which of the fields matter.
// The engine has no clock, store or socket of its own: Now and Wall come with every request, what to
// keep and what to send goes back in the Reply.
type Request struct {
	Do   string          `json:"do"`
	Now  schedule.Minute `json:"now"`  // the site's wall clock, to the minute
	Wall int64           `json:"wall"` // milliseconds since 1970 UTC, for stamps

	// open: everything this phone has of one site.
	Site   string            `json:"site,omitempty"`
	Device uint32            `json:"device,omitempty"`
	Role   string            `json:"role,omitempty"`
	Lang   string            `json:"lang,omitempty"`
	Ops    []json.RawMessage `json:"ops,omitempty"`
	Meta   json.RawMessage   `json:"meta,omitempty"`  // as last returned in Reply.Meta
	Names  map[string]string `json:"names,omitempty"` // device number -> name

	// frame: one message from the server. connected / cut: the socket's state.
	Frame string `json:"frame,omitempty"`

	// show: which screen; also after every intent, so that its reply holds the screen as it now is.
	Screen string       `json:"screen,omitempty"`
	For    string       `json:"for,omitempty"` // the thing the screen is about
	Day    schedule.Day `json:"day,omitzero"`

	// intents
	ID     string                     `json:"id,omitempty"`
	Kind   string                     `json:"kind,omitempty"`
	Field  string                     `json:"field,omitempty"`
	Op     string                     `json:"op,omitempty"`
	Fields map[string]json.RawMessage `json:"fields,omitempty"`
	At     schedule.Minute            `json:"at,omitzero"`
	From   schedule.Day               `json:"from,omitzero"`
	To     schedule.Day               `json:"to,omitzero"`
	Crew   string                     `json:"crew,omitempty"`
	Said   string                     `json:"said,omitempty"`
	Name   string                     `json:"name,omitempty"`
	Count  int32                      `json:"count,omitempty"`
	Token  string                     `json:"token,omitempty"`
	Key    string                     `json:"key,omitempty"`
	Change *Change                    `json:"change,omitempty"`
	// Pages are the addresses of the crews' pages that this phone knows, for the texts that carry them.
	// They are never written down: the log is on every phone.
	Pages map[string]string `json:"pages,omitempty"`
	// Draft is a wording as it is being written, for its preview.
	Draft *string `json:"draft,omitempty"`
}

// Change is a what-if the screen asks ways for.
type Change struct {
	Kind   string          `json:"kind"`           // away, longer, slip, short, shut, tighten, fail, visit, found, by
	ID     string          `json:"id,omitempty"`   // the activity, order or hold
	Crew   string          `json:"crew,omitempty"` // away, found
	From   schedule.Day    `json:"from,omitzero"`
	To     schedule.Day    `json:"to,omitzero"`
	Labour *schedule.Range `json:"labour,omitempty"` // longer, found
	Why    string          `json:"why,omitempty"`    // short: what is missing
	// At is the new visit of a hold (visit); without it the first window of From is taken.
	At schedule.Minute `json:"at,omitzero"`
	// Outdoor keeps only outdoor work off the days (shut): rain.
	Outdoor bool `json:"outdoor,omitempty"`
	// New work (found): what it is called, where, and the nodes it comes behind and in front of. Before also
	// names the work that needs the rest of a short delivery; empty means all behind it.
	Name   string   `json:"name,omitempty"`
	Place  string   `json:"place,omitempty"`
	After  []string `json:"after,omitempty"`
	Before []string `json:"before,omitempty"`
	// Days is how long the rest of a short delivery takes, when From names no day for it. Later says that
	// nothing has come yet: the supplier told beforehand.
	Days  int32 `json:"days,omitempty"`
	Later bool  `json:"later,omitempty"`
}

// Reply is what goes back: bytes out. The worker keeps Ops and Meta (strictly) before it shows View
// or sends Frames: shown means saved.
type Reply struct {
	Ops     []json.RawMessage `json:"ops,omitempty"`
	Meta    json.RawMessage   `json:"meta,omitempty"`
	Frames  []string          `json:"frames,omitempty"`
	View    *View             `json:"view,omitempty"`
	Changed bool              `json:"changed,omitempty"` // the plan changed without this phone's doing: show again
	Names   map[string]string `json:"names,omitempty"`   // device names learned
	// Document is the whole site as one canonical JSON document: the answer to "export".
	Document json.RawMessage `json:"document,omitempty"`
	// Want are names of files the server asks for; the worker hands in those it has.
	Want []string `json:"want,omitempty"`
	// Files are the names of all pictures and papers of the site: the answer to "files".
	Files  *Files `json:"files,omitempty"`
	Failed string `json:"failed,omitempty"` // the request itself was broken: a defect, not a user error
}

// The intents (Request.Do), and the fields each reads:
//
//	open       Site Device Role Lang Ops Meta Names
//	connected  -                       the socket is open: Frames holds the hello
//	cut        -                       the socket is closed
//	frame      Frame
//	show       Screen For Day          today cant strings block holds texts words setup thing log odds
//	                                   texts reads Pages too, words Draft
//	ways       Change                  -> View.Ways, first ways at once
//	more       Token                   -> View.Ways again, one budget further
//	odds       -                       -> View.Odds one portion further; Count and Key: so many runs with that seed
//	take       Token Key               take a way (one undoable act)
//	undo       -                       take back this phone's last act
//	move       ID At                   lay an activity, hold visit or delivery to a start by hand
//	wish       ID From                 -> View.Block.Wish: could it start that day, and what forbids it; moves nothing
//	start      ID At                   mark started
//	finish     ID At                   mark finished
//	done       ID Count                percent done
//	labour     Fields{labour}          via edit; see Change longer for the ways
//	ack        ID Name                 acknowledge the cautions by name
//	callIn     ID At                   called in, At = agreed visit window (zero: not agreed yet)
//	result     ID Key Said             Key = pass, partial, fail
//	photos     ID Count                photos taken before cover, those kept here counted in
//	photo      ID Fields Said          a picture of a thing, or of the site; Fields file, small, wide, high, and where it is wanted kept taken, latitude, longitude
//	paper      ID Name Fields          a paper about a thing, or of the site; Fields file, type, size
//	files      -                       -> Reply.Files: the names of all pictures and papers
//	order      ID From                 ordered; From = promised day
//	arrive     ID From Said            arrived; Said = what was short
//	sent       ID Fields{on,told} Pages text ID marked sent; Fields are what the card told when it was sent
//	queue      ID Op Fields{on,told}   the server is to send text ID: Op = email, hook, "" takes it back
//	wording    ID Said Key             the wording KIND.LANGUAGE; Key reset: the standard one
//	came       ID Crew Key Day         how a crew kept a day: cameLate, noShow, "" takes it back
//	answer     ID Key                  text ID answered yes, no, other
//	book       ID Key                  booking of an activity by hand: "", asked, firm
//	edit       Kind ID Fields          set fields of a thing; Kind "site" for the head
//	add        Kind Fields             a new thing
//	remove     Kind ID
//	restore    Kind ID
//	choose     Kind ID Field Op        settle a clash
//	again      Op                      take the way that stood back
//	reading    Fields                  what a meter said: of, place, temp, humidity, moisture, at, said
//	waits      ID Key                  take over what the readings say, or one link's; Key "own", "setting"
//	takeoff    ID                      write what the room takes onto its order
//	reserve    ID                      goods held, not firm
//	rules      Fields | ID             a habit of departments: profile, board, base, edition; ID adds one hold point
//	settle     ID Said                 leave a question of the review as it is; without Said ask it again
//	template   Key Fields From         fill an empty site from a template; Fields are head fields
//	answers    Fields                  answers of the set-up, kept; as "build" once there is a plan
//	build      Fields                  the plan from the answers, or what they change of it
//	pace       ID Key                  later hours at the real pace; Key "leave" leaves them
//	note       Said ID                 a line in the diary
//	heard      ID                      what a crew said on its page has been seen
//	word       ID                      a crew's word in figures (that note) is taken into the plan
//	looked     -                       what moved has been seen: Today's list starts anew
//	export     -                       -> Reply.Document
//	lay        -                       lay the line: keep today's plan as the one to hold to
