package main

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"mime"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// pdf is a whole PDF of one empty page with so many bytes of an unused stream in it: header, objects, table, trailer as
// in ISO 32000-2, 7.5.
func pdf(seed uint64, fill int) []byte {
	var b bytes.Buffer
	var at []int
	object := func(body string) {
		at = append(at, b.Len())
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", len(at), body)
	}
	b.WriteString("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
	object("<< /Type /Catalog /Pages 2 0 R >>")
	object("<< /Type /Pages /Kids [3 0 R] /Count 1 >>")
	object("<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] >>")
	object(fmt.Sprintf("<< /Length %d >>\nstream\n%s\nendstream", fill, bytes.Repeat([]byte{byte('a' + seed%26)}, fill)))
	table := b.Len()
	fmt.Fprintf(&b, "xref\n0 %d\n0000000000 65535 f \n", len(at)+1)
	for _, n := range at {
		fmt.Fprintf(&b, "%010d 00000 n \n", n)
	}
	fmt.Fprintf(&b, "trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n", len(at)+1, table)
	return b.Bytes()
}

// drawing is a PNG as a canvas writes it.
func drawing(wide, high int) []byte {
	m := image.NewNRGBA(image.Rect(0, 0, wide, high))
	for i := range m.Pix {
		m.Pix[i] = 255
	}
	for x := range wide {
		m.Set(x, x*high/wide, color.NRGBA{0, 0, 0, 200})
	}
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// behindHead puts a chunk behind the head of a PNG.
func behindHead(b []byte, name, body string) []byte {
	head := len(pngSignature) + 25
	return append(append(bytes.Clone(b[:head]), pngChunk(name, body)...), b[head:]...)
}

func pngChunk(name, body string) []byte {
	c := append(binary.BigEndian.AppendUint32(nil, uint32(len(body))), name+body...)
	return binary.BigEndian.AppendUint32(c, crc32.ChecksumIEEE(c[4:]))
}

// ofSize is a PNG whose head says a size and whose rows are n zeros.
func ofSize(wide, high uint32, n int) []byte {
	var z bytes.Buffer
	w := zlib.NewWriter(&z)
	w.Write(make([]byte, n))
	w.Close()
	head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, wide), high)
	b := append([]byte(pngSignature), pngChunk("IHDR", string(head)+"\x08\x06\x00\x00\x00")...)
	return append(append(b, pngChunk("IDAT", z.String())...), pngChunk("IEND", "")...)
}

// TestAPermitComes: half of a PDF comes, the server is started anew, the rest comes, and it goes out to be saved,
// whole or in pieces, never to be shown in our place.
func TestAPermitComes(t *testing.T) { // SPEC K2, K5
	w := newWorld(t)
	anna, site := w.owner("Anna")
	permit := pdf(1, 3*opsync.PictureChunk)
	name := nameOf(permit)
	if status, have := anna.put(site, name, 0, len(permit), permit[:opsync.PictureChunk]); status != 200 || have != opsync.PictureChunk {
		t.Fatalf("first piece: %d, have %d", status, have)
	}
	w.stop()
	w.start()
	if status, have := anna.put(site, name, 0, len(permit), permit[:100]); status != http.StatusConflict || have != opsync.PictureChunk {
		t.Errorf("from the start again: %d, have %d", status, have)
	}
	anna.putAll(site, permit, opsync.PictureChunk)
	r, got := anna.fetch(site, name)
	if r.StatusCode != 200 || !bytes.Equal(got, permit) {
		t.Fatalf("fetched: %d, %d bytes of %d", r.StatusCode, len(got), len(permit))
	}
	for k, want := range map[string]string{"Content-Type": "application/pdf", "X-Content-Type-Options": "nosniff", "Content-Security-Policy": photoPolicy,
		"Cross-Origin-Resource-Policy": "same-origin", "Content-Disposition": `attachment; filename="paper-` + name[:12] + `.pdf"`} {
		if got := r.Header.Get(k); got != want {
			t.Errorf("%s: %q, want %q", k, got, want)
		}
	}
	q, err := http.NewRequest("GET", w.base+"/api/photo/"+name+"?site="+site, nil)
	if err != nil {
		t.Fatal(err)
	}
	q.Header.Set("Range", "bytes=100-299")
	r, err = anna.http.Do(q)
	if piece := readAll(t, r, err); r.StatusCode != http.StatusPartialContent || !bytes.Equal(piece, permit[100:300]) {
		t.Errorf("a piece of it: %d, %d bytes", r.StatusCode, len(piece))
	}
	other, _ := w.owner("Olga")
	if r, _ := other.fetch(site, name); r.StatusCode != http.StatusForbidden {
		t.Errorf("somebody of another site gets it: %d", r.StatusCode)
	}
}

// TestWhatIsNoPaper: what a file is called or said to be counts for nothing; each is refused and nothing stays.
func TestWhatIsNoPaper(t *testing.T) { // SPEC K5
	w := newWorld(t)
	anna, site := w.owner("Anna")
	page := "<!DOCTYPE html><script>alert(1)</script>"
	small, plan := pdf(2, 10), drawing(60, 40)
	spoilt := bytes.Clone(plan)
	spoilt[len(spoilt)-20] ^= 1
	interlaced := bytes.Clone(plan)
	interlaced[28] = 1
	binary.BigEndian.PutUint32(interlaced[29:], crc32.ChecksumIEEE(interlaced[12:29]))
	strange := ofSize(4, 4, 4)
	strange[25] = 5 // a colour type that PNG, table 9, does not have
	binary.BigEndian.PutUint32(strange[29:], crc32.ChecksumIEEE(strange[12:29]))
	for what, b := range map[string][]byte{
		"a page":                          []byte(page),
		"a page behind blanks":            []byte("\ufeff \n\t" + page),
		"a drawing with a script (SVG)":   []byte(`<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`),
		"a long page":                     []byte(page + strings.Repeat(" ", 3*opsync.PictureChunk)),
		"an archive":                      []byte("PK\x03\x04\x14\x00\x00\x00\x08\x00"),
		"a program":                       []byte("MZ\x90\x00\x03\x00\x00\x00"),
		"a picture of an iPhone (HEIC)":   []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"),
		"a WebP":                          []byte("RIFF\x24\x00\x00\x00WEBPVP8 "),
		"a text with a bell":              []byte("ding\x07"),
		"a text in another alphabet":      []byte("Ba\xf1o"), // ISO 8859-1
		"blanks":                          []byte(" \n "),
		"a PDF behind a page":             append([]byte(page), small...),
		"half a PDF":                      small[:len(small)/2],
		"a PDF that says nothing":         []byte("%PDF-1.7\n%%EOF"),
		"half a PNG":                      plan[:len(plan)-12],
		"a PNG with a page behind it":     append(bytes.Clone(plan), page...),
		"a PNG with a text":               behindHead(plan, "tEXt", "Comment\x00at home"),
		"a PNG with a place (eXIf)":       behindHead(plan, "eXIf", exif(binary.BigEndian, 0x8825)[6:]),
		"a PNG with a packed text (zTXt)": behindHead(plan, "zTXt", "Comment\x00\x00x"),
		"a PNG with two heads":            behindHead(plan, "IHDR", string(plan[16:29])),
		"a PNG that was spoilt":           spoilt,
		"an interlaced PNG":               interlaced,
		"a PNG of no known colours":       strange,
		"a small PNG, a large wall":       ofSize(1<<31-1, 1<<31-1, 9),
		"a PNG that unpacks to less":      ofSize(100, 100, 100),
		"a PNG that unpacks to more":      ofSize(2, 2, 1<<20),
		"a PNG larger than phones make":   ofSize(opsync.MaxPictureSide+1, 1, 1+4*(opsync.MaxPictureSide+1)),
	} {
		at, status := 0, 200
		for at < len(b) && status == 200 {
			status, at = anna.put(site, nameOf(b), at, len(b), b[at:min(len(b), at+opsync.PictureChunk)])
		}
		if status != http.StatusUnsupportedMediaType {
			t.Errorf("%s: %d", what, status)
		}
		if at > opsync.PictureChunk {
			t.Errorf("%s: %d bytes came before it was refused", what, at)
		}
		if have, whole := w.srv.photos.have(site, nameOf(b)); have != 0 || whole {
			t.Errorf("%s: %d bytes of it stayed", what, have)
		}
	}
	for what, c := range map[string]struct {
		head []byte
		of   int
		want int
	}{
		"a PDF as long as may be":  {small, opsync.MaxPaper, 200},
		"a PDF that is longer":     {small, opsync.MaxPaper + 1, http.StatusRequestEntityTooLarge},
		"a PNG as long as may be":  {plan, opsync.MaxPicture, 200},
		"a PNG that is longer":     {drawing(900, 500), opsync.MaxPicture + 1, http.StatusRequestEntityTooLarge},
		"a text that is longer":    {[]byte(strings.Repeat("word ", 200)), opsync.MaxPicture + 1, http.StatusRequestEntityTooLarge},
		"a photo that is longer":   {shot(20, 90, 90), opsync.MaxPicture + 1, http.StatusRequestEntityTooLarge},
		"bytes of another name":    {small, len(small), http.StatusUnprocessableEntity},
		"a page said to be longer": {[]byte(page + strings.Repeat(" ", headLen)), opsync.MaxPaper, http.StatusUnsupportedMediaType},
	} {
		name := nameOf([]byte(what))
		if status, _ := anna.put(site, name, 0, c.of, c.head); status != c.want {
			t.Errorf("%s: %d, want %d", what, status, c.want)
		}
		if have, _ := w.srv.photos.have(site, name); c.want != 200 && have != 0 {
			t.Errorf("%s: %d bytes stayed", what, have)
		}
	}
	for what, c := range map[string]struct {
		bytes []byte
		as    string
	}{
		"a PDF":                       {small, "application/pdf"},
		"a PDF with blanks behind it": {append(bytes.Clone(small), "\r\n\r\n"...), "application/pdf"},
		"a drawing":                   {plan, "image/png"},
		"a drawing of a whole plan":   {drawing(opsync.PaperSide, 300), "image/png"},
		"a photo of a plan":           {shot(21, opsync.PaperSide, 40), "image/jpeg"},
		"a note":                      {[]byte("Delivered: 36 sheets, two broken.\r\nSe entregó el baño.\n"), "text/plain; charset=utf-8"},
	} {
		anna.putAll(site, c.bytes, 0)
		r, got := anna.fetch(site, nameOf(c.bytes))
		if r.StatusCode != 200 || !bytes.Equal(got, c.bytes) || r.Header.Get("Content-Type") != c.as {
			t.Errorf("%s: %d, %d bytes, %s", what, r.StatusCode, len(got), r.Header.Get("Content-Type"))
		}
		shown := strings.HasPrefix(r.Header.Get("Content-Disposition"), "inline")
		if shown != (c.as == "image/jpeg") {
			t.Errorf("%s goes out as %s", what, r.Header.Get("Content-Disposition"))
		}
	}
}

// TestPapersAreKeptAsPicturesAre: what the log names stays, what is lost is asked for, backups have it.
func TestPapersAreKeptAsPicturesAre(t *testing.T) { // SPEC K4, K5
	w := newWorld(t)
	anna, site := w.owner("Anna")
	phone := anna.phone(site).connect()
	permit, plans, unnamed := pdf(3, 5000), pdf(4, opsync.PictureChunk), pdf(5, 10)
	for i, p := range [][]byte{permit, plans, unnamed} {
		anna.putAll(site, p, 0)
		if i < 2 {
			phone.set("paper", fmt.Sprintf("1.%d", i+1), "file", nameOf(p))
		}
	}
	phone.untilSent()
	for _, p := range [][]byte{permit, plans, unnamed} {
		os.Chtimes(w.srv.photos.path(site, nameOf(p)), w.now(), w.now())
	}
	w.later(31 * 24 * time.Hour)
	w.srv.tendPhotos(make(chan struct{}))
	for _, c := range []struct {
		what string
		file []byte
		here bool
	}{{"the permit", permit, true}, {"the plans", plans, true}, {"a paper nobody speaks of", unnamed, false}} {
		if _, whole := w.srv.photos.have(site, nameOf(c.file)); whole != c.here {
			t.Errorf("%s after a month: %v", c.what, whole)
		}
	}
	if err := os.Remove(w.srv.photos.path(site, nameOf(plans))); err != nil {
		t.Fatal(err)
	}
	w.srv.tendPhotos(make(chan struct{}))
	w.srv.askForLacks()
	phone.until("the server asks", func() bool { return len(phone.wanted) == 1 && phone.wanted[0] == nameOf(plans) })
	anna.putAll(site, plans, 0)
	phone.cut()

	to := t.TempDir()
	if _, err := (backups{to}).addPictures(w.srv.photos.dir); err != nil {
		t.Fatal(err)
	}
	data := t.TempDir()
	if n, err := (backups{data}).bringPictures(to + "/pictures"); n != 2 || err != nil {
		t.Errorf("put back from a backup: %d, %v", n, err)
	}
	got, err := os.ReadFile(data + "/photos/" + site + "/" + nameOf(permit))
	if !bytes.Equal(got, permit) {
		t.Errorf("the permit out of the backup: %d bytes, %v", len(got), err)
	}
	if opsync.MaxPaper >= maxBackupPart {
		t.Error("a paper does not fit into a record of a backup")
	}
}

// TestKilledWhileAPaperComes: the real program is killed after every piece of a PDF.
func TestKilledWhileAPaperComes(t *testing.T) { // SPEC K2, K5
	w := &world{t: t, dir: t.TempDir(), clock: time.Now()}
	p, base := launch(t, "serve", "--addr", "127.0.0.1:0", "--data", w.dir)
	w.base = base // until the first kill
	link := p.line(t, "owner link ")
	anna := w.browser()
	site := anna.must("POST", "/api/pair", map[string]string{"code": link[strings.LastIndex(link, "/")+1:], "name": "Anna"})["site"].(string)
	plans := pdf(6, 4*opsync.PictureChunk)
	for at := 0; at < len(plans); {
		status, have := anna.put(site, nameOf(plans), at, len(plans), plans[at:min(at+opsync.PictureChunk, len(plans))])
		if status != 200 {
			t.Fatalf("piece at %d: %d", at, status)
		}
		at = have
		p.Process.Kill()
		p.Wait()
		p, anna.base = launch(t, "serve", "--addr", "127.0.0.1:0", "--data", w.dir) // another port: somebody may have taken the old one
	}
	if r, got := anna.fetch(site, nameOf(plans)); r.StatusCode != 200 || !bytes.Equal(got, plans) {
		t.Errorf("in the end: %d, %d of %d bytes", r.StatusCode, len(got), len(plans))
	}
}

// TestNamesOfPapersInHeaders: any alphabet comes back as it went, and no name breaks out of the line.
func TestNamesOfPapersInHeaders(t *testing.T) { // SPEC K5
	for _, name := range []string{"Permit 2027-114", "Cotización eléctrica", "Grundriß 1;2", `a"b\c`, "a\r\nSet-Cookie: x=1", "計画"} {
		clean := schedule.PaperName(name, schedule.PDF)
		line := disposition(schedule.PDF, clean, strings.Repeat("0", 64))
		kind, par, err := mime.ParseMediaType(line) // RFC 2231 and 2183, by the standard library
		if err != nil || kind != "attachment" || par["filename"] != clean+".pdf" || strings.ContainsAny(line, "\r\n") {
			t.Errorf("%q: %q: %v %v", name, line, par, err)
		}
	}
}

// FuzzPaper: whatever passes is told to be what it goes out as, by another judge too (the sniffing of
// https://mimesniff.spec.whatwg.org in net/http), and a PNG that passes decodes.
func FuzzPaper(f *testing.F) {
	f.Add(pdf(7, 30))
	f.Add(drawing(9, 7))
	f.Add(ofSize(2, 2, 18))
	f.Add([]byte("A note.\n"))
	f.Add([]byte("\xef\xbb\xbf<html>"))
	f.Fuzz(func(t *testing.T, b []byte) {
		if checkKept(b) != nil {
			return
		}
		of := typeOf(b)
		if got := http.DetectContentType(b); of != schedule.Plain && got != string(of) || strings.HasPrefix(got, "text/html") || strings.HasPrefix(got, "text/xml") {
			t.Errorf("kept as %s, browsers would take it for %s", of, got)
		}
		if of == schedule.PNG {
			if c, err := png.DecodeConfig(bytes.NewReader(b)); err != nil || c.Width > opsync.MaxPictureSide || c.Height > opsync.MaxPictureSide {
				t.Errorf("passed: %+v, %v", c, err)
			}
		}
	})
}

// TestACrewIsGivenThePapersItMaySee: with name and size, in the crew's language, to be saved; nothing else, and never where
// a photo was taken.
func TestACrewIsGivenThePapersItMaySee(t *testing.T) { // SPEC K5, K6
	w, anna, site, p, c := newCrewWorld(t)
	plans, report, pic := pdf(8, 60_000), pdf(9, 100), shot(22, 80, 60)
	for _, b := range [][]byte{plans, report, pic} {
		anna.putAll(site, b, 0)
	}
	p.put("paper", "plans", map[string]any{"file": nameOf(plans), "type": "application/pdf", "size": len(plans), "name": `Plans "C" <b>ñ`, "share": true})
	p.put("paper", "report", map[string]any{"file": nameOf(report), "type": "application/pdf", "name": "Report", "on": "rough"})
	p.put("paper", "lost", map[string]any{"file": strings.Repeat("cd", 32), "type": "application/pdf", "name": "Lost", "on": "rough", "share": true})
	p.put("photo", "there", map[string]any{"file": nameOf(pic), "share": true, "taken": "2027-03-01T16:20", "latitude": 12582222, "longitude": -65722500})
	p.untilSent()
	_, page, _ := c.get("")
	for want, there := range map[string]bool{"/photo/" + nameOf(plans) + `" download>Plans &#34;C&#34; &lt;b&gt;ñ</a><br><span class="soft">PDF, 60 kB</span>`: true,
		"<h2>Papers</h2>": true, nameOf(report): false, "Lost": false, "/photo/" + nameOf(pic): true, "12.58": false, "12582222": false, "16:20": false, "geo:": false} {
		if strings.Contains(page, want) != there {
			t.Errorf("%q is on the page: %v", want, !there)
		}
	}
	if n := len(page); n > 30_000 {
		t.Errorf("%d bytes", n)
	}
	status, body, head := c.get("/photo/" + nameOf(plans))
	kind, par, err := mime.ParseMediaType(head.Get("Content-Disposition"))
	if status != 200 || body != string(plans) || kind != "attachment" || par["filename"] != `Plans "C" <b>ñ.pdf` || err != nil {
		t.Errorf("%d, %d bytes, %q %v %v", status, len(body), kind, par, err)
	}
	for k, want := range map[string]string{"Content-Type": "application/pdf", "X-Content-Type-Options": "nosniff", "Content-Security-Policy": photoPolicy, "Cache-Control": "no-store"} {
		if got := head.Get(k); got != want {
			t.Errorf("%s: %q, want %q", k, got, want)
		}
	}
	if status, _, _ := c.get("/photo/" + nameOf(report)); status != http.StatusNotFound {
		t.Errorf("a paper nobody shared: %d", status)
	}
	_, spanish, _ := crewPhone{w, anna.crewLinkOf(site, "board", false)}.get("")
	if !strings.Contains(spanish, "<h2>Documentos</h2>") {
		t.Error("the Spanish page does not have the papers of the site")
	}
}
