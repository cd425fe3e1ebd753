package engine

import (
	"batterboard/schedule"
)

// holdsView answers "what holds up the board": the hold points in front of an activity, whole way up,
// and the other things directly in front.
func (e *Engine) holdsView(s *sheet, id string) *HoldsView {
	v := &HoldsView{Choices: s.holdChoices()}
	if !s.isNode(id) {
		if len(v.Choices) == 0 {
			v.Line, v.Foot = s.w.Say("holds.none"), s.w.Say("holds.foot")
			return v
		}
		id = v.Choices[0].ID
	}
	v.For, v.Name, v.Foot = id, s.name(id), s.w.Say("holds.foot")
	if a := s.acts[id]; a != nil {
		v.Trade = s.trade(a.Crew)
	}
	signed := 0
	holds := s.holdsBefore(id)
	if h := s.holds[id]; h != nil { // opened from a bar or a call: the hold itself comes first
		holds = append([]*schedule.Hold{h}, holds...)
	}
	for _, h := range holds {
		if h.Result == schedule.Pass {
			signed++
		}
		v.Holds = append(v.Holds, e.holdLine(s, h))
		v.Clashes = append(v.Clashes, e.clashesOn(s, "hold", h.ID)...)
	}
	for _, k := range s.into[id] {
		if s.holds[k.From] == nil && s.isNode(k.From) && s.holds[id] == nil {
			v.Others = append(v.Others, s.linkLine(k, k.From))
		}
	}
	v.Line = s.holdsLine(id, signed, len(v.Holds))
	return v
}

func (s *sheet) holdsLine(id string, signed, all int) string {
	l := s.lines[id]
	if l == nil {
		return ""
	}
	if s.holds[id] != nil {
		var names []string
		for _, a := range s.keepsShut(id) {
			if a.Started == 0 && len(names) < 5 {
				names = append(names, a.Name)
			}
		}
		if len(names) == 0 {
			return s.w.Say("holds.keepsNothing", "what", s.name(id))
		}
		return s.w.Say("holds.keepsShut", "what", s.name(id), "names", s.w.List(names))
	}
	key := "holds.starts"
	if a := s.acts[id]; a != nil && (a.Started != 0 || a.Finished != 0) {
		key = "holds.started"
	}
	line := s.w.Say(key, "what", s.name(id), "day", s.dated(l.Start.Day()))
	if all == 0 {
		return line + " " + s.w.Say("holds.noneBefore")
	}
	return line + " " + s.w.Say("holds.signed", "k", itoa(signed), "n", itoa(all))
}

// holdChoices are the open activities with something in front: cover-ups first, then by date.
func (s *sheet) holdChoices() []Choice {
	type pick struct {
		Choice
		rank int
		at   schedule.Minute
	}
	var all []pick
	for i := range s.site.Activities {
		a := &s.site.Activities[i]
		l := s.lines[a.ID]
		if l == nil || a.Finished != 0 || len(s.into[a.ID]) == 0 {
			continue
		}
		rank := 2
		if len(s.holdsBefore(a.ID)) > 0 {
			rank = 1
		}
		if a.Cover && s.openHolds(a.ID) > 0 {
			rank = 0
			if s.trade(a.Crew) == "board" { // the board is what everybody asks about
				rank = -1
			}
		}
		all = append(all, pick{Choice{ID: a.ID, Name: a.Name}, rank, l.Start})
	}
	order(all, func(i, j int) bool {
		if x, y := all[i], all[j]; x.rank != y.rank {
			return x.rank < y.rank
		}
		return before(all[i].at, all[j].at, all[i].ID, all[j].ID)
	})
	out := make([]Choice, len(all))
	for i, p := range all {
		out[i] = p.Choice
	}
	return out
}

func (s *sheet) openHolds(id string) (n int) {
	for _, h := range s.holdsBefore(id) {
		if h.Result != schedule.Pass {
			n++
		}
	}
	return n
}

// holdsBefore are the hold points anywhere in front of a node, by date.
func (s *sheet) holdsBefore(id string) (out []*schedule.Hold) {
	seen := map[string]bool{id: true}
	todo := []string{id}
	for len(todo) > 0 {
		x := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for _, k := range s.into[x] {
			if seen[k.From] {
				continue
			}
			seen[k.From] = true
			if h := s.holds[k.From]; h != nil {
				out = append(out, h)
				if h.Result == schedule.Pass { // what stood in front of a signed hold is history
					continue
				}
			}
			if a := s.acts[k.From]; a != nil && a.Finished != 0 && s.signedBehind(a.ID) {
				continue
			}
			todo = append(todo, k.From)
		}
	}
	at := func(h *schedule.Hold) schedule.Minute {
		if l := s.lines[h.ID]; l != nil {
			return l.Start
		}
		return 0
	}
	order(out, func(i, j int) bool { return before(at(out[i]), at(out[j]), out[i].ID, out[j].ID) })
	return out
}

// keepsShut lists what a hold point keeps from starting: the work right behind it, and behind other
// hold points that wait for it.
func (s *sheet) keepsShut(id string) (out []*schedule.Activity) {
	seen := map[string]bool{id: true}
	for todo := []string{id}; len(todo) > 0; todo = todo[1:] {
		for _, k := range s.from[todo[0]] {
			if seen[k.To] {
				continue
			}
			seen[k.To] = true
			if a := s.acts[k.To]; a != nil {
				out = append(out, a)
			} else if s.holds[k.To] != nil {
				todo = append(todo, k.To)
			}
		}
	}
	return out
}

// signedBehind says that finished work was already looked at: some hold right behind it is signed.
func (s *sheet) signedBehind(id string) bool {
	for _, k := range s.from[id] {
		if h := s.holds[k.To]; h != nil && h.Result == schedule.Pass {
			return true
		}
	}
	return false
}

func (e *Engine) holdLine(s *sheet, h *schedule.Hold) HoldLine {
	l := s.lines[h.ID]
	v := HoldLine{ID: h.ID, Name: h.Name, Code: h.Code, State: holdState(h), Ready: h.Ready, Photos: h.Photos, Taken: s.taken(h), Pictures: s.photosOn(h.ID), Papers: s.papersOn(h.ID),
		Phone: h.Phone, Agency: h.Agency, Said: h.Said}
	if l == nil {
		return v
	}
	v.Status, v.Visit = s.holdStatus(h, l), s.visitLine(h, l)
	v.Parts, v.Passed, v.PartsLine, v.Fee = append([]string{}, h.Parts...), append([]string{}, h.Passed...), s.partsLine(h), s.feeLine(h)
	for _, k := range s.into[h.ID] {
		if s.isNode(k.From) && !s.linkMet(k) { // what is done holds nothing up any more
			v.Waits = append(v.Waits, s.linkLine(k, k.From))
		}
	}
	v.Late = h.Result != schedule.Pass && h.CalledIn == 0 && l.CallBy != 0 && l.CallBy < s.now
	switch {
	case h.Result == schedule.Pass:
	case h.CalledIn == 0:
		v.Next, v.Visits = "callIn", s.visitChoices(h, l)
	case l.Start <= s.now:
		v.Next = "result"
	case v.Taken < h.Photos:
		v.Next = "photos"
	}
	if h.CalledIn != 0 && h.Visit == 0 && h.Result != schedule.Pass && l.Start > s.now { // they did not say then which visit it would be
		v.Visits = s.visitChoices(h, l)
	}
	if h.Fails > 0 && h.Result != schedule.Pass {
		v.Effect = e.failEffect(s, h)
	}
	return v
}

// holdStatus is the short word at the right of a hold: "signed Tue 6", "call in by Wed 7, noon".
func (s *sheet) holdStatus(h *schedule.Hold, l *schedule.Line) string {
	switch holdState(h) {
	case "signed":
		return s.w.Say("hold.signed", "day", s.w.Near(h.ResultAt.Day(), s.today()))
	case "calledIn":
		if h.Visit != 0 {
			return s.w.Say("hold.visit", "when", s.visitWords(l.Start))
		}
		return s.w.Say("hold.calledIn", "when", s.visitWords(l.Start))
	case "failed":
		return s.w.Say("hold.failed", "when", s.byMoment(l.CallBy))
	case "partial":
		return s.w.Say("hold.partial", "when", s.byMoment(l.CallBy))
	}
	if l.CallBy == 0 {
		return s.w.Say("hold.notAsked")
	}
	return s.w.Say("hold.callBy", "when", s.byMoment(l.CallBy))
}

func (s *sheet) visitLine(h *schedule.Hold, l *schedule.Line) string {
	switch {
	case h.Result == schedule.Pass:
		return ""
	case h.Visit != 0 && l.Start == h.Visit:
		return s.w.Say("visit.agreed", "when", s.visitWords(l.Start))
	}
	line := s.w.Say("visit.planned", "when", s.visitWords(l.Start))
	if h.CalledIn == 0 && h.Notice > 0 {
		line += " " + s.w.Count("visit.notice", int64(h.Notice))
		if h.Cutoff != 0 && h.Cutoff != 24*60 {
			line += " " + s.w.Say("visit.cutoff", "time", s.w.Clock(h.Cutoff))
		}
	}
	return line
}

// visitChoices are the next windows one may agree on when calling in now: from the first that leaves
// the notice and lies behind the work it waits for.
func (s *sheet) visitChoices(h *schedule.Hold, l *schedule.Line) (out []VisitChoice) {
	week := s.week
	if h.Hours != nil {
		week = *h.Hours
	}
	earliest := max(l.EarlyStart, s.noticeEnds(h))
	if h.CalledIn != 0 { // the notice counts from that call
		earliest = max(l.EarlyStart, s.now)
	}
	if l.EarlyStart == 0 {
		earliest = max(l.Start, earliest)
	}
	for d := earliest.Day(); d < earliest.Day()+30 && len(out) < 6; d++ {
		if _, shut := s.shut(d); shut {
			continue
		}
		for _, w := range week[d.Weekday()] {
			if at := d.At(w.From); at >= earliest && len(out) < 6 {
				out = append(out, VisitChoice{At: at, Text: s.visitWords(at)})
			}
		}
	}
	return out
}

// noticeEnds is the first moment a visit can be when the call is made now: whole working days between
// call and visit; after the cut-off hour the call counts for the next working day.
func (s *sheet) noticeEnds(h *schedule.Hold) schedule.Minute {
	d := s.today()
	if !s.siteDay(d) || h.Cutoff != 0 && s.now.OfDay() >= h.Cutoff {
		d = s.nextSiteDay(d)
	}
	for range min(h.Notice, 60) {
		d = s.nextSiteDay(d)
	}
	if h.Notice == 0 && d == s.today() {
		return s.now
	}
	return d.Start()
}

func (s *sheet) nextSiteDay(d schedule.Day) schedule.Day {
	for x := d + 1; x < d+400; x++ {
		if s.siteDay(x) {
			return x
		}
	}
	return d + 1
}
