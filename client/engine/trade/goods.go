package trade

import (
	_ "embed"
	"encoding/json"
	"sync"
)

// Figure is one number of the trade: how much of something a unit takes.
type Figure struct {
	ID      string `json:"id"`
	What    Words  `json:"what"`
	Unit    string `json:"unit"`
	Low     int64  `json:"low"`
	Typical int64  `json:"typical"`
	High    int64  `json:"high"`
	Source  string `json:"source"`
	Mark    Mark   `json:"mark"`
}

//go:embed goods.json
var goodsFile []byte

// Read on first use, and not even part of a program that never asks: it is the phone's to carry.
var (
	goodsOnce sync.Once
	goodsRead map[string]Figure
)

func goods() map[string]Figure {
	goodsOnce.Do(readGoods)
	return goodsRead
}

func readGoods() {
	var list []Figure
	if err := json.Unmarshal(goodsFile, &list); err != nil {
		panic("this cannot be: goods.json is part of the program: " + err.Error())
	}
	goodsRead = map[string]Figure{}
	for _, f := range list {
		goodsRead[f.ID] = f
	}
}

// FigureOf finds a figure by its ID.
func FigureOf(id string) (Figure, bool) { f, ok := goods()[id]; return f, ok }

// figure is FigureOf for the formulas below, which know their figures. Most is a low, typical and high
// amount.
func figure(id string) Figure { return goods()[id] }

// Amount is how much of something a job takes, in the unit that the function names.
type Amount struct{ Low, Typical, High int64 }

// Room is a room in whole inches.
type Room struct{ Length, Width, Height int64 }

// Ceiling is its area in square inches.
func (r Room) Ceiling() int64 { return r.Length * r.Width }

// Walls is the area of the four walls in square inches, openings not taken off: what is left of a
// sheet at an opening has no tapered edge.
func (r Room) Walls() int64 { return 2 * (r.Length + r.Width) * r.Height }

// squareFoot is in square inches, cubicFoot in cubic inches.
const (
	squareFoot = 12 * 12
	cubicFoot  = 12 * 12 * 12
)

func up(n, d int64) int64 { return (n + d - 1) / d }

// Sheets is how many sheets of so many square inches one layer over an area takes, waste included.
// Each layer counts in full.
func Sheets(area, sheet int64) Amount {
	w := figure("board-waste")
	by := func(percent int64) int64 { return up(area*(100+percent), 100*sheet) }
	return Amount{by(w.Low), by(w.Typical), by(w.High)}
}

// BoardWeight is the pounds of an area of board; kind is "board-half" or "board-x".
func BoardWeight(kind string, area int64) Amount {
	return share(figure(kind), area, 100*squareFoot)
}

// StackLimit is how many sheets may lie in one flat stack on a wood floor: what the floor carries by what
// a sheet weighs. A slab on the ground has no such limit.
func StackLimit(kind string) int64 {
	return figure("floor-load").Typical * 100 / figure(kind).Typical
}

// Compound is tenths of a gallon of ready-mix for the face layer.
func Compound(area int64) Amount { return share(figure("compound"), area*10, 1000*squareFoot) }

// Tape is feet of paper tape for the face layer, waste not counted.
func Tape(area int64) Amount { return share(figure("tape"), area, 1000*squareFoot) }

func share(f Figure, n, d int64) Amount {
	return Amount{f.Low * n / d, f.Typical * n / d, f.High * n / d}
}

// Channel is rows on one wall, feet of channel and clips for walls of one height. Lengths in inches.
func Channel(height int64, walls ...int64) (rows, feet, clips int64) {
	between, first, last := figure("channel-rows").Typical, figure("channel-first").Typical, figure("channel-last").Typical
	rows = max(1, (height-first-last)/between+2)
	for _, w := range walls {
		feet += rows * w
		clips += rows * (up(w, figure("clips").Typical) + 1)
	}
	return rows, up(feet, 12), clips
}

// SealantTubes is how many tubes of tenths of a fluid ounce a bead of sixteenths of an inch takes over
// so many feet, with a tenth for waste. A fluid ounce is 1.8047 cubic inches; the bead is taken as round.
func SealantTubes(feet, sixteenths, tenthsOz int64) int64 {
	// Area of the bead pi d^2 / 4 with pi = 355/113; all in integers, rounded up once at the end.
	volume := feet * 12 * 355 * sixteenths * sixteenths * 11 * 10_000 * 10 // waste 11/10
	tube := tenthsOz * 18_047 * 113 * 4 * 16 * 16 * 10
	return up(volume, tube)
}

// Leveller is the tenths of a cubic foot and the bags that make a slab level which falls by so many
// sixteenths of an inch a foot along its length.
func Leveller(r Room, sixteenths int64) (tenths int64, bags Amount) {
	// Half of length x fall, over the area: cubic inches times 16 * 12 * 2.
	v := r.Ceiling() * r.Length * sixteenths
	const d = 16 * 12 * 2
	y := figure("leveller")
	by := func(perBag int64) int64 { return up(v*100, d*cubicFoot*perBag) }
	return (v*10 + d*cubicFoot/2) / (d * cubicFoot), Amount{by(y.High), by(y.Typical), by(y.Low)}
}

// GlassWeight is the grams of a pane in millimetres; Hands is how many people it takes.
func GlassWeight(width, height, thick int64) (grams int64) {
	return width * height * thick * figure("glass").Typical / 1_000_000
}

// Hands is how many people lift so many grams, two at least where it is more than one's share.
func Hands(grams int64) int64 { return max(1, up(grams, figure("lift").Typical*1000)) }
