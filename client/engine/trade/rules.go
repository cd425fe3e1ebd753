package trade

import (
	_ "embed"
	"slices"
	"sync"

	"batterboard/schedule"
)

// KnownHold is a hold point that some building department asks for: what must be ready, which work it looks
// at and which it keeps shut. Codes has its clause by edition of the code.
type KnownHold struct {
	ID    string `json:"id"`
	Name  Words  `json:"name"`
	Ready struct {
		En []string `json:"en"`
		Es []string `json:"es"`
	} `json:"ready"`
	Photos  int32             `json:"photos"`
	FailPct int32             `json:"failPct"`
	After   []string          `json:"after"`
	Before  []string          `json:"before"`
	Codes   map[string]string `json:"codes"`
	Extra   bool              `json:"extra"` // no profile asks for it; the owner adds it where the department does
	Source  string            `json:"source"`
	Mark    Mark              `json:"mark"`
}

//go:embed holds.json
var holdsFile []byte

var (
	holdsRead []KnownHold
	readHolds = sync.OnceFunc(func() { Unpack("holds.json", holdsFile, &holdsRead) })
)

// KnownHolds returns all of them, in the order of the work. The caller must not change the slice.
func KnownHolds() []KnownHold {
	readHolds()
	return holdsRead
}

// Editions are the codes whose clauses can be named, the usual first.
var Editions = []string{"irc", "ibc2015", "ibc2018", "ibc2021"}

var editionNames = map[string]Words{
	"irc":     {"model code", "código modelo"},
	"ibc2015": {"building code, 2015,", "código de construcción, 2015,"},
	"ibc2018": {"building code, 2018,", "código de construcción, 2018,"},
	"ibc2021": {"building code, 2021,", "código de construcción, 2021,"},
}

// code names the clause of a hold point, "local" where the edition has none.
func (h *KnownHold) code(edition, lang string) string {
	if _, ok := editionNames[edition]; !ok {
		edition = Editions[0]
	}
	if c := h.Codes[edition]; c != "" {
		return editionNames[edition].In(lang) + " " + c
	}
	return "local"
}

func (h *KnownHold) ready(lang string) []string {
	if lang == "es" {
		return h.Ready.Es
	}
	return h.Ready.En
}

// Rules is one choice of a habit and its switches: a start to edit, never a town's rule.
type Rules struct {
	Profile string
	Board   string // "off", "rated", "always": whether board is looked at; empty: as the profile has it
	Base    bool   // the base layer is looked at before the next hides it
	Edition string
}

// RulesOf are the rules that a site started from.
func RulesOf(s *schedule.Site) Rules { return Rules{s.Profile, s.BoardSeen, s.BaseSeen, s.Edition} }

// ProfileOf finds a profile.
func ProfileOf(id string) (Profile, bool) {
	for _, p := range Profiles() {
		if p.ID == id {
			return p, true
		}
	}
	return Profile{}, false
}

// wants says whether the rules ask for a known hold point.
func (r Rules) wants(p *Profile, id string) bool {
	switch {
	case id == "board-screws" && r.Board != "":
		return r.Board != "off"
	case id == "base-layer" && r.Base:
		return true
	}
	return p.visits(id)
}

// Apply gives a site the hold points of the rules: those that are missing come, with the links of the
// trade; those that are not asked for go without leaving a gap. What was called in, looked at or made by
// the owner stays as it is. Applied twice it changes nothing more.
func (r Rules) Apply(s *schedule.Site, lang string) {
	p, ok := ProfileOf(r.Profile)
	if !ok {
		p = Profiles()[0]
	}
	usual := usualAgency(s)
	this := Profile{Merge: p.Merge, Set: p.Set}
	for i := range KnownHolds() {
		h := &KnownHolds()[i]
		unset(s.Hold(h.ID), usual)
		switch has := s.Hold(h.ID) != nil; {
		case h.Extra:
		case r.wants(&p, h.ID) && !has && !h.within(&p, s):
			h.Add(s, r.Edition, lang, usual)
		case !r.wants(&p, h.ID) && has:
			this.Drop = append(this.Drop, h.ID)
		}
	}
	this.Apply(s, lang)
	r.nameClauses(s, lang)
	s.Profile, s.BoardSeen, s.BaseSeen, s.Edition = r.Profile, r.Board, r.Base, r.Edition
}

// within says whether the visit is part of another one already, which then waits for all that it looked at.
func (h *KnownHold) within(p *Profile, s *schedule.Site) bool {
	for _, m := range p.Merge {
		if s.Hold(m.Into) == nil || !slices.Contains(m.From, h.ID) {
			continue
		}
		return !slices.ContainsFunc(h.After, func(id string) bool {
			return s.Activity(id) != nil && !slices.ContainsFunc(s.Links, func(l schedule.Link) bool { return l.From == id && l.To == m.Into })
		})
	}
	return false
}

// Add puts a known hold point between the work it looks at and the work it keeps shut. It stays away where
// the site has none of the work it looks at, or has it already, or where the work it would keep shut has
// begun. A link that would close a circle is left out.
func (h *KnownHold) Add(s *schedule.Site, edition, lang, agency string) bool {
	node := func(id string) bool { return s.Activity(id) != nil || s.Hold(id) != nil }
	begun := func(id string) bool { a := s.Activity(id); return a != nil && (a.Started != 0 || a.Finished != 0) }
	if s.Hold(h.ID) != nil || s.Activity(h.ID) != nil || s.Order(h.ID) != nil || !slices.ContainsFunc(h.After, node) || slices.ContainsFunc(h.Before, begun) {
		return false
	}
	for i := range s.Holds { // what another visit was to look at meanwhile
		if x := &s.Holds[i]; untouched(x) {
			x.Ready = slices.DeleteFunc(slices.Clone(x.Ready), func(line string) bool {
				return slices.Contains(h.Ready.En, line) || slices.Contains(h.Ready.Es, line)
			})
		}
	}
	pos := int32(0)
	for _, x := range s.Holds {
		pos = max(pos, x.Pos)
	}
	s.Holds = append(s.Holds, schedule.Hold{ID: h.ID, Pos: pos + 1, Name: h.Name.In(lang), Code: h.code(edition, lang), Agency: agency,
		Ready: slices.Clone(h.ready(lang)), Photos: h.Photos, FailPct: h.FailPct, Notice: 1})
	for _, id := range h.After {
		if node(id) && !leads(s, h.ID, id) {
			join(s, id, h.ID, schedule.Link{})
		}
	}
	for _, id := range h.Before {
		if node(id) && !leads(s, id, h.ID) {
			join(s, h.ID, id, schedule.Link{})
		}
	}
	return true
}

// leads says whether one thing is in front of another, over any number of links.
func leads(s *schedule.Site, from, to string) bool {
	seen := map[string]bool{from: true}
	for todo := []string{from}; len(todo) > 0; todo = todo[1:] {
		if todo[0] == to {
			return true
		}
		for _, l := range s.Links {
			if l.From == todo[0] && !seen[l.To] {
				seen[l.To] = true
				todo = append(todo, l.To)
			}
		}
	}
	return false
}

// usualAgency is who makes the visits that no profile gives to somebody else.
func usualAgency(s *schedule.Site) string {
	for i := range s.Holds {
		if h := &s.Holds[i]; h.Agency != "" && setBy(h) == nil {
			return h.Agency
		}
	}
	return ""
}

// setBy finds the profile's setting that a hold point has, word for word.
func setBy(h *schedule.Hold) *HoldSet {
	for _, p := range Profiles() {
		for i := range p.Set {
			if x := &p.Set[i]; x.ID == h.ID && x.Notice == h.Notice && (h.Agency == x.Agency.En || h.Agency == x.Agency.Es) {
				return x
			}
		}
	}
	return nil
}

// unset takes back what a profile set and nobody has changed since.
func unset(h *schedule.Hold, agency string) {
	if h != nil && untouched(h) && setBy(h) != nil {
		h.Notice, h.Agency = 1, agency
	}
}

// nameClauses writes the clauses of the chosen edition; without a choice they stay as they are.
func (r Rules) nameClauses(s *schedule.Site, lang string) {
	if r.Edition == "" {
		return
	}
	for i := range KnownHolds() {
		k := &KnownHolds()[i]
		if h := s.Hold(k.ID); h != nil && untouched(h) && k.Codes[r.Edition] != "" {
			h.Code = k.code(r.Edition, lang)
		}
	}
}
