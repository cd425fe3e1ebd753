package engine

import (
	"cmp"
	"slices"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// Counted steps of the search for ways: the first answer must be there before the thumb is up again,
// every "more" looks a good deal further. Counted, not timed: every phone gets the same answer.
const (
	firstSteps = 5_000
	moreSteps  = 10_000
	maxCards   = 5
)

// asked is one question for ways and how far its search has come.
type asked struct {
	token   string
	change  Change
	edits   []opsync.Edit
	label   label
	title   string
	site    *schedule.Site // the site it was asked of: another one makes the answer stale
	changed *schedule.Site // the site as it would be
	now     schedule.Minute
	was     schedule.Minute // the finish before
	search  *schedule.Search
	reach   *schedule.Reach // instead of search: what it would take to be finished by a day
	got     *schedule.Reached
	found   *schedule.Ways
	// handed is every way this answer ever showed, by the key on its card: the list on the screen may be
	// older than the search, and whoever presses "Take this way" means the card under the thumb.
	handed map[string]*schedule.Way
}

// ways asks for ways through a change: the first ones at once.
func (e *Engine) ways(r Request) {
	if !e.mayWrite() {
		return
	}
	if r.Change == nil {
		e.refuse("refused.change")
		return
	}
	e.ask(r, *r.Change)
}

func (e *Engine) ask(r Request, c Change) bool {
	edits, title, lab, ok := e.changeEdits(&c, r.Now)
	if !ok {
		return false
	}
	changed, err := applied(e.site, edits)
	if err != nil {
		return e.refuse("refused.change")
	}
	e.nth++ // two questions of one minute are two
	a := &asked{token: e.newID() + "/" + r.Now.String() + "/" + itoa(e.nth), change: c, edits: edits, label: lab, title: title,
		site: e.site, changed: changed, now: r.Now, was: e.sheet.plan.Finish, handed: map[string]*schedule.Way{}}
	if c.Kind == "by" {
		a.reach = schedule.NewReach(e.site, r.Now, c.From)
	} else {
		a.search = schedule.NewSearchFrom(e.sheet.plan, changed, r.Now)
	}
	a.step(firstSteps)
	e.put(a)
	return true
}

// step looks n counted steps further.
func (a *asked) step(n int) {
	if a.reach == nil {
		a.search.Step(n)
		a.found = a.search.Ways()
		return
	}
	a.reach.Step(n)
	a.got = a.reach.Answer()
	a.found = &schedule.Ways{Ways: a.got.Ways, Done: a.got.Done, Steps: a.got.Steps}
	if len(a.got.Ways) == 0 && a.got.Done && a.got.Best != nil && lastDay(0, a.got.Best.Finish) < lastDay(0, a.was) {
		a.found.Ways = []schedule.Way{*a.got.Best} // not there, but sooner than now
	}
}

// mostAsked is how many questions are remembered: the one on the screen, one that is being put together,
// and one to go back to.
const mostAsked = 3

// put makes a question the present one; the oldest is forgotten.
func (e *Engine) put(a *asked) {
	e.asked = a
	e.before = slices.DeleteFunc(e.before, func(x *asked) bool { return x == a })
	if e.before = append(e.before, a); len(e.before) > mostAsked {
		e.before = e.before[1:]
	}
}

// recall makes the question of a token the present one, nil when it is forgotten.
func (e *Engine) recall(token string) *asked {
	for _, a := range e.before {
		if a.token == token {
			e.put(a)
			return a
		}
	}
	return nil
}

// more searches one budget further. When the site has changed since, it asks anew.
func (e *Engine) more(r Request) {
	a := e.recall(r.Token)
	switch {
	case a == nil:
		e.refuse("refused.staleWays")
	case a.site != e.site:
		if e.ask(r, a.change) {
			e.say("said.askedAnew")
		}
	case !a.found.Done:
		a.step(moreSteps)
	}
}

// take writes a way as one act: what happened, where every open line now lies, extra time and stand-ins.
func (e *Engine) take(r Request) {
	a := e.recall(r.Token)
	if !e.mayWrite() {
		return
	}
	if a == nil {
		e.refuse("refused.staleWays")
		return
	}
	if a.site != e.site {
		e.ask(r, a.change)
		e.refuse("refused.waysAnew")
		e.stay = "ways"
		return
	}
	w, shown := a.handed[r.Key]
	if !shown {
		e.refuse("refused.staleWays")
		return
	}
	if e.write(r, opsync.KindWay, a.label, e.sheet.withAsides(a.change, e.wayEdits(a, w))) {
		e.asked, e.before = nil, nil
		e.say("said.wayTaken", "finish", e.sheet.finishWords(), "texts", e.textsReady())
	}
}

// hand names a way by what it does: the same key always lays the same line. A name such as "soonest"
// passes from one way to the next as the search finds better ones.
func (a *asked) hand(w *schedule.Way) string {
	var b strings.Builder
	for _, l := range w.Laid {
		b.WriteString(l.ID + "@" + itoa(int(l.At)) + " ")
	}
	for _, o := range w.Openings {
		b.WriteString("+" + o.Crew + "@" + o.Day.String() + "/" + itoa(int(o.From)) + "-" + itoa(int(o.To)) + " ")
	}
	for _, x := range w.StandIns {
		b.WriteString(x.Activity + "=" + x.Crew + " ")
	}
	for _, id := range w.Twice {
		b.WriteString(id + "/2 ")
	}
	key := opsync.HashOf([]byte(b.String()))
	if _, ok := a.handed[key]; !ok {
		kept := *w
		a.handed[key] = &kept
	}
	return key
}

// wayEdits is everything a way changes. Facts come first; where lines already lie where the way lays
// them nothing is written, so that two phones do not clash over what neither moved.
func (e *Engine) wayEdits(a *asked, w *schedule.Way) []opsync.Edit {
	edits := slices.Clone(a.edits)
	id, n := e.newID(), len(edits)
	crew := map[string]string{}
	for _, x := range w.StandIns {
		crew[x.Activity] = x.Crew
	}
	moved := map[string]schedule.Move{}
	for _, m := range w.Moves {
		moved[m.ID] = m
	}
	for _, l := range w.Laid {
		kind, ed := e.sheet.layEdit(l.ID, l.At)
		if kind == "" { // a line the change itself brought, such as a fix
			kind, ed = "activity", set("activity", l.ID, "laid", l.At)
		}
		if c, ok := crew[l.ID]; ok {
			ed.Set["crew"] = value(c)
			ed.Set["booking"], ed.Set["toldStart"], ed.Set["toldFinish"] = value(nil), value(nil), value(nil)
		}
		if slices.Contains(w.Twice, l.ID) {
			ed.Set["twice"] = value(true)
		}
		if m, ok := moved[l.ID]; ok && m.Call {
			e.redate(ed, kind, l)
		}
		if len(ed.Set) > 0 {
			edits = append(edits, ed)
		}
	}
	for i, o := range w.Openings {
		edits = append(edits, set("opening", id+"."+itoa(n+i+1), "crew", o.Crew, "day", o.Day, "from", o.From, "to", o.To, "cost", o.Cost))
	}
	return edits
}

// redate undoes what was agreed with those who are not crews: an agreed visit has to be agreed anew,
// a promised delivery is asked for on its new day. Crews keep what they were told: their text says so.
func (e *Engine) redate(ed opsync.Edit, kind string, l schedule.Laid) {
	switch kind {
	case "hold":
		ed.Set["visit"] = value(nil)
	case "order":
		ed.Set["due"] = value(l.At.Day())
	}
}

// layEdit lays one line; its Set is empty when it is laid there already.
func (s *sheet) layEdit(id string, at schedule.Minute) (kind string, ed opsync.Edit) {
	var laid schedule.Minute
	switch {
	case s.acts[id] != nil:
		kind, laid = "activity", s.acts[id].Laid
	case s.holds[id] != nil:
		kind, laid = "hold", s.holds[id].Laid
	case s.orders[id] != nil:
		kind, laid = "order", s.orders[id].Laid
	default:
		return "", ed
	}
	ed = set(kind, id)
	if laid != at {
		ed.Set["laid"] = value(at)
	}
	return kind, ed
}

// layAll lays every open line to where the plan has it.
func (s *sheet) layAll(edits []opsync.Edit) []opsync.Edit {
	for i := range s.plan.Lines {
		l := &s.plan.Lines[i]
		if l.Frozen || l.Start >= schedule.Never {
			continue
		}
		if _, ed := s.layEdit(l.ID, l.Start); len(ed.Set) > 0 {
			edits = append(edits, ed)
		}
	}
	return edits
}

// waysView shows the ways last asked for.
func (e *Engine) waysView() *WaysView {
	a := e.asked
	if a == nil {
		return nil
	}
	s := e.sheet
	v := &WaysView{Token: a.token, Title: a.title, More: !a.found.Done}
	ways := toldApart(a.found.Ways)
	best := bestOf(ways)
	for i := range ways {
		c := e.card(s, a, &ways[i])
		c.Best = i == best
		v.Cards = append(v.Cards, c)
	}
	order(v.Cards, func(i, j int) bool { return v.Cards[i].Best && !v.Cards[j].Best })
	if len(v.Cards) > maxCards {
		v.Cards = v.Cards[:maxCards]
	}
	if a.reach != nil {
		v.Proof, v.Reach = s.reachView(a.got)
		return v
	}
	v.Proof = e.proofLine(a.found, len(v.Cards))
	return v
}

// toldApart leaves out what nobody could choose between: a way that another one matches or beats on all that
// its card says, the day, the calls and the cost. Calls are also weighed by how soon and how firm they are, so
// the search may hand out both. "Just push everything" stays where it is worse: it is what the others are
// measured against.
func toldApart(ways []schedule.Way) (out []schedule.Way) {
	for i := range ways {
		w := &ways[i]
		beaten := slices.ContainsFunc(ways, func(o schedule.Way) bool {
			if lastDay(0, o.Finish) > lastDay(0, w.Finish) || o.Calls > w.Calls || o.Cost > w.Cost {
				return false
			}
			if lastDay(0, o.Finish) < lastDay(0, w.Finish) || o.Calls < w.Calls || o.Cost < w.Cost {
				return !isPush(w)
			}
			return better(&o, w) || !better(w, &o) && isPush(w) && !isPush(&o)
		})
		if !beaten {
			out = append(out, *w)
		}
	}
	return out
}

func isPush(w *schedule.Way) bool {
	return w.Key == schedule.WayPush || slices.Contains(w.Also, schedule.WayPush)
}

// bestOf is the way we would take: no extra cost if that is possible, then the soonest day, then the
// fewest calls.
func bestOf(ways []schedule.Way) int {
	best := -1
	for i := range ways {
		if best < 0 || better(&ways[i], &ways[best]) {
			best = i
		}
	}
	return best
}

func better(a, b *schedule.Way) bool {
	return cmp.Or(cmp.Compare(a.Cost, b.Cost), cmp.Compare(lastDay(0, a.Finish), lastDay(0, b.Finish)),
		cmp.Compare(a.Weight, b.Weight), cmp.Compare(a.Drift, b.Drift)) < 0
}

// proofLine says how many ways there are, and the most that is certain about all of them. That the soonest is
// the soonest holds whoever works extra and when; that the set is whole, for extra hours in the coming weeks.
func (e *Engine) proofLine(f *schedule.Ways, n int) string {
	w := e.words()
	line := w.Count("ways.count", int64(n))
	switch {
	case provedSoonest(f.Ways):
		line += " " + w.Say("proof.soonest")
	case f.Whole:
		line += " " + w.Say("proof.whole")
	case f.Done:
		line += " " + w.Say("proof.found")
	default:
		line += " " + w.Say("proof.looking")
	}
	return line
}

// provedSoonest says whether the soonest of all ways, whatever it costs, is proved to be that.
func provedSoonest(ways []schedule.Way) bool {
	at := 0
	for i := range ways {
		if lastDay(0, ways[i].Finish) < lastDay(0, ways[at].Finish) {
			at = i
		}
	}
	return len(ways) > 0 && ways[at].Proved.Soonest
}

// card is one way in words.
func (e *Engine) card(s *sheet, a *asked, w *schedule.Way) WayCard {
	c := WayCard{Key: a.hand(w), Finish: s.finishAgainst(a.was, w.Finish), Calls: s.w.Count("calls", int64(w.Calls)), Name: s.wayNames(w, a.was)}
	if w.Calls == 0 {
		c.Calls = s.w.Say("calls.none")
	}
	if w.Cost > 0 {
		c.Cost = "+ " + s.w.Money(w.Cost)
	}
	c.Extra = s.extras(w)
	c.Proof = s.proof(w, a.found)
	moves := s.toAsk(w)
	if n := s.moreCalls(moves, w); n > 0 {
		c.Calls = s.w.Count("calls", int64(int(w.Calls)+n))
	}
	order(moves, func(i, j int) bool {
		if x, y := moves[i], moves[j]; x.Weight != y.Weight {
			return x.Weight > y.Weight
		}
		return before(moves[i].Start, moves[j].Start, moves[i].ID, moves[j].ID)
	})
	for _, call := range []bool{true, false} {
		for _, m := range moves {
			if m.Call == call {
				r, same := s.row(m, a, w)
				if m.FromStart == 0 && s.lines[m.ID] == nil { // it was not there before
					r.What, r.When, r.From = or(a.newName(m.ID), r.What), s.w.Say("row.new", "to", s.days(m.Start, m.Finish)), ""
				} else if same && !call { // an hour sooner or later on its day is nobody's news
					continue
				}
				c.Rows = append(c.Rows, r)
			}
			if call && m.Was != "" && m.Was != m.Who && s.hasHeard(m.ID) { // a stand-in: the crew before must hear as well, if it ever heard
				c.Rows = append(c.Rows, s.released(m))
			}
		}
	}
	for _, r := range c.Rows {
		if !r.Call {
			c.Quiet++
		}
	}
	together(c.Rows[:len(c.Rows)-c.Quiet])
	return c
}

// toAsk is a way's moves; a hired crew that gets work nobody had planned has to be asked for it, one that works
// extra hours for them, and one that is in the middle of its work has to hear that it goes on another day.
func (s *sheet) toAsk(w *schedule.Way) []schedule.Move {
	moves := slices.Clone(w.Moves)
	for i := range moves {
		m := &moves[i]
		extra := slices.ContainsFunc(w.Openings, func(o schedule.Opening) bool {
			return o.Crew == m.Who && m.Start.Day() <= o.Day && o.Day <= lastDay(m.Start, m.Finish)
		})
		if m.Who == "" || !extra && !s.runsOn(m.ID) && (m.FromStart != 0 || s.lines[m.ID] != nil) {
			continue
		}
		if c := s.crews[m.Who]; c != nil && !c.Own {
			m.Call = true
		}
		if s.runsOn(m.ID) { // they stand in the room, or would
			m.Weight = schedule.CallWeight(schedule.Firm, s.now, s.now)
		}
	}
	return moves
}

// hasHeard says whether somebody was asked to do work, or said yes.
func (s *sheet) hasHeard(id string) bool {
	return s.acts[id] != nil && s.acts[id].Booking != schedule.Pencilled
}

// runsOn says whether work is under way: its start is a fact, only its end moves.
func (s *sheet) runsOn(id string) bool { return s.acts[id] != nil && s.acts[id].Started != 0 }

// moreCalls counts the crews that are called for new work or work under way alone: every way has those, so the
// search does not count them.
func (s *sheet) moreCalls(moves []schedule.Move, w *schedule.Way) (n int) {
	told := map[string]bool{}
	for _, o := range w.Openings {
		told[o.Crew] = true
	}
	besides := func(m schedule.Move) bool { return m.FromStart == 0 || s.runsOn(m.ID) }
	for _, m := range moves {
		if m.Call && !besides(m) {
			told[m.Who] = true
		}
	}
	for _, m := range moves {
		if m.Call && besides(m) && !told[m.Who] {
			told[m.Who] = true
			n++
		}
	}
	return n
}

// newName is what a thing is called that only the question brings.
func (a *asked) newName(id string) string {
	if x := a.changed.Activity(id); x != nil {
		return x.Name
	}
	if o := a.changed.Order(id); o != nil {
		return o.Goods
	}
	return ""
}

// together puts the rows of one crew side by side, in the order in which the crews first appear: one
// call tells them all.
func together(rows []WayRow) {
	first := map[string]int{}
	for i, r := range rows {
		if _, ok := first[r.Who]; !ok {
			first[r.Who] = i
		}
	}
	order(rows, func(i, j int) bool { return first[rows[i].Who] < first[rows[j].Who] })
}

// wayNames says all that a way is: "soonest finish, fewest calls".
func (s *sheet) wayNames(w *schedule.Way, was schedule.Minute) string {
	names := []string{s.wayName(w.Key)}
	if names[0] == s.w.Say("way.even") && lastDay(0, w.Finish) <= lastDay(0, was) {
		names[0] = s.w.Say("way.holds")
	}
	for _, k := range w.Also {
		if n := s.wayName(k); !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	return strings.Join(names, ", ")
}

func (s *sheet) wayName(key string) string {
	k := "way." + strings.TrimRight(key, "0123456789")
	if s.w.Has(k) {
		return s.w.Say(k)
	}
	return s.w.Say("way.other")
}

// finishAgainst says a finish beside the one before: "finish holds Thu 22", "finish Fri 23 (+1)".
func (s *sheet) finishAgainst(was, now schedule.Minute) string {
	a, b := lastDay(0, was), lastDay(0, now)
	day := s.w.Near(b, s.today())
	switch {
	case was == 0 || now == 0:
		return ""
	case a == b:
		return s.w.Say("finish.holds", "day", day)
	}
	n := s.workDaysBetween(a, b)
	sign := "+"
	if n < 0 {
		sign, n = "−", -n
	}
	if n == 0 {
		return s.w.Say("finish.day", "day", day)
	}
	return s.w.Say("finish.moves", "day", day, "n", sign+itoa(int(n)))
}

// proof says what is certain about a way. What is proved of a way is proved at its cost: a free one may
// stand beside a dearer one that finishes sooner, and then says so.
func (s *sheet) proof(w *schedule.Way, f *schedule.Ways) string {
	free := ""
	if w.Cost == 0 && (!f.Done || slices.ContainsFunc(f.Ways, func(x schedule.Way) bool { return x.Cost > 0 })) {
		free = ".free"
	}
	switch p := w.Proved; {
	case p.Soonest && p.Fewest:
		return s.w.Say("proof.both" + free)
	case p.Soonest:
		return s.w.Say("proof.soonest" + free)
	case p.Fewest:
		return s.w.Say("proof.fewest")
	case !f.Done:
		return s.w.Say("proof.open")
	}
	return ""
}

// extras names what a way asks beyond the usual: Saturday work, overtime, a stand-in.
func (s *sheet) extras(w *schedule.Way) string {
	var out []string
	add := func(t string) {
		if !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	for _, o := range w.Openings { // all days of a crew in one breath
		var days []string
		for _, x := range w.Openings {
			if x.Crew == o.Crew && extraKey(x) == extraKey(o) {
				days = append(days, s.w.Near(x.Day, s.today()))
			}
		}
		add(s.w.Say(extraKey(o), "who", s.crewName(o.Crew), "days", s.w.List(days)))
	}
	for _, x := range w.StandIns {
		add(s.w.Say("extra.standIn", "who", s.crewName(x.Crew)))
	}
	for _, id := range w.Twice {
		if a := s.acts[id]; a != nil {
			add(s.w.Say("extra.twice", "who", s.crewName(a.Crew), "what", s.name(id)))
		}
	}
	return strings.Join(out, " · ")
}

func extraKey(o schedule.Opening) string {
	if o.Day.Weekday() >= 5 {
		return "extra.saturday"
	}
	return "extra.overtime"
}

// row says who moves from when to when; same that it stays on its days, and in the same half of the first.
func (s *sheet) row(m schedule.Move, a *asked, w *schedule.Way) (r WayRow, same bool) {
	r = WayRow{ID: m.ID, Call: m.Call, What: s.name(m.ID)}
	from, to := s.days(m.FromStart, m.FromFinish), s.days(m.Start, m.Finish)
	switch {
	case s.holds[m.ID] != nil:
		h := s.holds[m.ID]
		r.Who, r.Phone = or(h.Agency, s.w.Say("inspector")), h.Phone
		from, to = s.visitWords(m.FromStart), s.visitWords(m.Start)
	case s.orders[m.ID] != nil:
		o := s.orders[m.ID]
		r.Who, r.Phone = or(o.Supplier, s.w.Say("delivery")), o.Phone
		from, to = s.w.Near(m.FromStart.Day(), s.today()), s.w.Near(m.Start.Day(), s.today())
	default:
		who := m.Who
		if a := s.acts[m.ID]; who == "" && a != nil {
			who = a.Crew
		}
		r.Who = or(s.crewName(who), s.w.Say("nobody"))
		if c := s.crews[who]; c != nil {
			r.Phone = c.Phone
		}
		if slices.Contains(w.Twice, m.ID) {
			to = s.visits(a.changed, who, m.Start, m.Finish)
		}
	}
	if from == to {
		same = s.w.Half(m.FromStart) == s.w.Half(m.Start)
		to += ", " + s.w.Clock(m.Start.OfDay())
		from = s.w.Clock(m.FromStart.OfDay())
	}
	r.When, r.From = to, s.w.Say("row.from", "from", from)
	if s.runsOn(m.ID) {
		r.When, r.From = s.w.Say("row.until", "to", s.w.Near(lastDay(0, m.Finish), s.today())), s.w.Say("row.not", "from", s.w.Near(lastDay(0, m.FromFinish), s.today()))
	}
	if m.Was != "" && m.Was != m.Who {
		r.From = s.w.Say("row.insteadOf", "who", s.crewName(m.Was))
	}
	return r, same
}

// visits are the days of work that is cut in two by days its crew is away: "Tue 6 and Thu 8".
func (s *sheet) visits(site *schedule.Site, crew string, start, finish schedule.Minute) string {
	away := func(d schedule.Day) bool {
		return slices.ContainsFunc(site.Away, func(x schedule.Away) bool { return x.Crew == crew && x.From <= d && d <= max(x.To, x.From) })
	}
	works := site.CrewCalendar(crew, start.Day())
	var runs []string
	for d, last := start.Day(), lastDay(start, finish); d <= last; d++ {
		if away(d) || !works.IsWorkingDay(d) { // a weekend beside the days away is no part of a visit
			continue
		}
		from, to := d, d
		for ; d < last && !away(d+1); d++ {
			if works.IsWorkingDay(d + 1) {
				to = d + 1
			}
		}
		runs = append(runs, s.w.Span(from, to, s.today()))
	}
	return s.w.List(runs)
}

// released tells the crew whose work a stand-in takes over.
func (s *sheet) released(m schedule.Move) WayRow {
	r := WayRow{ID: m.ID, Call: true, What: s.name(m.ID), Who: s.crewName(m.Was), When: s.w.Say("row.released", "from", s.days(m.FromStart, m.FromFinish))}
	if c := s.crews[m.Was]; c != nil {
		r.Phone = c.Phone
	}
	return r
}

func (s *sheet) finishWords() string { return s.dated(lastDay(0, s.plan.Finish)) }

// textsReady says how many moved texts are drafted now.
func (e *Engine) textsReady() string {
	n := len(e.sheet.movedTexts())
	if n == 0 {
		return e.words().Say("texts.noneReady")
	}
	return e.words().Count("texts.ready", int64(n))
}
