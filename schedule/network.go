package schedule

import (
	"sort"
	"strconv"
)

// shape is how a line lies in time.
type shape uint8

const (
	work  shape = iota // runs in open time, pauses over closed time
	point              // takes no time: a milestone
	slot               // takes one window of its calendar: a visit, a delivery
)

// node is one activity, hold or order as the planner sees it. Nodes are sorted by ID, so that nothing
// depends on the order of the site's slices.
type node struct {
	id    string
	kind  NodeKind
	shape shape
	cal   *Calendar
	dur   int64 // open minutes still to do
	cuts  int   // how many times days away may cut it in two

	release []Reason // lower bounds of the start that no other line causes; Reason.At is the bound
	low     Minute   // the latest of them
	anchor  Minute   // laid or told start: it is not pulled earlier than this by itself
	today   bool     // laid to earlier today: it keeps that start if it can, even before now

	fixed         bool // start and finish are facts, or follow from facts
	frozen        bool // as Line.Frozen
	runs          bool // started and not finished
	start, finish Minute

	visit, visitEnd Minute // an agreed visit that is still to come
	off             Minute // an agreed visit on a day that the site is shut: it cannot stand
	loose           bool   // the visit may be asked for earlier than agreed
	again           Minute // the earliest another visit can be, should that one come too early
	lead            int64  // an order that is not placed: minutes from order to door
	asked           Minute // an order that is not placed: when the owner wants it, as long as that is in time
	uses            []use
	crew            string // whose calendar it mostly is
	in, out         []int32
}

// use is what a node takes of a resource, from its start to its finish.
type use struct{ res, amount int32 }

// resource is a crew or a place: how much of it there is at once.
type resource struct {
	id    string
	place bool
	cap   int32
}

// arc is a link between two nodes.
type arc struct {
	from, to       int32
	fromEnd, toEnd bool
	clock          bool
	lag            int64
	link           string // ID; empty for an order of two lines on one resource
	gone           Minute // for such an order: when a running line's own work lets the resource go
}

// model is a site made ready for planning.
type model struct {
	site  *Site
	now   Minute
	about Day
	home  *Calendar // the site's hours
	door  *Calendar // when deliveries come: the first window of each working day
	nodes []node
	arcs  []arc
	res   []resource
	topo  []int32
	found []Problem
	due   []Minute // per node, the latest start wanted; nil for none
	quick bool     // be content with the first order
	// placed counts the lines placed, for budgets.
	placed int64
	first  *pass // over the plan in which nobody has to share, once asked for
	desk   desk
	opened map[string][]byte    // by crew, the hours that extras open, written down; only looked up
	cals   map[string]*Calendar // by loud, in or out, and the crews with their opened hours; only looked up. All models made from one share it
}

// compile makes the model. It never fails: what it cannot use it leaves out, and Problems says so.
func compile(site *Site, now Minute) *model {
	m := &model{site: site, now: now, about: max(now.Day(), site.Start), cals: map[string]*Calendar{}}
	m.home = site.SiteCalendar(m.about)
	m.door = m.home.firstWindows()
	m.resources()
	for i := range site.Activities {
		m.nodes = append(m.nodes, m.activity(&site.Activities[i]))
	}
	for i := range site.Holds {
		m.hold(&site.Holds[i])
	}
	for i := range site.Orders {
		m.order(&site.Orders[i])
	}
	sort.SliceStable(m.nodes, func(i, j int) bool { return m.nodes[i].id < m.nodes[j].id })
	m.unique()
	for i := range m.nodes {
		m.nodes[i].settleReleases()
	}
	m.links()
	m.sortTopo()
	return m
}

// unique drops a second node of the same ID. A file with two is refused; a merge cannot make them.
func (m *model) unique() {
	n := 0
	for i := range m.nodes {
		if i == 0 || m.nodes[i].id != m.nodes[n-1].id {
			m.nodes[n] = m.nodes[i]
			n++
		}
	}
	m.nodes = m.nodes[:n]
}

// maxAtOnce is the most that one crew or place can do at once. More is a slip of the finger.
const maxAtOnce = 100

func (m *model) resources() {
	for _, c := range m.site.Crews {
		m.res = append(m.res, resource{id: c.ID, cap: min(max(c.Teams, 1), maxAtOnce)})
	}
	for _, p := range m.site.Places {
		m.res = append(m.res, resource{id: p.ID, place: true, cap: min(max(p.Room, 1), maxAtOnce)})
	}
	sort.SliceStable(m.res, func(i, j int) bool {
		a, b := &m.res[i], &m.res[j]
		if a.place != b.place {
			return b.place
		}
		return a.id < b.id
	})
}

func (m *model) resource(id string, place bool) int32 {
	for i := range m.res {
		if m.res[i].id == id && m.res[i].place == place {
			return int32(i)
		}
	}
	return -1
}

// hours is when these crews can do an activity; the site's hours for none.
func (m *model) hours(a *Activity, crews []string) *Calendar {
	return m.calendar(crews, a.Outdoor, m.site.loud(a))
}

// calendar is the hours all of the crews work, out of doors or not, loud or not; the site's for none.
func (m *model) calendar(crews []string, outdoor, loud bool) *Calendar {
	outdoor = outdoor && m.site.rains()
	if len(crews) == 0 && !outdoor && !loud {
		return m.home
	}
	key := "in "
	if outdoor {
		key = "out "
	}
	if loud {
		key = "loud " + key
	}
	for _, c := range crews {
		key += c + string(m.opened[c]) + " "
	}
	if c := m.cals[key]; c != nil {
		return c
	}
	var c *Calendar
	switch last := len(crews) - 1; {
	case loud:
		c = m.calendar(crews, outdoor, false).and(m.site.noiseCalendar(m.about))
	case last < 0:
		c = m.site.siteCalendar(m.about, outdoor)
	case last == 0:
		c = m.site.crewCalendar(crews[last], m.about, outdoor)
	default:
		c = m.calendar(crews[:last], outdoor, false).and(m.site.crewCalendar(crews[last], m.about, outdoor))
	}
	m.cals[key] = c
	return c
}

// with is this model, which has none yet, with some extras put in: only what they change is made anew.
func (m *model) with(use []extra) *model {
	out := *m
	out.site, out.nodes, out.found = m.site.with(use), append([]node(nil), m.nodes...), nil
	out.opened, out.placed, out.first, out.desk = opened(use), 0, nil, desk{}
	for i := range out.nodes {
		n := &out.nodes[i]
		if n.kind != ActivityNode {
			continue
		}
		a := out.site.Activity(n.id)
		if out.hands(a, use) || out.changes(out.site.CrewsOf(a)) {
			in, behind := n.in, n.out
			*n = out.activity(a)
			n.in, n.out = in, behind
			n.settleReleases()
		}
	}
	return &out
}

// opened writes down which hours extras open, for each crew in order of time.
func opened(use []extra) map[string][]byte {
	list := make([]*Opening, 0, len(use))
	for i := range use {
		if use[i].opening.Crew != "" {
			list = append(list, &use[i].opening)
		}
	}
	sort.Slice(list, func(i, j int) bool {
		return list[i].Day < list[j].Day || list[i].Day == list[j].Day && list[i].From < list[j].From
	})
	out := map[string][]byte{}
	for _, o := range list {
		text := out[o.Crew]
		for _, n := range [...]int64{int64(o.Day), int64(o.From), int64(o.To)} {
			text = strconv.AppendInt(append(text, '+'), n, 10)
		}
		out[o.Crew] = text
	}
	return out
}

// hands tells whether extras hand an activity to another crew, or let it be done in two visits.
func (m *model) hands(a *Activity, use []extra) bool {
	for i := range use {
		if use[i].standIn.Activity == a.ID || use[i].twice == a.ID {
			return true
		}
	}
	return false
}

// changes tells whether extras open hours of any of the crews.
func (m *model) changes(crews []string) bool {
	for _, c := range crews {
		if len(m.opened[c]) > 0 {
			return true
		}
	}
	return false
}

// rains tells whether any days are shut for outdoor work alone.
func (s *Site) rains() bool {
	for i := range s.Shut {
		if s.Shut[i].Outdoor {
			return true
		}
	}
	return false
}

// find is the index of the node with this ID, or -1.
func (m *model) find(id string) int32 {
	i := sort.Search(len(m.nodes), func(i int) bool { return m.nodes[i].id >= id })
	if i < len(m.nodes) && m.nodes[i].id == id {
		return int32(i)
	}
	return -1
}

// maxLag bounds a lag: two years. More is a slip of the finger.
const maxLag = 2 * 366 * MinutesPerDay

// links turns the site's links into arcs. Those that lead nowhere or close a circle stay out.
func (m *model) links() {
	links, found := chooseLinks(m.site)
	m.found = append(m.found, found...)
	m.arcs = make([]arc, 0, len(links))
	for _, l := range links {
		a := arc{from: int32(l.from), to: int32(l.to), clock: l.Clock, link: l.ID,
			lag:     int64(min(max(l.Lag, -maxLag), maxLag)),
			fromEnd: l.Kind != SS && l.Kind != SF, toEnd: l.Kind == FF || l.Kind == SF}
		m.addArc(a)
	}
}

func (m *model) addArc(a arc) {
	i := int32(len(m.arcs))
	m.arcs = append(m.arcs, a)
	m.nodes[a.from].out = append(m.nodes[a.from].out, i)
	m.nodes[a.to].in = append(m.nodes[a.to].in, i)
}

// sortTopo puts the nodes in an order in which arcs only point forward; ties by ID.
func (m *model) sortTopo() {
	waits := make([]int, len(m.nodes))
	for _, a := range m.arcs {
		waits[a.to]++
	}
	var ready heap
	for i := range m.nodes {
		if waits[i] == 0 {
			ready.push(item{n: int32(i)})
		}
	}
	for len(ready) > 0 {
		i := ready.pop().n
		m.topo = append(m.topo, i)
		for _, k := range m.nodes[i].out {
			if to := m.arcs[k].to; waits[to] == 1 {
				waits[to] = 0
				ready.push(item{n: to})
			} else {
				waits[to]--
			}
		}
	}
}

// bound is the earliest moment the arc allows at its To end, when its From end is at ref.
func (m *model) bound(a *arc, ref Minute) Minute {
	if ref >= Never {
		return Never
	}
	to := &m.nodes[a.to]
	switch {
	case to.lead > 0 && !to.fixed: // the order is placed then, the goods come a lead later
		return (m.lagged(a, m.home, ref) + Minute(to.lead)).Day().Start()
	case to.shape == slot:
		return m.lagged(a, m.slotHours(to), ref)
	}
	return m.lagged(a, to.cal, ref)
}

// slotHours is what a working lag in front of a visit or delivery counts: the site's hours, since the
// windows of an inspector are not work.
func (m *model) slotHours(to *node) *Calendar { return m.home }

// settled tells whether the end that the arc would hold is a fact.
func (m *model) settled(a *arc) bool {
	to := &m.nodes[a.to]
	return to.fixed && !(to.runs && a.toEnd)
}

func (m *model) lagged(a *arc, c *Calendar, ref Minute) Minute {
	switch {
	case a.lag == 0:
		return ref
	case a.clock:
		return ref + Minute(a.lag)
	}
	return c.after(c.count(ref) + a.lag)
}

// limit is the latest moment of the arc's From end when its To end may be no later than lim.
func (m *model) limit(a *arc, lim Minute) Minute {
	to := &m.nodes[a.to]
	c := to.cal
	if to.shape == slot {
		c = m.home
	}
	if to.lead > 0 && !to.fixed {
		lim = lim.Day().Start() + MinutesPerDay - 1 - Minute(to.lead)
	}
	switch {
	case a.lag == 0:
		return lim
	case a.clock:
		return lim - Minute(a.lag)
	}
	if n := c.count(lim) - a.lag; n >= 0 {
		return c.minute(n)
	}
	return c.base.Start() - 1
}
