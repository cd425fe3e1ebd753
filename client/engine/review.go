package engine

import (
	"slices"
	"strings"

	"batterboard/client/engine/trade"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// The plan review: what a careful planner would question. Every rule looks at the sheet and asks; nothing
// is changed and nothing is forbidden. A question that was settled stays settled as long as it is about the
// same thing.

// reviewRules in the order of their weight: what cannot be undone first.
var reviewRules = []struct {
	id string
	of func(*sheet) []ReviewLine
}{
	{"apart", (*sheet).apartQuestions},
	{"cover", (*sheet).coverQuestions}, {"ack", (*sheet).ackQuestions}, {"order", (*sheet).orderQuestions}, {"wait", (*sheet).waitQuestions},
	{"double", (*sheet).doubleQuestions}, {"visit", (*sheet).visitQuestions}, {"goods", (*sheet).goodsQuestions}, {"person", (*sheet).personQuestions},
}

// review is all questions, those left as they are marked with the reason. It is made once for a sheet.
func (s *sheet) review() []ReviewLine {
	if s.asked != nil {
		return s.asked
	}
	left := map[string]*schedule.Settled{}
	for i := range s.site.Settled {
		left[s.site.Settled[i].ID] = &s.site.Settled[i]
	}
	s.asked = []ReviewLine{}
	seen := map[string]bool{}
	for _, r := range reviewRules {
		for _, q := range r.of(s) {
			q.Kind = s.kind(q.Open)
			if x := left[q.ID]; x != nil {
				q.Left = joined(x.Why, x.By)
			}
			if !seen[q.ID] {
				seen[q.ID] = true
				s.asked = append(s.asked, q)
			}
		}
	}
	return s.asked
}

// questions counts those that are open.
func (s *sheet) questions() (n int) {
	for _, q := range s.review() {
		if q.Left == "" {
			n++
		}
	}
	return n
}

func (s *sheet) reviewView() *ReviewView {
	v := &ReviewView{Foot: s.w.Say("review.foot")}
	for _, q := range s.review() {
		if q.Left != "" {
			v.Settled = append(v.Settled, q)
		} else if len(v.Questions) < 100 {
			v.Questions = append(v.Questions, q)
		}
	}
	v.Line = s.w.Say("review.none")
	if len(s.site.Activities) == 0 {
		v.Line = s.w.Say("lead.empty")
	}
	if n := s.questions(); n > 0 {
		v.Line = s.w.Count("review.line", int64(n))
	}
	return v
}

// ask makes a question of a rule about one thing, or about two.
func (s *sheet) ask(rule, key string, about []string, gaps ...string) ReviewLine {
	return ReviewLine{ID: questionID(key, about), Rule: s.w.Say("rule." + rule), Text: s.w.Say("ask."+key, gaps...), Why: s.w.Say("why."+key, gaps...), Open: about[0]}
}

// questionID names a question by its rule and what it is about.
func questionID(key string, about []string) string {
	id := key + "/" + strings.Join(about, "/")
	if len(id) > opsync.MaxID { // a name made from two long names; the hash is as good for finding it again
		id = key + "/" + opsync.HashOf([]byte(id))[:16]
	}
	return id
}

// ahead lists the activities that have not begun.
func (s *sheet) ahead() (out []*schedule.Activity) {
	for i := range s.site.Activities {
		if a := &s.site.Activities[i]; a.Started == 0 && a.Finished == 0 && s.lines[a.ID] != nil && s.lines[a.ID].Start < schedule.Never {
			out = append(out, a)
		}
	}
	return out
}

// coverQuestions: a cover-up that nobody looks at before, or that hides what should have been photographed.
func (s *sheet) coverQuestions() (out []ReviewLine) {
	looked := s.behindHolds()
	for _, a := range s.ahead() {
		if !a.Cover {
			continue
		}
		if !looked[a.ID] {
			out = append(out, s.ask("cover", "cover", []string{a.ID}, "what", a.Name))
		}
		for _, k := range s.into[a.ID] {
			if h := s.holds[k.From]; h != nil && h.Result == schedule.Pass && h.Taken < h.Photos {
				out = append(out, s.ask("cover", "photos", []string{a.ID, h.ID}, "what", a.Name, "hold", h.Name, "n", itoa(int(h.Photos-h.Taken))))
			}
		}
	}
	return out
}

// behindHolds is everything that some hold point stands in front of, over any number of links: one walk for
// all, because the count of questions is on every screen.
func (s *sheet) behindHolds() map[string]bool {
	seen := map[string]bool{}
	var todo []string
	for i := range s.site.Holds {
		todo = append(todo, s.site.Holds[i].ID)
	}
	for len(todo) > 0 {
		x := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for _, k := range s.from[x] {
			if !seen[k.To] {
				seen[k.To] = true
				todo = append(todo, k.To)
			}
		}
	}
	return seen
}

// ackQuestions: a stop caution that nobody has read, and the work starts within two days.
func (s *sheet) ackQuestions() (out []ReviewLine) {
	for _, a := range s.ahead() {
		if s.lines[a.ID].Start.Day() > s.today()+2 {
			continue
		}
		if text, must := s.mustAck(a); must {
			out = append(out, s.ask("ack", "ack", []string{a.ID}, "what", a.Name, "caution", text, "day", s.w.Near(s.lines[a.ID].Start.Day(), s.today())))
		}
	}
	return out
}

// orderQuestions: the order of work against common practice, and floors before paint.
func (s *sheet) orderQuestions() (out []ReviewLine) {
	for _, q := range trade.Sequences() {
		for _, first := range q.First {
			for _, then := range q.Then {
				a, b := s.acts[first], s.acts[then]
				if a == nil || b == nil || a.Finished != 0 || b.Started != 0 || s.lines[first] == nil || s.lines[then] == nil || s.lines[then].Start >= s.lines[first].Finish {
					continue
				}
				x := s.ask("order", "sequence", []string{then, first}, "what", b.Name, "other", a.Name, "why", q.Why.In(s.w.Code), "source", s.source(q.Source))
				out = append(out, x)
			}
		}
	}
	return append(out, s.floorQuestions()...)
}

// beforePaint is work of the floor's crew that belongs before the paint: tests, and tile, whose grout
// splashes. Common practice, no source.
var beforePaint = []string{"tile", "shower-pan", "slab-probe", "slab-read", "slab-test"}

func (s *sheet) floorQuestions() (out []ReviewLine) {
	var floors, paints []*schedule.Activity
	for _, a := range s.ahead() {
		switch s.trade(a.Crew) {
		case "floor":
			if !slices.Contains(beforePaint, a.ID) {
				floors = append(floors, a)
			}
		case "paint":
			paints = append(paints, a)
		}
	}
	for _, a := range floors {
		for _, b := range paints {
			if a.Place == b.Place && s.lines[a.ID].Start < s.lines[b.ID].Start && !known(a.ID, b.ID) {
				out = append(out, s.ask("order", "floorFirst", []string{a.ID, b.ID}, "what", a.Name, "other", b.Name))
			}
		}
	}
	return out
}

// known says that a sequence of the trade speaks of two works already.
func known(then, first string) bool {
	for _, q := range trade.Sequences() {
		if slices.Contains(q.First, first) && slices.Contains(q.Then, then) {
			return true
		}
	}
	return false
}

// waitQuestions: work on what must dry, without a wait; a wait shorter than its rule allows; a wait of the
// day's hours only, though things dry at night.
func (s *sheet) waitQuestions() (out []ReviewLine) {
	for i := range s.site.Links {
		k := &s.site.Links[i]
		a, b := s.acts[k.From], s.acts[k.To]
		if a == nil || b == nil || b.Started != 0 || b.Finished != 0 || !plainLink(k) || s.lines[k.To] == nil {
			continue
		}
		dries := trade.Dries(s.trade(a.Crew), s.trade(b.Crew))
		if k.Wait == "" && k.Lag == 0 && dries != "" && !s.waitsOtherwise(k) && !s.sanded(a) {
			span, _ := trade.WaitFor(dries, trade.Usual, 0)
			out = append(out, s.ask("wait", "noWait", []string{k.To, k.From}, "what", b.Name, "other", a.Name, "n", s.long(trade.Rounded(span.Typical)), "rule", trade.WaitName(dries, s.w.Code)))
			continue
		}
		if span, _, _ := s.saidWait(k); k.Wait != "" && span.Low > 0 && k.Lag < trade.Rounded(span.Low) {
			out = append(out, s.ask("wait", "shortWait", []string{k.To, k.ID}, "what", b.Name, "other", a.Name, "n", s.long(k.Lag), "low", s.long(trade.Rounded(span.Low)), "rule", trade.WaitName(k.Wait, s.w.Code)))
		}
	}
	return out
}

// waitsOtherwise says that another link or a hold point already keeps the two apart.
func (s *sheet) waitsOtherwise(k *schedule.Link) bool {
	return s.lines[k.From] != nil && s.lines[k.To].Start >= s.lines[k.From].Finish+12*60
}

// sanded says that a work leaves nothing that dries: sanding and looking, after the last coat.
func (s *sheet) sanded(a *schedule.Activity) bool {
	for _, k := range s.into[a.ID] {
		if p := s.acts[k.From]; p != nil && p.Crew == a.Crew && k.Lag > 0 && k.Clock {
			for _, n := range s.from[a.ID] {
				if b := s.acts[n.To]; b != nil && b.Crew != a.Crew {
					return true
				}
			}
		}
	}
	return false
}

// doubleQuestions: a crew promised to two works at once, or on days it said it can't come.
func (s *sheet) doubleQuestions() (out []ReviewLine) {
	open := s.ahead()
	for i, a := range open {
		if a.Booking == schedule.Pencilled || a.ToldStart == 0 || a.Crew == "" {
			continue
		}
		for _, w := range s.site.Away {
			if w.Crew == a.Crew && w.From <= lastDay(a.ToldStart, a.ToldFinish) && a.ToldStart.Day() <= w.To {
				out = append(out, s.ask("double", "away", []string{a.ID, w.ID}, "who", s.crewName(a.Crew), "what", a.Name, "days", s.w.Span(w.From, w.To, s.today())))
			}
		}
		if c := s.crews[a.Crew]; c != nil && c.Teams > 1 {
			continue
		}
		for _, b := range open[i+1:] {
			if b.Crew == a.Crew && b.Booking != schedule.Pencilled && b.ToldStart != 0 && b.ToldStart < a.ToldFinish && a.ToldStart < b.ToldFinish {
				out = append(out, s.ask("double", "twice", []string{a.ID, b.ID}, "who", s.crewName(a.Crew), "what", a.Name, "other", b.Name))
			}
		}
	}
	return out
}

// visitQuestions: a booked inspection with nothing between it and the work it looks at; a hold point that
// asks for no notice.
func (s *sheet) visitQuestions() (out []ReviewLine) {
	for i := range s.site.Holds {
		h := &s.site.Holds[i]
		l := s.lines[h.ID]
		if l == nil || h.Result == schedule.Pass {
			continue
		}
		if h.Visit > s.now {
			for _, k := range s.into[h.ID] {
				p := s.lines[k.From]
				if p != nil && s.acts[k.From] != nil && !p.Frozen && p.Finish <= h.Visit && s.workBetween(p.Finish, h.Visit) < tight {
					out = append(out, s.ask("visit", "tightVisit", []string{h.ID, k.From}, "what", h.Name, "other", s.name(k.From), "when", s.w.Moment(h.Visit, s.today())))
				}
			}
		}
		if len(s.into[h.ID]) == 0 {
			out = append(out, s.ask("visit", "looksAtNothing", []string{h.ID}, "what", h.Name))
		}
	}
	return out
}

// tight is the working time that should lie before a booked visit, in minutes: half a morning for what
// always goes wrong. Common practice, no source.
const tight = 2 * 60

// workBetween is the site's working time between two moments.
func (s *sheet) workBetween(from, to schedule.Minute) (n schedule.Minute) {
	for d := from.Day(); d <= to.Day() && n < tight; d++ {
		if _, shut := s.shut(d); shut {
			continue
		}
		for _, w := range s.week[d.Weekday()] {
			n += max(0, min(to, d.At(w.To))-max(from, d.At(w.From)))
		}
	}
	return n
}

// goodsQuestions: goods with nowhere to stand, nobody waiting for them, the opening closed before them, or
// firm before the gate that could cancel them.
func (s *sheet) goodsQuestions() (out []ReviewLine) {
	for i := range s.site.Orders {
		o := &s.site.Orders[i]
		l := s.lines[o.ID]
		if l == nil || o.Arrived != 0 {
			continue
		}
		day := s.w.Near(l.Start.Day(), s.today())
		p := s.places[o.Stands]
		switch {
		case p == nil && o.WeightKg >= standKg:
			out = append(out, s.ask("goods", "nowhere", []string{o.ID}, "what", o.Goods, "weight", s.weight(int64(o.WeightKg)), "day", day))
		case p != nil && (o.WeightKg >= heavyKg || o.Wide) && s.takenBy(p, l.Start.Day()) != "":
			by := s.takenBy(p, l.Start.Day())
			out = append(out, s.ask("goods", "taken", []string{o.ID, by}, "what", o.Goods, "where", p.Name, "other", s.name(by), "day", day))
		}
		if c := s.closesOver(o, l); c != nil {
			out = append(out, s.ask("goods", "wide", []string{o.ID, c.ID}, "what", o.Goods, "other", c.Name, "day", day))
		}
		if len(s.from[o.ID]) == 0 {
			out = append(out, s.ask("goods", "nobody", []string{o.ID}, "what", o.Goods))
		}
		if g := s.gateShut(o); g != "" && o.Ordered != 0 {
			out = append(out, s.ask("goods", "firm", []string{o.ID, g}, "what", o.Goods, "other", s.name(g)))
		}
	}
	return out
}

// personQuestions: a wait of working time with no rule is most often a wait for somebody.
func (s *sheet) personQuestions() (out []ReviewLine) {
	for i := range s.site.Links {
		k := &s.site.Links[i]
		if a := s.acts[k.To]; k.Lag >= dayOfWork && !k.Clock && k.Wait == "" && a != nil && a.Started == 0 && s.isNode(k.From) {
			out = append(out, s.ask("person", "person", []string{k.To, k.ID}, "what", a.Name, "other", s.name(k.From), "n", s.w.Effort(k.Lag)))
		}
	}
	return out
}

// dayOfWork is a working day in minutes; shorter lags are clearing up.
const dayOfWork = 8 * 60

// settle leaves a question as it is, with a reason; without one it is asked again.
func (e *Engine) settle(r Request) {
	if !e.mayWrite() {
		return
	}
	why := strings.TrimSpace(r.Said)
	i := slices.IndexFunc(e.sheet.review(), func(q ReviewLine) bool { return q.ID == r.ID })
	switch {
	case i < 0 || len(r.ID) > opsync.MaxID:
		e.refuse("refused.noQuestion")
		return
	case why == "" && e.sheet.review()[i].Left == "":
		e.refuse("refused.noReason")
		return
	case !e.fits("why", why, maxShort):
		return
	case len(e.site.Settled) >= schedule.MaxSettled:
		e.refuse("refused.full", "n", itoa(schedule.MaxSettled), "what", e.words().Say("kind.settled"))
		return
	}
	q := e.sheet.review()[i]
	if why == "" {
		e.write(r, opsync.KindEdit, label{"askAgain", q.Text}, []opsync.Edit{removed("settled", r.ID, true)})
		return
	}
	ed := set("settled", r.ID, "why", why, "by", e.who(e.device), "at", r.Now)
	if e.write(r, opsync.KindEdit, label{"settle", q.Text}, e.alive([]opsync.Edit{ed})) {
		e.say("said.settled")
	}
}
