package template

import (
	_ "embed"
	"sync"

	"batterboard/client/engine/trade"
)

// Words is a text in English and in Spanish.
type Words [2]string

// In is the text in a language, English where there is no other.
func (w Words) In(lang string) string {
	if len(lang) >= 2 && lang[:2] == "es" && w[1] != "" {
		return w[1]
	}
	return w[0]
}

// Source says where a figure is from and how good it is: published, second-hand, common-practice or from-memory.
type Source struct {
	Source string `json:"source"`
	Mark   string `json:"mark"`
}

// Rate is work of one person on so many units, in hundredths of an hour. New says that it was taken on
// new work, where a room that stands costs more.
type Rate struct {
	ID      string `json:"id"`
	What    Words  `json:"what"`
	Unit    string `json:"unit"`
	Per     int64  `json:"per"`
	Low     int64  `json:"low"`
	Typical int64  `json:"typical"`
	High    int64  `json:"high"`
	Source  int    `json:"source"`
	New     bool   `json:"new"`
}

// Factor is a share in percent.
type Factor struct {
	What    Words `json:"what"`
	Low     int64 `json:"low"`
	Typical int64 `json:"typical"`
	High    int64 `json:"high"`
	Source  int   `json:"source"`
}

// term is one part of an activity's hours: a rate, a quantity of the room (room.go) and factors.
type term struct {
	Rate  string    `json:"rate"`
	Of    string    `json:"of"`
	Times string    `json:"times"`
	When  condition `json:"when"`
}

// activityRule is one activity and when a job has it. Its hours come from rates, or from the days that
// practice gives for a one-car and a two-car room, in hundredths.
type activityRule struct {
	ID       string    `json:"id"`
	Name     Words     `json:"name"`
	Scope    Words     `json:"scope"`
	Plain    Words     `json:"plain"` // the scope where the room is not isolated against sound
	Ready    Words     `json:"ready"`
	When     condition `json:"when"`
	Crew     string    `json:"crew"`
	With     []string  `json:"with"`
	Own      string    `json:"own"` // what the owner would say to do it alone
	Place    string    `json:"place"`
	Whole    bool      `json:"whole"`
	Cover    bool      `json:"cover"`
	Outdoor  bool      `json:"outdoor"`
	Noisy    bool      `json:"noisy"`
	Gate     bool      `json:"gate"`
	Closes   bool      `json:"closes"`
	Hands    int32     `json:"hands"`
	Cautions []string  `json:"cautions"` // "lead?age=old": only where that is so
	Days     []int64   `json:"days"`
	By       string    `json:"by"` // what the days grow with: the floor, or "wide"
	Work     []term    `json:"work"`
	Least    int64     `json:"least"` // minutes of one person that a crew comes for at least
	Source   int       `json:"source"`
}

type holdRule struct {
	ID      string    `json:"id"`
	Name    Words     `json:"name"`
	Code    Words     `json:"code"`
	Ready   []Words   `json:"ready"`
	When    condition `json:"when"`
	Photos  int32     `json:"photos"`
	FailPct int32     `json:"failPct"`
	Source  int       `json:"source"`
}

type orderRule struct {
	ID     string    `json:"id"`
	Goods  Words     `json:"goods"`
	When   condition `json:"when"`
	Lead   int32     `json:"lead"`
	Take   string    `json:"take"` // whose quantities trade.Goods knows
	Source int       `json:"source"`
}

// linkRule joins two things where both are there; a lag runs day and night. Wait names the row of the
// waiting times that the lag stands for.
type linkRule struct {
	From   string `json:"from"`
	To     string `json:"to"`
	Lag    int32  `json:"lag"`
	Why    Words  `json:"why"`
	Wait   string `json:"wait"`
	Thick  int32  `json:"thick"`
	Source int    `json:"source"`
}

type crewRule struct {
	ID    string `json:"id"`
	Trade string `json:"trade"`
	Name  Words  `json:"name"`
	Size  int32  `json:"size"`
}

type placeRule struct {
	ID   string `json:"id"`
	Name Words  `json:"name"`
	Room int32  `json:"room"`
}

type ruleBook struct {
	Sources    []Source          `json:"sources"`
	Rates      []Rate            `json:"rates"`
	Factors    map[string]Factor `json:"factors"`
	Crews      []crewRule        `json:"crews"`
	Places     []placeRule       `json:"places"`
	Activities []activityRule    `json:"activities"`
	Holds      []holdRule        `json:"holds"`
	Orders     []orderRule       `json:"orders"`
	Links      []linkRule        `json:"links"`

	rate map[string]*Rate
	act  map[string]*activityRule
}

//go:embed rules.json
var rulesFile []byte

var rules = sync.OnceValue(func() *ruleBook {
	b := new(ruleBook)
	trade.Unpack("rules.json", rulesFile, b)
	b.rate, b.act = map[string]*Rate{}, map[string]*activityRule{}
	for i := range b.Rates {
		b.rate[b.Rates[i].ID] = &b.Rates[i]
	}
	for i := range b.Activities {
		b.act[b.Activities[i].ID] = &b.Activities[i]
	}
	return b
})

func (b *ruleBook) source(i int) Source {
	if i < 0 || i >= len(b.Sources) {
		return Source{}
	}
	return b.Sources[i]
}
