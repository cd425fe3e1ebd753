package engine

import (
	"slices"
	"strings"

	"batterboard/client/engine/measure"
	"batterboard/client/engine/template"
	"batterboard/client/engine/trade"
	"batterboard/client/engine/words"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// Goods: what the room takes, when it must be ordered, whether it may be, and where it stands.

func (e *Engine) ordersView(s *sheet, id string) *OrdersView {
	v := &OrdersView{Foot: s.w.Say("orders.foot")}
	late := 0
	for i := range s.site.Orders {
		o := &s.site.Orders[i]
		if l := s.lines[o.ID]; l != nil && (id == "" || id == o.ID) {
			line := s.orderLine(o, l)
			if line.Late {
				late++
			}
			v.Orders = append(v.Orders, line)
		}
	}
	order(v.Orders, func(i, j int) bool {
		a, b := v.Orders[i], v.Orders[j]
		if x, y := s.orders[a.ID].Arrived != 0, s.orders[b.ID].Arrived != 0; x != y {
			return y
		}
		return before(s.orderMoment(a.ID), s.orderMoment(b.ID), a.ID, b.ID)
	})
	switch {
	case late > 0:
		v.Line = s.w.Count("orders.late", int64(late))
	case len(v.Orders) == 0:
		v.Line = s.w.Say("orders.none")
	}
	if room, ok := template.RoomOf(s.site); ok {
		u := s.units()
		v.Room = s.w.Count("orders.room", max(1, room.Layers), "length", measure.Length(room.Length, u, s.w.Code),
			"width", measure.Length(room.Width, u, s.w.Code), "height", measure.Length(room.Height, u, s.w.Code))
		for _, id := range trade.Orders() {
			if n, ok := trade.Goods(id, room); ok {
				v.Needs = append(v.Needs, s.needLine(n))
			}
		}
	}
	return v
}

// orderMoment is the next moment of an order: when to order it, else when it comes.
func (s *sheet) orderMoment(id string) schedule.Minute {
	l := s.lines[id]
	if o := s.orders[id]; o.Ordered == 0 && o.Due == 0 && l.CallBy != 0 {
		return l.CallBy
	}
	return l.Start
}

func (s *sheet) orderLine(o *schedule.Order, l *schedule.Line) OrderLine {
	v := OrderLine{ID: o.ID, Goods: o.Goods, Quantity: o.Quantity, Supplier: o.Supplier, Phone: o.Phone, State: orderState(o), Status: s.orderStatus(o, l),
		Due: max(l.Start.Day(), s.today())}
	open := o.Ordered == 0 && o.Due == 0 && o.Arrived == 0
	v.Late = open && l.CallBy != 0 && l.CallBy < s.now
	if open && o.Reserved != 0 {
		v.State, v.Status = "reserved", s.w.Say("order.reserved", "day", s.w.Near(o.Reserved, s.today()))+" "+v.Status
	}
	if to := s.firstBehind(o.ID); to != "" {
		v.For = s.w.Say("orders.for", "what", s.name(to), "day", s.w.Near(s.lines[to].Start.Day(), s.today()))
	}
	if o.WeightKg > 0 || o.Stands != "" {
		v.Stands = joinedBy(", ", s.weight(int64(o.WeightKg)), s.placeName(o.Stands))
	}
	if o.Arrived == 0 {
		v.Heeds = s.standHeeds(o, l)
		if c := s.closesOver(o, l); c != nil {
			v.Heeds = append(v.Heeds, s.w.Say("orders.wide", "what", c.Name, "day", s.w.Near(s.lines[c.ID].Start.Day(), s.today())))
			if !s.inFront(o.ID, c.ID) {
				v.InBefore = c.ID
			}
		}
		v.Gate = s.gateWords(o)
		if g := s.gateShut(o); open && g != "" && l.CallBy != 0 && s.lines[g].Finish > l.CallBy {
			v.Heeds = append(v.Heeds, s.w.Say("orders.gateLate", "by", s.byMoment(l.CallBy)))
		}
	}
	switch {
	case o.Arrived != 0:
	case !open:
		v.Next = "arrive"
	case v.Gate != "":
		v.Next = "reserve"
	default:
		v.Next = "order"
	}
	return v
}

func joinedBy(by string, parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, by)
}

func (s *sheet) weight(kg int64) string {
	if kg <= 0 {
		return ""
	}
	return measure.Weight(kg, s.units())
}

// firstBehind is the first work that waits for something.
func (s *sheet) firstBehind(id string) (first string) {
	for _, k := range s.from[id] {
		if s.lines[k.To] != nil && (first == "" || s.lines[k.To].Start < s.lines[first].Start) {
			first = k.To
		}
	}
	return first
}

// gateShut is the hold or work that could still cancel an order, while it is open.
func (s *sheet) gateShut(o *schedule.Order) string {
	if o.Gate != "" && s.isNode(o.Gate) && !s.done(o.Gate) {
		return o.Gate
	}
	return ""
}

func (s *sheet) gateWords(o *schedule.Order) string {
	g := s.gateShut(o)
	if g == "" || o.Ordered != 0 {
		return ""
	}
	key := "orders.gateWork"
	if s.holds[g] != nil {
		key = "orders.gateHold"
	}
	return s.w.Say(key, "what", s.name(g), "when", s.stateOf(g))
}

// closes is the work that closes the wide opening, as long as it is not done.
func (s *sheet) closes() *schedule.Activity {
	for i := range s.site.Activities {
		if a := &s.site.Activities[i]; a.Closes && a.Finished == 0 && s.lines[a.ID] != nil {
			return a
		}
	}
	return nil
}

// closesOver is the work that would close the opening before wide goods are in.
func (s *sheet) closesOver(o *schedule.Order, l *schedule.Line) *schedule.Activity {
	if c := s.closes(); c != nil && o.Wide && l.Start >= s.lines[c.ID].Start {
		return c
	}
	return nil
}

// inFront says whether one thing stands right in front of another.
func (s *sheet) inFront(from, to string) bool {
	for _, k := range s.from[from] {
		if k.To == to {
			return true
		}
	}
	return false
}

// standHeeds says what to look out for about where goods stand.
func (s *sheet) standHeeds(o *schedule.Order, l *schedule.Line) (out []string) {
	p := s.places[o.Stands]
	if p == nil {
		if o.WeightKg >= standKg || s.bulky(o) {
			return []string{s.w.Say("orders.nowhere")}
		}
		return nil
	}
	if by := s.takenBy(p, l.Start.Day()); by != "" && (o.WeightKg >= heavyKg || o.Wide) {
		out = append(out, s.w.Say("orders.taken", "where", p.Name, "what", s.name(by)))
	}
	return append(out, s.floorHeeds(o, p)...)
}

// standKg is from where on goods need a place that somebody thought about: what two people do not just
// carry aside. Common practice, no source.
const standKg = 50

func (s *sheet) bulky(o *schedule.Order) bool { return o.Wide }

// takenBy is work that takes the whole of a place on a day.
func (s *sheet) takenBy(p *schedule.Place, d schedule.Day) string {
	for i := range s.site.Activities {
		a := &s.site.Activities[i]
		if l := s.lines[a.ID]; l != nil && a.Place == p.ID && a.Whole && a.Finished == 0 && l.Start.Day() <= d && d <= lastDay(l.Start, l.Finish) {
			return a.ID
		}
	}
	return ""
}

// floorHeeds holds the weight against what the floor may carry. A slab on the ground has no such limit.
func (s *sheet) floorHeeds(o *schedule.Order, p *schedule.Place) (out []string) {
	if o.WeightKg <= 0 || p.Floor == "slab" {
		return nil
	}
	carries := int64(p.Carries)
	if carries == 0 {
		f, _ := trade.FigureOf("floor-load")
		carries = f.Typical
	}
	pounds := int64(o.WeightKg) * 100_000 / 45_359
	feet := (pounds + carries - 1) / carries
	area := measure.Area(feet*measure.SquareFoot/100, s.units(), s.w.Code)
	switch {
	case p.Floor == "" && o.WeightKg >= heavyKg:
		out = append(out, s.w.Say("orders.floorUnknown", "where", p.Name, "area", area, "load", s.load(carries)))
	case p.Floor == "wood" && o.WeightKg >= heavyKg:
		out = append(out, s.w.Say("orders.floor", "where", p.Name, "area", area, "load", s.load(carries)))
		if o.ID == "board-goods" {
			out = append(out, s.w.Say("orders.stack", "n", itoa(int(trade.StackLimit("board-x", carries)))))
		}
	}
	return out
}

// heavyKg is from where on the floor is asked about at all: more than a few people in one spot. Common
// practice, no source.
const heavyKg = 250

func (s *sheet) needLine(n trade.Need) NeedLine {
	lang, units := s.w.Code, s.site.Units
	v := NeedLine{Order: n.Order, Name: n.Name.In(lang), Weight: s.weight(int64(n.Kg)), Text: n.What(lang, units), Source: s.source(n.Source),
		Lead: s.w.Say("orders.lead", "low", itoa(int(n.Lead.Low)), "high", itoa(int(n.Lead.High)))}
	for _, l := range n.Lines {
		g := GoodsLine{Text: l.Text(lang, units), How: l.How.In(lang), Source: s.source(l.Source), Mark: s.w.Say("mark." + string(l.Mark))}
		if l.Low != l.High {
			g.Range = l.Say(l.Low, lang, units) + " – " + l.Say(l.High, lang, units)
		}
		v.Lines = append(v.Lines, g)
	}
	for _, h := range n.Heeds {
		n, m := itoa(int(h.N)), itoa(int(h.M))
		switch h.Key {
		case "clip", "clipOver":
			n, m = s.pounds(h.N), s.pounds(h.M*10)
		case "weight":
			n = s.pounds(h.N * 10)
		case "stack":
			m = s.load(h.M)
		}
		v.Heeds = append(v.Heeds, s.w.Say("heed."+h.Key, "n", n, "m", m))
	}
	if o := s.orderOf(n); o != nil {
		v.On, v.Same, v.Locked = true, o.Quantity == clipBytes(n.What(words.In(or(s.site.Lang, lang)).Code, units), maxShort) && o.WeightKg == n.Kg, o.Ordered != 0 || o.Arrived != 0
	}
	return v
}

// takeOff writes what the room takes onto its order, and makes the order where there is none. What was
// ordered or has come is a fact and stays.
func (e *Engine) takeOff(r Request) {
	if !e.mayWrite() {
		return
	}
	s := e.sheet
	room, ok := template.RoomOf(s.site)
	n, needed := trade.Goods(r.ID, room)
	if !ok || !needed {
		e.refuse("refused.noNeed")
		return
	}
	text := clipBytes(n.What(e.written(), s.site.Units), maxShort)
	o := s.orderOf(n)
	switch {
	case o != nil && (o.Ordered != 0 || o.Arrived != 0):
		e.refuse("refused.orderFixed", "what", o.Goods)
		return
	case o == nil && (s.isNode(n.IDs[0]) || len(s.site.Orders) >= schedule.MaxOrders):
		e.refuse("refused.gone")
		return
	}
	var edits []opsync.Edit
	if o != nil {
		edits = append(edits, set("order", o.ID, "quantity", text, "weightKg", n.Kg))
	} else {
		edits = e.newOrder(n, text)
	}
	if e.write(r, opsync.KindEdit, label{"takeoff", n.Name.In(s.w.Code)}, edits) {
		e.say("said.takeoff", "what", n.Name.In(s.w.Code))
	}
}

// orderOf is the site's order of what the room takes.
func (s *sheet) orderOf(n trade.Need) *schedule.Order {
	for _, id := range n.IDs {
		if o := s.orders[id]; o != nil {
			return o
		}
	}
	return nil
}

// newOrder makes an order with all that the trade knows of it, in front of the work that needs it.
func (e *Engine) newOrder(n trade.Need, text string) []opsync.Edit {
	s := e.sheet
	ed := set("order", n.IDs[0], "goods", n.Name.In(e.written()), "quantity", text, "weightKg", n.Kg, "lead", n.Lead.Typical, "pos", e.nextPos("order"))
	if s.isNode(n.Gate) {
		ed.Set["gate"] = value(n.Gate)
	}
	if n.Wide {
		ed.Set["wide"] = value(true)
	}
	for i := range s.site.Places { // a place of that name, where the site has one
		if p := &s.site.Places[i]; p.ID == n.Stands {
			ed.Set["stands"] = value(p.ID)
		}
	}
	edits := []opsync.Edit{ed}
	for _, id := range n.For {
		if a := s.acts[id]; a != nil && a.Started == 0 && a.Finished == 0 {
			edits = append(edits, set("link", n.IDs[0]+"."+id, "from", n.IDs[0], "to", id))
			break
		}
	}
	return e.alive(edits)
}

// alive takes removed things of the same name back with the edits: they are the same things again.
func (e *Engine) alive(edits []opsync.Edit) []opsync.Edit {
	gone := e.phone.Log.State().Gone()
	for i := range edits {
		if x := &edits[i]; x.Gone == nil && slices.ContainsFunc(gone, func(g opsync.GoneThing) bool { return g.Thing == x.Thing && g.ID == x.ID }) {
			no := false
			x.Gone = &no
		}
	}
	return edits
}

func clipBytes(s string, n int) string {
	if len(s) <= n {
		return s
	}
	r := []rune(s)
	for len(string(r)) > n-3 {
		r = r[:len(r)-1]
	}
	return string(r) + "…"
}

// reserve holds goods at the supplier's: not firm, because a gate is still shut that could cancel them.
func (e *Engine) reserve(r Request) {
	o, ok := e.goodsOf(r.ID)
	if !ok {
		return
	}
	switch {
	case o.Arrived != 0:
		e.refuse("refused.arrived", "what", o.Goods)
		return
	case o.Ordered != 0:
		e.refuse("refused.orderFixed", "what", o.Goods)
		return
	}
	if e.write(r, opsync.KindEdit, label{"reserve", o.Goods}, []opsync.Edit{set("order", r.ID, "reserved", r.Now.Day())}) {
		e.say("said.reserved", "what", o.Goods)
	}
}

// firmGate refuses a firm order while a gate is shut that could cancel it.
func (e *Engine) firmGate(o *schedule.Order) bool {
	then := *o
	then.Due = 1 // any day will do: it is the promise that makes it firm
	if why := e.sheet.firmEarly(&then); why != "" {
		e.refused = why
		return false
	}
	return true
}

// firmEarly says that an edit by hand would make goods firm while a gate is shut that could cancel them.
func (s *sheet) firmEarly(x *schedule.Order) string {
	was := s.orders[x.ID]
	if x.Ordered == 0 && x.Due == 0 || was != nil && (was.Ordered != 0 || was.Due != 0) || x.Arrived != 0 {
		return ""
	}
	if g := s.gateShut(x); g != "" {
		return s.w.Say("refused.gate", "what", x.Goods, "gate", s.name(g))
	}
	return ""
}

// firmActs are reserved goods whose gate has opened: they can be made firm now.
func (s *sheet) firmActs() (out []due) {
	for i := range s.site.Orders {
		o := &s.site.Orders[i]
		l := s.lines[o.ID]
		if l != nil && o.Reserved != 0 && o.Ordered == 0 && o.Arrived == 0 && o.Gate != "" && s.gateShut(o) == "" {
			at := l.CallBy
			if at == 0 {
				at = (s.today() + 1).Start()
			}
			out = append(out, s.act("firm", o.ID, s.w.Say("act.firm", "what", o.Goods), at, o.Phone))
		}
	}
	return out
}

// waitActs lead to the readings where they see a wait otherwise than the plan.
func (s *sheet) waitActs() []due {
	n, at := 0, schedule.Never
	for i := range s.site.Links {
		if k := &s.site.Links[i]; s.waiting(k) {
			if _, _, differs := s.saidWait(k); differs {
				n++
				at = min(at, s.lines[k.To].Start)
			}
		}
	}
	if n == 0 {
		return nil
	}
	return []due{s.act("waits", "waits", s.w.Count("readings.differ", int64(n)), at, "")}
}
