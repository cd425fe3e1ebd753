package engine

import "batterboard/schedule"

// TextsView is the outbox: what is to be told, by kind, and what was told and waits for an answer.
type TextsView struct {
	Day      Day        `json:"day"`      // the day tomorrow's texts are about
	Line     string     `json:"line"`     // "5 crews tomorrow. 2 not asked, 1 silent."
	Off      []TextCard `json:"off"`      // crews that heard days and are not needed any more
	Moved    []TextCard `json:"moved"`    // crews whose told days changed
	Tomorrow []TextCard `json:"tomorrow"` // crews on site that day
	Ask      []TextCard `json:"ask"`      // pencilled crews in the next two weeks nobody has asked
	Go       []TextCard `json:"go"`       // crews in front of which all is done
	Remind   []TextCard `json:"remind"`   // a week or two before
	Order    []TextCard `json:"order"`    // suppliers: a new order, or a promised day that moved
	CallIn   []TextCard `json:"callIn"`   // what to say on the inspector's phone line
	Street   []TextCard `json:"street"`   // the neighbours
}

// TextCard is one text with where it goes and what came back.
type TextCard struct {
	ID       string           `json:"id"`
	Kind     string           `json:"kind"`
	KindName string           `json:"kindName"`
	Crew     string           `json:"crew"` // empty where it goes to no crew
	On       []string         `json:"on"`   // what it tells about, and the days told: handed back with "sent"
	Told     []string         `json:"told"`
	Name     string           `json:"name"`
	Trade    string           `json:"trade"`
	Phone    string           `json:"phone"`
	Email    string           `json:"email,omitempty"`
	Lang     string           `json:"lang"`
	Body     string           `json:"body"`
	Own      string           `json:"own,omitempty"` // the same in the owner's language, when that differs
	OwnLang  string           `json:"ownLang,omitempty"`
	Href     string           `json:"href"`             // sms: link, RFC 5724
	Mail     string           `json:"mail,omitempty"`   // mailto: link, RFC 6068
	Subject  string           `json:"subject"`          // of a mail, and of what is shared
	Wants    bool             `json:"wants,omitempty"`  // its wording has a link to the crew's page, and this phone knows none
	Why      string           `json:"why"`              // why they must hear
	Since    string           `json:"since,omitempty"`  // "since Mon 5, 4:00 pm"
	Length   string           `json:"length,omitempty"` // "412 letters, 3 messages."
	Booking  schedule.Booking `json:"booking"`
	Sent     bool             `json:"sent"`
	SentLine string           `json:"sentLine,omitempty"`
	Queued   bool             `json:"queued,omitempty"` // given to the server
	Failed   string           `json:"failed,omitempty"` // why the server did not send it
	Silent   string           `json:"silent,omitempty"` // "no answer since Mon 5, 4:00 pm"
	Answer   string           `json:"answer"`           // "", yes, no, other
	Warn     string           `json:"warn,omitempty"`   // "not asked", "no answer", "no phone number"
	Parts    int              `json:"parts"`
	Trust    string           `json:"trust,omitempty"` // how the crew kept its days so far
}

// CameMark is how a crew kept a day of its work: "", cameLate, noShow.
type CameMark struct {
	Day  schedule.Day `json:"day"`
	Text string       `json:"text"` // the day in full
	Mark string       `json:"mark"`
}

// WordingsView lists the wordings of every kind of text in every language; Open is one to change.
type WordingsView struct {
	Plain bool          `json:"plain"` // texts go without the letters that make one message two
	Lines []WordingLine `json:"lines"`
	Open  *WordingOpen  `json:"open,omitempty"`
}

type WordingLine struct {
	ID       string `json:"id"` // "tomorrow.es"
	Name     string `json:"name"`
	Lang     string `json:"lang"`
	Language string `json:"language"`
	Own      bool   `json:"own"` // the owner wrote it
	Preview  string `json:"preview"`
}

type WordingOpen struct {
	ID       string  `json:"id"`
	Name     string  `json:"name"`
	Lang     string  `json:"lang"`
	Language string  `json:"language"`
	Own      bool    `json:"own"`
	Text     string  `json:"text"` // with its blanks in the words of its language
	Standard string  `json:"standard"`
	Blanks   []Blank `json:"blanks"`
	Example  string  `json:"example"` // filled in from the site
	Length   string  `json:"length"`
	Yours    string  `json:"yours,omitempty"` // the same kind in the owner's language
	Wrong    string  `json:"wrong,omitempty"` // what is wrong with the draft
}

// Blank is one blank a text may have: "{way in}", and what stands there.
type Blank struct {
	Word string `json:"word"`
	Note string `json:"note"`
}
