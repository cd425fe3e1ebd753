package engine

import (
	"slices"

	"batterboard/schedule"
)

// longestPicture bounds the days drawn: two years. Work beyond it is in the plan, not in the picture.
const longestPicture = 730

// stringsView is the whole plan as the screen draws it.
func (s *sheet) stringsView() *StringsView {
	v := &StringsView{}
	first, last := s.range_()
	for _, c := range s.site.Crews {
		if s.hasWork(c.ID) {
			v.Crews = append(v.Crews, StringCrew{ID: c.ID, Name: c.Name, Trade: c.Trade, Away: s.awayDays(c.ID, first, last)})
		}
	}
	for d := first; d <= last && d < first+longestPicture; d++ {
		v.Days = append(v.Days, s.stringDay(d, first))
	}
	for i := range s.plan.Lines {
		l := &s.plan.Lines[i]
		if l.Start >= schedule.Never { // it hangs nowhere: Head.Problems says so
			continue
		}
		switch l.Kind {
		case schedule.ActivityNode:
			if a := s.acts[l.ID]; a != nil {
				v.Blocks = append(v.Blocks, s.block(a, l))
			}
		case schedule.HoldNode:
			if h := s.holds[l.ID]; h != nil {
				v.Bars = append(v.Bars, s.bar(h, l))
			}
		case schedule.OrderNode:
			if o := s.orders[l.ID]; o != nil {
				v.Goods = append(v.Goods, s.goods(o, l))
			}
		}
	}
	order(v.Blocks, func(i, j int) bool {
		return before(v.Blocks[i].Start, v.Blocks[j].Start, v.Blocks[i].ID, v.Blocks[j].ID)
	})
	order(v.Bars, func(i, j int) bool { return before(v.Bars[i].At, v.Bars[j].At, v.Bars[i].ID, v.Bars[j].ID) })
	for i := 1; i < len(s.plan.Taut); i++ {
		v.Taut = append(v.Taut, [2]string{s.plan.Taut[i-1], s.plan.Taut[i]})
	}
	return v
}

// range_ is the first and last day of the picture.
func (s *sheet) range_() (first, last schedule.Day) {
	for i := range s.plan.Lines {
		l := &s.plan.Lines[i]
		if s.orders[l.ID] != nil && l.Frozen || l.Start >= schedule.Never {
			continue // neither goods that came weeks ago stretch the picture, nor what finds no time
		}
		if d := l.Start.Day(); first == 0 || d < first {
			first = d
		}
		last = max(last, lastDay(l.Start, l.Finish))
	}
	if first == 0 {
		first = s.today()
		last = first
	}
	return first, last
}

func (s *sheet) hasWork(crew string) bool {
	for i := range s.site.Activities {
		if slices.Contains(crewsOf(&s.site.Activities[i]), crew) {
			return true
		}
	}
	return false
}

func (s *sheet) awayDays(crew string, first, last schedule.Day) (out []schedule.Day) {
	for d := first; d <= last && d < first+longestPicture; d++ {
		if s.away(crew, d) {
			out = append(out, d)
		}
	}
	return out
}

// stringDay is one row: as tall as the hours anybody works that day.
func (s *sheet) stringDay(d, first schedule.Day) StringDay {
	r := StringDay{Day: d, Short: s.w.Near(d, s.today()), Week: d == first || d.Weekday() == 0, Today: d == s.today(), Past: d < s.today()}
	if why, shut := s.shut(d); shut {
		r.Shut = why
		return r
	}
	if why, wet := s.wetWhy(d); wet {
		r.Wet = why
	}
	r.Open, r.Close = -1, -1
	widen := func(ws []schedule.Window) {
		for _, w := range ws {
			if r.Open < 0 || w.From < r.Open {
				r.Open = w.From
			}
			r.Close = max(r.Close, w.To)
		}
	}
	widen(s.week[d.Weekday()])
	for _, c := range s.site.Crews {
		widen(s.windows(c.ID, d))
	}
	if r.Open < 0 {
		r.Open, r.Close, r.Shut = 0, 0, s.w.Say("closed")
	}
	return r
}

func (s *sheet) block(a *schedule.Activity, l *schedule.Line) Block {
	b := Block{ID: a.ID, Crew: a.Crew, With: a.With, Name: a.Name, Trade: s.trade(a.Crew), Start: l.Start, Finish: l.Finish,
		SlackTo: max(l.LateFinish, l.Finish), Slack: s.slack(l), Booking: a.Booking, Taut: l.Taut, Done: a.Done,
		Started: a.Started != 0, Finished: a.Finished != 0}
	b.Late = !b.Finished && (l.Finish < s.now || a.MustBy != 0 && lastDay(l.Start, l.Finish) > a.MustBy)
	if b.Finished {
		b.Done, b.SlackTo, b.Slack = 100, l.Finish, ""
	}
	b.Say = s.sayBlock(a, l, b)
	return b
}

// sayBlock is the whole block in words, for those who hear the picture.
func (s *sheet) sayBlock(a *schedule.Activity, l *schedule.Line, b Block) string {
	said := or(s.crewName(a.Crew), s.w.Say("nobody")) + ": " + a.Name + ", " + s.days(l.Start, l.Finish)
	switch {
	case b.Finished:
		return said + ", " + s.w.Say("state.finished")
	case b.Started:
		said += ", " + s.w.Say("state.started")
	default:
		said += ", " + s.booking(a.Booking)
	}
	return said + ", " + b.Slack
}

func (s *sheet) booking(b schedule.Booking) string {
	switch b {
	case schedule.Asked:
		return s.w.Say("asked")
	case schedule.Firm:
		return s.w.Say("firm")
	}
	return s.w.Say("pencilled")
}

// slack says a line's total float in the working days of its own calendar.
func (s *sheet) slack(l *schedule.Line) string {
	if l.Float <= 0 {
		return s.w.Say("slack.none")
	}
	per := s.minutesPerDay(l.ID)
	halves := l.Float * 2 / per
	switch {
	case halves == 0:
		return s.w.Say("slack.hours", "n", s.w.Effort(int32(l.Float)))
	case halves == 1:
		return s.w.Say("slack.half")
	case halves > 2 && halves%2 == 1 && halves < 10:
		return s.w.Say("slack.andHalf", "n", itoa(int(halves/2)))
	}
	return s.w.Count("slack.days", halves/2)
}

// minutesPerDay is the working time of a usual day of a node's calendar, never zero.
func (s *sheet) minutesPerDay(id string) int64 {
	week := s.week
	if a := s.acts[id]; a != nil {
		week = s.workWeek(a)
	}
	if h := s.holds[id]; h != nil && h.Hours != nil {
		week = *h.Hours
	}
	return longestDay(week)
}

// longestDay is the working time of the fullest day of a week; eight hours where there is none.
func longestDay(week schedule.Week) int64 {
	most := int64(0)
	for _, day := range week {
		sum := int64(0)
		for _, w := range day {
			sum += int64(w.To - w.From)
		}
		most = max(most, sum)
	}
	if most == 0 {
		return 8 * 60
	}
	return most
}

func holdState(h *schedule.Hold) string {
	switch {
	case h.Result == schedule.Pass:
		return "signed"
	case h.CalledIn != 0:
		return "calledIn"
	case h.Result == schedule.Partial:
		return "partial"
	case h.Result == schedule.Fail || h.Fails > 0:
		return "failed"
	}
	return "notAsked"
}

func (s *sheet) bar(h *schedule.Hold, l *schedule.Line) Bar {
	b := Bar{ID: h.ID, Name: h.Name, State: holdState(h), At: l.Start, To: l.Finish, Taut: l.Taut && h.Result != schedule.Pass}
	b.Label = h.Name + " · " + s.holdStatus(h, l)
	b.Brief = s.barBrief(b.State, l)
	on := s.crewsBehind(h)
	if len(on) == 0 { // a final keeps nothing shut: it lies under those it waits for
		for _, k := range s.into[h.ID] {
			if a := s.acts[k.From]; a != nil {
				on[a.Crew] = true
			}
		}
	}
	for _, c := range s.site.Crews {
		if on[c.ID] {
			b.Blocks = append(b.Blocks, c.ID)
		}
	}
	return b
}

// barBrief is what to do about a hold point, as short as a bar in the picture: "call Wed, noon". The bar
// itself lies on the day of the visit, so a weekday is enough where the call is due in the week before.
func (s *sheet) barBrief(state string, l *schedule.Line) string {
	switch {
	case state == "signed" || state == "notAsked" && l.CallBy == 0:
		return s.w.Say("bar." + state)
	case state == "calledIn":
		return s.w.Say("bar.calledIn", "when", s.w.Half(l.Start))
	}
	call := s.w.Say("bar.call", "when", s.barMoment(l.CallBy, l.Start.Day()))
	if state == "failed" {
		return s.w.Say("bar.failed", "call", call)
	}
	return call
}

func (s *sheet) barMoment(at schedule.Minute, visit schedule.Day) string {
	switch {
	case at.Day() <= visit-7:
		return s.byMoment(at)
	case at.OfDay() == 0:
		return s.w.Week(at.Day() - 1)
	case at.OfDay() >= 23*60+59:
		return s.w.Week(at.Day())
	}
	return s.w.Week(at.Day()) + " " + s.w.Clock(at.OfDay())
}

// crewsBehind are the crews whose work a hold point keeps shut. Nothing passes under one that is not signed,
// so it lies across all that comes behind it, not only across what comes next.
func (s *sheet) crewsBehind(h *schedule.Hold) map[string]bool {
	on := map[string]bool{}
	add := func(a *schedule.Activity) {
		for _, c := range crewsOf(a) {
			on[c] = true
		}
	}
	if h.Result == schedule.Pass {
		for _, a := range s.keepsShut(h.ID) {
			add(a)
		}
		return on
	}
	seen := map[string]bool{h.ID: true}
	for todo := []string{h.ID}; len(todo) > 0; todo = todo[1:] {
		for _, k := range s.from[todo[0]] {
			if seen[k.To] || s.orders[k.To] != nil {
				continue
			}
			seen[k.To] = true
			todo = append(todo, k.To)
			if a := s.acts[k.To]; a != nil && a.Started == 0 && a.Finished == 0 {
				add(a)
			}
		}
	}
	return on
}

func (s *sheet) goods(o *schedule.Order, l *schedule.Line) Goods {
	g := Goods{ID: o.ID, Name: o.Goods, At: l.Start, State: orderState(o)}
	g.Label = o.Goods + " · " + s.orderStatus(o, l)
	on := map[string]bool{}
	for _, k := range s.from[o.ID] {
		if a := s.acts[k.To]; a != nil {
			on[a.Crew] = true
		}
	}
	for _, c := range s.site.Crews {
		if on[c.ID] {
			g.For = append(g.For, c.ID)
		}
	}
	return g
}

func orderState(o *schedule.Order) string {
	switch {
	case o.Arrived != 0 && o.Short != "":
		return "short"
	case o.Arrived != 0:
		return "arrived"
	case o.Ordered != 0 || o.Due != 0:
		return "ordered"
	}
	return "toOrder"
}

func (s *sheet) orderStatus(o *schedule.Order, l *schedule.Line) string {
	switch orderState(o) {
	case "short":
		return s.w.Say("order.short", "day", s.w.Near(o.Arrived, s.today()), "what", o.Short)
	case "arrived":
		return s.w.Say("order.arrived", "day", s.w.Near(o.Arrived, s.today()))
	case "ordered":
		return s.w.Say("order.due", "day", s.w.Near(l.Start.Day(), s.today()))
	}
	if l.CallBy != 0 {
		return s.w.Say("order.by", "when", s.byMoment(l.CallBy))
	}
	return s.w.Say("order.to")
}
