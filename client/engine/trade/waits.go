package trade

import (
	_ "embed"
	"encoding/json"
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
	Shorter Words  `json:"shorter"` // what would shorten it, where anything does
	Source  string `json:"source"`
	Mark    Mark   `json:"mark"`
}

// Span is a low, typical and high number of minutes with where it comes from.
type Span struct {
	Low     int32  `json:"low"`
	Typical int32  `json:"typical"`
	High    int32  `json:"high"`
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
	} `json:"compound"`
	SlabPerInch Span   `json:"slabMinutesPerInch"`
	Waits       []Wait `json:"waits"`
}

//go:embed waits.json
var waitsFile []byte

// Read on first use, and not even part of a program that never asks: it is the phone's to carry.
var (
	waitsOnce sync.Once
	waitsRead waitsData
)

func waits() *waitsData {
	waitsOnce.Do(readWaits)
	return &waitsRead
}

func readWaits() {
	if err := json.Unmarshal(waitsFile, &waitsRead); err != nil {
		panic("this cannot be: waits.json is part of the program: " + err.Error())
	}
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
	return Span{Low: int32(m * 84 / 100), Typical: int32(m), High: int32(m * 116 / 100), Source: c.Source, Mark: c.Mark}
}

// SlabDries estimates how long a cured slab takes, drying from one side, before a floor that minds moisture:
// so much for each inch, and never a substitute for a test. thick is in eighths of an inch.
func SlabDries(eighths int32) Span {
	s := waits().SlabPerInch
	by := func(m int32) int32 { return int32(int64(m) * int64(max(0, eighths)) / 8) }
	return Span{Low: by(s.Low), Typical: by(s.Typical), High: by(s.High), Source: s.Source, Mark: s.Mark}
}

func clamp(i int32, n int) int32 { return max(0, min(i, int32(n-1))) }
