package engine

import (
	"batterboard/client/engine/template"
	"batterboard/client/engine/words"
	"batterboard/schedule"
)

// Names in the language of who reads. What the set-up named, and nobody renamed, is known in every
// language. What the owner wrote is the owner's: it is shown in the other language where it was given in
// both, and else as it stands, in everybody's texts. A name of ours that no longer says what the owner
// means would be worse than one in the wrong language.

// spoken returns the site as somebody who reads lang sees it; the site itself where that is the same.
func spoken(site *schedule.Site, lang string) *schedule.Site {
	own := words.In(site.Lang).Code
	if own == words.In(lang).Code {
		return site
	}
	say := func(text, also string) string { return template.Spoken(text, also, own, lang) }
	c := copySite(site)
	for i := range c.Activities {
		a := &c.Activities[i]
		a.Name, a.Scope, a.Ready = say(a.Name, a.Also), say(a.Scope, a.ScopeAlso), say(a.Ready, "")
	}
	for i := range c.Holds {
		h := &c.Holds[i]
		h.Name, h.Code, h.Agency = say(h.Name, ""), say(h.Code, ""), say(h.Agency, "")
		ready := make([]string, len(h.Ready))
		for k, line := range h.Ready {
			ready[k] = say(line, "")
		}
		h.Ready = ready
	}
	for i := range c.Orders {
		c.Orders[i].Goods = say(c.Orders[i].Goods, "")
	}
	for i := range c.Links {
		c.Links[i].Why = say(c.Links[i].Why, "")
	}
	for i := range c.Crews {
		c.Crews[i].Name = template.CrewSpoken(c.Crews[i].Name, lang)
	}
	for i := range c.Places {
		c.Places[i].Name = say(c.Places[i].Name, "")
	}
	return c
}

// read is the sheet with its names as somebody who reads w sees them. The plan is the same one.
func (s *sheet) read(w *words.Lang) *sheet {
	raw := s.written
	if raw == nil {
		raw = s.site
	}
	fresh := s.readIn[w.Code]
	if fresh == nil {
		site := spoken(raw, w.Code)
		if site == s.site {
			return s
		}
		fresh = newSheet(site, s.plan, s.now, s.w)
		if s.readIn != nil {
			s.readIn[w.Code] = fresh
		}
	}
	c := *s
	c.site, c.written = fresh.site, raw
	c.acts, c.holds, c.orders, c.crews, c.places = fresh.acts, fresh.holds, fresh.orders, fresh.crews, fresh.places
	c.into, c.from, c.texts = fresh.into, fresh.from, fresh.texts
	return &c
}
