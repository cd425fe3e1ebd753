package trade

import (
	_ "embed"
	"slices"
	"sync"

	"batterboard/schedule"
)

// Profile is one usual habit of building departments: which visits they make of those a template
// knows, with how much notice, and which they make together. It is a start to edit, never a town's rule.
type Profile struct {
	ID     string    `json:"id"`
	Name   Words     `json:"name"`
	Note   Words     `json:"note"`
	Drop   []string  `json:"drop"`  // hold points not visited
	Keep   []string  `json:"keep"`  // where set, all others are dropped
	Merge  []Merge   `json:"merge"` // hold points visited together
	Set    []HoldSet `json:"set"`
	Source string    `json:"source"`
	Mark   Mark      `json:"mark"`
}

// Merge makes one visit of several: what the others waited for, Into waits for.
type Merge struct {
	Into string   `json:"into"`
	From []string `json:"from"`
}

// HoldSet changes one hold point.
type HoldSet struct {
	ID     string `json:"id"`
	Notice int32  `json:"notice"`
	Agency Words  `json:"agency"`
}

//go:embed profiles.json
var profilesFile []byte

var (
	profilesRead []Profile
	readProfiles = sync.OnceFunc(func() { Unpack("profiles.json", profilesFile, &profilesRead) })
)

// Profiles returns all of them. The caller must not change the slice.
func Profiles() []Profile {
	readProfiles()
	return profilesRead
}

// Apply gives a site the hold points of the profile. A dropped hold point leaves no gap: what waited
// for it waits for what it waited for. Hold points that already have a result or a call stay.
func (p Profile) Apply(s *schedule.Site, lang string) {
	for _, m := range p.Merge {
		for _, id := range m.From {
			if h := s.Hold(id); h != nil && untouched(h) && s.Hold(m.Into) != nil {
				into := s.Hold(m.Into)
				for _, line := range h.Ready {
					if !slices.Contains(into.Ready, line) {
						into.Ready = append(slices.Clone(into.Ready), line)
					}
				}
				into.Photos = max(into.Photos, h.Photos)
				redirect(s, id, m.Into)
				remove(s, id)
			}
		}
	}
	for _, id := range p.dropped(s) {
		bridge(s, id)
		remove(s, id)
	}
	for _, set := range p.Set {
		if h := s.Hold(set.ID); h != nil && untouched(h) {
			h.Notice = set.Notice
			if a := set.Agency.In(lang); a != "" {
				h.Agency = a
			}
		}
	}
}

func untouched(h *schedule.Hold) bool { return h.CalledIn == 0 && h.Result == schedule.NoResult }

// visits says whether departments of this habit look at a hold point.
func (p *Profile) visits(id string) bool {
	return !slices.Contains(p.Drop, id) && (len(p.Keep) == 0 || slices.Contains(p.Keep, id))
}

func (p Profile) dropped(s *schedule.Site) (ids []string) {
	for i := range s.Holds {
		h := &s.Holds[i]
		if untouched(h) && !p.visits(h.ID) {
			ids = append(ids, h.ID)
		}
	}
	return ids
}

// redirect moves the links of one hold point to another. A link that is there already is not made
// twice, and the other never waits for itself: work that is in front of the other, such as closing up
// before its visit, cannot wait for it, and waits for what the first one looked at instead.
func redirect(s *schedule.Site, from, to string) {
	links := slices.Clone(s.Links)
	for _, l := range links {
		switch {
		case l.To == from && l.From != to:
			join(s, l.From, to, l)
		case l.From == from && l.To != to && !leads(s, l.To, to):
			join(s, to, l.To, l)
		case l.From == from && l.To != to:
			for _, in := range links {
				if in.To == from {
					join(s, in.From, l.To, l)
				}
			}
		}
	}
}

// bridge joins what a hold point waited for with what waited for it.
func bridge(s *schedule.Site, id string) {
	links := slices.Clone(s.Links)
	for _, in := range links {
		if in.To != id {
			continue
		}
		for _, out := range links {
			if out.From == id {
				join(s, in.From, out.To, out)
			}
		}
	}
}

func join(s *schedule.Site, from, to string, like schedule.Link) {
	if from == to || slices.ContainsFunc(s.Links, func(l schedule.Link) bool { return l.From == from && l.To == to }) {
		return
	}
	like.ID, like.From, like.To = linkID(from, to), from, to
	s.Links = append(s.Links, like)
}

func remove(s *schedule.Site, hold string) {
	s.Holds = slices.DeleteFunc(s.Holds, func(h schedule.Hold) bool { return h.ID == hold })
	s.Links = slices.DeleteFunc(s.Links, func(l schedule.Link) bool { return l.From == hold || l.To == hold })
}

// linkID names a link by what it joins; two very long names are cut so that it stays an ID.
func linkID(from, to string) string {
	const half = 31 // an ID has at most 64 letters
	return from[:min(len(from), half)] + "." + to[:min(len(to), half)]
}
