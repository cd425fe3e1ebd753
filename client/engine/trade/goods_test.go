package trade_test

import (
	"math"
	"testing"

	"batterboard/client/engine/trade"
)

const sheet4x8 = 48 * 96

// The room of the worked cases: 22 x 22 ft, 9 ft high.
var two = trade.Room{Length: 22 * 12, Width: 22 * 12, Height: 9 * 12}

// Geometry, with the waste of Estimating in Building Construction 7e p. 203 and the practice of small rooms.
func TestBoard(t *testing.T) {
	skin := two.Ceiling() + two.Walls()
	if c, w := two.Ceiling()/144, two.Walls()/144; c != 484 || w != 792 {
		t.Errorf("ceiling %d sf, walls %d sf; want 484 and 792", c, w)
	}
	one := trade.Sheets(skin, sheet4x8)
	if one.Typical != 44 {
		t.Errorf("one layer takes %d sheets, want 44", one.Typical)
	}
	// Two layers 88, three 132: each layer counts in full (common practice, no source).
	if lb := trade.BoardWeight("board-x", 2*one.Typical*sheet4x8).Typical; lb != 6195 {
		t.Errorf("88 sheets weigh %d lb, want 6,195", lb)
	}
	if x, half := trade.StackLimit("board-x"), trade.StackLimit("board-half"); x != 18 || half != 25 {
		t.Errorf("a stack on a 40 psf floor: %d of 5/8 in and %d of 1/2 in, want 18 and 25", x, half)
	}
	// Gallons 6.4, 12.8, 14.0 and 485 ft of tape: textbook, usual, trade pages.
	if c := trade.Compound(skin); c.Low != 63 || c.Typical != 127 || c.High != 140 {
		t.Errorf("compound %+v tenths of a gallon, want 63.8, 127.6, 140.4", c)
	}
	if ft := trade.Tape(skin).Typical; ft != 484 {
		t.Errorf("%d ft of tape, want 484.9", ft)
	}
}

// Rows at 24 in, clips at 48 in (common practice, no source): 6 rows a wall, 528 ft, 168 clips.
func TestChannel(t *testing.T) {
	rows, feet, clips := trade.Channel(9*12, 264, 264, 264, 264)
	if rows != 6 || feet != 528 || clips != 168 {
		t.Errorf("%d rows, %d ft, %d clips; want 6, 528, 168", rows, feet, clips)
	}
}

// A 3/8 in bead of 424 ft, 29 oz tubes: 12, each good for 39.5 ft (geometry).
func TestSealant(t *testing.T) {
	if n := trade.SealantTubes(424, 6, 290); n != 12 {
		t.Errorf("%d tubes, want 12", n)
	}
	for _, c := range []struct {
		sixteenths, oz int64
		feet           float64
	}{{4, 101, 30.9}, {6, 101, 13.8}, {8, 101, 7.7}, {4, 200, 61.3}, {6, 200, 27.2}, {8, 200, 15.3}, {4, 290, 88.8}, {6, 290, 39.5}, {8, 290, 22.2}} {
		const many = 1000
		got := float64(trade.SealantTubes(many, c.sixteenths, c.oz))
		if want := many * 1.1 / c.feet; math.Abs(got-want) > 1.5 {
			t.Errorf("%v: %v tubes for %d ft, the table gives %.1f", c, got, many, want)
		}
	}
}

// A slab of 22 x 22 ft that falls 1/8 in a foot: 55.5 cf, 123 bags and a piece (geometry; yield from memory).
func TestLeveller(t *testing.T) {
	tenths, bags := trade.Leveller(two, 2)
	if tenths != 555 || bags.Typical != 124 {
		t.Errorf("%d tenths of a cubic foot, %+v bags; want 555 and 124", tenths, bags)
	}
	if bags.Low > bags.Typical || bags.Typical > bags.High {
		t.Errorf("bags %+v are not in order", bags)
	}
}

// Glass of 10 mm, 1.2 x 2.0 m: 60 kg, never one person (density 2,500 kg/m3).
func TestGlass(t *testing.T) {
	g := trade.GlassWeight(1200, 2000, 10)
	if g != 60_000 || trade.Hands(g) < 3 {
		t.Errorf("%d g, %d people; want 60 kg and at least three", g, trade.Hands(g))
	}
	if n := trade.Hands(15_000); n != 1 {
		t.Errorf("15 kg take %d people", n)
	}
}

// More room never takes less of anything.
func TestMoreTakesMore(t *testing.T) {
	was := trade.Room{Length: 96, Width: 96, Height: 84}
	for range 60 {
		now := trade.Room{Length: was.Length + 7, Width: was.Width + 5, Height: was.Height + 3}
		a, b := was.Ceiling()+was.Walls(), now.Ceiling()+now.Walls()
		_, bagsA := trade.Leveller(was, 2)
		_, bagsB := trade.Leveller(now, 2)
		if trade.Sheets(a, sheet4x8).Typical > trade.Sheets(b, sheet4x8).Typical || trade.Compound(a).High > trade.Compound(b).High || bagsA.Typical > bagsB.Typical {
			t.Fatalf("%+v takes more than %+v", was, now)
		}
		was = now
	}
}

func TestEveryFigureIsWhole(t *testing.T) {
	for _, id := range []string{"board-half", "board-x", "board-waste", "floor-load", "compound", "tape", "screws", "channel-rows",
		"channel-first", "channel-last", "clips", "leveller", "glass", "lift"} {
		f, ok := trade.FigureOf(id)
		if !ok || f.What.En == "" || f.What.Es == "" || f.Unit == "" || f.Source == "" || f.Mark == "" ||
			f.Low <= 0 || f.Low > f.Typical || f.Typical > f.High {
			t.Errorf("figure %s: %+v", id, f)
		}
	}
	if _, ok := trade.FigureOf("no-such-figure"); ok {
		t.Error("found a figure that is not there")
	}
}
