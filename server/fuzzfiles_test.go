package main

import (
	"bytes"
	"encoding/binary"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"batterboard/schedule"
	"batterboard/schedule/check"
	opsync "batterboard/sync"

	"github.com/dgraph-io/badger/v4"
)

// What a shell command takes from a file it can plan and show, the checker finds nothing against the plan, and export
// would write it so that it reads as the same site again.
func FuzzSiteFile(f *testing.F) {
	for _, name := range []string{studio, "../testdata/plans/tiny.json", "../testdata/plans/circle.json", "../testdata/plans/wrong.json", "../testdata/plans/empty.json"} {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Add([]byte("\xef\xbb\xbf{\"format\":1,\"name\":\"X\",\"name\":\"Y\"}"))
	f.Add([]byte(`{"format":1,"activities":[{"id":"a","Name":"A","labour":{"typical":-60}}],"more":[{"id":"x"}],"hours":[["08:00-12:00"]]}`))
	now, err := schedule.ParseMinute("2027-03-01T06:40")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		b, err := plainText(b)
		if err != nil {
			return
		}
		x := file{doc: b}
		if x.understand() != nil {
			return
		}
		sh := &shell{now: now}
		d, err := sh.desk(x)
		if err != nil {
			t.Fatalf("was taken and cannot be opened: %v", err)
		}
		if _, err := d.show("strings", "", 0); err != nil {
			t.Errorf("was taken and cannot be shown: %v", err)
		}
		plan := schedule.Lay(x.site, now)
		if wrong := check.Plan(x.site, plan); len(wrong) > 0 {
			t.Errorf("the checker says %v", wrong)
		}
		log := opsync.NewLog()
		for _, op := range x.ops {
			if _, err := log.Add(op); err != nil {
				t.Fatal(err)
			}
		}
		again := file{doc: log.State().Document()}
		if err := again.understand(); err != nil {
			t.Fatalf("what export would write is refused: %v", err)
		}
	})
}

func FuzzAway(f *testing.F) {
	for _, s := range []string{"electric:2027-03-02..2027-03-04", "electric:2027-03-02", ":", "a:b:2027-03-02", "..", "electric:2027-03-04..2027-03-02"} {
		f.Add(s)
	}
	site := &schedule.Site{Crews: []schedule.Crew{{ID: "electric", Name: "Electric"}, {ID: "a:b", Name: "Ana: batts"}, {ID: "x", Name: "Ana: batts"}}}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := away(s, site)
		if err == nil && (site.Crew(c.Crew) == nil || c.From == 0 || c.To < c.From) {
			t.Errorf("%q became %+v", s, c)
		}
		if err != nil && exitCode(err, nil, &bytes.Buffer{}) != 2 {
			t.Errorf("%q is no bad input: %v", s, err)
		}
	})
}

// A phone that is on a site may send what it likes: it gets an answer, and none that is the server's own fault (5xx).
// SITE stands for the site in what it sends.
func FuzzFromAPhone(f *testing.F) {
	w, anna, site, _, _ := newCrewWorld(f)
	at, err := url.Parse(w.base)
	if err != nil {
		f.Fatal(err)
	}
	cookies := anna.http.Jar.Cookies(at)
	h := w.srv.handler()
	picture := strings.Repeat("ab", 32)
	for _, c := range [][3]string{
		{"POST", "/api/invite", `{"site":"SITE","role":"owner"}`},
		{"POST", "/api/name", `{"site":"SITE","name":"Anna\u202e"}`},
		{"GET", "/api/devices?site=SITE", ""},
		{"POST", "/api/crewlink", `{"site":"SITE","crew":"elec","anew":true}`},
		{"POST", "/api/feedlink", `{"site":"SITE"}`},
		{"POST", "/api/push", `{"site":"SITE","endpoint":"https://push.example/x","p256dh":"BA","auth":"AA"}`},
		{"POST", "/api/push/off", `{"site":"SITE"}`},
		{"GET", "/api/photo/" + picture + "?site=SITE", ""},
		{"PUT", "/api/photo/" + picture + "?site=SITE&at=0&of=9", "\xff\xd8\xff"},
		{"POST", "/api/photos/lacks", `{"site":"SITE","files":["` + picture + `","x"]}`},
	} {
		f.Add(c[0], c[1], c[2])
	}
	f.Fuzz(func(t *testing.T, method, target, body string) {
		target, body = strings.ReplaceAll(target, "SITE", site), strings.ReplaceAll(body, "SITE", site)
		q, err := http.NewRequest(method, w.base+target, strings.NewReader(body))
		if err != nil || !strings.HasPrefix(target, "/") {
			return
		}
		w.later(10 * time.Second) // so that nobody has asked too often
		q.RemoteAddr = "192.0.2.1:1"
		q.Header.Set("Origin", w.base)
		q.Header.Set("Content-Type", "application/json")
		for _, c := range cookies {
			q.AddCookie(c)
		}
		a := httptest.NewRecorder()
		h.ServeHTTP(a, q)
		if a.Code >= 500 && !(a.Code == 503 && q.URL.Path == "/") { // 503: this test binary has no client in it
			t.Errorf("%d %s", a.Code, a.Body)
		}
	})
}

// Whatever comes back from a crew's page, one thing is written at most, and the page can be shown after it.
func FuzzCrewForm(f *testing.F) {
	w, _, site, _, c := newCrewWorld(f)
	h := w.srv.handler()
	_, page, _ := c.get("")
	shown := form(page)
	for _, do := range []string{"yes", "no", "other", "late", "done", "ask"} {
		shown.Set("do", do)
		shown.Set("said", "Ana\u202e: <b>")
		shown.Set("day", "2027-03-09")
		shown.Set("count", "60")
		f.Add(shown.Encode())
		shown.Set("sure", "1")
		f.Add(shown.Encode())
		shown.Del("sure")
	}
	f.Add("do=late&count=99999999999&last=-1&visit=%00&shown=%zz")
	ask := func(method, body string) *httptest.ResponseRecorder {
		q := httptest.NewRequest(method, w.base+"/c/"+c.code, strings.NewReader(body))
		q.RemoteAddr = "192.0.2.1:1"
		q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		q.Header.Set("Origin", "null")
		a := httptest.NewRecorder()
		h.ServeHTTP(a, q)
		return a
	}
	count := func() (n int) {
		if _, err := w.srv.store.ops(site, func([]byte) error { n++; return nil }); err != nil {
			panic(err)
		}
		return n
	}
	f.Fuzz(func(t *testing.T, body string) {
		w.later(time.Second)
		before := count()
		if before > 300 {
			return // the days of this site are told
		}
		a := ask("POST", body)
		if a.Code >= 500 || strings.Contains(a.Body.String(), "<script") {
			t.Errorf("%d %s", a.Code, a.Body)
		}
		if n := count() - before; n > 1 {
			t.Errorf("%d changes came of one answer", n)
		}
		w.later(time.Minute)
		if a := ask("GET", ""); a.Code != 200 && a.Code != 429 {
			t.Errorf("after it the page says %d", a.Code)
		}
	})
}

// A form with a picture, as a browser sends it or nobody does.
func FuzzCrewPicture(f *testing.F) {
	form := func(parts string) []byte { return []byte(strings.ReplaceAll(parts, "\n", "\r\n")) }
	f.Add("multipart/form-data; boundary=x", form("--x\nContent-Disposition: form-data; name=\"visit\"\n\nrough\n--x\nContent-Disposition: form-data; name=\"said\"\n\nNorth wall\n--x\nContent-Disposition: form-data; name=\"picture\"; filename=\"a.jpg\"\n\n\xff\xd8\n--x--\n"))
	f.Add("multipart/form-data; boundary=", form("--\n\n"))
	f.Add("multipart/mixed; boundary=y", form("--y\nContent-Disposition: form-data; name=picture\nContent-Transfer-Encoding: quoted-printable\n\n=00\n--y"))
	f.Add("text/plain", []byte("x"))
	f.Fuzz(func(t *testing.T, kind string, body []byte) {
		q := httptest.NewRequest("POST", "/c/x/photo", bytes.NewReader(body))
		q.Header.Set("Content-Type", kind)
		c, raw, err := readPicture(q)
		if err == nil && len(raw) == 0 {
			t.Error("no picture, and no error")
		}
		if err == nil && (!utf8.ValidString(c.Said) || strings.ContainsAny(c.Said, "\x00\u202e\r")) {
			t.Errorf("%q was said", c.Said)
		}
	})
}

// How the camera was held is one of eight ways, whatever the picture claims.
func FuzzTurn(f *testing.F) {
	f.Add([]byte(exif(binary.LittleEndian, 0x0112))[6:])
	f.Add([]byte(exif(binary.BigEndian, 0x0112))[6:])
	f.Add([]byte("II*\x00\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, tiff []byte) {
		if way := exifTurn(tiff); way < 1 || way > 8 {
			t.Error(way)
		}
		turnOf(append([]byte{0xff, 0xd8}, tiff...))
		turnOf(with(0xe1, "Exif\x00\x00"+string(tiff[:min(len(tiff), 60_000)]), []byte{0xff, 0xd8, 0xff, 0xd9}))
	})
}

// The files of a store are read before anything else looks at them. A disk may give back anything.
func FuzzStoreFile(f *testing.F) {
	dir := filepath.Join("testdata", "store-1")
	files, err := os.ReadDir(dir)
	if err != nil || len(files) == 0 {
		f.Fatal("the old store is not there", err)
	}
	for _, e := range files {
		if e.IsDir() {
			continue
		}
		b, err := readUsed(filepath.Join(dir, e.Name()))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b[:min(len(b), 4000)])
		f.Add(b[max(0, len(b)-4000):])
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		for _, keep := range []bool{false, true} {
			l := &looked{keep: keep, records: map[string]recordAt{}}
			l.wal("a.mem", b)
			l.valueLog("a.vlog", b)
			l.keyRegistry("KEYREGISTRY", b)
			l.table("a.sst", b)
		}
		at := filepath.Join(t.TempDir(), badger.ManifestFilename)
		if err := os.WriteFile(at, b, 0o600); err != nil {
			t.Fatal(err)
		}
		l := &looked{records: map[string]recordAt{}}
		if _, _, err := l.manifest(at); err != nil {
			t.Errorf("a damaged file is damage, no failure of ours: %v", err)
		}
		tally := filepath.Join(filepath.Dir(at), "TALLY")
		if err := os.WriteFile(tally, b, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, ok, err := readTally(filepath.Dir(at)); ok && err != nil {
			t.Errorf("a number and an error: %v", err)
		}
	})
}

// What is wrong with a file of secrets is said without any of them.
func FuzzSenders(f *testing.F) {
	f.Add([]byte(`{"email":{"server":"mail.example.net:587","user":"site","password":"sesame-sesame","from":"Old Laundry <site@example.net>"}}`))
	f.Add([]byte(`{"hook":{"url":"https://hook.example.net/texts","secret":"whsec_c2VzYW1lLXNlc2FtZQ=="}}`))
	f.Add([]byte(`{"email":{"password":"sesame-sesame","server":7}}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		all, err := readSenders(b)
		if (err == nil) != (len(all) > 0) {
			t.Errorf("%d ways out, %v", len(all), err)
		}
		if err != nil && strings.Contains(err.Error(), "sesame-sesame") {
			t.Errorf("the error tells the secret: %v", err)
		}
	})
}

// Only what a proxy of ours added itself is believed.
func FuzzForwarded(f *testing.F) {
	f.Add("203.0.113.9, 198.51.100.7")
	f.Add("::1, unknown, ")
	s := &server{proxies: []netip.Prefix{netip.MustParsePrefix("10.0.0.0/8")}}
	f.Fuzz(func(t *testing.T, said string) {
		q := &http.Request{RemoteAddr: "192.0.2.1:1", Header: http.Header{"X-Forwarded-For": {said}}}
		if a := s.address(q); a != netip.MustParseAddr("192.0.2.1") {
			t.Errorf("a stranger saying %q counts as %s", said, a)
		}
		q.RemoteAddr = "10.0.0.7:1"
		last := strings.TrimSpace(said[strings.LastIndex(said, ",")+1:])
		if want, err := netip.ParseAddr(last); err == nil && !s.believed(want) && s.address(q) != want {
			t.Errorf("our proxy heard %s, and %s is counted", want, s.address(q))
		}
	})
}
