package trade

import (
	_ "embed"
	"sync"
)

// Wait is a time that must pass between two works, in minutes. Clock is "always" where it runs day and
// night, as drying does.
type Wait struct {
	ID      string `json:"id"`
	After   Words  `json:"after"`
	Before  Words  `json:"before"`
	Low     int32  `json:"low"`
	Typical int32  `json:"typical"`
	High    int32  `json:"high"`
	Clock   string `json:"clock"`
	How     Words  `json:"how"`     // how it is worked out, where it is not just read off
	Shorter Words  `json:"shorter"` // what would shorten it, where anything does
	Slow    *Slow  `json:"slow"`
	Source  string `json:"source"`
	Mark    Mark   `json:"mark"`
}

// Slow says in which air a wait takes so many times as long.
type Slow struct {
	BelowF int32 `json:"belowF"`
	Above  int32 `json:"above"` // percent humidity
	Times  int32 `json:"times"`
}

// Span is a low, typical and high number of minutes with where it comes from.
type Span struct {
	Low     int32  `json:"low"`
	Typical int32  `json:"typical"`
	High    int32  `json:"high"`
	How     Words  `json:"how"`
	Shorter Words  `json:"shorter"`
	Source  string `json:"source"`
	Mark    Mark   `json:"mark"`
}

type waitsData struct {
	Compound struct {
		Source  string  `json:"source"`
		Mark    Mark    `json:"mark"`
		Minutes int64   `json:"minutes"` // one coat at 60 F and 50 % humidity
		FromF   int32   `json:"fromF"`
		Heat    []int64 `json:"heat"` // factor at FromF, FromF+1, … in 1/100,000
		Damp    []int64 `json:"damp"` // factor at 0 %, 1 %, … in 1/100,000
		How     Words   `json:"how"`
		Shorter Words   `json:"shorter"`
	} `json:"compound"`
	SlabPerInch Span     `json:"slabMinutesPerInch"`
	Waits       []Wait   `json:"waits"`
	Limits      []Figure `json:"limits"`
}

//go:embed waits.json
var waitsFile []byte

var (
	waitsRead waitsData
	readWaits = sync.OnceFunc(func() { Unpack("waits.json", waitsFile, &waitsRead) })
)

func waits() *waitsData {
	readWaits()
	return &waitsRead
}

// Waits returns the table. The caller must not change the slice.
func Waits() []Wait { return waits().Waits }

// Air is a reading of the room.
type Air struct {
	TempF    int32 // degrees Fahrenheit
	Humidity int32 // percent, relative
}

// Fahrenheit turns tenths of a degree Celsius into whole degrees Fahrenheit.
func Fahrenheit(tenthsC int32) int32 {
	f := tenthsC*9 + 1600 // fiftieths of a degree Fahrenheit
	if f < 0 {
		return (f - 25) / 50
	}
	return (f + 25) / 50
}

// thick is the usual coat: 4/64 in.
const thick = 4

// CoatDries estimates how long a coat of drying-type joint compound takes before the next: its share of
// a day at 60 F and 50 % humidity, by how much water warm air takes up, how much it already holds, and
// how thick the coat is (in 1/64 in; 0 means the usual 1/16 in). Low and high are the 16 % the formula is off its table at
// most. Readings outside 32-100 F and 0-98 % are taken as the nearest of them; colder, nothing dries and
// the work has to wait for heat anyway. From memory: the label and a finger on the wall decide.
func CoatDries(a Air, sixtyFourths int32) Span {
	c := &waits().Compound
	if sixtyFourths <= 0 {
		sixtyFourths = thick
	}
	heat := c.Heat[clamp(a.TempF-c.FromF, len(c.Heat))]
	damp := c.Damp[clamp(a.Humidity, len(c.Damp))]
	m := c.Minutes * heat / 100 * damp / 100 * int64(sixtyFourths) / thick / 1_000_000
	m = max(1, min(m, 60*24*60)) // two months: a room in which nothing dries
	return Span{Low: int32(m * 84 / 100), Typical: int32(m), High: int32(m * 116 / 100), How: c.How, Shorter: c.Shorter, Source: c.Source, Mark: c.Mark}
}

// SlabDries estimates how long a cured slab takes, drying from one side, before a floor that minds moisture:
// so much for each inch, and never a substitute for a test. thick is in eighths of an inch.
func SlabDries(eighths int32) Span {
	s := waits().SlabPerInch
	by := func(m int32) int32 { return int32(int64(m) * int64(max(0, eighths)) / 8) }
	return Span{Low: by(s.Low), Typical: by(s.Typical), High: by(s.High), How: s.How, Shorter: s.Shorter, Source: s.Source, Mark: s.Mark}
}

func clamp(i int32, n int) int32 { return max(0, min(i, int32(n-1))) }

// The waits that are formulas, and the other way to do a coat.
const (
	Coat        = "coat"         // drying-type joint compound, by the air and its thickness
	Slab        = "slab"         // a cured slab before a floor that minds moisture, by its thickness
	CoatSetting = "coat-setting" // setting-type compound, by the bag
)

// Usual is the air of a room that nobody has measured: 70 F and 50 %, from memory.
var Usual = Air{TempF: 70, Humidity: 50}

// WaitFor is how long a wait takes in a room's air; thick is in 1/64 in, where it matters. False: there is
// no such wait. Every wait runs day and night.
func WaitFor(id string, a Air, thick int32) (Span, bool) {
	switch id {
	case Coat:
		return CoatDries(a, thick), true
	case Slab:
		if thick <= 0 {
			thick = 4 * 64
		}
		return SlabDries(thick / 8), true
	}
	for _, w := range waits().Waits {
		if w.ID == id {
			times := int32(1)
			if w.Slow != nil && (a.TempF < w.Slow.BelowF || a.Humidity > w.Slow.Above) {
				times = w.Slow.Times
			}
			return Span{Low: w.Low * times, Typical: w.Typical * times, High: w.High * times, How: w.How, Shorter: w.Shorter, Source: w.Source, Mark: w.Mark}, true
		}
	}
	return Span{}, false
}

// Airy says whether a wait depends on the air at all.
func Airy(id string) bool {
	if id == Coat {
		return true
	}
	w := waitByID(id)
	return w != nil && w.Slow != nil
}

func waitByID(id string) *Wait {
	for i := range waits().Waits {
		if w := &waits().Waits[i]; w.ID == id {
			return w
		}
	}
	return nil
}

// WaitName is what a wait is called: what is done, and what comes after.
func WaitName(id, lang string) string {
	switch id {
	case Coat:
		return Words{"coat of joint compound → next coat, sanding or primer", "mano de pasta → siguiente mano, lijado o fondo"}.In(lang)
	case Slab:
		return Words{"slab cured → floor that minds moisture", "losa curada → piso sensible a la humedad"}.In(lang)
	}
	if w := waitByID(id); w != nil {
		return w.After.In(lang) + " → " + w.Before.In(lang)
	}
	return ""
}

// WaitIDs lists every wait, the formulas first.
func WaitIDs() []string {
	ids := []string{Coat, Slab}
	for _, w := range waits().Waits {
		ids = append(ids, w.ID)
	}
	return ids
}

// LimitOf is a limit that a reading is held against.
func LimitOf(id string) Figure {
	for _, f := range waits().Limits {
		if f.ID == id {
			return f
		}
	}
	return Figure{}
}

// Rounded is a wait as it stands in a plan: to the nearest half hour, as nobody comes by the minute.
func Rounded(minutes int32) int32 {
	if minutes < 60 {
		return minutes
	}
	return (minutes + 15) / 30 * 30
}
