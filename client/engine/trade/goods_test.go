package trade_test

import (
	"math"
	"os"
	"strings"
	"testing"

	"batterboard/client/engine/trade"
)

// Feet and inches as the formulas count them, and as a room is entered.
const (
	inch, foot = 16, 12 * 16
	sf         = foot * foot
	sheet4x8   = 4 * foot * 8 * foot
)

func mm(feet float64) int64 { return int64(math.Round(feet * 304.8)) }

// The room of the worked cases: 22 x 22 ft, 9 ft high.
var two = trade.Room{Length: mm(22), Width: mm(22), Height: mm(9), Layers: 2, Isolated: true}

// E06, E07, E08: geometry, with the waste of Estimating in Building Construction 7e p. 203 and the practice
// of small rooms (BRD-01, BRD-02, BWT-03, BST-01, JNT-01..04, TAP-01).
func TestBoard(t *testing.T) {
	if c, w := two.Top()/sf, two.Walls()/sf; c != 484 || w != 792 {
		t.Errorf("ceiling %d sf, walls %d sf; want 484 and 792", c, w)
	}
	skin := two.Top() + two.Walls()
	one := trade.Sheets(skin, sheet4x8)
	if one.Typical != 44 {
		t.Errorf("one layer takes %d sheets, want 44", one.Typical)
	}
	// Two layers 88, three 132: each layer counts in full (common practice, no source).
	if lb := trade.BoardWeight("board-x", 2*one.Typical*sheet4x8).Typical; lb != 6195 {
		t.Errorf("88 sheets weigh %d lb, want 6,195", lb)
	}
	if x, half := trade.StackLimit("board-x", 0), trade.StackLimit("board-half", 40); x != 18 || half != 25 {
		t.Errorf("a stack on a 40 psf floor: %d of 5/8 in and %d of 1/2 in, want 18 and 25", x, half)
	}
	if x := trade.StackLimit("board-x", 30); x != 13 {
		t.Errorf("a 30 psf floor carries %d sheets, want 13", x)
	}
	// Gallons 6.4, 12.8, 14.0 and 485 ft of tape: textbook, usual, trade pages.
	if c := trade.Compound(skin); c != (trade.Amount{Low: 64, Typical: 128, High: 140}) {
		t.Errorf("compound %+v tenths of a gallon, want 6.4, 12.8, 14.0 gal", c)
	}
	if ft := trade.Tape(skin).Typical; ft != 485 {
		t.Errorf("%d ft of tape, want 485", ft)
	}
}

// E10. Rows at 24 in, clips at 48 in (CHN-01, CLP-01; common practice, no source): 6 rows a wall, 528 ft, 168 clips.
func TestChannel(t *testing.T) {
	rows, feet, clips := trade.Channel(9*foot, 22*foot, 22*foot, 22*foot, 22*foot)
	if rows != 6 || feet != 528 || clips != 168 {
		t.Errorf("%d rows, %d ft, %d clips; want 6, 528, 168", rows, feet, clips)
	}
	// A wall of 16 ft is exactly four spaces: five clips a row, also when it was entered in millimetres.
	if _, _, clips := trade.Channel(9*foot, trade.Sixteenths(mm(16))); clips != 6*5 {
		t.Errorf("%d clips on a wall of 16 ft, want 30", clips)
	}
}

// CLP-02: clips at 24 by 48 in under two layers of 5/8 in carry 37.6 lb each, more than the 36 lb that many
// are made for, so the rows go to 16 in (derived; the rating from memory).
func TestCeilingChannel(t *testing.T) {
	if load := trade.ClipLoad("board-x", 2, 24*inch, 48*inch); load != 376 {
		t.Errorf("%d tenths of a pound a clip, want 376", load)
	}
	between, _, _, load, over := trade.CeilingChannel("board-x", 2, 22*foot, 22*foot)
	if between != 16 || load != 251 || over {
		t.Errorf("two layers: rows at %d in, %d tenths of a pound, over %v; want 16, 251, false", between, load, over)
	}
	if between, _, _, _, _ := trade.CeilingChannel("board-x", 1, 22*foot, 22*foot); between != 24 {
		t.Errorf("one layer: rows at %d in, want 24", between)
	}
	if _, _, _, load, over := trade.CeilingChannel("board-x", 3, 22*foot, 22*foot); load != 368 || !over {
		t.Errorf("three layers: %d tenths of a pound, over %v; want 368, true", load, over)
	}
}

// E11. A 3/8 in bead of 424 ft, 29 oz tubes: 12, each good for 39.5 ft (geometry; SEA rows, SEA-LEN).
func TestSealant(t *testing.T) {
	if ft := trade.Bead(two, 2); ft != 424 {
		t.Errorf("two layers are sealed along %d ft, want 424", ft)
	}
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

// E12. 884 sf of 1/2 in board and 484 sf of batts: about 4.5 loose cubic yards. The board by 500 lb a loose
// yard (DEB-32: LEED 2009 and EPA 1997 factors collected by WasteCap), batts of 3 1/2 in pressed to a third
// (common practice, no source).
func TestDebris(t *testing.T) {
	yards, pounds := trade.Debris(884*sf, 484*sf, 7*inch/2)
	if yards.Typical < 44 || yards.Typical > 46 {
		t.Errorf("%+v tenths of a loose yard, want about 45", yards)
	}
	if yards.Low > yards.Typical || yards.Typical > yards.High || pounds.Typical < 1500 || pounds.Typical > 1600 {
		t.Errorf("%+v yards, %+v lb", yards, pounds)
	}
}

// Containers by one hauler's limits (CNT-01..04; common practice, no source): heavy rubbish reaches the
// weight long before the box is full.
func TestContainer(t *testing.T) {
	for _, c := range []struct {
		tenths, pounds, size, count int64
		byWeight                    bool
	}{
		{45, 1560, 10, 1, false}, {100, 4000, 10, 1, false}, {101, 100, 15, 1, false}, {60, 8400, 30, 1, true}, {60, 7900, 20, 1, true},
		{250, 3000, 30, 1, false}, {700, 3000, 30, 3, false}, {100, 30_000, 30, 3, true},
	} {
		size, count, byWeight := trade.Container(c.tenths, c.pounds)
		if size != c.size || count != c.count || byWeight != c.byWeight {
			t.Errorf("%d tenths, %d lb: %d of %d yards, by weight %v; want %+v", c.tenths, c.pounds, count, size, byWeight, c)
		}
	}
}

// E14. A slab of 22 x 22 ft that falls 1/8 in a foot: 55.5 cf, 123 bags and a piece (geometry; yield from
// memory). So much is a case for sleepers.
func TestLeveller(t *testing.T) {
	fall := int64(22 * inch / 8)
	tenths, bags := trade.Leveller(two.Top(), fall)
	if tenths != 555 || bags.Typical != 124 {
		t.Errorf("%d tenths of a cubic foot, %+v bags; want 555 and 124", tenths, bags)
	}
	if bags.Low > bags.Typical || bags.Typical > bags.High {
		t.Errorf("bags %+v are not in order", bags)
	}
	r := two
	r.SlopeFall = mm(22.0 / 96)
	n, ok := trade.Goods("leveller", r)
	if !ok || len(n.Heeds) != 1 || n.Heeds[0].Key != "sleepers" {
		t.Errorf("leveller %+v does not offer sleepers", n)
	}
	r.SlopeFall = 10
	if n, _ := trade.Goods("leveller", r); len(n.Heeds) != 0 {
		t.Errorf("a fall of 10 mm needs no sleepers: %+v", n)
	}
	if _, ok := trade.Goods("leveller", two); ok {
		t.Error("a flat floor needs no leveller")
	}
}

// E15. Glass of 10 mm, 1.2 x 2.0 m: 60 kg, never one person (density 2,500 kg/m3).
func TestGlass(t *testing.T) {
	g := trade.GlassWeight(1200, 2000, 10)
	if g != 60_000 || trade.Hands(g) < 3 {
		t.Errorf("%d g, %d people; want 60 kg and at least three", g, trade.Hands(g))
	}
	if n := trade.Hands(15_000); n != 1 {
		t.Errorf("15 kg take %d people", n)
	}
}

// Whole inches come through millimetres unharmed, for every length a room may have.
func TestSixteenths(t *testing.T) {
	for in := int64(0); in <= 1200; in++ {
		if got := trade.Sixteenths(int64(math.Round(float64(in) * 25.4))); got != in*inch {
			t.Fatalf("%d in come back as %d/16", in, got)
		}
	}
}

// rooms grow in every way; nothing that is taken off may then be less.
func TestMoreTakesMore(t *testing.T) {
	was := trade.Room{Length: 2400, Width: 2400, Height: 2100, Layers: 1, Isolated: true, Doors: 0, Windows: 0, Wide: 2000, OuterWall: 5_000_000, SlopeFall: 5, Floor: "plank", Wet: "sink"}
	for i := range 60 {
		now := was
		now.Length, now.Width, now.Height, now.Wide, now.OuterWall, now.SlopeFall = now.Length+170, now.Width+120, now.Height+70, now.Wide+100, now.OuterWall+900_000, now.SlopeFall+1
		if i%20 == 19 {
			now.Layers++
		}
		for _, id := range trade.Orders() {
			a, _ := trade.Goods(id, was)
			b, ok := trade.Goods(id, now)
			for k, l := range a.Lines {
				if !ok || len(b.Lines) < len(a.Lines) {
					t.Fatalf("%s: %d lines in the larger room, %d in the smaller", id, len(b.Lines), len(a.Lines))
				}
				if m := b.Lines[k]; l.ID == m.ID && (m.Low < l.Low || m.Typical < l.Typical || m.High < l.High) {
					t.Fatalf("%s %s: %+v in %+v, %+v in %+v", id, l.ID, l.Amount, was, m.Amount, now)
				}
			}
			if a.Kg > b.Kg {
				t.Fatalf("%s: %d kg in the smaller room, %d in the larger", id, a.Kg, b.Kg)
			}
		}
		was = now
	}
}

// More layers never take fewer sheets, screws or tubes: three take three times the sheets of one.
func TestLayers(t *testing.T) {
	sheets := func(layers int64) (n int64) {
		r := two
		r.Layers = layers
		need, _ := trade.Goods("board-goods", r)
		for _, l := range need.Lines {
			if l.ID == "sheet" {
				n += l.Typical
			}
		}
		return n
	}
	if a, b, c := sheets(1), sheets(2), sheets(3); a != 44 || b != 88 || c != 132 {
		t.Errorf("%d, %d, %d sheets in one, two, three layers", a, b, c)
	}
}

func TestNeedSpeaksBothLanguages(t *testing.T) {
	n, _ := trade.Goods("board-goods", two)
	if en := n.What("en", ""); !strings.HasPrefix(en, "44 sheets 4 × 8 ft, layer 1, 44 sheets 4 × 8 ft, layer 2, ") || !strings.Contains(en, "12.8 gal ready-mix compound") || !strings.Contains(en, "534 ft paper tape") {
		t.Errorf("in English: %s", en)
	}
	if es := n.What("es", "metric"); !strings.Contains(es, "48.4 l pasta lista") || !strings.Contains(es, "163 m cinta de papel") {
		t.Errorf("in Spanish, metric: %s", es)
	}
	if n.Kg < 2850 || n.Kg > 2900 { // 6,195 lb of board, compound and screws
		t.Errorf("%d kg", n.Kg)
	}
}

func TestEveryFigureIsWhole(t *testing.T) {
	seen := 0
	for _, id := range strings.Fields(`board-half board-x board-waste floor-load compound tape screws channel-rows channel-first channel-last clips
		leveller glass lift channel-ceiling clip-load channel-weight spare tape-waste boxes sealant-waste batt-waste opening-door opening-window
		batt-loose floor-waste floor-box leveller-many paint primer scrap-board scrap-batts stucco-bag stucco-sand lath curb short-load studs stud-spare
		door-set door window-glass unit bag container-10 container-15 container-20 container-30 waste-bag`) {
		f, ok := trade.FigureOf(id)
		if !ok || f.What.En == "" || f.What.Es == "" || f.Unit == "" || f.Low <= 0 || f.Low > f.Typical || f.Typical > f.High {
			t.Errorf("figure %s: %+v", id, f)
		}
		marked(t, "figure "+id, f.Source, f.Mark)
		seen++
	}
	if b, err := os.ReadFile("goods.json"); err != nil || strings.Count(string(b), `"id":`) != seen {
		t.Errorf("goods.json has other figures than the %d named here (%v)", seen, err)
	}
	if _, ok := trade.FigureOf("no-such-figure"); ok {
		t.Error("found a figure that is not there")
	}
}

// marked checks that a fact says how good it is, and does not dress up.
func marked(t *testing.T, what, source string, m trade.Mark) {
	t.Helper()
	switch m {
	case trade.Published, trade.SecondHand, trade.FromMemory:
		if source == "" || strings.HasPrefix(source, "common practice, no source") {
			t.Errorf("%s: mark %q with source %q", what, m, source)
		}
	case trade.CommonPractice:
		if !strings.HasPrefix(source, "common practice") {
			t.Errorf("%s: common practice names no source but %q", what, source)
		}
	default:
		t.Errorf("%s: mark %q", what, m)
	}
}

func TestEveryOrderIsWhole(t *testing.T) {
	all := trade.Room{Length: 6000, Width: 5000, Height: 2600, Layers: 2, Isolated: true, Doors: 1, Windows: 2, Wide: 2400, OuterWall: 12_000_000, SlopeFall: 40, Floor: "plank", Wet: "bath"}
	for _, id := range trade.Orders() {
		n, ok := trade.Goods(id, all)
		if !ok || n.Name.En == "" || n.Name.Es == "" || n.Lead.Low <= 0 || n.Lead.Low > n.Lead.Typical || n.Lead.Typical > n.Lead.High || n.Kg <= 0 || n.Stands == "" {
			t.Errorf("order %s: %+v", id, n)
		}
		marked(t, "order "+id, n.Source, n.Mark)
		for _, l := range n.Lines {
			if l.What.En == "" || l.What.Es == "" || l.How.En == "" || l.How.Es == "" || l.Low > l.Typical || l.Typical > l.High || l.Low < 0 {
				t.Errorf("%s %s: %+v", id, l.ID, l)
			}
			marked(t, id+" "+l.ID, l.Source, l.Mark)
		}
	}
	if _, ok := trade.Goods("no-such-order", all); ok {
		t.Error("goods of an order that is not there")
	}
}
