package engine

import (
	"slices"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// CrewPhoto is a picture that the owner lets crews see.
type CrewPhoto struct {
	File, Small string // names of the picture and of its small copy, which may be missing
	Said        string
	When        string
	Wide, High  int32
}

const (
	maxCrewPhotos = 12 // beside one visit, the newest first: a page for an old phone
	maxCrewSends  = 60 // pictures one crew may send to a site
)

// addPhotos puts the shared pictures where they belong: those of the site on the page, those of a
// visit and of what comes right before it beside the visit. Other work's pictures are not this crew's.
func (s *sheet) addPhotos(p *CrewPage) {
	p.Photos, p.Papers = s.shared(""), s.sharedPapers("")
	for i := range p.Visits {
		v := &p.Visits[i]
		about := []string{v.ID}
		for _, k := range s.into[v.ID] {
			about = append(about, k.From)
		}
		v.Photos, v.Papers = s.shared(about...), s.sharedPapers(about...)
	}
}

// shared lists the pictures about any of these things that crews may see.
func (s *sheet) shared(about ...string) (out []CrewPhoto) {
	for i := len(s.site.Photos) - 1; i >= 0 && len(out) < maxCrewPhotos; i-- {
		p := &s.site.Photos[i]
		if !p.Share || !schedule.ValidFile(p.File) || !slices.Contains(about, p.On) {
			continue
		}
		c := CrewPhoto{File: p.File, Small: p.File, Said: p.Said, When: s.w.Dated(p.At.Day()), Wide: p.Wide, High: p.High}
		if schedule.ValidFile(p.Small) {
			c.Small = p.Small
		}
		out = append(out, c)
	}
	return out
}

// Shows says whether a picture or a paper is on the page, itself or as its small copy.
func (p CrewPage) Shows(file string) bool {
	if p.paper(file) != nil {
		return true
	}
	all := slices.Clone(p.Photos)
	for _, v := range p.Visits {
		all = append(all, v.Photos...)
	}
	return slices.ContainsFunc(all, func(c CrewPhoto) bool { return c.File == file || c.Small == file })
}

// CrewPicture is a picture that came from a crew's page, under the names it is kept by.
type CrewPicture struct {
	Visit, Said, File, Small string
	Wide, High               int32
}

// Picture turns a picture of a crew into the edits that put it beside its work, with a line in the diary
// so that somebody looks at it. The same picture twice is one. newID names both.
func (b *CrewBoard) Picture(crew string, c CrewPicture, newID string) (text string, edits []opsync.Edit, no CrewNo) {
	s := b.s
	name, ok := b.Has(crew)
	if !ok || s.acts[c.Visit] == nil || !slices.Contains(s.aheadOf(crew), c.Visit) {
		return "", nil, CrewGone
	}
	if len(c.Said) > MaxCrewSaid || !schedule.ValidFile(c.File) || !schedule.ValidFile(c.Small) {
		return "", nil, CrewForm
	}
	sent := 0
	for i := range s.site.Photos {
		p := &s.site.Photos[i]
		if p.File == c.File && p.On == c.Visit {
			return "", nil, ""
		}
		if p.By == name {
			sent++
		}
	}
	if sent >= maxCrewSends || len(s.site.Photos) >= schedule.MaxPhotos {
		return "", nil, CrewFull
	}
	said := strings.TrimSpace(c.Said)
	photo := set("photo", newID, "at", s.now, "by", name, "on", c.Visit, "file", c.File, "small", c.Small, "wide", c.Wide, "high", c.High)
	if said != "" {
		photo.Set["said"] = value(said)
	}
	line := strings.TrimSpace(s.w.Say("crew.photo", "what", s.name(c.Visit)) + " " + said)
	return label{"heard", name, line}.text(), []opsync.Edit{photo, set("note", newID, "day", s.today(), "on", c.Visit, "said", line, "by", name, "crew", crew)}, ""
}

// CrewFull: as many pictures as a crew, or a site, may have.
const CrewFull CrewNo = "full"
