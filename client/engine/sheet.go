package engine

import (
	"batterboard/client/engine/words"
	"batterboard/schedule"
)

// A sheet is the site and its plan at one moment with everything found by ID: what every screen is
// drawn from. It is made once per change (or minute) and never altered.
type sheet struct {
	site *schedule.Site // with its names as they are read in w
	plan *schedule.Plan
	now  schedule.Minute
	w    *words.Lang

	acts   map[string]*schedule.Activity
	holds  map[string]*schedule.Hold
	orders map[string]*schedule.Order
	crews  map[string]*schedule.Crew
	places map[string]*schedule.Place
	lines  map[string]*schedule.Line
	texts  map[string]*schedule.Text
	into   map[string][]*schedule.Link // links that end at the key, in site order
	from   map[string][]*schedule.Link
	week   schedule.Week
	// written is the site as it was written, where site is not.
	written *schedule.Site
	// readIn is the sheet as read in another language, made when first wanted; nil where several
	// draw from this sheet at once.
	readIn map[string]*sheet
	asked  []ReviewLine      // the plan review, made when first wanted
	pages  map[string]string // addresses of the crews' pages, for this request only
	since  func(kind, id, field string) schedule.Minute
	apart  func() *parted // answers that were given apart; nil where nobody can have the plan rebuilt
	owner  bool           // the phone is the owner's: how crews kept their days is for nobody else
}

func newSheet(site *schedule.Site, plan *schedule.Plan, now schedule.Minute, w *words.Lang) *sheet {
	s := &sheet{site: site, plan: plan, now: now, w: w,
		acts: make(map[string]*schedule.Activity, len(site.Activities)), holds: map[string]*schedule.Hold{},
		orders: map[string]*schedule.Order{}, crews: map[string]*schedule.Crew{}, places: map[string]*schedule.Place{},
		lines: make(map[string]*schedule.Line, len(plan.Lines)), texts: map[string]*schedule.Text{},
		into: map[string][]*schedule.Link{}, from: map[string][]*schedule.Link{}, week: weekOf(site)}
	for i := range site.Activities {
		s.acts[site.Activities[i].ID] = &site.Activities[i]
	}
	for i := range site.Holds {
		s.holds[site.Holds[i].ID] = &site.Holds[i]
	}
	for i := range site.Orders {
		s.orders[site.Orders[i].ID] = &site.Orders[i]
	}
	for i := range site.Crews {
		s.crews[site.Crews[i].ID] = &site.Crews[i]
	}
	for i := range site.Places {
		s.places[site.Places[i].ID] = &site.Places[i]
	}
	for i := range site.Texts {
		s.texts[site.Texts[i].ID] = &site.Texts[i]
	}
	for i := range site.Links {
		l := &site.Links[i]
		s.into[l.To] = append(s.into[l.To], l)
		s.from[l.From] = append(s.from[l.From], l)
	}
	for i := range plan.Lines {
		s.lines[plan.Lines[i].ID] = &plan.Lines[i]
	}
	return s
}

func weekOf(site *schedule.Site) schedule.Week {
	if site.Hours.IsZero() {
		return schedule.DefaultWeek()
	}
	return site.Hours
}

func (s *sheet) today() schedule.Day { return s.now.Day() }

// name is what a thing of any kind is called.
func (s *sheet) name(id string) string {
	if a := s.acts[id]; a != nil {
		return or(a.Name, id)
	}
	if h := s.holds[id]; h != nil {
		return or(h.Name, id)
	}
	if o := s.orders[id]; o != nil {
		return or(o.Goods, id)
	}
	if c := s.crews[id]; c != nil {
		return or(c.Name, id)
	}
	if p := s.places[id]; p != nil {
		return or(p.Name, id)
	}
	return id
}

func (s *sheet) crewName(id string) string {
	if c := s.crews[id]; c != nil {
		return or(c.Name, id)
	}
	return ""
}

func (s *sheet) trade(id string) string {
	if c := s.crews[id]; c != nil {
		return c.Trade
	}
	return ""
}

func (s *sheet) kind(id string) schedule.NodeKind {
	switch {
	case s.holds[id] != nil:
		return schedule.HoldNode
	case s.orders[id] != nil:
		return schedule.OrderNode
	}
	return schedule.ActivityNode
}

func (s *sheet) isNode(id string) bool {
	return s.acts[id] != nil || s.holds[id] != nil || s.orders[id] != nil
}

// done says that a node is behind us: finished, passed or arrived.
func (s *sheet) done(id string) bool {
	if a := s.acts[id]; a != nil {
		return a.Finished != 0
	}
	if h := s.holds[id]; h != nil {
		return h.Result == schedule.Pass
	}
	if o := s.orders[id]; o != nil {
		return o.Arrived != 0
	}
	return false
}

// lastDay is the day on which work that ends at m is last done: an end at midnight belongs to the day before.
func lastDay(start, finish schedule.Minute) schedule.Day {
	if finish > start && finish.OfDay() == 0 {
		return finish.Day() - 1
	}
	return finish.Day()
}

// days says when a line lies: "Tue 6 – Wed 7".
func (s *sheet) days(start, finish schedule.Minute) string {
	return s.w.Span(start.Day(), lastDay(start, finish), s.today())
}

func (s *sheet) lineDays(id string) string {
	l := s.lines[id]
	if l == nil {
		return ""
	}
	if l.Kind == schedule.HoldNode {
		return s.visitWords(l.Start)
	}
	return s.days(l.Start, l.Finish)
}

// visitWords is a visit as one says it: "Mon 12, morning".
func (s *sheet) visitWords(at schedule.Minute) string {
	return s.w.Near(at.Day(), s.today()) + ", " + s.w.Half(at)
}

// hours is the crew's own week, or the site's.
func (s *sheet) hours(crew string) schedule.Week {
	if c := s.crews[crew]; c != nil && c.Hours != nil {
		return *c.Hours
	}
	return s.week
}

// shut is why nobody works on d: "" when the site is open.
func (s *sheet) shut(d schedule.Day) (why string, shut bool) {
	for _, x := range s.site.Shut {
		if !x.Outdoor && x.From <= d && d <= x.To {
			return or(x.Why, s.w.Say("shut")), true
		}
	}
	return "", false
}

// wet says that outdoor work rests on d.
func (s *sheet) wet(d schedule.Day) bool {
	_, wet := s.wetWhy(d)
	return wet
}

// wetWhy is why outdoor work rests on d, when it does.
func (s *sheet) wetWhy(d schedule.Day) (why string, wet bool) {
	for _, x := range s.site.Shut {
		if x.Outdoor && x.From <= d && d <= x.To {
			return or(x.Why, s.w.Say("wet")), true
		}
	}
	return "", false
}

func (s *sheet) away(crew string, d schedule.Day) bool {
	for _, x := range s.site.Away {
		if x.Crew == crew && x.From <= d && d <= x.To {
			return true
		}
	}
	return false
}

// windows are the times a crew works on d, agreed extra time included.
func (s *sheet) windows(crew string, d schedule.Day) []schedule.Window {
	if _, shut := s.shut(d); shut || s.away(crew, d) {
		return nil
	}
	week := s.hours(crew)
	out := append([]schedule.Window(nil), week[d.Weekday()]...)
	for _, o := range s.site.Openings {
		if o.Crew == crew && o.Day == d {
			out = append(out, schedule.Window{From: o.From, To: o.To})
		}
	}
	return out
}

// siteDay says whether the site's own week has work on d.
func (s *sheet) siteDay(d schedule.Day) bool {
	_, shut := s.shut(d)
	return !shut && len(s.week[d.Weekday()]) > 0
}

// workDay says whether a crew works at all on d.
func (s *sheet) workDay(crew string, d schedule.Day) bool { return len(s.windows(crew, d)) > 0 }

// onDay is the part of a line that falls on d in its crew's hours: from, to in minutes since midnight.
func (s *sheet) onDay(crew string, l *schedule.Line, d schedule.Day) (from, to int32, on bool) {
	if l.Start == l.Finish {
		return l.Start.OfDay(), l.Start.OfDay(), l.Start.Day() == d
	}
	act := s.acts[l.ID]
	ws := s.workWindows(crew, act, d)
	if act != nil && act.Outdoor && s.wet(d) {
		ws = nil
	}
	for _, w := range ws {
		a, b := max(d.At(w.From), l.Start), min(d.At(w.To), l.Finish)
		if a >= b {
			continue
		}
		f, t := int32(a-d.Start()), int32(b-d.Start())
		if !on {
			from, on = f, true
		}
		to = t
	}
	// Work that a calendar no longer allows (already running, or a fact) still shows where it lies.
	if !on && (l.Start.Day() == d || l.Frozen && lastDay(l.Start, l.Finish) == d) {
		a, b := max(d.Start(), l.Start), min(d.At(24*60), l.Finish)
		return int32(a - d.Start()), int32(b - d.Start()), true
	}
	return from, to, on
}

// dayOf counts the working days of a line: day k of n on d.
func (s *sheet) dayOf(crew string, l *schedule.Line, d schedule.Day) (k, n int) {
	for x := l.Start.Day(); x <= lastDay(l.Start, l.Finish) && x < l.Start.Day()+800; x++ {
		if _, _, on := s.onDay(crew, l, x); on {
			n++
			if x == d {
				k = n
			}
		}
	}
	return k, n
}

// workDaysBetween counts the site's working days from a (not counted) to b.
func (s *sheet) workDaysBetween(a, b schedule.Day) int64 {
	if a > b {
		return -s.workDaysBetween(b, a)
	}
	n := int64(0)
	for d := a + 1; d <= b && d < a+4000; d++ {
		if s.siteDay(d) {
			n++
		}
	}
	return n
}

func or(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// dated is a day with its month, and its year where that is not plain.
func (s *sheet) dated(d schedule.Day) string { return s.w.Told(d, s.today()) }
