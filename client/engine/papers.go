package engine

import (
	"encoding/json"
	"slices"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// A paper is a file as a picture is: the worker keeps the bytes, the server stores them by their hash, here
// it only has a name.

// paper writes down a paper that is on this phone already.
func (e *Engine) paper(r Request) {
	fields, ok := e.fileFields(r, "paper", len(e.site.Papers), schedule.MaxPapers, "file", "type", "size")
	if !ok {
		return
	}
	var of schedule.PaperType
	if json.Unmarshal(fields["type"], &of) != nil {
		of = "" // refused below
	}
	name := or(schedule.PaperName(r.Name, of), e.words().Say("kind.paper"))
	fields["name"] = value(name)
	edit, why := e.checkedRaw("paper", e.newID(), fields)
	if why != "" {
		e.refused = why
		return
	}
	if e.write(r, opsync.KindEdit, label{"paper", name, or(e.sheet.name(r.ID), e.site.Name)}, []opsync.Edit{edit}) {
		e.say("said.paper", "name", name)
		e.added = edit.ID
	}
}

func (s *sheet) wrongPaper(p *schedule.Paper) string {
	switch {
	case !schedule.ValidFile(p.File) || p.Type.Ending() == "" || p.Size < 0 || p.Size > opsync.MaxPaper:
		return s.w.Say("refused.paper")
	case p.Name != schedule.PaperName(p.Name, p.Type) || p.Name == "":
		return s.w.Say("refused.paperName")
	}
	return ""
}

// paperKept says whether a paper can be shown at all: whatever a program of another make wrote.
func paperKept(p *schedule.Paper) bool { return schedule.ValidFile(p.File) && p.Type.Ending() != "" }

// papersOn lists the papers of one thing, or of the whole site when id is empty, newest first.
func (s *sheet) papersOn(id string) []PaperLine {
	var list []*schedule.Paper
	for i := range s.site.Papers {
		if p := &s.site.Papers[i]; (id == "" || p.On == id) && paperKept(p) {
			list = append(list, p)
		}
	}
	order(list, func(i, j int) bool { return before(list[j].At, list[i].At, list[j].ID, list[i].ID) }) // newest first
	out := make([]PaperLine, len(list))
	for i, p := range list {
		out[i] = s.paperLine(p)
	}
	return out
}

func (s *sheet) paperLine(p *schedule.Paper) PaperLine {
	v := PaperLine{ID: p.ID, File: p.File, Type: string(p.Type), Ending: p.Type.Ending(), Title: s.paperTitle(p), By: p.By, Share: p.Share, On: p.On}
	if p.At != 0 {
		v.When = s.w.Moment(p.At, s.today())
	}
	if s.isNode(p.On) {
		v.Name, v.Kind = s.name(p.On), s.kind(p.On)
	}
	v.Note = paperNote(p)
	return v
}

// paperTitle is the name of a paper as it may be shown.
func (s *sheet) paperTitle(p *schedule.Paper) string {
	return or(schedule.PaperName(p.Name, p.Type), s.w.Say("kind.paper"))
}

// paperNote is "PDF, 1.2 MB".
func paperNote(p *schedule.Paper) string {
	kind := strings.ToUpper(p.Type.Ending())
	if kind == "TXT" {
		kind = "text"
	}
	if p.Size <= 0 {
		return kind
	}
	return kind + ", " + fileSize(p.Size)
}

// fileSize is a size in kB or MB of a thousand each (IEC 80000-13), as phones show it.
func fileSize(n int32) string {
	if n < 999_500 {
		return itoa(max(1, int(n+500)/1000)) + " kB"
	}
	tenths := int(n+50_000) / 100_000
	return itoa(tenths/10) + "." + itoa(tenths%10) + " MB"
}

// CrewPaper is a paper that the owner lets crews see.
type CrewPaper struct{ File, Name, Note string }

// sharedPapers lists the papers about any of these things that crews may see.
func (s *sheet) sharedPapers(about ...string) (out []CrewPaper) {
	for i := len(s.site.Papers) - 1; i >= 0 && len(out) < maxCrewPhotos; i-- {
		if p := &s.site.Papers[i]; p.Share && paperKept(p) && slices.Contains(about, p.On) {
			out = append(out, CrewPaper{p.File, s.paperTitle(p), paperNote(p)})
		}
	}
	return out
}

// paper finds a paper of the page by its file.
func (p CrewPage) paper(file string) *CrewPaper {
	all := slices.Clone(p.Papers)
	for _, v := range p.Visits {
		all = append(all, v.Papers...)
	}
	for i := range all {
		if all[i].File == file {
			return &all[i]
		}
	}
	return nil
}

// PaperName is what a paper of the page is called; empty for a picture.
func (p CrewPage) PaperName(file string) string {
	if x := p.paper(file); x != nil {
		return x.Name
	}
	return ""
}
