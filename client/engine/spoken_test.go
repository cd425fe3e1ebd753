package engine

import (
	"strings"
	"testing"

	"batterboard/client/engine/template"
	"batterboard/client/engine/words"
	"batterboard/schedule"
)

// A crew reads the names of the set-up in its own language, in its texts and on its page, and the owner's own
// words as the owner wrote them, or in the crew's language where the owner gave both.
func TestCrewsReadTheirOwnLanguage(t *testing.T) {
	site := template.Build(template.Answers{"building": "room", "use": "office", "age": "new", "permit": "have"}, "en", "")
	site.Start, site.Name, site.Lang = schedule.DateOf(2027, 3, 1), "Loft", "en"
	for i := range site.Crews {
		if site.Crews[i].ID == "board" {
			site.Crews[i].Lang, site.Crews[i].Phone = "es", "+15555550140"
		}
	}
	walls := site.Activity("board-walls-1")
	now := site.Start.At(8 * 60)
	page := func() string {
		b := &CrewBoard{newSheet(site, schedule.Lay(site, now), now, words.In("en"))}
		p, ok := b.Page("board")
		if !ok || p.Lang != "es" {
			t.Fatalf("page %v, %v", p, ok)
		}
		var all []string
		for _, v := range p.Visits {
			all = append(append(append(all, v.Name, v.What, v.Ready), v.Before...), v.After...)
		}
		return strings.Join(all, " | ")
	}
	text := page()
	for _, want := range []string{"Placa, muros 1", "Placa, cielo 1", "Primero hojas enteras", "Juntas"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in %s", want, text)
		}
	}
	for _, not := range []string{"Board", "Full sheets", "Taping", "Heat on"} {
		if strings.Contains(text, not) {
			t.Errorf("English %q in %s", not, text)
		}
	}
	walls.Name, walls.Scope = "Green board", "Only the green sheets."
	if text = page(); !strings.Contains(text, "Green board") || !strings.Contains(text, "Only the green sheets.") || strings.Contains(text, "muros 1") {
		t.Errorf("what the owner wrote is not what the crew reads: %s", text)
	}
	walls.Also, walls.ScopeAlso = "Placa verde", "Solo las hojas verdes."
	if text = page(); !strings.Contains(text, "Placa verde") || !strings.Contains(text, "Solo las hojas verdes.") || strings.Contains(text, "Green board") {
		t.Errorf("what the owner gave in both is not read in both: %s", text)
	}
	if es := newSheet(site, schedule.Lay(site, now), now, words.In("es")).read(words.In("es")); es.crewName("paint") != "Pintura" || es.name("paint") == "" {
		t.Errorf("the paint crew is called %q", es.crewName("paint"))
	}
	// The owner's own language does not change what is written.
	if s := spoken(site, "en"); s != site {
		t.Error("the owner's language copies the site")
	}
	es := newSheet(site, schedule.Lay(site, now), now, words.In("es")).read(words.In("es"))
	if es.name("board-walls-1") != "Placa verde" || es.read(words.In("en")).name("board-walls-1") != "Green board" || site.Activity("board-walls-1").Name != "Green board" {
		t.Error("reading a sheet in two languages changed the site, or lost a name")
	}
}
