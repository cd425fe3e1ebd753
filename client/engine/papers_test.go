package engine

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"batterboard/schedule"
)

var aFile = strings.Repeat("0123456789abcdef", 4)

func with(pairs ...any) map[string]json.RawMessage {
	m := map[string]json.RawMessage{}
	for i := 0; i < len(pairs); i += 2 {
		m[pairs[i].(string)] = value(pairs[i+1])
	}
	return m
}

// Anna adds the permit to the site and a report to the framing visit; she calls the report something else, shares the
// permit, takes the report back, and has that undone.
func TestPapersHangWherePhotosHang(t *testing.T) {
	e := openDemo(t, "en")
	permit := with("file", aFile, "type", "application/pdf", "size", 1_234_567)
	r := do(t, e, Request{Do: "paper", Name: `C:\Scans\Permit 2027-114.PDF`, Fields: permit, Screen: "photos"})
	if r.View.Refused != "" || r.View.Said != "Kept: Permit 2027-114." || r.View.Photos.Line != "1 paper." {
		t.Fatalf("%q %q %q", r.View.Refused, r.View.Said, r.View.Photos.Line)
	}
	do(t, e, Request{Do: "paper", ID: "framing", Name: "Inspector's report", Fields: with("file", strings.Repeat("ab", 32), "type", "image/png", "size", 999_999), Screen: "photos"})
	all := show(t, e, "photos", "").Photos.Papers
	if len(all) != 2 || all[0].Title != "Inspector's report" || all[0].Note != "PNG, 1.0 MB" || all[0].Name != "Framing" || all[0].By != "Anna" ||
		all[1].Note != "PDF, 1.2 MB" || all[1].Ending != "pdf" || all[1].When != "Tue 6, 6:40 am" {
		t.Fatalf("%+v", all)
	}
	if v := show(t, e, "photos", "framing").Photos; len(v.Papers) != 1 || v.Line != "1 paper." {
		t.Errorf("of the visit: %+v", v)
	}
	for _, h := range show(t, e, "holds", "framing").Holds.Holds {
		if h.ID == "framing" && (len(h.Papers) != 1 || h.Taken != 2) {
			t.Errorf("the visit has %d papers, and %d photos: a paper is no photo wanted before cover", len(h.Papers), h.Taken)
		}
	}
	files := do(t, e, Request{Do: "files"}).Files.Files
	if len(files) != 2 || !files[0].Paper || files[0].Size != 999_999 || files[1].File != aFile || files[1].Small != "" {
		t.Errorf("the worker is told of %+v", files)
	}
	// a scanner that writes the ending a second time
	if r := do(t, e, Request{Do: "paper", Name: "Delivery note.pdf.pdf", Fields: with("file", strings.Repeat("cd", 32), "type", "application/pdf", "size", 10)}); r.View.Said != "Kept: Delivery note." {
		t.Errorf("%q %q", r.View.Refused, r.View.Said)
	}
	do(t, e, Request{Do: "undo"})
	id := all[0].ID
	if r := do(t, e, Request{Do: "edit", Kind: "paper", ID: id, Fields: with("name", "Report: passed", "share", true)}); r.View.Refused != "" {
		t.Error(r.View.Refused)
	}
	do(t, e, Request{Do: "remove", Kind: "paper", ID: id})
	if v := show(t, e, "photos", "").Photos; len(v.Papers) != 1 {
		t.Errorf("removed: %+v", v.Papers)
	}
	do(t, e, Request{Do: "undo"})
	back := show(t, e, "photos", "").Photos.Papers
	if len(back) != 2 || back[0].Title != "Report: passed" || !back[0].Share {
		t.Errorf("back again: %+v", back)
	}
	es := openDemo(t, "es")
	if r := do(t, es, Request{Do: "paper", Name: ".pdf", Fields: permit, Screen: "photos"}); r.View.Said != "Guardado: documento." || r.View.Photos.Line != "1 documento." {
		t.Errorf("%q %q", r.View.Said, r.View.Photos.Line)
	}
}

// TestWhatIsNoPaper: what is refused leaves nothing behind, and says what to do, in both languages.
func TestWhatIsNoPaper(t *testing.T) {
	for _, lang := range []string{"en", "es"} {
		e := openDemo(t, lang)
		for what, fields := range map[string]map[string]json.RawMessage{
			"a page":            with("file", aFile, "type", "text/html", "size", 10),
			"no type":           with("file", aFile, "size", 10),
			"a type of no text": with("file", aFile, "type", 7, "size", 10),
			"no file":           with("type", "application/pdf", "size", 10),
			"a path for a file": with("file", "../../etc/passwd", "type", "application/pdf", "size", 10),
			"too large":         with("file", aFile, "type", "application/pdf", "size", 12<<20+1),
			"less than nothing": with("file", aFile, "type", "application/pdf", "size", -1),
			"a size in words":   with("file", aFile, "type", "application/pdf", "size", "48 kB"),
		} {
			r := do(t, e, Request{Do: "paper", Name: "Permit.pdf", Fields: fields})
			if r.View.Refused == "" || len(r.Ops) > 0 || !strings.Contains(r.View.Refused, map[string]string{"en": "Nothing", "es": "No se"}[lang]) {
				t.Errorf("%s, %s: %q, %d operations", what, lang, r.View.Refused, len(r.Ops))
			}
		}
		if r := do(t, e, Request{Do: "paper", ID: "nothing-here", Name: "Permit.pdf", Fields: with("file", aFile, "type", "application/pdf")}); r.View.Refused == "" {
			t.Error("a paper about what is not there is taken")
		}
		do(t, e, Request{Do: "paper", Name: "Permit.pdf", Fields: with("file", aFile, "type", "application/pdf", "size", 10)})
		id := show(t, e, "photos", "").Photos.Papers[0].ID
		for _, bad := range []map[string]json.RawMessage{with("name", ""), with("name", "a/b"), with("name", "fdp\u202e.exe"), with("name", strings.Repeat("a", 121)), with("type", "text/html"), with("file", "x"), with("pages", 3)} {
			if r := do(t, e, Request{Do: "edit", Kind: "paper", ID: id, Fields: bad}); r.View.Refused == "" || len(r.Ops) > 0 {
				t.Errorf("%v: %q", bad, r.View.Refused)
			}
		}
	}
}

// TestAPaperOfAnotherProgram: what another phone wrote is shown cleaned, and what cannot be opened here is not shown.
func TestAPaperOfAnotherProgram(t *testing.T) {
	e := New()
	doc := fmt.Sprintf(`{"format":1,"name":"S","papers":[{"id":"9.1","name":"../\u202efdp.exe\n<b>","type":"application/pdf","file":"%s"},
		{"id":"9.2","name":"A film","type":"video/mp4","file":"%s"},{"id":"9.3","name":"x","type":"application/pdf","file":"../../x"}]}`, aFile, strings.Repeat("cd", 32))
	e.Do(Request{Do: "open", Site: "s", Device: 2, Role: "owner", Lang: "en", Now: demoNow, Wall: wall(demoNow), Ops: opsOf(t, []byte(doc), 1, demoNow-1440)})
	all := show(t, e, "photos", "").Photos.Papers
	if len(all) != 1 || all[0].Title != "fdp.exe<b>" || all[0].Note != "PDF" {
		t.Errorf("%+v", all)
	}
	if f := do(t, e, Request{Do: "files"}).Files.Files; len(f) != 2 {
		t.Errorf("the files of later programs are kept as well: %+v", f)
	}
}

// TestWhereAPhotoWasTaken: kept only where it comes with the photo; shown in words and as a geo: link (RFC 5870, 3.3); no
// crew is told.
func TestWhereAPhotoWasTaken(t *testing.T) {
	e := openDemo(t, "en")
	do(t, e, Request{Do: "photo", Fields: with("file", aFile, "taken", "2027-04-05T16:20", "latitude", 12_582_222, "longitude", -65_722_500)})
	do(t, e, Request{Do: "photo", Fields: with("file", strings.Repeat("ab", 32))})
	p := show(t, e, "photos", "").Photos.Pictures
	if p[1].Taken != "Mon 5, 4:20 pm" || p[1].Place != "12.582222, -65.722500" || p[1].Geo != "geo:12.582222,-65.722500" {
		t.Errorf("%+v", p[1])
	}
	if p[0].Taken != "" || p[0].Place != "" || p[0].Geo != "" {
		t.Errorf("a photo without: %+v", p[0])
	}
	for n, want := range map[int32]string{1: "0.000001", -1: "-0.000001", 90_000_000: "90.000000", -180_000_000: "-180.000000", -5_000_000: "-5.000000"} {
		if got := millionths(n); got != want {
			t.Errorf("%d: %s", n, got)
		}
	}
	for _, bad := range []map[string]json.RawMessage{with("file", aFile, "latitude", 90_000_001), with("file", aFile, "longitude", -180_000_001), with("file", aFile, "latitude", "45"), with("file", aFile, "taken", "soon")} {
		if r := do(t, e, Request{Do: "photo", Fields: bad}); r.View.Refused == "" || len(r.Ops) > 0 {
			t.Errorf("%v is taken", bad)
		}
	}
	doc := string(e.phone.Log.State().Document())
	doc = strings.Replace(doc, `"latitude":12582222`, `"share":true,"latitude":12582222`, 1)
	page, ok := NewCrewBoard([]byte(doc), demoNow).Page("electric")
	if !ok || len(page.Photos) != 1 {
		t.Fatalf("the photo is not on the page: %+v", page.Photos)
	}
	told, err := json.Marshal(page)
	if err != nil || strings.Contains(string(told), "12.58") || strings.Contains(string(told), "12582222") || strings.Contains(string(told), "16:20") {
		t.Errorf("the crew is told: %s", told)
	}
}

// TestPapersACrewMaySee: those shared of the site, of its own work and of what comes right before it.
func TestPapersACrewMaySee(t *testing.T) {
	now := schedule.Minute(demoNow)
	paper := func(id, on, rest string) string {
		return `{"id":"` + id + `","name":"` + id + `","type":"application/pdf","file":"` + strings.Repeat(id[:2], 32) + `","size":48000` + on + rest + `}`
	}
	doc := `{"format":1,"name":"S","start":"2027-04-01","crews":[{"id":"c","name":"C","lang":"es"},{"id":"d","name":"D"}],
		"activities":[{"id":"a","name":"A","crew":"c","labour":{"typical":600}},{"id":"b","name":"B","crew":"d","labour":{"typical":600}}],
		"papers":[` + strings.Join([]string{paper("a1", "", `,"share":true`), paper("a2", "", ""), paper("a3", `,"on":"a"`, `,"share":true`), paper("a4", `,"on":"b"`, `,"share":true`)}, ",") + `]}`
	p, ok := NewCrewBoard([]byte(doc), now).Page("c")
	if !ok || len(p.Papers) != 1 || p.Papers[0] != (CrewPaper{strings.Repeat("a1", 32), "a1", "PDF, 48 kB"}) || len(p.Visits) != 1 || len(p.Visits[0].Papers) != 1 || p.Visits[0].Papers[0].Name != "a3" {
		t.Fatalf("%+v", p)
	}
	for id, shown := range map[string]bool{"a1": true, "a2": false, "a3": true, "a4": false} {
		if file := strings.Repeat(id, 32); p.Shows(file) != shown || (p.PaperName(file) == id) != shown {
			t.Errorf("%s is shown: %v, %q", id, !shown, p.PaperName(file))
		}
	}
}
