package engine

import (
	"slices"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// Why not: a wished date that cannot be, said as the chain that forbids it, nearest reason first, and
// what would have to be otherwise. The reasons are those of the plan as it would be with the wish, so
// every moment is the reason's own, none is the present plan's.

// mostForbids is how many links of the chain are told; a longer story helps nobody.
const mostForbids = 5

// forbids tells a chain of reasons that begins at the line id.
func (s *sheet) forbids(id string, chain []schedule.Reason) (why []string, change string) {
	var could []string
	for _, r := range chain {
		if id == "" || len(why) == mostForbids {
			break
		}
		if t := s.forbid(id, r); t != "" && !slices.Contains(why, t) {
			why = append(why, t)
		}
		if c := s.couldChange(id, r); c != "" && !slices.Contains(could, c) {
			could = append(could, c)
		}
		id = r.By
	}
	if len(could) > 3 {
		could = could[len(could)-3:] // the roots: what is nearest only follows from them
	}
	if len(could) == 0 {
		return why, ""
	}
	return why, s.w.Say("could", "what", strings.Join(could, "; "))
}

// forbid is one reason as a whole sentence about one line.
func (s *sheet) forbid(id string, r schedule.Reason) string {
	gaps := []string{"what", s.name(id), "by", s.name(r.By), "who", s.name(r.Who), "at", s.w.Moment(r.At, s.today())}
	key := "forbid." + string(r.Kind)
	if r.At >= schedule.Never {
		return s.w.Say("forbid.never", gaps...)
	}
	switch r.Kind {
	case schedule.BecauseLink:
		key, gaps = s.forbidLink(r, gaps)
	case schedule.BecauseCalendar:
		switch {
		case r.By != "" && r.Who != "":
			key = "forbid.after"
		case r.Who == "":
			key = "forbid.closed"
		}
	case schedule.BecauseFact:
		if s.acts[id] == nil {
			return ""
		}
	}
	return s.w.Say(key, gaps...)
}

func (s *sheet) forbidLink(r schedule.Reason, gaps []string) (string, []string) {
	link := s.site.Link(r.Link)
	switch {
	case link != nil && link.Lag > 0:
		key := "forbid.lag"
		if link.Clock {
			key = "forbid.lagClock"
		}
		return key, append(gaps, "n", s.lagWords(link.Lag, link.Clock))
	case s.holds[r.By] != nil:
		return "forbid.hold", gaps
	case s.orders[r.By] != nil:
		return "forbid.order", gaps
	case link != nil && (link.Kind == schedule.SS || link.Kind == schedule.SF):
		return "forbid.starts", gaps
	}
	return "forbid.link", gaps
}

// couldChange names what would have to be otherwise for a reason to let go sooner; empty for a plain
// link: there it is up to what comes before.
func (s *sheet) couldChange(id string, r schedule.Reason) string {
	gaps := []string{"what", s.name(id), "by", s.name(r.By), "who", s.name(r.Who)}
	key := "could." + string(r.Kind)
	if r.Kind == schedule.BecauseLink {
		link := s.site.Link(r.Link)
		if link == nil || link.Lag <= 0 {
			return ""
		}
		key = "could.lag"
		if link.Clock {
			key = "could.lagClock"
		}
	}
	if r.Kind == schedule.BecauseCalendar && r.Who == "" {
		key = "could.closed"
	}
	if r.Kind == schedule.BecauseFact && s.acts[id] == nil || !s.w.Has(key) {
		return ""
	}
	return s.w.Say(key, gaps...)
}

// wished is a day somebody would like a line to start on.
type wished struct {
	id string
	at schedule.Minute
}

// WishView answers "could it start then?"; nothing has been moved.
type WishView struct {
	Day    schedule.Day     `json:"day"`
	Line   string           `json:"line"`             // "It can start Tue 6, 8:00. The finish holds …" / "It cannot start …; the earliest is …"
	At     *schedule.Minute `json:"at,omitempty"`     // where a move would lay it, when it can
	Why    []string         `json:"why"`              // what forbids it, nearest first
	Change string           `json:"change,omitempty"` // what would have to be otherwise
}

// wish asks whether an activity could start on a day, without moving it.
func (e *Engine) wish(r Request) {
	s, a, l := e.sheet, e.sheet.acts[r.ID], e.sheet.lines[r.ID]
	switch {
	case a == nil || l == nil:
		e.refuse("refused.gone")
	case r.From == 0:
		e.refuse("refused.noDay")
	case r.From > s.today()+maxAhead:
		e.refuse("refused.span", "n", itoa(maxAhead))
	default:
		e.wanted = &wished{r.ID, s.firstHour(a, r.From)}
	}
}

// firstHour is when work would begin on a day: when its crew may, not before now; midnight where it has no hours.
func (s *sheet) firstHour(a *schedule.Activity, d schedule.Day) schedule.Minute {
	for _, w := range s.workWindows(a.Crew, a, d) {
		if at := d.At(w.From); at >= s.now {
			return at
		} else if d.At(w.To) > s.now {
			return s.now
		}
	}
	return d.Start()
}

func (e *Engine) wishView(s *sheet, id string) *WishView {
	q := e.wanted
	if q == nil || q.id != id {
		return nil
	}
	what := s.name(id)
	v := &WishView{Day: q.at.Day()}
	if q.at.Day() < s.today() {
		v.Line = s.w.Say("wish.past", "what", what, "at", s.w.Near(q.at.Day(), s.today()))
		return v
	}
	_, ed := s.layEdit(id, q.at)
	lands, ok := e.landing(ed, Request{ID: id, Now: s.now})
	switch {
	case ok && lands.Day() == q.at.Day():
		v.At = &lands
		v.Line = s.w.Say("wish.fits", "what", what, "at", s.w.Moment(lands, s.today())) + e.wishShift(s, id, lands)
		return v
	case !ok || lands >= schedule.Never:
		v.Line = s.w.Say("wish.never", "what", what, "at", s.w.Near(q.at.Day(), s.today()))
	default:
		v.Line = s.w.Say("wish.no", "what", what, "at", s.w.Near(q.at.Day(), s.today()), "lands", s.w.Moment(lands, s.today()))
	}
	v.Why, v.Change = s.forbids(id, schedule.EarliestFor(s.site, s.now, id, q.at).Chain)
	return v
}

// wishShift says what the move would do to the finish, when it would.
func (e *Engine) wishShift(s *sheet, id string, at schedule.Minute) string {
	_, ed := s.layEdit(id, at)
	if len(ed.Set) == 0 {
		return ""
	}
	site, err := applied(s.site, []opsync.Edit{ed})
	if err != nil {
		return ""
	}
	then := *s
	then.plan = schedule.Lay(site, s.now)
	return " " + then.finishShift(s.plan.Finish)
}
