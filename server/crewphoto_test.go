package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"image"
	"image/color"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"

	opsync "batterboard/sync"
)

// sends posts the form with a picture, as a browser does.
func (c crewPhone) sends(visit, said string, picture []byte) (int, string) {
	c.t.Helper()
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	m.WriteField("visit", visit)
	m.WriteField("said", said)
	f, err := m.CreateFormFile("picture", "IMG_0001.JPG")
	if err != nil {
		c.t.Fatal(err)
	}
	f.Write(picture)
	m.Close()
	q, err := http.NewRequest("POST", c.base+"/c/"+c.code+"/photo", &body)
	if err != nil {
		c.t.Fatal(err)
	}
	q.Header.Set("Content-Type", m.FormDataContentType())
	q.Header.Set("Origin", "null")
	r, err := http.DefaultClient.Do(q)
	b := readAll(c.t, r, err)
	return r.StatusCode, string(b)
}

// quarters is a picture whose corners can be told apart: red, green, blue, white, row by row.
func quarters(wide, high int) []byte {
	m := image.NewRGBA(image.Rect(0, 0, wide, high))
	for y := range high {
		for x := range wide {
			c := color.RGBA{255, 0, 0, 255}
			switch right, low := x >= wide/2, y >= high/2; {
			case right && low:
				c = color.RGBA{255, 255, 255, 255}
			case right:
				c = color.RGBA{0, 255, 0, 255}
			case low:
				c = color.RGBA{0, 0, 255, 255}
			}
			m.Set(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// corners names the colours of a picture's corners: r, g, b, w, row by row.
func corners(t *testing.T, raw []byte) string {
	t.Helper()
	m, err := jpeg.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	r, names := m.Bounds(), ""
	for _, p := range []image.Point{{r.Dx() / 8, r.Dy() / 8}, {r.Dx() * 7 / 8, r.Dy() / 8}, {r.Dx() / 8, r.Dy() * 7 / 8}, {r.Dx() * 7 / 8, r.Dy() * 7 / 8}} {
		cr, cg, cb, _ := m.At(p.X, p.Y).RGBA()
		switch red, green, blue := cr > 0x8000, cg > 0x8000, cb > 0x8000; {
		case red && green && blue:
			names += "w"
		case red:
			names += "r"
		case green:
			names += "g"
		default:
			names += "b"
		}
	}
	return names
}

// turnedShot is a camera's picture with how it was held, and where: what a phone writes.
func turnedShot(way uint16, wide, high int) []byte {
	tiff := []byte("Exif\x00\x00MM")
	be := binary.BigEndian
	tiff = be.AppendUint32(be.AppendUint16(tiff, 42), 8)
	tiff = be.AppendUint16(tiff, 2)
	tiff = be.AppendUint16(be.AppendUint16(be.AppendUint32(be.AppendUint16(be.AppendUint16(tiff, 0x0112), 3), 1), way), 0)
	tiff = be.AppendUint32(be.AppendUint32(be.AppendUint16(be.AppendUint16(tiff, 0x8825), 4), 1), 38) // GPS
	tiff = be.AppendUint32(tiff, 0)
	return with(0xe1, string(tiff)+"N 37.786971 W 122.399677", quarters(wide, high))
}

// The eight ways of tag 0x0112 (Exif 2.3, 4.6.4, figure 5): what is at the top left of a picture held so.
func TestPicturesAreSetUpright(t *testing.T) {
	w := newWorld(t)
	for way, want := range map[uint16]string{1: "rgbw", 2: "grwb", 3: "wbgr", 4: "bwrg", 5: "rbgw", 6: "brwg", 7: "wgbr", 8: "gwrb", 0: "rgbw", 9: "rgbw"} {
		large, small, err := w.srv.photos.remake(turnedShot(way, 600, 400))
		if err != nil {
			t.Fatal(err)
		}
		wide, high := int32(600), int32(400)
		if way >= 5 && way <= 8 {
			wide, high = high, wide
		}
		if got := corners(t, large.bytes); got != want || corners(t, small.bytes) != want || large.wide != wide || large.high != high {
			t.Errorf("held way %d: %s and %s, %dx%d; want %s", way, got, corners(t, small.bytes), large.wide, large.high, want)
		}
		if bytes.Contains(large.bytes, []byte("Exif")) || bytes.Contains(large.bytes, []byte("37.78")) {
			t.Error("the place is still in it")
		}
		if max(small.wide, small.high) != opsync.SmallSide {
			t.Errorf("the small copy has %dx%d", small.wide, small.high)
		}
	}
	large, _, err := w.srv.photos.remake(quarters(4032, 3024))
	if err != nil || large.wide != opsync.PictureSide || large.high != 1536 || len(large.bytes) > opsync.MaxPicture {
		t.Errorf("12 million pixels: %dx%d, %d bytes, %v", large.wide, large.high, len(large.bytes), err)
	}
}

func TestACrewsPictureStandsBesideItsWork(t *testing.T) {
	w, anna, site, p, c := newCrewWorld(t)
	raw := turnedShot(6, 3000, 2000)
	status, page := c.sends("rough", "Behind the wall\u202e", raw)
	if status != 200 || !strings.Contains(page, "it was passed on") {
		t.Fatal(status, page)
	}
	p.until("the picture", func() bool { return strings.Contains(p.doc(), `"photos"`) })
	var got struct {
		Photos []struct {
			ID, On, By, Said, File, Small string
			Wide, High                    int32
			Share                         bool
		}
		Notes []struct{ On, Said, Crew string }
	}
	if err := json.Unmarshal([]byte(p.doc()), &got); err != nil || len(got.Photos) != 1 || len(got.Notes) != 1 {
		t.Fatal(err, p.doc())
	}
	x := got.Photos[0]
	if x.On != "rough" || x.By != "Electric" || x.Said != "Behind the wall" || x.Wide != 1365 || x.High != 2048 || x.Share {
		t.Errorf("%+v", x)
	}
	if got.Notes[0].Said != "A photo of Rough-in. Behind the wall" || got.Notes[0].Crew != "elec" {
		t.Errorf("%+v", got.Notes[0])
	}
	for _, name := range []string{x.File, x.Small} {
		r, b := anna.fetch(site, name)
		if r.StatusCode != 200 || corners(t, b) != "brwg" || bytes.Contains(b, []byte("37.78")) {
			t.Errorf("%s: %d", name, r.StatusCode)
		}
	}
	// Twice sent is once there.
	before := w.opsOf(site)
	if status, _ := c.sends("rough", "Behind the wall", raw); status != 200 || w.opsOf(site) != before {
		t.Errorf("again: %d, %d operations more", status, w.opsOf(site)-before)
	}
	// The crew sees what the owner shares, and nothing else.
	if _, page, _ := c.get(""); strings.Contains(page, x.File) {
		t.Error("a picture nobody shared is on the page")
	}
	if status, _, _ := c.get("/photo/" + x.File); status != 404 {
		t.Errorf("a picture nobody shared: %d", status)
	}
	p.put("photo", x.ID, map[string]any{"share": true})
	p.put("photo", "other", map[string]any{"file": strings.Repeat("ab", 32), "on": "hang", "share": true})
	p.put("photo", "site", map[string]any{"file": strings.Repeat("cd", 32), "share": true, "said": "The gate"})
	p.untilSent()
	_, page, head := c.get("")
	for want, there := range map[string]bool{`/photo/` + x.Small + `" alt="Behind the wall"`: true, strings.Repeat("ab", 32): false, strings.Repeat("cd", 32): false} {
		if strings.Contains(page, want) != there {
			t.Errorf("%q is on the page: %v", want, !there)
		}
	}
	if !strings.Contains(head.Get("Content-Security-Policy"), "img-src 'self'") {
		t.Error("the page may not show pictures")
	}
	status, body, head := c.get("/photo/" + x.Small)
	if status != 200 || head.Get("Content-Type") != "image/jpeg" || head.Get("Cache-Control") != "no-store" || corners(t, []byte(body)) != "brwg" {
		t.Errorf("%d %v", status, head)
	}
	if status, _, _ := c.get("/photo/" + strings.Repeat("cd", 32)); status != 404 { // no phone has handed it in
		t.Errorf("a picture that is not here: %d", status)
	}
	// The picture is the crew's only by its own page.
	board := crewPhone{w, anna.crewLinkOf(site, "board", false)}
	if status, _, _ := board.get("/photo/" + strings.Repeat("ab", 32)); status != 404 {
		t.Errorf("%d", status)
	}
	if status, _ := board.sends("rough", "", quarters(100, 80)); status != 409 {
		t.Errorf("a picture for another crew's work: %d", status)
	}
}

func TestWhatIsNoPictureOfACrew(t *testing.T) {
	w, _, site, _, c := newCrewWorld(t)
	before := w.opsOf(site)
	bomb := quarters(64, 64)
	at := bytes.Index(bomb, []byte{0xff, 0xc0})
	binary.BigEndian.PutUint16(bomb[at+5:], 60_000)
	binary.BigEndian.PutUint16(bomb[at+7:], 60_000)
	whole := quarters(200, 200)
	for name, x := range map[string]struct {
		raw  []byte
		want int
	}{
		"nothing": {nil, 400}, "text": {[]byte("<script>alert(1)</script>"), 415}, "png": {[]byte("\x89PNG\r\n\x1a\n and so on"), 415}, "half": {whole[:len(whole)/2], 415},
		"sixty thousand a side": {bomb, 415}, "too many bytes": {append(quarters(64, 64), make([]byte, crewUpload)...), 413},
	} {
		if status, page := c.sends("rough", "", x.raw); status != x.want || !strings.Contains(page, "nothing was sent") {
			t.Errorf("%s: %d %.200s", name, status, page)
		}
	}
	if status, _ := c.sends("../../x", "", whole); status != 409 {
		t.Errorf("for no work at all: %d", status)
	}
	if w.opsOf(site) != before {
		t.Error("something was written")
	}
	if _, parts, err := w.srv.photos.look(site); err != nil || parts != 0 {
		t.Errorf("%d unfinished files, %v", parts, err)
	}
}

func TestTheMapLinkAndThePlainAddress(t *testing.T) {
	_, _, _, p, c := newCrewWorld(t)
	p.put("site", "site", map[string]any{"geo": "37.786971, -122.399677"})
	p.untilSent()
	if _, page, _ := c.get(""); !strings.Contains(page, `href="geo:37.786971,-122.399677"`) || !strings.Contains(page, "<p>14 Wash House Lane</p>") {
		t.Error("no map link, or no address")
	}
	p.put("site", "site", map[string]any{"geo": "javascript:alert(1),2"})
	p.untilSent()
	if _, page, _ := c.get(""); strings.Contains(page, "geo:") || strings.Contains(page, "javascript") {
		t.Error("a place that is none is linked to")
	}
}

func BenchmarkRemake(b *testing.B) { // a phone's 12 million pixels
	w := newWorld(b)
	raw := quarters(4032, 3024)
	for b.Loop() {
		if _, _, err := w.srv.photos.remake(raw); err != nil {
			b.Fatal(err)
		}
	}
}
