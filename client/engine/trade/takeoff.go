package trade

import (
	_ "embed"
	"strings"
	"sync"

	"batterboard/schedule"
)

// Room is what the take-off knows of a job, lengths in millimetres, inside.
type Room struct {
	Length, Width, Height int64
	Layers                int64  // of board, 1 to 3
	Ceiling               string // "raise", "keep"
	Doors, Windows        int64  // how many are set
	Wide                  int64  // the wide opening that is closed, 0: none
	OuterWall             int64  // new or finished outside wall, mm2
	SlopeFall             int64  // of the floor over its length, 0: flat
	Floor                 string // "plank", "wood", "carpet", "tile", "none"
	Isolated              bool   // against sound: clips, channel, thick board
	Wet                   string // "", "sink", "bath"
	Outlets               int64  // boxes in the walls, 0: not counted yet
}

func (r Room) sides() (l, w, h int64) {
	return Sixteenths(r.Length), Sixteenths(r.Width), Sixteenths(r.Height)
}

// Top is the area of the ceiling in square sixteenths of an inch.
func (r Room) Top() int64 { l, w, _ := r.sides(); return l * w }

// Walls is the area of the four walls, openings not taken off: what is left of a sheet at an opening has
// no tapered edge.
func (r Room) Walls() int64 { l, w, h := r.sides(); return 2 * (l + w) * h }

func (r Room) layers() int64 { return max(1, min(r.Layers, 3)) }

// board is thick and slow to burn where a wall must keep sound in, or carries more than one layer.
func (r Room) board() string {
	if r.Isolated || r.Layers > 1 {
		return "board-x"
	}
	return "board-half"
}

// Line is one kind of goods of an order: how much, how that is worked out, and how good the figure is.
type Line struct {
	ID     string
	What   Words
	How    Words
	Unit   string // each, ft, sf, gal10, cy10: what ends in 10 counts tenths
	Source string
	Mark   Mark
	Amount
	Grams int64
}

// Heed is a thing to look out for, by its name, with the numbers it speaks of.
type Heed struct {
	Key  string // sleepers, stack, clip, hands, weight, containers
	N, M int64
}

// Need is what one order brings.
type Need struct {
	Order  string
	IDs    []string // what the order is called on a site, the usual name first
	Name   Words
	Lines  []Line
	Heeds  []Heed
	Kg     int32
	Lead   schedule.Range // days
	Stands string         // room, yard
	Wide   bool           // comes in through the wide opening only
	Gate   string         // the hold or work that could still cancel it
	For    []string       // the work that waits for it: the first of these a site has
	Source string         // of the lead time
	Mark   Mark
}

type lineFact struct {
	ID     string `json:"id"`
	What   Words  `json:"what"`
	Unit   string `json:"unit"`
	Figure string `json:"figure"`
	How    Words  `json:"how"`
}

type orderFact struct {
	ID     string         `json:"id"`
	IDs    []string       `json:"ids"`
	Name   Words          `json:"name"`
	Lines  []string       `json:"lines"`
	Lead   schedule.Range `json:"lead"`
	Stands string         `json:"stands"`
	Wide   bool           `json:"wide"`
	Gate   string         `json:"gate"`
	For    []string       `json:"for"`
	Source string         `json:"source"`
	Mark   Mark           `json:"mark"`
}

type unitFact struct {
	US     Words `json:"us"`
	Metric Words `json:"metric"`
	Num    int64 `json:"num"`
	Den    int64 `json:"den"`
	Tenths int64 `json:"tenths"`
}

type takeoffData struct {
	Lines  []lineFact          `json:"lines"`
	Orders []orderFact         `json:"orders"`
	Units  map[string]unitFact `json:"units"`
}

//go:embed takeoff.json
var takeoffFile []byte

var (
	takeoffRead takeoffData
	readTakeoff = sync.OnceFunc(func() { Unpack("takeoff.json", takeoffFile, &takeoffRead) })
)

func takeoff() *takeoffData {
	readTakeoff()
	return &takeoffRead
}

// Orders names the orders that goods are known of, in the order they are shown.
func Orders() (ids []string) {
	for _, o := range takeoff().Orders {
		ids = append(ids, o.ID)
	}
	return ids
}

// Goods is what an order brings to a room. False: nothing is known of such an order, or the room needs
// none of it.
func Goods(order string, r Room) (Need, bool) {
	for _, o := range takeoff().Orders {
		if o.ID != order {
			continue
		}
		n := Need{Order: o.ID, IDs: o.IDs, Name: o.Name, Lead: o.Lead, Stands: o.Stands, Wide: o.Wide, Gate: o.Gate, For: o.For, Source: o.Source, Mark: o.Mark}
		for _, id := range o.Lines {
			n.take(id, r)
		}
		grams := int64(0)
		for _, l := range n.Lines {
			grams += l.Grams
		}
		n.Kg = int32(up(grams, 1000))
		return n, len(n.Lines) > 0
	}
	return Need{}, false
}

// add puts a line where there is any of it.
func (n *Need) add(id string, a Amount, grams int64) *Line {
	if a.Typical <= 0 {
		return &Line{}
	}
	for _, f := range takeoff().Lines {
		if f.ID == id {
			fig := figure(f.Figure)
			n.Lines = append(n.Lines, Line{ID: id, What: f.What, How: f.How, Unit: f.Unit, Source: fig.Source, Mark: fig.Mark, Amount: a, Grams: grams})
		}
	}
	return &n.Lines[len(n.Lines)-1]
}

func (n *Need) heed(key string, of ...int64) {
	h := Heed{Key: key}
	if len(of) > 0 {
		h.N = of[0]
	}
	if len(of) > 1 {
		h.M = of[1]
	}
	n.Heeds = append(n.Heeds, h)
}

// pound is in grams.
const pound = 454

// take works out one line.
func (n *Need) take(id string, r Room) {
	switch id {
	case "sheet", "screw", "compound", "tape":
		n.takeBoard(id, r)
	case "channel", "channel-up", "clip", "putty", "sealant":
		if r.Isolated {
			n.takeSound(id, r)
		}
	case "window", "door", "door-inner", "unit", "fixture", "panel":
		n.takeSets(id, r)
	case "stucco", "sand", "lath":
		n.takeStucco(id, r)
	case "stud", "plate":
		n.takeFrame(id, r)
	default:
		n.takeArea(id, r)
	}
}

const sheet = 4 * foot * 8 * foot

func (n *Need) takeBoard(id string, r Room) {
	skin, layers := r.Top()+r.Walls(), r.layers()
	waste := figure("tape-waste")
	switch id {
	case "sheet":
		a := Sheets(skin, sheet)
		grams := BoardWeight(r.board(), a.Typical*sheet).Typical * pound
		for k := int64(1); k <= layers; k++ {
			l := n.add(id, a, grams)
			l.What = Words{strings.ReplaceAll(l.What.En, "{k}", itoa(k)), strings.ReplaceAll(l.What.Es, "{k}", itoa(k))}
		}
		n.heed("stack", StackLimit(r.board(), 0), figure("floor-load").Typical)
		n.heed("hands", 2)
	case "screw":
		s := Screws(skin).times(layers)
		n.add(id, Amount{wasted(s.Low, waste).Low, wasted(s.Typical, waste).Typical, wasted(s.High, waste).High}, s.Typical*2)
	case "compound": // a gallon weighs about 13 lb, from memory
		c := Compound(skin)
		n.add(id, c, c.Typical*13*pound/10)
	case "tape":
		t := Tape(skin)
		n.add(id, Amount{wasted(t.Low, waste).Low, wasted(t.Typical, waste).Typical, wasted(t.High, waste).High}, 0)
	}
}

func (n *Need) takeSound(id string, r Room) {
	l, w, h := r.sides()
	_, feet, clips := Channel(h, l, l, w, w)
	_, topFeet, topClips, load, over := CeilingChannel(r.board(), r.layers(), max(l, w), min(l, w))
	spare := figure("spare")
	switch id {
	case "channel":
		n.add(id, wasted(feet, spare), feet*200) // a foot of channel is about 200 g, from memory
	case "channel-up":
		n.add(id, wasted(topFeet, spare), topFeet*200)
		heed := "clip"
		if over {
			heed = "clipOver"
		}
		n.heed(heed, load, figure("clip-load").Typical)
	case "clip":
		n.add(id, wasted(clips+topClips, spare), (clips+topClips)*60)
	case "putty":
		n.add(id, wasted(r.boxes(), Figure{Low: 10, Typical: 10, High: 10}), r.boxes()*150)
	case "sealant":
		tubes := SealantTubes(Bead(r, r.layers()), 6, 290)
		n.add(id, one(tubes), tubes*1200)
	}
}

func (r Room) boxes() int64 {
	if r.Outlets > 0 {
		return r.Outlets
	}
	l, w, _ := r.sides()
	return up(2*(l+w), figure("boxes").Typical*inch)
}

// open is the area of doors and windows.
func (r Room) open() int64 {
	return (r.Doors*figure("opening-door").Typical + r.Windows*figure("opening-window").Typical) * squareFoot
}

func (n *Need) takeArea(id string, r Room) {
	skin := r.Top() + r.Walls()
	switch id {
	case "batt":
		sf := near(max(0, skin-r.open()), squareFoot)
		n.add(id, wasted(sf, figure("batt-waste")), sf*figure("scrap-batts").Typical*pound/100)
	case "floor":
		if r.Floor != "none" {
			sf := near(r.Top(), squareFoot)
			n.add(id, wasted(sf, figure("floor-waste")), sf*1200) // about 2.6 lb a square foot, from memory
		}
	case "floor-boxes":
		if r.Floor != "none" {
			n.add(id, per(figure("floor-box"), wasted(near(r.Top(), squareFoot), figure("floor-waste")).Typical).plus(1), 0)
		}
	case "leveller":
		_, bags := Leveller(r.Top(), Sixteenths(r.SlopeFall))
		n.add(id, bags, bags.Typical*figure("bag").Typical*pound)
		if many := figure("leveller-many").Typical; bags.Typical > many {
			n.heed("sleepers", bags.Typical, many)
		}
	case "primer", "paint": // a gallon weighs about 11 lb, from memory
		primer, paint := Paint(skin)
		if id == "paint" {
			primer = paint
		}
		n.add(id, primer, primer.Typical*11*pound/10)
	case "debris", "container":
		n.takeDebris(id, skin, r.Top())
	case "concrete":
		if r.Wide > 0 {
			side := figure("curb").Typical * inch
			v := near(Sixteenths(r.Wide)*side*side*10, 27*foot*foot*foot)
			a := one(max(v, figure("short-load").Typical))
			n.add(id, a, a.Typical*4050*pound/10)
		}
	}
}

// takeDebris is for a room with one old layer of board all round and old batts in the ceiling.
func (n *Need) takeDebris(id string, board, batts int64) {
	yards, pounds := Debris(board, batts, 7*inch/2)
	if id == "debris" {
		n.add(id, yards, pounds.Typical*pound)
		return
	}
	size, count, byWeight := Container(yards.High, pounds.High)
	n.add(id, one(size), 0)
	if count > 1 {
		n.heed("containers", count, size)
	}
	if byWeight {
		n.heed("weight", pounds.High, size)
	}
}

func (n *Need) takeSets(id string, r Room) {
	switch id {
	case "door":
		n.add(id, one(r.Doors), r.Doors*figure("door").Typical*1000)
	case "window": // 1.2 by 1.2 m with two panes; the frame weighs about as much again as a third of the glass
		g := GlassWeight(1200, 1200, figure("window-glass").Typical)
		n.add(id, one(r.Windows), r.Windows*g*4/3)
		if r.Windows > 0 {
			n.heed("hands", max(2, Hands(g)))
		}
	case "door-inner":
		if r.Isolated {
			g := figure("door-set").Typical * 1000
			n.add(id, one(1), g)
			n.heed("hands", Hands(g))
		}
	case "unit":
		n.add(id, one(1), figure("unit").Typical*1000)
	case "panel":
		n.add(id, one(1), 15_000)
	case "fixture":
		if r.Wet == "sink" {
			n.add(id, one(1), 15_000)
		}
		if r.Wet == "bath" {
			n.add(id, one(3), 90_000)
		}
	}
}

func (n *Need) takeStucco(id string, r Room) {
	wall := Sixteenths(1000) * Sixteenths(1000) * (r.OuterWall / 1000) / 1000
	sf := near(wall, squareFoot)
	switch id {
	case "stucco":
		b := per(figure("stucco-bag"), up(2*sf*110, 100))
		n.add(id, b, b.Typical*80*pound)
	case "sand":
		a := per(figure("stucco-sand"), 2*sf*10)
		n.add(id, a, a.Typical*2700*pound/10)
	case "lath":
		f := figure("lath")
		n.add(id, one(up(sf*f.Typical, 100)), sf*f.Typical*3*pound/900) // 3 lb a square yard
	}
}

func (n *Need) takeFrame(id string, r Room) {
	l, w, _ := r.sides()
	f, spare := figure("studs"), figure("stud-spare")
	if id == "plate" {
		ft := up(3*2*(l+w), foot)
		n.add(id, wasted(ft, spare), ft*600)
		return
	}
	by := func(apart int64) int64 {
		return 2*(up(l, apart*inch)+1) + 2*(up(w, apart*inch)+1) + 4*2 + 4*(r.Doors+r.Windows)
	}
	a := Amount{wasted(by(f.High), spare).Low, wasted(by(f.Typical), spare).Typical, wasted(by(f.Low), spare).High}
	n.add(id, a, a.Typical*4500)
}

// Text is a line's typical amount in words: "44 sheets 4 × 8 ft, layer 1".
func (l Line) Text(lang, units string) string {
	return l.Say(l.Typical, lang, units) + " " + l.What.In(lang)
}

// Say is one amount of the line with its unit; units is "metric" or not.
func (l Line) Say(n int64, lang, units string) string {
	u := takeoff().Units[l.Unit]
	word := u.US
	if units == "metric" && u.Den != 1 {
		word = u.Metric
		n = near(n*u.Num, u.Den)
	}
	s := itoa(n)
	if u.Tenths != 0 {
		if s = itoa(n / 10); n%10 != 0 {
			s += "." + itoa(n%10)
		}
	}
	if w := word.In(lang); w != "" {
		s += " " + w
	}
	return s
}

// What is all lines of the need in one text, as it stands on an order.
func (n Need) What(lang, units string) string {
	parts := make([]string, len(n.Lines))
	for i, l := range n.Lines {
		parts[i] = l.Text(lang, units)
	}
	return strings.Join(parts, ", ")
}
