package engine

import (
	"slices"
	"strings"

	"batterboard/client/engine/words"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// CrewBoard is a site and its plan at one moment, as the crews' pages are drawn from it. It is never
// altered, so that several pages may be drawn at once.
type CrewBoard struct{ s *sheet }

// NewCrewBoard reads a site document and lays its plan.
func NewCrewBoard(doc []byte, now schedule.Minute) *CrewBoard {
	site := readSite(doc)
	return &CrewBoard{newSheet(site, schedule.Lay(site, now), now, words.In(site.Lang))}
}

// CrewPage is all that one crew gets to see: its own open work and what it needs for it.
type CrewPage struct {
	Lang, Name                                 string
	Site, Address, WayIn, Contact, Phone, Zone string
	Today                                      schedule.Day
	Visits                                     []CrewVisit
	Photos                                     []CrewPhoto // of the site itself
	Papers                                     []CrewPaper // of the site itself
	Geo                                        string      // a geo: link to the site, where its place is known
}

// CrewVisit is one activity of the crew.
type CrewVisit struct {
	ID, Name, What, Place, Ready, Bring string
	When                                string // "Tue 6 – Wed 7 Apr"
	From, To                            schedule.Day
	Days                                []CrewDay
	Booking                             schedule.Booking
	Answer                              string // "", no, other: what this crew answered last, where it is not a yes
	Wish                                string // the other day it named
	Started                             bool
	Done                                int32
	Before, After                       []string // who: what, when
	Photos                              []CrewPhoto
	Papers                              []CrewPaper
	Cautions                            []CautionLine // what can hurt, in the crew's language, stops first
	// Shown is what the crew was shown of the dates; an answer carries it back, so that one from an old
	// page is known for one. Half days, because minutes shift as the morning passes.
	Shown string
}

// CrewDay is one day of a visit: when to be there, and who else is.
type CrewDay struct {
	Day          schedule.Day
	Start, End   schedule.Minute
	Long, Hours  string
	AlsoThere    string
	Today, Ahead bool
}

// Has says whether there is such a hired crew, and what it is called.
func (b *CrewBoard) Has(crew string) (name string, ok bool) {
	c := b.s.crews[crew]
	if c == nil || c.Own {
		return "", false
	}
	return or(c.Name, crew), true
}

// Page draws a crew's page. False: there is no such crew (any more).
func (b *CrewBoard) Page(crew string) (CrewPage, bool) {
	name, ok := b.Has(crew)
	if !ok {
		return CrewPage{}, false
	}
	s := b.in(crew)
	p := CrewPage{Lang: s.w.Code, Name: name, Site: s.site.Name, Address: s.site.Address, WayIn: s.site.WayIn,
		Contact: s.site.Contact, Phone: s.site.Phone, Zone: s.site.Zone, Today: s.today()}
	for _, id := range s.aheadOf(crew) {
		if s.lines[id].Start < schedule.Never {
			p.Visits = append(p.Visits, s.crewVisit(crew, id))
		}
	}
	p.Geo = geoURI(s.site.Geo)
	s.addPhotos(&p)
	return p, true
}

// in is the sheet in a crew's own language.
func (b *CrewBoard) in(crew string) *sheet {
	w := b.s.langOf(crew)
	s := *b.s.read(w)
	s.w = w
	return &s
}

func (s *sheet) crewVisit(crew, id string) CrewVisit {
	a, l := s.acts[id], s.lines[id]
	v := CrewVisit{ID: id, Name: a.Name, What: or(a.Scope, a.Name), Place: s.placeName(a.Place), Bring: a.Bring,
		Ready: or(a.Ready, s.readyFrom(s.w, id)), When: s.spanIn(s.w, l.Start, l.Finish),
		From: l.Start.Day(), To: lastDay(l.Start, l.Finish), Booking: a.Booking, Started: a.Started != 0, Done: a.Done}
	v.Shown, v.Cautions = shown(l), s.cautions(a)
	for d := v.From; d <= v.To && len(v.Days) < 60; d++ {
		from, to, on := s.onDay(crew, l, d)
		if !on {
			continue
		}
		v.Days = append(v.Days, CrewDay{Day: d, Start: d.At(from), End: d.At(to), Long: s.w.Long(d), Hours: s.w.Hours(from, to),
			AlsoThere: s.others(s.w, crew, d), Today: d == s.today(), Ahead: d >= s.today()})
	}
	for _, k := range s.into[id] {
		v.Before = append(v.Before, s.neighbour(crew, k.From)...)
	}
	for _, k := range s.from[id] {
		v.After = append(v.After, s.neighbour(crew, k.To)...)
	}
	if t := s.openAnswer(crew, v.From, v.To); t != nil {
		v.Answer, v.Wish = t.Answer, s.w.Dated(t.Wish)
	}
	return v
}

// shown is what an answer must agree with: the days, and which half of the first.
func shown(l *schedule.Line) string {
	half := "am"
	if l.Start.OfDay() >= 12*60 {
		half = "pm"
	}
	return l.Start.Day().String() + half + "/" + lastDay(l.Start, l.Finish).String()
}

// neighbour says who works next to a visit, in front of it or behind it.
func (s *sheet) neighbour(crew, id string) []string {
	l := s.lines[id]
	if l == nil || l.Start >= schedule.Never || s.acts[id] != nil && s.acts[id].Crew == crew {
		return nil
	}
	what := s.name(id) + ", " + s.spanIn(s.w, l.Start, l.Finish)
	if a := s.acts[id]; a != nil && a.Crew != "" {
		what = s.crewName(a.Crew) + " (" + what + ")"
	}
	return []string{what}
}

// openAnswer is the no, or the wish for another day, that a crew gave for days that still stand.
func (s *sheet) openAnswer(crew string, from, to schedule.Day) *schedule.Text {
	for i := range s.site.Texts {
		t := &s.site.Texts[i]
		if t.Crew == crew && from <= t.Day && t.Day <= to && (t.Answer == "no" || t.Answer == "other") {
			return t
		}
	}
	return nil
}

// CrewAnswer is what came back from a crew's page.
type CrewAnswer struct {
	Visit string // the activity
	Shown string // CrewVisit.Shown as it stood on the page
	Do    string // yes, no, other, late, done, ask
	Day   schedule.Day
	Count int32 // minutes late, or percent done
	Said  string
}

// CrewNo says why an answer is not taken; empty: it is.
type CrewNo string

const (
	CrewGone  CrewNo = "gone"  // this work is not the crew's any more, or is over
	CrewStale CrewNo = "stale" // the dates are others than the crew was shown
	CrewForm  CrewNo = "form"  // something is missing or out of bounds
)

// MaxCrewSaid bounds what a crew can write in one answer, in bytes. The page takes 300 letters.
const MaxCrewSaid = 1500

// Answer turns what a crew said into the edits that say so, and nothing else: a booking with the days
// it stands for, the answer on its texts, the share done of work that is under way, a line in the
// diary. A no moves nothing: the owner decides which way to go. newID names the diary's line.
func (b *CrewBoard) Answer(crew string, r CrewAnswer, newID string) (text string, edits []opsync.Edit, no CrewNo) {
	s := b.s
	name, ok := b.Has(crew)
	a, l := s.acts[r.Visit], s.lines[r.Visit]
	if !ok || a == nil || l == nil || !slices.Contains(s.aheadOf(crew), r.Visit) {
		return "", nil, CrewGone
	}
	if len(r.Said) > MaxCrewSaid {
		return "", nil, CrewForm
	}
	switch r.Do {
	case "yes", "no", "other":
		if r.Shown != shown(l) {
			return "", nil, CrewStale
		}
		if r.Do == "other" && (r.Day < s.today() || r.Day > s.today()+400) {
			return "", nil, CrewForm
		}
		edits = s.crewReply(crew, r, a, l)
	}
	said, no := s.crewSaid(r)
	if no != "" {
		return "", nil, no
	}
	if said != "" {
		note := set("note", newID, "day", s.today(), "on", r.Visit, "said", said, "by", name, "crew", crew)
		if r.Do == "late" || r.Do == "done" { // in figures too, so that the owner can take them into the plan
			note.Set["word"], note.Set["count"] = value(r.Do), value(r.Count)
		}
		edits = append(edits, note)
	}
	if r.Do == "done" && a.Started != 0 {
		edits = append(edits, set("activity", r.Visit, "done", r.Count, "doneAt", s.now))
	}
	if r.Do == "yes" || r.Do == "no" || r.Do == "other" {
		return label{"answer." + r.Do, name, l.Start.Day().String()}.text(), edits, ""
	}
	return label{"heard", name, said}.text(), edits, ""
}

// crewReply are the edits of a yes, a no or a wish for another day.
func (s *sheet) crewReply(crew string, r CrewAnswer, a *schedule.Activity, l *schedule.Line) (edits []opsync.Edit) {
	if r.Do == "yes" && !l.Frozen {
		edits = append(edits, booked(a, l, schedule.Firm))
	}
	if r.Do != "yes" {
		edits = append(edits, s.gaveBack(crew, a)...)
	}
	var wish any
	if r.Do == "other" {
		wish = r.Day
	}
	first, last, told := l.Start.Day(), lastDay(l.Start, l.Finish), false
	for i := range s.site.Texts {
		if t := &s.site.Texts[i]; t.Crew == crew && first <= t.Day && t.Day <= last {
			edits, told = append(edits, set("text", t.ID, "answer", r.Do, "wish", wish)), true
		}
	}
	if id := textID("ask", crew, first); !told && len(id) <= opsync.MaxID {
		edits = append(edits, set("text", id, "kind", "ask", "crew", crew, "day", first, "answer", r.Do, "wish", wish))
	}
	return edits
}

// crewSaid is the diary's line, in the site's language.
func (s *sheet) crewSaid(r CrewAnswer) (string, CrewNo) {
	said := strings.TrimSpace(r.Said)
	switch r.Do {
	case "late":
		if r.Count < 1 || r.Count > 600 {
			return "", CrewForm
		}
		return s.w.Say("crew.late", "n", itoa(int(r.Count)), "what", s.name(r.Visit)), ""
	case "done":
		if r.Count < 0 || r.Count > 100 {
			return "", CrewForm
		}
		return s.w.Say("crew.done", "n", itoa(int(r.Count)), "what", s.name(r.Visit)), ""
	case "ask":
		if said == "" {
			return "", CrewForm
		}
		return said, ""
	case "yes", "no", "other":
		return said, ""
	}
	return "", CrewForm
}

// LongDay is a date in full, in one of the languages: "Tuesday 6 April".
func LongDay(lang string, d schedule.Day) string { return words.In(lang).Long(d) }
