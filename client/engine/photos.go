package engine

import (
	"encoding/json"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// A picture is a file that the worker keeps and the server stores, by the hash of its bytes. Here it is
// only a thing with a name: who took it, when, of what. Whoever has the name can ask for the bytes.

// photo writes down a picture that is on this phone already.
func (e *Engine) photo(r Request) {
	fields, ok := e.fileFields(r, "photo", len(e.site.Photos), schedule.MaxPhotos, "file", "small", "wide", "high", "taken", "latitude", "longitude")
	if !ok {
		return
	}
	if said := strings.TrimSpace(r.Said); said != "" {
		fields["said"] = value(said)
	}
	edit, why := e.checkedRaw("photo", e.newID(), fields)
	if why != "" {
		e.refused = why
		return
	}
	if e.write(r, opsync.KindEdit, label{"photo", or(e.sheet.name(r.ID), e.site.Name)}, []opsync.Edit{edit}) {
		e.say("said.photo")
		e.added = edit.ID
	}
}

// fileFields are the fields of a new picture or paper: when, by whom and of what it is, and those of the request that
// names says. False after a refusal; have and most are how many there are and may be.
func (e *Engine) fileFields(r Request, kind string, have, most int, names ...string) (map[string]json.RawMessage, bool) {
	if !e.mayWrite() {
		return nil, false
	}
	if r.ID != "" && !e.sheet.canHavePhotos(r.ID) {
		return nil, e.refuse("refused.gone")
	}
	if have >= most {
		return nil, e.refuse("refused.full", "n", itoa(have), "what", e.words().Say("kind."+kind))
	}
	fields := map[string]json.RawMessage{"at": value(r.Now), "by": value(e.who(e.device))}
	for _, name := range names {
		if v, ok := r.Fields[name]; ok {
			fields[name] = v
		}
	}
	if r.ID != "" {
		fields["on"] = value(r.ID)
	}
	return fields, true
}

// canHavePhotos says whether a picture or a paper can be about a thing: what can be planned, and lines of the diary.
func (s *sheet) canHavePhotos(id string) bool {
	if s.isNode(id) {
		return true
	}
	for i := range s.site.Notes {
		if s.site.Notes[i].ID == id {
			return true
		}
	}
	return false
}

func (s *sheet) wrongPhoto(p *schedule.Photo) string {
	if !schedule.ValidFile(p.File) || p.Small != "" && !schedule.ValidFile(p.Small) {
		return s.w.Say("refused.photo")
	}
	if p.Latitude < -90_000_000 || p.Latitude > 90_000_000 || p.Longitude < -180_000_000 || p.Longitude > 180_000_000 {
		return s.w.Say("refused.photoPlace")
	}
	return s.firstOf(s.count("wide", p.Wide, 1<<15), s.count("high", p.High, 1<<15))
}

// taken counts the pictures of a hold point: those kept here, and those counted by hand.
func (s *sheet) taken(h *schedule.Hold) int32 { return h.Taken + s.pictures(h.ID) }

func (s *sheet) pictures(id string) (n int32) {
	for i := range s.site.Photos {
		if p := &s.site.Photos[i]; p.On == id && schedule.ValidFile(p.File) {
			n++
		}
	}
	return n
}

// photosOn lists the pictures of one thing, or of the whole site when id is empty, newest first.
func (s *sheet) photosOn(id string) []PhotoLine {
	var list []*schedule.Photo
	for i := range s.site.Photos {
		if p := &s.site.Photos[i]; (id == "" || p.On == id) && schedule.ValidFile(p.File) {
			list = append(list, p)
		}
	}
	order(list, func(i, j int) bool { return before(list[j].At, list[i].At, list[j].ID, list[i].ID) }) // newest first
	out := make([]PhotoLine, len(list))
	for i, p := range list {
		out[i] = s.photoLine(p)
	}
	return out
}

func (s *sheet) photoLine(p *schedule.Photo) PhotoLine {
	v := PhotoLine{ID: p.ID, File: p.File, Wide: p.Wide, High: p.High, By: p.By, Said: p.Said, Share: p.Share, On: p.On}
	if schedule.ValidFile(p.Small) {
		v.Small = p.Small
	}
	if p.At != 0 {
		v.When = s.w.Moment(p.At, s.today())
	}
	what := s.site.Name
	if s.isNode(p.On) {
		v.Name, v.Kind = s.name(p.On), s.kind(p.On)
		what = v.Name
	}
	v.Say = s.w.Say("photo.say", "what", or(p.Said, what), "when", v.When)
	if p.Taken != 0 {
		v.Taken = s.w.Moment(p.Taken, s.today())
	}
	if p.Latitude != 0 || p.Longitude != 0 {
		v.Place = millionths(p.Latitude) + ", " + millionths(p.Longitude)
		v.Geo = geoURI(v.Place)
	}
	return v
}

// millionths writes millionths of a degree as degrees.
func millionths(n int32) string {
	sign, m := "", int(n)
	if m < 0 {
		sign, m = "-", -m
	}
	part := itoa(1_000_000 + m%1_000_000)
	return sign + itoa(m/1_000_000) + "." + part[1:]
}

func (s *sheet) photosView(id string) *PhotosView {
	v := &PhotosView{Pictures: s.photosOn(id), Papers: s.papersOn(id)}
	if s.isNode(id) {
		v.On, v.Name = id, s.name(id)
	}
	var lines []string
	if n := len(v.Pictures); n > 0 {
		lines = append(lines, s.w.Count("photos", int64(n)))
	}
	if n := len(v.Papers); n > 0 {
		lines = append(lines, s.w.Count("papers", int64(n)))
	}
	v.Line = or(strings.Join(lines, " "), s.w.Say("photos.none"))
	return v
}

// files is the answer to "files".
func (e *Engine) files() Reply {
	e.fold()
	f := &Files{Epoch: e.phone.Epoch(), Files: []FilesLine{}}
	for i := range e.site.Photos {
		if p := &e.site.Photos[i]; schedule.ValidFile(p.File) {
			line := FilesLine{File: p.File}
			if schedule.ValidFile(p.Small) {
				line.Small = p.Small
			}
			f.Files = append(f.Files, line)
		}
	}
	for i := len(e.site.Papers) - 1; i >= 0; i-- {
		if p := &e.site.Papers[i]; schedule.ValidFile(p.File) {
			f.Files = append(f.Files, FilesLine{File: p.File, Paper: true, Size: p.Size})
		}
	}
	return Reply{Files: f}
}
