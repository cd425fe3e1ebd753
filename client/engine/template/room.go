package template

import (
	"batterboard/client/engine/measure"
	"batterboard/client/engine/trade"
	"batterboard/schedule"
)

// The room in quantities. Formulas are here, figures are in rules.json; areas are in hundredths of a
// square foot, lengths in hundredths of a foot, pieces in hundredths, because the rates are in those units.

const hundred = 100

// quantity is how much of something the job has.
func (f *facts) quantity(of string) int64 {
	l, w, h := f.number("length"), f.number("width"), f.number("height")
	around := 2 * (l + w)
	switch of {
	case "one":
		return hundred
	case "floor", "ceiling":
		return measure.HundredthFeet2(l * w)
	case "walls": // openings are not taken off: what is left of a sheet there has no tapered edge
		return measure.HundredthFeet2(around * h)
	case "walls-high":
		return measure.HundredthFeet2(around * max(0, h-tall))
	case "skin":
		return measure.HundredthFeet2(l*w) + measure.HundredthFeet2(around*h)
	case "perimeter":
		return measure.HundredthFeet(around)
	case "bead": // round the ceiling, round the floor, up the four corners
		return measure.HundredthFeet(2*around + 4*h)
	case "outer":
		return measure.HundredthFeet2(f.outer(around, h))
	case "windows", "doors":
		return hundred * f.number(of)
	case "casing": // two legs and a head, and one opening that is always there
		return 17 * hundred * (1 + f.number("windows") + f.number("doors"))
	case "wall-wood":
		return f.wallWood(around, h)
	case "joist-wood":
		return joistWood(l, w)
	case "outlets":
		return hundred * f.outlets(around)
	case "circuits":
		return hundred * f.circuits(around)
	case "fixtures":
		if f.of("wet") == "bath" {
			return 3 * hundred
		}
		return hundred
	case "alarms":
		return 3 * hundred
	}
	return 0
}

// tall is ten feet: above it work costs more.
const tall = 3048

// outer is the wall that is new outside: the wide opening with what is cut back round it, else all of it.
func (f *facts) outer(around, h int64) int64 {
	if wide := f.number("wide"); wide > 0 {
		return wide * h * 12 / 10
	}
	return around * h
}

// wallWood is board feet (hundredths) of 2x4 in the four walls: a stud each 16 in and one more, two a corner,
// two plates above and one below. A 2x4 has two thirds of a board foot in each foot. Common practice, no source.
func (f *facts) wallWood(around, h int64) int64 {
	studs := (around+406)/406 + 1 + 4*2
	feet := measure.HundredthFeet(studs*h) + measure.HundredthFeet(3*around)
	return feet * 2 / 3
}

// joistWood is board feet (hundredths) of 2x8 across the shorter way, each 16 in.
func joistWood(l, w int64) int64 {
	long, short := max(l, w), min(l, w)
	n := (long+406)/406 + 1
	return measure.HundredthFeet(n*short) * 4 / 3
}

// outlets: one each six feet of wall, and six for lights and switches, where nobody counted.
func (f *facts) outlets(around int64) int64 {
	if f.of("outlets") != "" {
		return f.number("outlets")
	}
	return (around+1829-1)/1829 + 6
}

// circuits: one for each ten outlets, one for the climate, four for machines.
func (f *facts) circuits(around int64) int64 {
	n := (f.outlets(around) + 9) / 10
	if f.of("climate") == "split" {
		n++
	}
	if f.is("power", "more|panel") {
		n += 4
	}
	return n
}

// RoomOf is the room of a site as the take-off of goods wants it; false where nobody was asked.
func RoomOf(s *schedule.Site) (trade.Room, bool) {
	a := Given(s)
	if a == nil {
		return trade.Room{}, false
	}
	return newFacts(a).room(), true
}

func (f *facts) room() trade.Room {
	l, w, h := f.number("length"), f.number("width"), f.number("height")
	r := trade.Room{Length: l, Width: w, Height: h, Layers: f.number("layers"), Ceiling: f.of("ceiling"), Doors: f.number("doors"), Windows: f.number("windows"),
		Wide: f.number("wide"), OuterWall: f.outer(2*(l+w), h), Floor: f.of("floor"), Isolated: f.flag("isolated"), Wet: f.of("wet"), Outlets: f.outlets(2 * (l + w))}
	if r.Wet == "none" {
		r.Wet = ""
	}
	if f.of("wall") == "none" {
		r.OuterWall = 0
	}
	if f.of("base") == "slope" {
		r.SlopeFall = l / slope
	}
	return r
}

// slope is how much longer than its fall a garage's slab is: an eighth of an inch a foot, from memory.
const slope = 96
