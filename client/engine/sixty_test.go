package engine

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"batterboard/client/engine/words"
	"batterboard/schedule"
)

var update = flag.Bool("update", false, "write the golden files anew; read the difference before you commit it")

const sixtyFile = "../../testdata/texts/sixty.txt"

// In the table every piece of work has its words in both languages, as an owner who minds the crews writes them.
var bothTongues = []struct{ id, name, scope, ready, bring, also, scopeAlso, readyAlso, bringAlso string }{
	{"porch", "Porch step", "Two treads and a small canopy over the new outside door.", "Posts and treads in the yard", "Saw, post anchors",
		"Escalón del porche", "Dos escalones y un techito sobre la puerta nueva de afuera.", "Postes y huellas en el patio", "Sierra, anclas para postes"},
	{"vent-patch", "Close vent, patch", "Brick up the old dryer vent, patch the stone, sweep out. Dusty: nobody else in the room.", "", "",
		"Cerrar ventila, resanar", "Cerrar con ladrillo la ventila vieja de la secadora, resanar la piedra y barrer. Hay polvo: nadie más en el cuarto.", "", ""},
	{"rough-electric", "Rough-in", "All boxes at three board layers and channel, cables, grounds made up, nail plates on.", "", "",
		"Instalación eléctrica", "Todas las cajas a ras de tres capas y canal, cables, tierras conectadas, placas de protección puestas.", "Muros y plafones levantados, tablero con corriente en la bodega, luz provisional", "Cajas, cable, placas de protección, aros profundos"},
	{"channel-ceiling", "Channel, ceiling", "Clips at the drawn spacing, channel across, no screw into a joist.", "", "", "Canal del cielo", "Grapas y canal en el cielo, como en el plano; ningún tornillo en una vigueta.", "", ""},
	{"data-cables", "Data cables", "Four data cables and the door phone, own holes, a foot from power.", "", "", "Cables de datos", "Cuatro cables de datos y el portero, en huecos propios, a un pie de la corriente.", "", ""},
	{"fireblock", "Fireblock", "Block and seal every hole, backing for the board edges and the projector.", "", "",
		"Bloqueo contra fuego", "Tapar y sellar cada hueco, respaldos para los bordes del tablero y el proyector.", "", ""},
	{"board-ceiling-1", "Board, ceiling 1", "Ceiling, first layer, a quarter inch free all round.", "Channel up, insulation signed, board inside", "Board lift, screw guns",
		"Tablero, cielo 1", "Cielo, primera capa, un cuarto de pulgada libre en todo el borde.", "", ""},
	{"board-walls-1", "Board, walls 1", "Walls, first layer, edges free, nothing touches the old wall.", "Putty pads on all boxes", "Screw guns",
		"Tablero, muros 1", "Paredes, primera capa, borde libre, nada toca la pared vieja.", "", ""},
	{"finish-coat", "Finish coat", "Last coat, sand colour, the same grain on all three walls.", "", "",
		"Capa final", "Capa final, color arena, mismo grano en las tres paredes.", "", ""},
	{"prime", "Prime", "Primer on all new board.", "", "", "Sellador", "Sellador en todo el tablero nuevo.", "", ""},
	{"batts", "Batts", "Mineral wool in walls and ceiling, tight and uncut at the boxes.", "", "",
		"Lana mineral", "Lana mineral en paredes y cielo, ajustada y sin cortar en las cajas.", "", ""},
}

// sixtySheet is the Old Laundry with words in both languages; each third of the table reads it another
// way: with links to the crews' pages, without, and in plain letters.
func sixtySheet(t *testing.T, third int, now schedule.Minute, code string) *sheet {
	t.Helper()
	site := readSite(demoDoc(t))
	for _, b := range bothTongues {
		if a := site.Activity(b.id); a != nil {
			a.Name, a.Scope, a.Also, a.ScopeAlso = b.name, b.scope, b.also, b.scopeAlso
			if ready, bring := b.ready, b.bring; code == "en" && ready != "" {
				a.Ready, a.Bring = ready, bring
			} else if code == "es" && b.readyAlso != "" {
				a.Ready, a.Bring = b.readyAlso, b.bringAlso
			}
		}
	}
	site.Plain = third == 2
	tellDays(site, "vent-patch", "2027-04-07T08:00", "2027-04-07T16:30")
	tellDays(site, "batts", "2027-04-13T08:00", "2027-04-14T12:00")
	tellDays(site, "board-ceiling-1", "2027-04-13T08:00", "2027-04-13T12:00")
	tellDays(site, "board-walls-1", "2027-04-13T12:30", "2027-04-14T12:00")
	s := newSheet(site, schedule.Lay(site, now), now, words.In("en"))
	if third == 0 {
		s.pages = map[string]string{"carpentry": "https://laundry.example/c/k7m2x9q4w8r3t6y5p2n8v4b7c9", "board": "https://laundry.example/c/b7c9n8v4p2y5t6r3w8q4x9m2k7"}
		s.pages["electric"], s.pages["insulate"], s.pages["stucco"] = s.pages["carpentry"], s.pages["board"], s.pages["carpentry"]
	}
	return s
}

func tellDays(site *schedule.Site, id, from, to string) {
	if a := site.Activity(id); a != nil {
		a.Booking, a.ToldStart, a.ToldFinish = schedule.Firm, at(from), at(to)
	}
}

// sixty are the letters of the table, three of each kind.
func sixty(s func(third int, now schedule.Minute) *sheet) (out []struct {
	s *sheet
	l letter
}) {
	put := func(third int, now string, l letter) {
		x := s(third, at(now))
		if l.kind == "street" {
			l = x.streetLetters()[0]
		}
		if len(l.acts) > 0 && l.told == nil {
			x.settle(&l)
		}
		if l.day == 0 {
			l.day, l.first = x.lines[l.acts[0]].Start.Day(), x.lines[l.acts[0]].Start
		}
		out = append(out, struct {
			s *sheet
			l letter
		}{x, l})
	}
	morning := "2027-04-06T06:40"
	put(0, morning, letter{kind: "tomorrow", about: "carpentry", acts: []string{"porch"}, day: day("2027-04-07")})
	put(1, morning, letter{kind: "tomorrow", about: "electric", acts: []string{"rough-electric"}, day: day("2027-04-07")})
	put(2, morning, letter{kind: "tomorrow", about: "board", acts: []string{"board-ceiling-1", "board-walls-1"}, day: day("2027-04-15")})
	put(0, morning, letter{kind: "moved", about: "carpentry", acts: []string{"vent-patch"}})
	put(1, morning, letter{kind: "moved", about: "insulate", acts: []string{"batts"}})
	put(2, morning, letter{kind: "moved", about: "board", acts: []string{"board-ceiling-1", "board-walls-1"}})
	put(0, morning, letter{kind: "ask", about: "stucco", acts: []string{"finish-coat"}})
	put(1, morning, letter{kind: "ask", about: "carpentry", acts: []string{"fireblock", "vent-patch"}})
	put(2, morning, letter{kind: "ask", about: "board", acts: []string{"board-ceiling-1"}})
	put(0, "2027-04-05T08:00", letter{kind: "remind7", about: "insulate", acts: []string{"batts"}})
	put(1, "2027-04-05T08:00", letter{kind: "remind14", about: "stucco", acts: []string{"finish-coat"}})
	put(2, "2027-04-06T08:00", letter{kind: "remind14", about: "board", acts: []string{"board-ceiling-1", "board-walls-1"}})
	put(0, morning, letter{kind: "go", about: "carpentry", acts: []string{"vent-patch"}})
	put(1, morning, letter{kind: "go", about: "carpentry", acts: []string{"fireblock"}})
	put(2, morning, letter{kind: "go", about: "board", acts: []string{"board-ceiling-1"}})
	put(0, morning, letter{kind: "off", about: "electric", acts: []string{"rough-electric"}, told: []string{"2027-04-08T08:00/2027-04-09T12:00"}})
	put(1, morning, letter{kind: "off", about: "carpentry", acts: []string{"porch", "fireblock"}, told: []string{"2027-04-07T08:00/2027-04-07T16:30", "2027-04-09T08:00/2027-04-09T16:30"}})
	put(2, morning, letter{kind: "off", about: "board", acts: []string{"board-walls-1"}, told: []string{"2027-04-15T12:30/2027-04-16T12:00"}})
	put(0, morning, letter{kind: "callIn", about: "rough-electrical", acts: []string{"rough-electrical"}})
	put(1, morning, letter{kind: "callIn", about: "framing", acts: []string{"framing"}})
	put(2, morning, letter{kind: "callIn", about: "insulation", acts: []string{"insulation"}})
	put(0, morning, letter{kind: "order", about: "board-goods", acts: []string{"board-goods"}})
	put(1, morning, letter{kind: "order", about: "oak-boards", acts: []string{"oak-boards"}})
	put(2, morning, letter{kind: "order", about: "basin", acts: []string{"basin"}})
	put(0, morning, letter{kind: "reorder", about: "door-inner", acts: []string{"door-inner"}, told: []string{"2027-04-20T08:00/2027-04-20T08:00"}})
	put(1, morning, letter{kind: "reorder", about: "board-goods", acts: []string{"board-goods"}, told: []string{"2027-04-09T08:00/2027-04-09T08:00"}})
	put(2, morning, letter{kind: "reorder", about: "basin", acts: []string{"basin"}, told: []string{"2027-04-21T08:00/2027-04-21T08:00"}})
	put(0, morning, letter{kind: "street"})
	put(1, "2027-04-12T07:00", letter{kind: "street"})
	put(2, "2027-04-19T07:00", letter{kind: "street"})
	return out
}

// Sixty texts, every kind in both languages, as they leave the phone. The file is read by eye as a crew
// would read it: `cat testdata/texts/sixty.txt`. Refresh it with -update, and read what changed.
func TestSixtyTexts(t *testing.T) {
	var b strings.Builder
	n, kind := 0, ""
	inEnglish := sixty(func(third int, now schedule.Minute) *sheet { return sixtySheet(t, third, now, "en") })
	inSpanish := sixty(func(third int, now schedule.Minute) *sheet { return sixtySheet(t, third, now, "es") })
	for i := range inEnglish {
		for _, code := range words.Codes {
			x := inEnglish[i]
			if code == "es" {
				x = inSpanish[i]
			}
			body := x.s.bodyOf(words.In(code), x.l)
			if name := x.s.w.Say("textKind." + wordingOf(x.l.kind)); name != kind {
				kind = name
				fmt.Fprintf(&b, "%s\n%s\n\n", kind, strings.Repeat("=", len(kind)))
			}
			n++
			how := ""
			if x.s.site.Plain {
				how = ", plain letters"
			} else if x.s.pages[x.l.about] != "" {
				how = ", with link"
			}
			fmt.Fprintf(&b, "%d. %s, in %s%s: %s\n\n", n, x.s.toWhom(x.l), words.In(code).Name, how, x.s.lengthWords(body))
			fmt.Fprintf(&b, "    %s\n\n", strings.ReplaceAll(body, "\n", "\n    "))
			for _, bad := range []string{"{", "}", "[", "  ", "..", " ,", " .", "no time found"} {
				if strings.Contains(body, bad) {
					t.Errorf("text %d has %q:\n%s", n, bad, body)
				}
			}
		}
	}
	if n != 60 {
		t.Errorf("%d texts", n)
	}
	if *update {
		if err := os.MkdirAll("../../testdata/texts", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(sixtyFile, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(sixtyFile)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) {
		got, old := strings.Split(b.String(), "\n"), strings.Split(string(want), "\n")
		for i := range got {
			if i >= len(old) || got[i] != old[i] {
				t.Fatalf("line %d is now %q; read the whole with -update and git diff", i+1, got[i])
			}
		}
		t.Fatal("the file has more lines than the texts")
	}
}

// What a crew needs for a day fits three messages in either language, the scope apart, where the letters
// are plain; the count is of the texts of the table.
func TestTomorrowIsShort(t *testing.T) {
	for _, code := range words.Codes {
		for _, x := range sixty(func(third int, now schedule.Minute) *sheet { return sixtySheet(t, third, now, code) })[:3] {
			w := words.In(code)
			b := x.s.blanksFor(w, x.l)
			b["work"] = ""
			text, _ := x.s.wording("tomorrow", w)
			body := plainLetters(x.s.finished(fillBlanks(text, b)))
			if l := lengthOf(body); l.Parts > 3 || l.Odd != "" {
				t.Errorf("%s %s: %d messages, odd letters %q\n%s", code, x.l.about, l.Parts, l.Odd, body)
			}
		}
	}
}
