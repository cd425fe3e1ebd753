package opsync

import (
	"strings"
	"testing"

	"batterboard/schedule"
)

// TestServerAsksForPictures: the question reaches every phone that said hello, and only proper names.
func TestServerAsksForPictures(t *testing.T) { // SPEC K1, K4
	name := strings.Repeat("0123456789abcdef", 4)
	h := NewHub(HubStart{Site: "laundry", Epoch: "e0"})
	p, err := OpenPhone("laundry", 1, Owner, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	h.Join(7, 1, Owner)
	if got := h.Want([]string{name}); got != nil {
		t.Errorf("asked a phone that has not said hello: %s", got[0].Frame)
	}
	for _, f := range p.Connected() {
		for _, s := range h.Receive(7, []byte(f), 0).Now {
			if _, err := p.Receive(string(s.Frame)); err != nil {
				t.Fatal(err)
			}
		}
	}
	if got := h.Want([]string{"../../etc/passwd", strings.ToUpper(name), ""}); got != nil {
		t.Errorf("asked for what is no picture: %s", got[0].Frame)
	}
	sends := h.Want([]string{name, "x"})
	if len(sends) != 1 || len(sends[0].To) != 1 || sends[0].To[0] != 7 {
		t.Fatalf("sent %v", sends)
	}
	golden(t, "want.json", string(sends[0].Frame)+"\n")
	for _, frame := range lines(t, "want.json") {
		r, err := p.Receive(frame)
		if err != nil || len(r.Want) != 1 || r.Want[0] != name || r.Changed || r.Meta != nil {
			t.Errorf("%s: %+v, %v", frame, r, err)
		}
		for n := range frame { // SPEC G4
			if r, err := p.Receive(frame[:n]); err == nil && len(r.Want) > 0 {
				t.Errorf("cut off at %d it still asks for %v", n, r.Want)
			}
		}
	}
	many := make([]string, MaxWanted+5)
	for i := range many {
		many[i] = name
	}
	if r, err := p.Receive(string(h.Want(many)[0].Frame)); err != nil || len(r.Want) != MaxWanted {
		t.Errorf("asked for %d at once, %v", len(r.Want), err)
	}
}

// TestPapersAndPlaces: what is written of a paper, and of a photo whose place was wanted, reads the same for ever; values
// of another kind are refused, and a phone that does not know papers keeps them like any other thing (O5).
func TestPapersAndPlaces(t *testing.T) { // SPEC K5, K6
	anna := hands(t, 1)[0]
	name := strings.Repeat("0123456789abcdef", 4)
	anna.write(KindEdit, "paper|Permit 2027-114|Old Laundry", set("paper", "1.1", `at="2027-04-06T14:10"`, `by="Anna"`, `name="Permit 2027-114"`, `type="application/pdf"`,
		`file="`+name+`"`, `size=48211`, `share=true`))
	anna.write(KindEdit, "photo|Framing", set("photo", "1.2", `at="2027-04-06T14:10"`, `on="framing"`, `file="`+name+`"`, `taken="2027-04-06T13:58"`,
		`latitude=45523150`, `longitude=-122676500`))
	var ops strings.Builder
	for _, o := range anna.log.Ops() {
		ops.WriteString(string(o.Raw) + "\n")
	}
	golden(t, "papers.txt", ops.String())
	golden(t, "papers.site.json", string(anna.log.State().Document())+"\n")
	old := NewLog()
	for _, raw := range lines(t, "papers.txt") {
		if _, err := old.Add([]byte(raw)); err != nil {
			t.Fatalf("%s: %v", raw, err)
		}
	}
	want(t, "site", string(old.State().Document())+"\n", strings.Join(lines(t, "papers.site.json"), "\n")+"\n")
	site, err := schedule.ParseSite(anna.log.State().Document())
	if err != nil || len(site.Papers) != 1 || site.Papers[0].Type != schedule.PDF || site.Papers[0].Size != 48211 || site.Photos[0].Longitude != -122676500 {
		t.Fatalf("%+v, %v", site, err)
	}
	for _, field := range []string{`latitude="45"`, `longitude=1.5`, `taken="yesterday"`} {
		if fits("photo", field[:strings.Index(field, "=")], []byte(field[strings.Index(field, "=")+1:])) {
			t.Errorf("%s may stand in a photo", field)
		}
	}
	for _, field := range []string{`size="48 kB"`, `size=4e99`, `name=7`, `share=1`, `File="x"`} {
		if fits("paper", field[:strings.Index(field, "=")], []byte(field[strings.Index(field, "=")+1:])) {
			t.Errorf("%s may stand in a paper", field)
		}
	}
}
