package engine

import (
	"batterboard/schedule"
)

// blockView is one activity opened: when, why then, how much slack, what is in front and behind.
func (e *Engine) blockView(s *sheet, id string) *BlockView {
	a, l := s.acts[id], s.lines[id]
	if a == nil || l == nil {
		return nil
	}
	v := &BlockView{ID: id, Name: a.Name, Scope: a.Scope, Crew: a.Crew, CrewName: or(s.crewName(a.Crew), s.w.Say("nobody")),
		Trade: s.trade(a.Crew), When: s.when(l), Because: s.because(id), Slack: s.slack(l), Booking: a.Booking, Labour: a.Labour,
		Days: s.howLong(a, l), Basis: e.basisOf(s, id), Done: a.Done, Started: a.Started, Finished: a.Finished, Start: l.Start, Finish: l.Finish,
		Frozen: l.Frozen, Cautions: s.cautions(a), Acked: s.ackWords(a), Crews: s.whoCould(a), Pictures: s.photosOn(id), Papers: s.papersOn(id), Came: s.cameMark(a, l)}
	if a.ToldStart != 0 {
		v.Told = s.w.Say("told", "who", s.crewName(a.Crew), "when", s.told(s.w, a))
	}
	for _, k := range s.into[id] {
		if s.isNode(k.From) {
			v.WaitsFor = append(v.WaitsFor, s.linkLine(k, k.From))
		}
	}
	for _, k := range s.from[id] {
		if s.isNode(k.To) {
			v.Behind = append(v.Behind, s.linkLine(k, k.To))
		}
	}
	v.Clashes = e.clashesOn(s, "activity", id)
	if l.Frozen {
		v.NotEarlier = s.w.Say("frozen." + frozenKind(a))
		return v
	}
	v.Earlier, v.Later, v.NotEarlier = e.steps(s, a, l)
	v.Wish = e.wishView(s, id)
	return v
}

func frozenKind(a *schedule.Activity) string {
	if a.Finished != 0 {
		return "finished"
	}
	return "started"
}

func (s *sheet) when(l *schedule.Line) string {
	if l.Start.Day() == lastDay(l.Start, l.Finish) {
		return s.w.Long(l.Start.Day()) + ", " + s.w.Hours(l.Start.OfDay(), endOfDay(l.Finish))
	}
	return s.w.Moment(l.Start, s.today()) + " – " + s.w.Moment(l.Finish, s.today())
}

// howLong says the working days the work takes, with its range: "2 days (1–3)".
func (s *sheet) howLong(a *schedule.Activity, l *schedule.Line) string {
	_, n := s.dayOf(a.Crew, l, l.Start.Day())
	days := s.w.Count("days", int64(max(n, 1)))
	if a.Labour.Typical <= 0 {
		return s.w.Say("milestone")
	}
	if a.Labour.Low <= 0 || a.Labour.High <= a.Labour.Low {
		return days
	}
	per := s.minutesPerDay(a.ID) * int64(s.hands(a))
	up := func(x int32) int64 { return max(1, (int64(x)+per-1)/per) }
	lo, hi := up(a.Labour.Low), up(a.Labour.High)
	if lo == hi {
		return days
	}
	return days + " (" + itoa(int(lo)) + "–" + itoa(int(hi)) + ")"
}

// hands is how many people do a piece of work: as it says itself, or the whole crew.
func (s *sheet) hands(a *schedule.Activity) int32 {
	if a.Hands > 0 {
		return a.Hands
	}
	if c := s.crews[a.Crew]; c != nil && c.Size > 0 {
		return c.Size
	}
	return 1
}

// whoCould lists the crews of the same trade, the stand-ins, and the owner's own.
func (s *sheet) whoCould(a *schedule.Activity) (out []Choice) {
	trade := s.trade(a.Crew)
	for _, c := range s.site.Crews {
		if a.Crew == "" || c.ID == a.Crew || c.Trade == trade || c.Own {
			out = append(out, Choice{ID: c.ID, Name: c.Name, Note: s.trustNote(c.ID)})
		}
	}
	return out
}

// linkLine is one thing in front of or behind another, in words.
func (s *sheet) linkLine(k *schedule.Link, other string) LinkLine {
	v := LinkLine{Link: k.ID, ID: other, Kind: s.kind(other), Name: s.name(other), Text: s.besides(k), When: s.stateOf(other), Done: s.done(other), Wait: k.Wait != ""}
	if l := s.lines[k.To]; l != nil && l.Because.Kind == schedule.BecauseLink && l.Because.Link == k.ID {
		v.Binds = true
	}
	return v
}

// besides is what a link says more than that one thing waits for the end of another, which goes without saying.
func (s *sheet) besides(k *schedule.Link) string {
	if !plainLink(k) {
		return s.linkText(k)
	}
	return joined(s.lagText(k), k.Why)
}

// linkText reads "finish to start, then 24 h drying".
func (s *sheet) linkText(k *schedule.Link) string {
	kind := k.Kind
	if kind == "" {
		kind = schedule.FS
	}
	text := s.w.Say("link." + string(kind))
	if lag := s.lagText(k); lag != "" {
		text += ", " + lag
	}
	if k.Why != "" {
		text += " (" + k.Why + ")"
	}
	return text
}

func (s *sheet) lagText(k *schedule.Link) string {
	if k.Lag == 0 {
		return ""
	}
	key, lag := "lag.work", k.Lag
	if k.Clock {
		key = "lag.clock"
	}
	if lag < 0 {
		key, lag = "lag.lead", -lag
	}
	return s.w.Say(key, "n", s.lagWords(lag, k.Clock))
}

// lagWords says a lag in whole days where it is one: 24 h of drying, a working day of waiting.
func (s *sheet) lagWords(min int32, clock bool) string {
	if clock && min > 48*60 && min%(24*60) == 0 {
		return s.w.Count("days", int64(min/(24*60)))
	}
	return s.w.Effort(min)
}

// stateOf says when a node is or was: "Tue 6 – Wed 7, firm", "signed Tue 6".
func (s *sheet) stateOf(id string) string {
	l := s.lines[id]
	if l == nil {
		return ""
	}
	if h := s.holds[id]; h != nil {
		return s.holdStatus(h, l)
	}
	if o := s.orders[id]; o != nil {
		return s.orderStatus(o, l)
	}
	a := s.acts[id]
	when := s.days(l.Start, l.Finish)
	switch {
	case a == nil:
		return when
	case a.Finished != 0:
		return s.w.Say("finishedOn", "day", s.w.Near(lastDay(0, a.Finished), s.today()))
	case a.Started != 0:
		return when + ", " + s.w.Say("state.started")
	case a.Crew == "":
		return when
	}
	return when + ", " + s.booking(a.Booking)
}
