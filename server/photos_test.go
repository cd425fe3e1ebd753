package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	opsync "batterboard/sync"
)

// shot is a picture as a phone makes one: a baseline JPEG.
func shot(seed uint64, wide, high int) []byte {
	dice := rand.New(rand.NewPCG(seed, 1))
	m := image.NewRGBA(image.Rect(0, 0, wide, high))
	for y := range high {
		for x := range wide {
			m.Set(x, y, color.RGBA{uint8(x*3) ^ uint8(dice.IntN(64)), uint8(y * 5), uint8(x ^ y), 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 80}); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// with puts a marker segment right behind the start of a JPEG.
func with(mark byte, body string, b []byte) []byte {
	seg := append([]byte{0xff, 0xd8, 0xff, mark}, binary.BigEndian.AppendUint16(nil, uint16(len(body)+2))...)
	return append(append(seg, body...), b[2:]...)
}

// exif is an Exif block with one entry in its first directory (Exif 2.3, 4.5.2 and 4.6.2; TIFF 6.0, section 2).
func exif(order binary.AppendByteOrder, tag uint16) string {
	b := []byte("Exif\x00\x00MM")
	if order == binary.AppendByteOrder(binary.LittleEndian) {
		b = []byte("Exif\x00\x00II")
	}
	b = order.AppendUint16(b, 42)
	b = order.AppendUint32(b, 8)
	b = order.AppendUint16(b, 1)
	b = order.AppendUint16(b, tag)
	b = order.AppendUint16(b, 4) // LONG
	b = order.AppendUint32(b, 1)
	b = order.AppendUint32(b, 26)
	b = order.AppendUint32(b, 0)
	return string(b)
}

// put sends one piece.
func (b *browser) put(site, name string, at, of int, piece []byte) (status int, have int) {
	b.t.Helper()
	q, err := http.NewRequest("PUT", fmt.Sprintf("%s/api/photo/%s?site=%s&at=%d&of=%d", b.base, name, site, at, of), bytes.NewReader(piece))
	if err != nil {
		b.t.Fatal(err)
	}
	q.Header.Set("Origin", b.base)
	q.Header.Set("Content-Type", "application/octet-stream")
	r, err := b.http.Do(q)
	if err != nil {
		b.t.Fatal(err)
	}
	defer r.Body.Close()
	var answer struct{ Have int }
	if err := json.NewDecoder(r.Body).Decode(&answer); err != nil {
		b.t.Fatal(err)
	}
	return r.StatusCode, answer.Have
}

// putAll sends a whole picture in pieces, from where the server's copy ends.
func (b *browser) putAll(site string, pic []byte, at int) {
	b.t.Helper()
	for at < len(pic) {
		piece := pic[at:min(at+opsync.PictureChunk, len(pic))]
		status, have := b.put(site, nameOf(pic), at, len(pic), piece)
		if status != 200 || have != at+len(piece) {
			b.t.Fatalf("piece at %d of %d: %d, have %d", at, len(pic), status, have)
		}
		at = have
	}
}

func (b *browser) fetch(site, name string) (*http.Response, []byte) {
	b.t.Helper()
	r, err := b.http.Get(b.base + "/api/photo/" + name + "?site=" + site)
	return r, readAll(b.t, r, err)
}

func TestAPictureComesInPieces(t *testing.T) { // SPEC K2, K3
	w := newWorld(t)
	anna, site := w.owner("Anna")
	ben := anna.invited(site, opsync.Viewer, "Ben")
	pic := shot(1, 1500, 1100)
	name := nameOf(pic)
	if len(pic) < 2*opsync.PictureChunk {
		t.Fatalf("the picture has %d bytes, too few for the story", len(pic))
	}
	if r, _ := ben.fetch(site, name); r.StatusCode != http.StatusNotFound {
		t.Errorf("before it came: %d", r.StatusCode)
	}
	// The line breaks within a piece: what came is kept.
	cut := opsync.PictureChunk / 3
	if status, have := anna.put(site, name, 0, len(pic), pic[:cut]); status != 200 || have != cut {
		t.Fatalf("first piece: %d, have %d", status, have)
	}
	if status, have := anna.put(site, name, 0, len(pic), pic[:cut]); status != http.StatusConflict || have != cut {
		t.Errorf("the same piece again: %d, have %d, want %d", status, have, cut)
	}
	lacks := anna.must("POST", "/api/photos/lacks", map[string]any{"site": site, "files": []string{name, strings.Repeat("0", 64)}})["lacks"]
	if got := fmt.Sprint(lacks); got != fmt.Sprintf("map[%s:0 %s:%d]", strings.Repeat("0", 64), name, cut) && got != fmt.Sprintf("map[%s:%d %s:0]", name, cut, strings.Repeat("0", 64)) {
		t.Errorf("lacks %s", got)
	}
	if r, _ := ben.fetch(site, name); r.StatusCode != http.StatusNotFound {
		t.Errorf("half a picture is served: %d", r.StatusCode)
	}
	w.stop()
	w.start() // the server is another one, the piece is still there
	anna.putAll(site, pic, cut)
	r, got := ben.fetch(site, name)
	if r.StatusCode != 200 || !bytes.Equal(got, pic) {
		t.Fatalf("fetched: %d, %d bytes of %d", r.StatusCode, len(got), len(pic))
	}
	for k, want := range map[string]string{"Content-Type": "image/jpeg", "X-Content-Type-Options": "nosniff", "Cache-Control": "private, max-age=31536000, immutable",
		"Content-Security-Policy": photoPolicy, "Cross-Origin-Resource-Policy": "same-origin", "Content-Disposition": `inline; filename="photo-` + name[:12] + `.jpg"`} {
		if got := r.Header.Get(k); got != want {
			t.Errorf("%s: %q, want %q", k, got, want)
		}
	}
	if lacks := anna.must("POST", "/api/photos/lacks", map[string]any{"site": site, "files": []string{name}})["lacks"]; fmt.Sprint(lacks) != "map[]" {
		t.Errorf("still lacks %v", lacks)
	}
	if status, have := anna.put(site, name, 0, len(pic), pic[:100]); status != 200 || have != len(pic) {
		t.Errorf("handed in once more: %d, have %d", status, have)
	}
	if status, _ := ben.put(site, nameOf([]byte("x")), 0, 1, []byte("x")); status != http.StatusForbidden {
		t.Errorf("a viewer hands in: %d", status)
	}
	other, _ := w.owner("Olga")
	if r, _ := other.fetch(site, name); r.StatusCode != http.StatusForbidden {
		t.Errorf("somebody of another site sees it: %d", r.StatusCode)
	}
}

// TestWhatIsNoPicture: each of these is refused, nothing of it stays, and the next proper one is taken.
func TestWhatIsNoPicture(t *testing.T) { // SPEC K3
	w := newWorld(t)
	anna, site := w.owner("Anna")
	pic := shot(2, 200, 150)
	small := shot(3, 40, 30)
	end := len(small) - 2
	wall := bytes.Clone(small) // says it is 65,535 by 65,535
	at := bytes.Index(wall, []byte{0xff, 0xc0})
	copy(wall[at+5:], []byte{0xff, 0xff, 0xff, 0xff})
	progressive := bytes.Clone(small)
	progressive[at+1] = 0xc2
	var p, g bytes.Buffer
	m := image.NewPaletted(image.Rect(0, 0, 20, 20), color.Palette{color.Black, color.White})
	if png.Encode(&p, m) != nil || gif.Encode(&g, m, nil) != nil {
		t.Fatal("no pictures to try")
	}
	html := "<html><script>alert(1)</script></html>"
	for what, b := range map[string][]byte{
		"nothing":                              {0},
		"a page":                               []byte(html),
		"a drawing with a script":              []byte(`<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`),
		"a PNG of one bit a sample":            p.Bytes(), // canvases write eight: photospapers_test.go
		"a GIF":                                g.Bytes(),
		"a page that begins right":             append([]byte{0xff, 0xd8, 0xff, 0xe0}, html...),
		"a page behind the end":                append(bytes.Clone(small), html...),
		"a page in a comment":                  with(0xfe, html, small),
		"a page in a profile":                  with(0xe2, html, small),
		"a packet that may hold a place (XMP)": with(0xe1, "http://ns.adobe.com/xap/1.0/\x00<x/>", small),
		"a second file in it (MPF)":            with(0xe2, "MPF\x00", small),
		"a place, big end first":               with(0xe1, exif(binary.BigEndian, 0x8825), small),
		"a place, small end first":             with(0xe1, exif(binary.LittleEndian, 0x8825), small),
		"Exif that does not read":              with(0xe1, "Exif\x00\x00MM\x00*\xff\xff\xff\xff", small),
		"half of it":                           small[:len(small)/2],
		"without an end":                       small[:end],
		"without a picture":                    {0xff, 0xd8, 0xff, 0xd9},
		"a small file, a large wall":           wall,
		"a progressive one":                    progressive,
		"two frames":                           with(0xc0, string(small[at+4:at+19]), small),
		"wider than phones make":               shot(4, opsync.MaxPictureSide+1, 8),
	} {
		status, _ := anna.put(site, nameOf(b), 0, len(b), b)
		if status != http.StatusUnsupportedMediaType {
			t.Errorf("%s: %d", what, status)
		}
		if have, whole := w.srv.photos.have(site, nameOf(b)); have != 0 || whole {
			t.Errorf("%s: %d bytes of it stayed", what, have)
		}
	}
	for what, c := range map[string]struct {
		name            string
		at, of, n, want int
	}{
		"bytes of another name": {nameOf(small), 0, len(pic), len(pic), http.StatusUnprocessableEntity},
		"longer than said":      {nameOf(pic), 0, len(pic) - 1, len(pic), http.StatusUnprocessableEntity},
		"shorter than said":     {nameOf(pic), 0, len(pic), len(pic) - 1, http.StatusOK}, // the rest may still come
		"from the middle":       {nameOf(pic), 500, len(pic), 10, http.StatusConflict},
		"huge":                  {nameOf(pic), 0, opsync.MaxPaper + 1, 10, http.StatusRequestEntityTooLarge},
		"of no length":          {nameOf(pic), 0, 0, 10, http.StatusRequestEntityTooLarge},
		"before its beginning":  {nameOf(pic), -1, len(pic), 10, http.StatusBadRequest},
		"a name with a way out": {"..%2f..%2fetc%2fpasswd", 0, 10, 10, http.StatusNotFound},
		"a short name":          {"abc", 0, 10, 10, http.StatusNotFound},
		"a name in capitals":    {strings.ToUpper(nameOf(pic)), 0, 10, 10, http.StatusNotFound},
	} {
		os.RemoveAll(filepath.Join(w.dir, "photos", site))
		if status, _ := anna.put(site, c.name, c.at, c.of, pic[:c.n]); status != c.want {
			t.Errorf("%s: %d, want %d", what, status, c.want)
		}
	}
	os.RemoveAll(filepath.Join(w.dir, "photos", site))
	if status, _ := anna.put(site, nameOf(pic), 0, opsync.MaxPicture, make([]byte, opsync.PictureChunk+1)); status != http.StatusRequestEntityTooLarge {
		t.Errorf("a piece that is too long: %d", status)
	}
	os.RemoveAll(filepath.Join(w.dir, "photos", site))
	for what, good := range map[string][]byte{"plain": pic, "with JFIF": with(0xe0, "JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00", small),
		"with Exif that names no place": with(0xe1, exif(binary.BigEndian, 0x0112), small)} {
		anna.putAll(site, good, 0)
		if r, _ := anna.fetch(site, nameOf(good)); r.StatusCode != 200 {
			t.Errorf("a proper picture %s: %d", what, r.StatusCode)
		}
	}
}

func TestPicturesHaveABound(t *testing.T) { // SPEC K3
	w := newWorld(t)
	anna, site := w.owner("Anna")
	one, two := shot(5, 300, 200), shot(6, 300, 200)
	w.srv.photos.most = int64(len(one) + len(two) - 1)
	anna.putAll(site, one, 0)
	if status, _ := anna.put(site, nameOf(two), 0, len(two), two); status != http.StatusInsufficientStorage {
		t.Errorf("beyond the bound: %d", status)
	}
	w.srv.photos = newAlbum(w.dir, w.srv.store.space, w.now) // counted anew from the disk
	w.srv.photos.most = int64(len(one) + len(two) - 1)
	if status, _ := anna.put(site, nameOf(two), 0, len(two), two); status != http.StatusInsufficientStorage {
		t.Errorf("beyond the bound after a restart: %d", status)
	}
	w.srv.photos.most++
	anna.putAll(site, two, 0)
	w.srv.store.space = func() error { return errFull }
	three := shot(7, 60, 40)
	if status, _ := anna.put(site, nameOf(three), 0, len(three), three); status != http.StatusInsufficientStorage {
		t.Errorf("with a full disk: %d", status)
	}
	if r, _ := anna.fetch(site, nameOf(one)); r.StatusCode != 200 {
		t.Errorf("with a full disk pictures are still seen: %d", r.StatusCode)
	}
	for i := range maxParts {
		if err := os.WriteFile(w.srv.photos.path(site, fmt.Sprintf("%064x.part", i)), []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	w.srv.store.space = func() error { return nil }
	w.srv.photos.most = opsync.MaxSitePictures
	if status, _ := anna.put(site, nameOf(three), 0, len(three), three[:10]); status != http.StatusInsufficientStorage {
		t.Errorf("with too many half pictures: %d", status)
	}
}

// TestASpoiltPictureComesAgain: the disk flips a bit; whoever asks gets nothing wrong, and the phones
// that are connected are asked for it.
func TestASpoiltPictureComesAgain(t *testing.T) { // SPEC K4
	w := newWorld(t)
	anna, site := w.owner("Anna")
	phone := anna.phone(site).connect()
	pic := shot(8, 120, 90)
	anna.putAll(site, pic, 0)
	path := w.srv.photos.path(site, nameOf(pic))
	spoilt := bytes.Clone(pic)
	spoilt[len(spoilt)/2] ^= 4
	if err := os.WriteFile(path, spoilt, 0o600); err != nil {
		t.Fatal(err)
	}
	if r, got := anna.fetch(site, nameOf(pic)); r.StatusCode != http.StatusNotFound {
		t.Errorf("a spoilt picture is served: %d, %d bytes", r.StatusCode, len(got))
	}
	phone.until("the server asks for it", func() bool { return len(phone.wanted) == 1 && phone.wanted[0] == nameOf(pic) })
	anna.putAll(site, pic, 0)
	if r, got := anna.fetch(site, nameOf(pic)); r.StatusCode != 200 || !bytes.Equal(got, pic) {
		t.Errorf("handed in again: %d", r.StatusCode)
	}
	phone.cut()
}

// TestPicturesThatGotLost: nobody looks at them; the daily round finds them missing or spoilt, and who is
// connected is asked.
func TestPicturesThatGotLost(t *testing.T) { // SPEC K4
	w := newWorld(t)
	anna, site := w.owner("Anna")
	phone := anna.phone(site).connect()
	big, small, well := shot(14, 120, 90), shot(15, 30, 20), shot(16, 50, 50)
	for i, p := range [][]byte{big, small, well} {
		anna.putAll(site, p, 0)
		phone.set("photo", fmt.Sprintf("1.%d", i+1), "file", nameOf(p))
	}
	phone.untilSent()
	if err := os.Remove(w.srv.photos.path(site, nameOf(big))); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(w.srv.photos.path(site, nameOf(small)), []byte("rot"), 0o600); err != nil {
		t.Fatal(err)
	}
	w.srv.tendPhotos(make(chan struct{}))
	w.srv.askForLacks()
	phone.until("the server asks", func() bool { return len(phone.wanted) > 0 })
	want := []string{nameOf(big), nameOf(small)}
	slices.Sort(want)
	if !slices.Equal(phone.wanted, want) {
		t.Errorf("asked for %.20q, want %.20q", phone.wanted, want)
	}
	anna.putAll(site, big, 0)
	if left := w.srv.photos.lacking(site); len(left) != 1 || left[0] != nameOf(small) {
		t.Errorf("still lacking %.20q", left)
	}
	phone.cut()
}

// TestPicturesNobodySpeaksOf: they go after a month; those the log names stay for ever, and so does what
// is not ours.
func TestPicturesNobodySpeaksOf(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	kept, small, lost := shot(9, 100, 80), shot(10, 30, 20), shot(11, 90, 60)
	for _, p := range [][]byte{kept, small, lost} {
		anna.putAll(site, p, 0)
	}
	anna.put(site, strings.Repeat("a", 64), 0, 100, []byte("a beginning"))
	strange := filepath.Join(w.dir, "photos", site, "readme")
	if err := os.WriteFile(strange, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	list, _ := os.ReadDir(filepath.Join(w.dir, "photos", site))
	for _, f := range list { // files carry the machine's time, the story has one of its own
		os.Chtimes(filepath.Join(w.dir, "photos", site, f.Name()), w.now(), w.now())
	}
	phone := anna.phone(site).connect()
	phone.set("photo", "1.1", "file", nameOf(kept))
	phone.set("photo", "1.1", "small", nameOf(small))
	phone.untilSent()
	never := make(chan struct{})
	names := func() (all []string) {
		list, _ := os.ReadDir(filepath.Join(w.dir, "photos", site))
		for _, f := range list {
			all = append(all, f.Name())
		}
		return all
	}
	w.srv.tendPhotos(never)
	if len(names()) != 5 {
		t.Fatalf("at once: %v", names())
	}
	w.later(8 * 24 * time.Hour)
	w.srv.tendPhotos(never)
	if len(names()) != 4 {
		t.Errorf("after eight days the beginning is gone, nothing else: %v", names())
	}
	w.later(24 * 24 * time.Hour)
	w.srv.tendPhotos(never)
	for _, n := range []string{nameOf(kept), nameOf(small), "readme"} {
		if _, err := os.Stat(filepath.Join(w.dir, "photos", site, n)); err != nil {
			t.Errorf("after a month %.12s is gone: %v", n, err)
		}
	}
	if len(names()) != 3 {
		t.Errorf("after a month: %v", names())
	}
	phone.cut()
}

// TestKilledWhileAPictureComes: the real program is killed in the middle, again and again. The phone
// asks where to go on, and the whole picture arrives.
func TestKilledWhileAPictureComes(t *testing.T) { // SPEC K2, K3
	w := &world{t: t, dir: t.TempDir(), clock: time.Now()}
	p, base := launch(t, "serve", "--addr", "127.0.0.1:0", "--data", w.dir)
	w.base = base // until the first kill
	link := p.line(t, "owner link ")
	anna := w.browser()
	site := anna.must("POST", "/api/pair", map[string]string{"code": link[strings.LastIndex(link, "/")+1:], "name": "Anna"})["site"].(string)
	pic := shot(12, 1000, 900)
	at, size := 0, opsync.PictureChunk/2
	for at < len(pic) {
		status, have := anna.put(site, nameOf(pic), at, len(pic), pic[at:min(at+size, len(pic))])
		if status != 200 {
			t.Fatalf("piece at %d: %d", at, status)
		}
		at = have
		p.Process.Kill()
		p.Wait()
		p, anna.base = launch(t, "serve", "--addr", "127.0.0.1:0", "--data", w.dir) // another port: somebody may have taken the old one
		left, _ := anna.must("POST", "/api/photos/lacks", map[string]any{"site": site, "files": []string{nameOf(pic)}})["lacks"].(map[string]any)
		if got, lacking := left[nameOf(pic)]; lacking && int(got.(float64)) != at || !lacking && at < len(pic) {
			t.Fatalf("after kill -9 the server has %v, was told %d", left, at)
		}
	}
	if r, got := anna.fetch(site, nameOf(pic)); r.StatusCode != 200 || !bytes.Equal(got, pic) {
		t.Errorf("in the end: %d, %d of %d bytes", r.StatusCode, len(got), len(pic))
	}
}

// FuzzPicture: whatever passes decodes within the bounds and ends where it ends.
func FuzzPicture(f *testing.F) {
	small := shot(13, 24, 16)
	f.Add(small)
	f.Add(with(0xe1, exif(binary.LittleEndian, 0x0112), small))
	f.Add(with(0xe0, "JFIF\x00", small))
	f.Add(append(bytes.Clone(small), 0xff, 0xd9))
	f.Fuzz(func(t *testing.T, b []byte) {
		if checkPicture(b) != nil {
			return
		}
		c, err := jpeg.DecodeConfig(bytes.NewReader(b))
		if err != nil || c.Width > opsync.MaxPictureSide || c.Height > opsync.MaxPictureSide || !bytes.HasSuffix(b, []byte{0xff, 0xd9}) {
			t.Errorf("passed: %+v, %v", c, err)
		}
		if http.DetectContentType(b) != "image/jpeg" {
			t.Errorf("passed, and browsers would take it for %s", http.DetectContentType(b))
		}
	})
}
