package trade

import (
	_ "embed"
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

var (
	goodsRead = map[string]Figure{}
	readGoods = sync.OnceFunc(func() {
		var list []Figure
		Unpack("goods.json", goodsFile, &list)
		for _, f := range list {
			goodsRead[f.ID] = f
		}
	})
)

func goods() map[string]Figure {
	readGoods()
	return goodsRead
}

// FigureOf finds a figure by its ID.
func FigureOf(id string) (Figure, bool) { f, ok := goods()[id]; return f, ok }

// figure is FigureOf for the formulas below, which know their figures. Most is a low, typical and high
// amount.
func figure(id string) Figure { return goods()[id] }

// Amount is how much of something a job takes, in the unit that the function names.
type Amount struct{ Low, Typical, High int64 }

func (a Amount) times(n int64) Amount { return Amount{a.Low * n, a.Typical * n, a.High * n} }

func (a Amount) plus(n int64) Amount { return Amount{a.Low + n, a.Typical + n, a.High + n} }

func one(n int64) Amount { return Amount{n, n, n} }

// inch and foot are in sixteenths of an inch, the unit of the formulas: the figures of the trade are in
// feet and inches, and a whole number of millimetres names every sixteenth.
const (
	inch       = 16
	foot       = 12 * inch
	squareFoot = foot * foot
)

// Sixteenths turns millimetres into the nearest sixteenths of an inch.
func Sixteenths(mm int64) int64 { return (mm*160 + 127) / 254 }

// up divides and rounds up, near to the nearest.
func up(n, d int64) int64   { return (n + d - 1) / d }
func near(n, d int64) int64 { return (n + d/2) / d }

// Sheets is how many sheets of so much area one layer takes, waste included. Each layer counts in full.
func Sheets(area, sheet int64) Amount {
	w := figure("board-waste")
	by := func(percent int64) int64 { return up(area*(100+percent), 100*sheet) }
	return Amount{by(w.Low), by(w.Typical), by(w.High)}
}

// BoardWeight is the pounds of an area of board; kind is "board-half" or "board-x".
func BoardWeight(kind string, area int64) Amount { return share(figure(kind), area, 100*squareFoot) }

// StackLimit is how many sheets may lie in one flat stack on a wood floor that carries so many pounds a
// square foot (0: the usual): what the floor carries by what a sheet weighs. A slab on the ground has no
// such limit.
func StackLimit(kind string, carries int64) int64 {
	if carries <= 0 {
		carries = figure("floor-load").Typical
	}
	return carries * 100 / figure(kind).Typical
}

// Compound is tenths of a gallon of ready-mix for the face layer.
func Compound(area int64) Amount { return share(figure("compound"), area*10, 1000*squareFoot) }

// Tape is feet of paper tape for the face layer, waste not counted.
func Tape(area int64) Amount { return share(figure("tape"), area, 1000*squareFoot) }

// Screws is how many one layer takes, waste not counted.
func Screws(area int64) Amount { return share(figure("screws"), area, 1000*squareFoot) }

func share(f Figure, n, d int64) Amount {
	return Amount{near(f.Low*n, d), near(f.Typical*n, d), near(f.High*n, d)}
}

// per is n in pieces of which one does so much: the figure's high gives the low amount.
func per(f Figure, n int64) Amount { return Amount{up(n, f.High), up(n, f.Typical), up(n, f.Low)} }

// wasted adds a figure's percent.
func wasted(n int64, f Figure) Amount {
	return Amount{up(n*(100+f.Low), 100), up(n*(100+f.Typical), 100), up(n*(100+f.High), 100)}
}

// Channel is rows on one wall, feet of channel and clips for walls of one height.
func Channel(height int64, walls ...int64) (rows, feet, clips int64) {
	between, first, last := figure("channel-rows").Typical*inch, figure("channel-first").Typical*inch, figure("channel-last").Typical*inch
	rows = max(1, (height-first-last)/between+2)
	for _, w := range walls {
		feet += rows * w
		clips += rows * (up(w, figure("clips").Typical*inch) + 1)
	}
	return rows, up(feet, foot), clips
}

// ClipLoad is the tenths of a pound that one clip carries under a ceiling of so many layers, with rows and
// clips so far apart.
func ClipLoad(kind string, layers, rows, clips int64) int64 {
	psf := layers*figure(kind).Typical + figure("channel-weight").Typical // in 1/100
	return near(rows*clips*psf, 10*squareFoot)
}

// CeilingChannel hangs a ceiling: how far apart the rows are so that no clip carries more than it may, feet
// of channel, clips, and the load of one clip in tenths of a pound. Where even the closest rows are too
// much, over says so.
func CeilingChannel(kind string, layers, length, width int64) (between, feet, clips, load int64, over bool) {
	f, apart := figure("channel-ceiling"), figure("clips").Typical*inch
	limit := figure("clip-load").Typical * 10
	between = f.Typical * inch
	load = ClipLoad(kind, layers, between, apart)
	if load > limit {
		between = f.Low * inch
		load = ClipLoad(kind, layers, between, apart)
	}
	rows := up(width, between) + 1
	return between / inch, up(rows*length, foot), rows * (up(length, apart) + 1), load, load > limit
}

// Bead is the feet that each of so many layers is sealed along: floor edge, ceiling edge and corners.
func Bead(r Room, layers int64) int64 {
	l, w, h := r.sides()
	return up(layers*(4*(l+w)+4*h), foot)
}

// SealantTubes is how many tubes of tenths of a fluid ounce a bead of sixteenths of an inch takes over
// so many feet, waste included. A fluid ounce is 1.8047 cubic inches; the bead is taken as round.
func SealantTubes(feet, sixteenths, tenthsOz int64) int64 {
	// Area of the bead pi d^2 / 4 with pi = 355/113; all in integers, rounded up once at the end.
	waste := 100 + figure("sealant-waste").Typical
	volume := feet * 12 * 355 * sixteenths * sixteenths * waste * 1000 * 10
	tube := tenthsOz * 18_047 * 113 * 4 * 16 * 16 * 10
	return up(volume, tube)
}

// Leveller is the tenths of a cubic foot and the bags that make a floor level which falls by so much
// (in sixteenths of an inch) from one end to the other.
func Leveller(floor, fall int64) (tenths int64, bags Amount) {
	v := floor * fall // twice the volume, in cubic sixteenths
	const d = 2 * foot * foot * foot
	y := figure("leveller")
	by := func(perBag int64) int64 { return up(v*100, d*perBag) }
	return near(v*10, d), Amount{by(y.High), by(y.Typical), by(y.Low)}
}

// Debris is tenths of a cubic yard, loose, and the pounds of stripped board of 1/2 in and of batts of so
// many sixteenths of an inch, both given by their area.
func Debris(board, batts, thick int64) (tenthsYard, pounds Amount) {
	const yard = 27 * foot * foot * foot
	lb := BoardWeight("board-half", board)
	s, p := figure("scrap-board"), figure("batt-loose")
	old := share(figure("scrap-batts"), batts, 100*squareFoot)
	vol := func(perYard, percent int64) int64 {
		return near(lb.Typical*10, perYard) + near(batts*thick*percent/10, yard)
	}
	return Amount{vol(s.High, p.Low), vol(s.Typical, p.Typical), vol(s.Low, p.High)},
		Amount{lb.Low + old.Low, lb.Typical + old.Typical, lb.High + old.High}
}

// containers by their size in cubic yards.
var containers = []int64{10, 15, 20, 30}

// Container is the smallest container, in cubic yards, that holds so many tenths of a yard and may carry so
// many pounds; several of the largest where one is not enough. byWeight says that the weight decided:
// heavy rubbish fills the limit long before the box.
func Container(tenths, pounds int64) (size, count int64, byWeight bool) {
	for _, c := range containers {
		room, limit := c*10 >= tenths, figure("container-"+itoa(c)).Typical >= pounds
		if room && limit {
			return c, 1, byWeight
		}
		byWeight = room
	}
	last := containers[len(containers)-1]
	return last, max(up(tenths, last*10), up(pounds, figure("container-"+itoa(last)).Typical)), byWeight
}

// GlassWeight is the grams of a pane in millimetres; Hands is how many people it takes.
func GlassWeight(width, height, thick int64) (grams int64) {
	return width * height * thick * figure("glass").Typical / 1_000_000
}

// Hands is how many people lift so many grams, two at least where it is more than one's share.
func Hands(grams int64) int64 { return max(1, up(grams, figure("lift").Typical*1000)) }

// Paint is tenths of a gallon of primer, and of paint for two coats.
func Paint(area int64) (primer, paint Amount) {
	return per(figure("primer"), near(area*10, squareFoot)), per(figure("paint"), near(2*area*10, squareFoot))
}

func itoa(n int64) string {
	if n < 0 {
		return "-" + itoa(-n)
	}
	if n < 10 {
		return string(rune('0' + n))
	}
	return itoa(n/10) + itoa(n%10)
}
