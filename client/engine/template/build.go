package template

import (
	"slices"

	"batterboard/client/engine/trade"
	"batterboard/schedule"
)

// Build is the plan that follows from the answers, in a language and its goods in units: the same answers give the same plan on
// every phone. It has no dates of its own; start and back come from the site. The switches of the
// visits that the owner set elsewhere (schedule.Site) come as answers site/board, site/base, site/edition.
func Build(a Answers, lang, units string) *schedule.Site {
	f := newFacts(a)
	s := &schedule.Site{Format: 1, Lang: lang, Hours: schedule.DefaultWeek()}
	f.addActivities(s, lang)
	f.addHolds(s, lang)
	f.addOrders(s, lang, units)
	f.addLinks(s, lang)
	dropOrphans(s)
	if _, ok := trade.ProfileOf(f.of("profile")); ok {
		trade.Rules{Profile: f.of("profile"), Board: a["site/board"], Base: a["site/base"] != "", Edition: a["site/edition"]}.Apply(s, lang)
	}
	for i := range s.Orders {
		if o := &s.Orders[i]; s.Hold(o.Gate) == nil && s.Activity(o.Gate) == nil {
			o.Gate = "" // no such visit in this town
		}
	}
	f.addCrews(s, lang)
	f.addPlaces(s, lang)
	return s
}

func (f *facts) addActivities(s *schedule.Site, lang string) {
	b := rules()
	for i := range b.Activities {
		r := &b.Activities[i]
		if !r.When.holds(f) {
			continue
		}
		own := r.Own != "" && f.is("own", r.Own)
		a := schedule.Activity{ID: r.ID, Pos: int32(i + 1), Name: r.Name.In(lang), Scope: r.Scope.In(lang), Crew: r.Crew, With: r.With,
			Place: r.Place, Whole: r.Whole, Hands: r.Hands, Cover: r.Cover, Outdoor: r.Outdoor, Noisy: r.Noisy, Ready: r.Ready.In(lang),
			Gate: r.Gate, Closes: r.Closes, Cautions: f.cautions(r.Cautions), Labour: f.labour(r, own)}
		if r.Plain[0] != "" && !f.flag("isolated") {
			a.Scope = r.Plain.In(lang)
		}
		if own {
			a.Crew, a.Hands = ownerCrew, 1
		}
		s.Activities = append(s.Activities, a)
	}
}

const ownerCrew = "owner"

// cautions keeps those whose condition, behind a question mark, holds.
func (f *facts) cautions(all []string) (out []string) {
	for _, c := range all {
		id, when, _ := cut(c, '?')
		if condition(when).holds(f) {
			out = append(out, id)
		}
	}
	return out
}

func (f *facts) addHolds(s *schedule.Site, lang string) {
	b := rules()
	for i := range b.Holds {
		r := &b.Holds[i]
		if !r.When.holds(f) {
			continue
		}
		h := schedule.Hold{ID: r.ID, Pos: int32(i + 1), Name: r.Name.In(lang), Code: r.Code.In(lang), Agency: agency.In(lang),
			Photos: r.Photos, Notice: 1, FailPct: r.FailPct}
		for _, line := range r.Ready {
			h.Ready = append(h.Ready, line.In(lang))
		}
		s.Holds = append(s.Holds, h)
	}
}

var agency = Words{"your building department", "su oficina de construcción"}

func (f *facts) addOrders(s *schedule.Site, lang, units string) {
	b, room := rules(), f.room()
	for i := range b.Orders {
		r := &b.Orders[i]
		if !r.When.holds(f) {
			continue
		}
		o := schedule.Order{ID: r.ID, Pos: int32(i + 1), Goods: r.Goods.In(lang), Lead: r.Lead}
		if n, ok := trade.Goods(r.Take, room); ok && r.Take != "" {
			o.Quantity, o.WeightKg, o.Wide, o.Lead = n.What(lang, units), n.Kg, n.Wide && f.flag("wide"), n.Lead.Typical
			if n.Stands == "room" || n.Stands == "yard" {
				o.Stands = n.Stands
			}
			if b.act[n.Gate] != nil && s.Activity(n.Gate) != nil || s.Hold(n.Gate) != nil {
				o.Gate = n.Gate
			}
		}
		s.Orders = append(s.Orders, o)
	}
}

// addLinks joins what is there. What a job does not have leaves no gap: the work before it comes before
// the work after it. A wait belongs to the work it follows, and goes with it.
func (f *facts) addLinks(s *schedule.Site, lang string) {
	b := rules()
	n := newNet(s)
	for i := range b.Links {
		n.out[b.Links[i].From] = append(n.out[b.Links[i].From], i)
	}
	for i := range b.Links {
		l := &b.Links[i]
		if n.there[l.From] && n.there[l.To] {
			n.add(s, schedule.Link{ID: l.From + "." + l.To, From: l.From, To: l.To, Lag: l.Lag, Clock: l.Lag != 0, Why: l.Why.In(lang), Wait: l.Wait, Thick: l.Thick})
		}
	}
	var over [][2]string
	for i := range s.Activities {
		over = n.past(over, b, s.Activities[i].ID)
	}
	for i := range s.Holds {
		over = n.past(over, b, s.Holds[i].ID)
	}
	for _, o := range over { // all of them count as ways round, so that none stands for what two others say
		n.join(o[0], o[1])
	}
	for _, o := range over {
		if !n.roundabout(o[0], o[1]) {
			n.add(s, schedule.Link{ID: o[0] + "." + o[1], From: o[0], To: o[1]})
		}
	}
}

// net is the links while they are made.
type net struct {
	there map[string]bool
	out   map[string][]int // links of the rules by their start
	next  map[string][]string
	made  map[[2]string]bool
}

func newNet(s *schedule.Site) *net {
	n := &net{there: map[string]bool{}, out: map[string][]int{}, next: map[string][]string{}, made: map[[2]string]bool{}}
	for i := range s.Activities {
		n.there[s.Activities[i].ID] = true
	}
	for i := range s.Holds {
		n.there[s.Holds[i].ID] = true
	}
	for i := range s.Orders {
		n.there[s.Orders[i].ID] = true
	}
	return n
}

func (n *net) join(from, to string) {
	if !slices.Contains(n.next[from], to) {
		n.next[from] = append(n.next[from], to)
	}
}

func (n *net) add(s *schedule.Site, l schedule.Link) {
	n.join(l.From, l.To)
	if !n.made[[2]string{l.From, l.To}] {
		n.made[[2]string{l.From, l.To}] = true
		s.Links = append(s.Links, l)
	}
}

// past finds what follows a node behind things that this job does not have. Goods are no bridge: what
// waited for an order that is not made waits for nothing.
func (n *net) past(over [][2]string, b *ruleBook, from string) [][2]string {
	seen := map[string]bool{}
	var walk func(id string)
	walk = func(id string) {
		for _, i := range n.out[id] {
			to := b.Links[i].To
			switch {
			case seen[to] || b.isOrder(to):
			case n.there[to]:
				if id != from {
					over = append(over, [2]string{from, to})
					seen[to] = true
				}
			default:
				seen[to] = true
				walk(to)
			}
		}
	}
	walk(from)
	return over
}

func (b *ruleBook) isOrder(id string) bool {
	return slices.ContainsFunc(b.Orders, func(o orderRule) bool { return o.ID == id })
}

// roundabout tells whether one gets from one node to another by way of a third.
func (n *net) roundabout(from, to string) bool {
	seen := map[string]bool{from: true}
	var reach func(id string) bool
	reach = func(id string) bool {
		for _, x := range n.next[id] {
			if x == to && id != from {
				return true
			}
			if !seen[x] && x != to {
				seen[x] = true
				if reach(x) {
					return true
				}
			}
		}
		return false
	}
	return reach(from)
}

// dropOrphans takes out visits and goods that nothing of this job waits for, and visits that look at nothing.
func dropOrphans(s *schedule.Site) {
	into, from := map[string]bool{}, map[string]bool{}
	for _, l := range s.Links {
		into[l.To], from[l.From] = true, true
	}
	s.Holds = slices.DeleteFunc(s.Holds, func(h schedule.Hold) bool { return !into[h.ID] })
	s.Orders = slices.DeleteFunc(s.Orders, func(o schedule.Order) bool { return !from[o.ID] })
	n := newNet(s)
	s.Links = slices.DeleteFunc(s.Links, func(l schedule.Link) bool { return !n.there[l.From] || !n.there[l.To] })
}

// addCrews lists the crews that have work, and the owner.
func (f *facts) addCrews(s *schedule.Site, lang string) {
	b := rules()
	for i := range b.Crews {
		r := &b.Crews[i]
		busy := r.ID == ownerCrew || slices.ContainsFunc(s.Activities, func(a schedule.Activity) bool {
			return a.Crew == r.ID || slices.Contains(a.With, r.ID)
		})
		if !busy {
			continue
		}
		c := schedule.Crew{ID: r.ID, Pos: int32(i + 1), Name: r.Name.In(lang), Trade: r.Trade, Lang: lang, Size: r.Size}
		if r.ID == ownerCrew {
			c.Own, c.Hours = true, evenings()
		}
		s.Crews = append(s.Crews, c)
	}
}

// evenings are the owner's hours until told otherwise: three each evening, the mornings of the weekend.
func evenings() *schedule.Week {
	var w schedule.Week
	for d := range 5 {
		w[d] = []schedule.Window{{From: 18 * 60, To: 21 * 60}}
	}
	w[5] = []schedule.Window{{From: 9 * 60, To: 13 * 60}}
	w[6] = w[5]
	return &w
}

func (f *facts) addPlaces(s *schedule.Site, lang string) {
	b := rules()
	for i := range b.Places {
		p := &b.Places[i]
		if slices.ContainsFunc(s.Activities, func(a schedule.Activity) bool { return a.Place == p.ID }) ||
			slices.ContainsFunc(s.Orders, func(o schedule.Order) bool { return o.Stands == p.ID }) {
			s.Places = append(s.Places, schedule.Place{ID: p.ID, Pos: int32(i + 1), Name: p.Name.In(lang), Room: p.Room, Floor: f.under(p.ID)})
		}
	}
}

// under is what a place stands on, as goods that are put there must know.
func (f *facts) under(place string) string {
	switch {
	case place == "room" && f.is("base", "slab|slope|sleepers"):
		return "slab"
	case place == "room":
		return "wood"
	case place == "yard" || place == "outside":
		return "slab" // the ground bears what a truck brings
	}
	return ""
}
