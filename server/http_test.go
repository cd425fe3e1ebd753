package main

import (
	"context"
	"crypto/tls"
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"batterboard/client/engine/demo"
	assets "batterboard/embed"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

func TestHeadersOnEveryAnswer(t *testing.T) {
	w := newWorld(t)
	for _, path := range []string{"/", "/health", "/api/me", "/api/nothing", "/nothing", "/../etc/passwd", "/.gitignore", "/ws"} {
		r, err := http.Get(w.base + path)
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		for name, want := range map[string]string{
			"Content-Security-Policy":      "default-src 'none'",
			"Referrer-Policy":              "no-referrer",
			"X-Content-Type-Options":       "nosniff",
			"X-Frame-Options":              "DENY",
			"Cross-Origin-Opener-Policy":   "same-origin",
			"Cross-Origin-Resource-Policy": "same-origin",
			"Permissions-Policy":           "geolocation=()",
		} {
			if got := r.Header.Get(name); !strings.Contains(got, want) {
				t.Errorf("%s: %s is %q", path, name, got)
			}
		}
		csp := r.Header.Get("Content-Security-Policy")
		for _, bad := range []string{"unsafe-inline", "'unsafe-eval'", "*", "http:"} {
			if strings.Contains(csp, bad) {
				t.Errorf("%s: the policy has %s", path, bad)
			}
		}
		if !strings.Contains(csp, "frame-ancestors 'none'") || !strings.Contains(csp, "script-src 'self' 'wasm-unsafe-eval'") {
			t.Errorf("%s: policy %s", path, csp)
		}
		if path != "/" && r.Header.Get("Cache-Control") != "no-store" {
			t.Errorf("%s: %s", path, r.Header.Get("Cache-Control"))
		}
		if r.Header.Get("Strict-Transport-Security") != "" {
			t.Errorf("%s promises HTTPS without having it", path)
		}
	}
}

func TestAssets(t *testing.T) {
	if !assets.Built() {
		t.Skip("no client is built into this test binary; go run ./embed/build builds one")
	}
	w := newWorld(t)
	plain := &http.Client{Transport: &http.Transport{DisableCompression: true}}
	get := func(path, accept, tag string) *http.Response {
		q, _ := http.NewRequest("GET", w.base+path, nil)
		q.Header.Set("Accept-Encoding", accept)
		q.Header.Set("If-None-Match", tag)
		r, err := plain.Do(q)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { r.Body.Close() })
		return r
	}
	r := get("/", "gzip, br", "")
	if r.StatusCode != 200 || r.Header.Get("Cache-Control") != "no-cache" || !strings.HasPrefix(r.Header.Get("Content-Type"), "text/html") {
		t.Errorf("the page: %d %v", r.StatusCode, r.Header)
	}
	if e := r.Header.Get("Content-Encoding"); e != "br" {
		t.Errorf("the page comes as %q", e)
	}
	if again := get("/", "gzip, br", r.Header.Get("ETag")); again.StatusCode != http.StatusNotModified {
		t.Errorf("the same page again: %d", again.StatusCode)
	}
	if sw := get("/sw.js", "", ""); sw.StatusCode == 200 && sw.Header.Get("Cache-Control") != "no-cache" {
		t.Errorf("sw.js: %s", sw.Header.Get("Cache-Control"))
	}
}

func TestHealthSaysWhenTheDiskIsFull(t *testing.T) {
	w := newWorld(t)
	b := w.browser()
	if got := b.must("GET", "/health", nil); got["ok"] != true {
		t.Errorf("health: %v", got)
	}
	var full atomic.Bool
	full.Store(true)
	w.srv.store.space = func() error {
		if full.Load() {
			return errFull
		}
		return nil
	}
	if status, _ := b.ask("GET", "/health", nil); status != http.StatusInsufficientStorage {
		t.Errorf("health with a full disk: %d", status)
	}
}

// After a flush that failed only a new start helps, so whoever watches over the server must hear of it, and nobody
// is told to try again.
func TestHealthSaysWhenTheDiskKeepsNothing(t *testing.T) {
	if !ownFlush {
		t.Skip("on this system Badger flushes")
	}
	w := newWorld(t)
	anna, site := w.owner("Anna")
	w.srv.store.shelf.(badgerShelf).log.flush = func(*os.File) error { return errors.New("input/output error") }
	for _, ask := range []struct {
		method, path string
		body         any
	}{
		{"POST", "/api/invite", map[string]any{"site": site, "role": "viewer"}},
		{"GET", "/api/me", nil},
		{"GET", "/health", nil},
	} {
		status, no := anna.ask(ask.method, ask.path, ask.body)
		if status != http.StatusServiceUnavailable || no["code"] != "halted" || no["error"] != sentence(errFlush.Error()) {
			t.Errorf("%s: %d %v", ask.path, status, no)
		}
	}
}

func TestBodiesFromAStranger(t *testing.T) {
	w := newWorld(t)
	anna, _ := w.owner("Anna")
	for _, body := range []string{"", "{", "null", "[]", `"x"`, `{"code":1}`, `{"code":"a"} {}`, `{"code":"a","evil":true}`,
		`{"code":"` + strings.Repeat("A", maxBody) + `"}`, "\x00\xff", `{"code":"` + strings.Repeat(`\u0000`, 100) + `"}`} {
		q, _ := http.NewRequest("POST", w.base+"/api/pair", strings.NewReader(body))
		q.Header.Set("Origin", w.base)
		q.Header.Set("Content-Type", "application/json")
		r, err := anna.http.Do(q)
		if err != nil {
			t.Fatal(err)
		}
		raw, _ := io.ReadAll(r.Body)
		r.Body.Close()
		var answer struct{ Error string }
		if r.StatusCode != 400 && r.StatusCode != 403 || json.Unmarshal(raw, &answer) != nil || answer.Error == "" {
			t.Errorf("%.40q: %d %s", body, r.StatusCode, raw)
		}
	}
}

// The cookie over HTTPS is bound to the host, and no script can read it.
func TestTheCookie(t *testing.T) {
	w := newWorld(t)
	safe := httptest.NewTLSServer(w.srv.handler())
	defer safe.Close()
	for base, want := range map[string]string{w.base: plainCookie, safe.URL: secureCookie} {
		code := newCode(ownerLetters)
		if err := w.srv.store.addCode(code, codeRecord{Role: opsync.Owner, Until: w.now().Unix() + 60}, w.now()); err != nil {
			t.Fatal(err)
		}
		q, _ := http.NewRequest("POST", base+"/api/pair", strings.NewReader(`{"code":"`+code+`"}`))
		q.Header.Set("Origin", base)
		q.Header.Set("Content-Type", "application/json")
		r, err := (&http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}}}).Do(q)
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		c := r.Cookies()
		if len(c) != 1 || c[0].Name != want || !c[0].HttpOnly || c[0].Path != "/" || c[0].SameSite != http.SameSiteLaxMode ||
			c[0].Domain != "" || c[0].Secure != (base == safe.URL) {
			t.Errorf("%s: %v", base, c)
		}
	}
}

// Behind a proxy the public address counts; nobody else may say where a request comes from.
func TestBehindAProxy(t *testing.T) {
	w := newWorld(t)
	w.srv.public = &url.URL{Scheme: "https", Host: "board.example"}
	ask := func(remote, host, far string) *http.Request {
		q := httptest.NewRequest("POST", "http://"+host+"/api/pair", nil)
		q.RemoteAddr, q.Host = remote, host
		q.Header.Set("X-Forwarded-For", far)
		q.Header.Set("Origin", "https://board.example")
		return q
	}
	q := ask("127.0.0.1:9", "board.example", "203.0.113.9, 198.51.100.7")
	if !w.srv.secure(q) || !w.srv.sameOrigin(q) || w.srv.address(q).String() != "198.51.100.7" || w.srv.base(q) != "https://board.example" {
		t.Error("the proxy on this machine is not believed")
	}
	if q = ask("192.0.2.1:9", "board.example", "198.51.100.7"); w.srv.address(q).String() != "192.0.2.1" {
		t.Error("a stranger says where it comes from, and is believed")
	}
	if q = ask("127.0.0.1:9", "localhost:8080", ""); w.srv.secure(q) || w.srv.address(q).String() != "127.0.0.1" {
		t.Error("straight from this machine")
	}
}

func TestTheDemoIsForEverybody(t *testing.T) {
	w := newWorld(t)
	w.srv.demo = func() schedule.Minute { return demo.Told }
	anna := w.browser()
	if anna.must("GET", "/api/me", nil)["demo"] != true {
		t.Error("a stranger does not hear of the demo")
	}
	got := anna.must("POST", "/api/demo", map[string]string{"name": "Anna"})
	site := got["site"].(string)
	if got["num"] != 2.0 || got["role"] != "second" || !strings.Contains(w.names(got), "Old Laundry") {
		t.Errorf("paired: %v", got)
	}
	again := anna.must("POST", "/api/demo", map[string]string{"name": "Anna"})
	if again["num"] != 2.0 || again["site"] != site {
		t.Errorf("the same browser again: %v", again)
	}
	p := anna.phone(site).connect()
	p.until("the site", func() bool { return len(p.in.Log.State().IDs("activity")) > 40 })
	op := p.in.Log.Op(opsync.OpID{Device: 1, Seq: 1})
	if op == nil || op.Label != "demo" {
		t.Errorf("the first operation: %+v", op)
	}
	if got := w.browser().must("POST", "/api/demo", map[string]string{}); got["num"] != 3.0 || got["site"] != site {
		t.Errorf("the second visitor: %v", got)
	}
	w.later(demoLife)
	if got := w.browser().must("POST", "/api/demo", map[string]string{}); got["num"] != 2.0 || got["site"] == site {
		t.Errorf("two days later: %v", got)
	}
}

func (w *world) names(account map[string]any) string {
	var all []string
	for _, s := range account["sites"].([]any) {
		all = append(all, s.(map[string]any)["name"].(string))
	}
	return strings.Join(all, ", ")
}

func TestTheDemoIsNeverFull(t *testing.T) {
	w := newWorld(t)
	w.srv.demo = func() schedule.Minute { return demo.Told }
	first := w.browser().must("POST", "/api/demo", map[string]string{})["site"].(string)
	err := w.srv.store.write(record(siteKey(first), siteRecord{Made: w.now().Unix(), Next: maxSeats + 1}))
	if err != nil {
		t.Fatal(err)
	}
	if got := w.browser().must("POST", "/api/demo", map[string]string{}); got["site"] == first || got["num"] != 2.0 {
		t.Errorf("one more visitor: %v", got)
	}
}

func TestInvitationsAreFewAtATime(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	for range maxCodes {
		anna.must("POST", "/api/invite", map[string]any{"site": site, "role": "viewer"})
	}
	if status, _ := anna.ask("POST", "/api/invite", map[string]any{"site": site, "role": "viewer"}); status != http.StatusConflict {
		t.Errorf("one more: %d", status)
	}
	w.later(inviteLife)
	anna.must("POST", "/api/invite", map[string]any{"site": site, "role": "viewer"})
	n := 0
	if err := w.srv.store.each("code/", func(string, []byte) error { n++; return nil }); err != nil || n != 1 {
		t.Errorf("%d codes are kept, %v", n, err)
	}
}

// serve stops by itself when it is told to, and what it announces can be opened.
func TestServeFromStartToEnd(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	out, in := io.Pipe()
	ended := make(chan error, 1)
	go func() {
		err := serveUntil(ctx, serveFlags{addr: "127.0.0.1:0", data: t.TempDir(), demo: true, today: "2027-04-06"}, in)
		in.Close()
		ended <- err
	}()
	line := make([]byte, 200)
	n, err := out.Read(line)
	if err != nil {
		t.Fatal(err, <-ended)
	}
	go io.Copy(io.Discard, out)
	base := strings.TrimSpace(strings.TrimPrefix(string(line[:n]), "listening "))
	r, err := http.Get(base + "/health")
	if err != nil || r.StatusCode != 200 {
		t.Fatal(r, err)
	}
	r.Body.Close()
	cancel()
	select {
	case err := <-ended:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(patience):
		t.Error("it does not stop")
	}
}
