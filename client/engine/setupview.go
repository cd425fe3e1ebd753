package engine

import (
	"encoding/json"
	"reflect"
	"strings"

	"batterboard/client/engine/template"
	"batterboard/schedule"
)

// setupView lists every thing of the site.
func (e *Engine) setupView(s *sheet) *SetupView {
	v := &SetupView{Site: plainFields(reflect.ValueOf(s.site).Elem())}
	for _, kind := range kinds {
		g := Group{Kind: kind}
		all := list(s.site, kind)
		for i := range all.Len() {
			id := all.Index(i).FieldByName("ID").String()
			g.Lines = append(g.Lines, GroupLine{ID: id, Name: s.thingName(kind, id), Note: s.thingNote(kind, id)})
		}
		v.Groups = append(v.Groups, g)
	}
	for _, g := range e.phone.Log.State().Gone() {
		if len(v.Gone) < 200 && g.Thing != "answer" { // a question is always there to be answered again
			v.Gone = append(v.Gone, Choice{ID: g.Thing + "/" + g.ID, Name: s.w.Say("kind."+g.Thing) + ": " + or(g.Name, g.ID)})
		}
	}
	for _, k := range template.Keys {
		v.Templates = append(v.Templates, Choice{ID: k, Name: s.w.Say("template." + k)})
	}
	return v
}

// plainFields are the fields of a thing that are not lists of things, as in the site file.
func plainFields(t reflect.Value) map[string]any {
	out := map[string]any{}
	typ := t.Type()
	for i := range typ.NumField() {
		name, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
		f := t.Field(i)
		if f.Kind() == reflect.Slice && f.Type().Elem().Kind() == reflect.Struct || f.IsZero() {
			continue
		}
		out[name] = f.Interface()
	}
	return out
}

// thingName is what a thing of a kind is called.
func (s *sheet) thingName(kind, id string) string {
	switch kind {
	case "site":
		return or(s.site.Name, s.w.Say("kind.site"))
	case "link":
		if k := s.site.Link(id); k != nil {
			return s.name(k.From) + " → " + s.name(k.To)
		}
	case "away":
		for _, a := range s.site.Away {
			if a.ID == id {
				return s.crewName(a.Crew) + ", " + s.w.Span(a.From, a.To, s.today())
			}
		}
	case "shut":
		for _, a := range s.site.Shut {
			if a.ID == id {
				return or(a.Why, s.w.Say(shutWord(a.Outdoor))) + ", " + s.w.Span(a.From, a.To, s.today())
			}
		}
	case "opening":
		for _, o := range s.site.Openings {
			if o.ID == id {
				return s.crewName(o.Crew) + ", " + s.w.Near(o.Day, s.today())
			}
		}
	case "answer":
		if q, ok := template.Find(id); ok {
			return q.Ask.In(s.w.Code)
		}
	case "note":
		for _, n := range s.site.Notes {
			if n.ID == id {
				return clip(n.Said, 60)
			}
		}
	case "photo":
		for i := range s.site.Photos {
			if p := &s.site.Photos[i]; p.ID == id {
				return s.w.Say("kind.photo") + ", " + or(p.Said, or(s.name(p.On), s.site.Name))
			}
		}
	case "paper":
		for i := range s.site.Papers {
			if p := &s.site.Papers[i]; p.ID == id {
				return s.w.Say("kind.paper") + ", " + s.paperTitle(p)
			}
		}
	case "text":
		if t := s.texts[id]; t != nil {
			return s.w.Say("kind.text") + ", " + s.crewName(t.Crew)
		}
	}
	return s.name(id)
}

// thingNote is the small line beside it.
func (s *sheet) thingNote(kind, id string) string {
	switch kind {
	case "activity":
		if a := s.acts[id]; a != nil {
			return joined(s.crewName(a.Crew), s.lineDays(id))
		}
	case "crew":
		if c := s.crews[id]; c != nil {
			return joined(s.tradeName(c.Trade), c.Phone)
		}
	case "link":
		if k := s.site.Link(id); k != nil {
			return s.linkText(k)
		}
	case "hold", "order":
		return s.stateOf(id)
	case "away":
		for _, a := range s.site.Away {
			if a.ID == id {
				return a.Why
			}
		}
	case "opening":
		for _, o := range s.site.Openings {
			if o.ID == id {
				return s.w.Hours(o.From, o.To)
			}
		}
	case "note":
		for _, n := range s.site.Notes {
			if n.ID == id {
				return joined(n.By, s.w.Near(n.Day, s.today()))
			}
		}
	}
	return ""
}

func joined(a, b string) string {
	if a != "" && b != "" {
		return a + " · " + b
	}
	return a + b
}

func (s *sheet) tradeName(t string) string {
	if key := "trade." + t; s.w.Has(key) {
		return s.w.Say(key)
	}
	return t
}

// thingView is one thing to edit.
func (e *Engine) thingView(s *sheet, kind, id string) *ThingView {
	if id == "new" || id == "" && kind != "site" {
		return e.newThing(s, kind)
	}
	t, ok := thing(e.site, kind, id)
	if !ok {
		return nil
	}
	v := e.newThing(s, kind)
	v.ID, v.Name, v.Fields = id, s.thingName(kind, id), plainFields(t)
	for name, raw := range e.phone.Log.State().Fields(kind, or(id, "site")) { // fields of later versions are shown as they are
		if _, known := v.Fields[name]; !known {
			var x any
			if json.Unmarshal(raw, &x) == nil && x != nil {
				v.Fields[name] = x
			}
		}
	}
	if c := s.crews[id]; kind == "crew" && c != nil && !c.Own {
		v.Trust = s.trustWords(id)
	}
	for _, k := range s.into[id] {
		v.Links = append(v.Links, s.linkLine(k, k.From))
	}
	for _, k := range s.from[id] {
		v.Links = append(v.Links, s.linkLine(k, k.To))
	}
	if kind == "order" || kind == "note" {
		v.Pictures, v.Papers = s.photosOn(id), s.papersOn(id)
	}
	v.Clashes = e.clashesOn(s, kind, id)
	return v
}

// newThing is the empty form of a kind, with what it may refer to.
func (e *Engine) newThing(s *sheet, kind string) *ThingView {
	if _, ok := blankOf(kind); !ok {
		return nil
	}
	v := &ThingView{Units: string(s.units()), Kind: kind, Name: s.w.Say("kind." + kind), Fields: map[string]any{}}
	if kind == "link" {
		v.Waits = s.waitChoices()
	}
	for _, c := range s.site.Crews {
		v.Crews = append(v.Crews, Choice{ID: c.ID, Name: c.Name, Note: s.trustNote(c.ID)})
	}
	for _, p := range s.site.Places {
		v.Places = append(v.Places, Choice{ID: p.ID, Name: p.Name})
	}
	for i := range s.site.Activities {
		v.Nodes = append(v.Nodes, Choice{ID: s.site.Activities[i].ID, Name: s.site.Activities[i].Name})
	}
	for i := range s.site.Holds {
		v.Nodes = append(v.Nodes, Choice{ID: s.site.Holds[i].ID, Name: s.site.Holds[i].Name})
	}
	for i := range s.site.Orders {
		v.Nodes = append(v.Nodes, Choice{ID: s.site.Orders[i].ID, Name: s.site.Orders[i].Goods})
	}
	return v
}

var _ schedule.Day

// shutWord names days nobody works, or only nobody outdoors.
func shutWord(outdoor bool) string {
	if outdoor {
		return "wet"
	}
	return "shut"
}
