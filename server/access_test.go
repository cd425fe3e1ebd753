package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"log/slog"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
)

// credential is who knocks in the table below.
type credential string

const (
	stranger  credential = "stranger"      // no cookie
	forged    credential = "forged"        // a token of the right shape with a wrong secret
	garbled   credential = "garbled"       // no token at all in the cookie
	elsewhere credential = "elsewhere"     // an owner, but of another site
	revoked   credential = "revoked"       // was on the site, was taken off
	viewer    credential = "viewer"        // may look
	second    credential = "second hand"   // may change the plan
	owner     credential = "owner"         // may do all
	foreign   credential = "foreign page"  // the owner's browser, on somebody else's page
	plainForm credential = "foreign form"  // the owner's browser, sent a form instead of JSON
	wrongVerb credential = "another verb"  // the owner, but DELETE
	nowhere   credential = "no such site"  // the owner, naming a site that does not exist
	expired   credential = "expired code"  // pairing only
	usedCode  credential = "used code"     // pairing only
	wrongCode credential = "mistyped code" // pairing only
)

// answers says, route by route, what everybody gets. A route that is not here fails the test, so
// whoever adds one has to say who may use it.
var answers = map[string]map[credential]int{
	"GET /health": {stranger: 200, forged: 200, garbled: 200, elsewhere: 200, revoked: 200, viewer: 200, second: 200,
		owner: 200, wrongVerb: 405},
	"GET /": {stranger: 404, forged: 404, garbled: 404, elsewhere: 404, revoked: 404, viewer: 404, second: 404,
		owner: 404, wrongVerb: 405},
	"GET /api/me": {stranger: 200, forged: 200, garbled: 200, elsewhere: 200, revoked: 200, viewer: 200, second: 200,
		owner: 200, wrongVerb: 405},
	"POST /api/pair": {stranger: 200, forged: 200, garbled: 200, elsewhere: 200, revoked: 200, viewer: 200, second: 200,
		owner: 200, foreign: 403, plainForm: 415, wrongVerb: 405, expired: 403, usedCode: 403, wrongCode: 403},
	"POST /api/demo": {stranger: 404, forged: 404, garbled: 404, elsewhere: 404, revoked: 404, viewer: 404, second: 404,
		owner: 404, foreign: 403, plainForm: 415, wrongVerb: 405},
	"POST /api/invite": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 403, second: 200,
		owner: 200, foreign: 403, plainForm: 415, wrongVerb: 405, nowhere: 403},
	"GET /api/devices": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 200, second: 200,
		owner: 200, wrongVerb: 405, nowhere: 403},
	"POST /api/revoke": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 403, second: 403,
		owner: 200, foreign: 403, plainForm: 415, wrongVerb: 405, nowhere: 403},
	"POST /api/name": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 200, second: 200,
		owner: 200, foreign: 403, plainForm: 415, wrongVerb: 405, nowhere: 403},
	"POST /api/crewlink": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 403, second: 200,
		owner: 200, foreign: 403, plainForm: 415, wrongVerb: 405, nowhere: 403},
	"POST /api/crewlink/revoke": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 403, second: 200,
		owner: 200, foreign: 403, plainForm: 415, wrongVerb: 405, nowhere: 403},
	"POST /api/feedlink": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 403, second: 200,
		owner: 200, foreign: 403, plainForm: 415, wrongVerb: 405, nowhere: 403},
	"POST /api/feedlink/revoke": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 403, second: 200,
		owner: 200, foreign: 403, plainForm: 415, wrongVerb: 405, nowhere: 403},
	"GET /api/push": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 200, second: 200,
		owner: 200, wrongVerb: 405, nowhere: 403},
	"POST /api/push": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 200, second: 200,
		owner: 200, foreign: 403, plainForm: 415, wrongVerb: 405, nowhere: 403},
	"POST /api/push/off": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 200, second: 200,
		owner: 200, foreign: 403, plainForm: 415, wrongVerb: 405, nowhere: 403},
	// A crew's page asks for nothing but its address: the cookie opens no door there and shuts none.
	"GET /c/{code}": {stranger: 200, forged: 200, garbled: 200, elsewhere: 200, revoked: 200, viewer: 200, second: 200,
		owner: 200, foreign: 200, wrongVerb: 405, expired: 404, usedCode: 404, wrongCode: 404},
	"POST /c/{code}": {stranger: 200, forged: 200, garbled: 200, elsewhere: 200, revoked: 200, viewer: 200, second: 200,
		owner: 200, foreign: 403, plainForm: 409, wrongVerb: 405, expired: 404, usedCode: 404, wrongCode: 404},
	"GET /c/{code}/days.ics": {stranger: 200, forged: 200, garbled: 200, elsewhere: 200, revoked: 200, viewer: 200, second: 200,
		owner: 200, foreign: 200, wrongVerb: 405, expired: 404, usedCode: 404, wrongCode: 404},
	"GET /c/{code}/photo/{name}": {stranger: 404, forged: 404, garbled: 404, elsewhere: 404, revoked: 404, viewer: 404, second: 404,
		owner: 404, foreign: 404, wrongVerb: 405, expired: 404, usedCode: 404, wrongCode: 404}, // it is on no page
	"POST /c/{code}/photo": {stranger: 400, forged: 400, garbled: 400, elsewhere: 400, revoked: 400, viewer: 400, second: 400,
		owner: 400, foreign: 403, plainForm: 400, wrongVerb: 405, expired: 404, usedCode: 404, wrongCode: 404}, // no form with a file
	"GET " + crewLookPath: {stranger: 200, forged: 200, garbled: 200, elsewhere: 200, revoked: 200, viewer: 200, second: 200,
		owner: 200, wrongVerb: 405},
	// 404: there is no such picture; 415: what is sent is none.
	"GET /api/photo/{name}": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 404, second: 404,
		owner: 404, foreign: 404, wrongVerb: 405, nowhere: 403},
	"PUT /api/photo/{name}": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 403, second: 415,
		owner: 415, foreign: 403, wrongVerb: 405, plainForm: 415, nowhere: 403},
	"POST /api/photos/lacks": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 200, second: 200,
		owner: 200, foreign: 403, wrongVerb: 405, plainForm: 415, nowhere: 403},
	// 426: all is well but for the missing upgrade.
	"GET /ws": {stranger: 401, forged: 401, garbled: 401, elsewhere: 403, revoked: 403, viewer: 426, second: 426,
		owner: 426, foreign: 403, wrongVerb: 405, nowhere: 403},
}

func TestEveryRouteForEverybody(t *testing.T) {
	w := newWorld(t)
	site, who := cast(t, w)
	listed := map[string]bool{}
	for _, r := range routes() {
		name := r.method + " " + r.path
		listed[name] = true
		table, ok := answers[name]
		if !ok {
			t.Errorf("route %s is not in the table: say there who may use it", name)
			continue
		}
		for c, want := range table {
			if got := w.knock(r, c, who, site); got != want {
				t.Errorf("%s as %s: %d, want %d", name, c, got, want)
			}
		}
		if r.need == byCode {
			for _, c := range []credential{expired, usedCode, wrongCode} {
				if table[c] < 400 {
					t.Errorf("%s needs a good code, but the table lets %s in", name, c)
				}
			}
		}
		if r.need == device || r.need == onSite {
			for _, c := range []credential{stranger, forged, garbled, elsewhere, revoked, nowhere} {
				if table[c] < 400 {
					t.Errorf("%s needs a seat, but the table lets %s in", name, c)
				}
			}
		}
	}
	for name := range answers {
		if !listed[name] {
			t.Errorf("the table has %s, which is no route", name)
		}
	}
}

// cast makes a site with everybody in it.
func cast(t *testing.T, w *world) (site string, who map[credential]*browser) {
	t.Helper()
	anna, site := w.owner("Anna")
	crewSite(anna, site)
	other, _ := w.owner("Olga")
	gone := anna.invited(site, opsync.Second, "Gus")
	id := gone.must("GET", "/api/me", nil)["device"]
	who = map[credential]*browser{
		stranger: w.browser(), forged: w.browser(), garbled: w.browser(), elsewhere: other, revoked: gone,
		viewer: anna.invited(site, opsync.Viewer, "Vic"), second: anna.invited(site, opsync.Second, "Ben"),
		owner: anna, wrongVerb: anna, nowhere: anna, plainForm: anna,
		expired: w.browser(), usedCode: w.browser(), wrongCode: w.browser(),
	}
	who[foreign] = &browser{world: w, http: anna.http, origin: "http://elsewhere.example"}
	device := anna.must("GET", "/api/me", nil)["device"].(string)
	token, _ := newToken(device)
	who[forged].wear(token)
	who[garbled].wear("x")
	anna.must("POST", "/api/revoke", map[string]any{"site": site, "device": id})
	return site, who
}

// wear puts a token into the cookie jar.
func (b *browser) wear(token string) {
	u, err := url.Parse(b.base)
	if err != nil {
		b.t.Fatal(err)
	}
	b.http.Jar.SetCookies(u, []*http.Cookie{{Name: plainCookie, Value: token, Path: "/"}})
}

// knock sends one request to a route as one of the cast, and returns the status.
func (w *world) knock(r route, c credential, who map[credential]*browser, site string) int {
	if c == nowhere {
		site = "0123456789abcdefghij"
	}
	path, body := r.path, ""
	switch r.path {
	case "/api/pair":
		body = `{"code":"` + w.codeFor(c, site) + `","name":"P"}`
	case "/api/demo":
		body = `{"name":"P"}`
	case "/api/invite":
		body = `{"site":"` + site + `","role":"viewer"}`
	case "/api/revoke":
		spare := who[owner].invited(strings.Replace(site, "0123456789abcdefghij", siteOf(who[owner]), 1), opsync.Viewer, "R")
		body = `{"site":"` + site + `","device":"` + spare.must("GET", "/api/me", nil)["device"].(string) + `"}`
	case "/api/devices", "/ws":
		path += "?site=" + site
	case "/api/crewlink":
		body = `{"site":"` + site + `","crew":"elec"}`
	case "/api/crewlink/revoke":
		body = `{"site":"` + site + `","crew":"other"}`
	case "/api/push":
		path += "?site=" + site // GET
		body = `{"site":"` + site + `","endpoint":"https://push.example.net/1","p256dh":"` + rfcPublic + `","auth":"` + rfcAuth + `"}`
	case "/api/name":
		body = `{"site":"` + site + `","name":"N"}`
	case "/api/push/off", "/api/feedlink", "/api/feedlink/revoke":
		body = `{"site":"` + site + `"}`
	case "/c/{code}", "/c/{code}/days.ics", "/c/{code}/photo", "/c/{code}/photo/{name}":
		path = strings.Replace(path, "{code}", w.crewCodeFor(c, site), 1)
		path = strings.Replace(path, "{name}", strings.Repeat("0a", 32), 1)
		body = url.Values{"visit": {"rough"}, "do": {"ask"}, "said": {"Where is the gate?"}}.Encode()
	case "/api/photo/{name}":
		body = "<" // no file that is kept
		path = "/api/photo/" + nameOf([]byte(body)) + "?at=0&of=1&site=" + site
	case "/api/photos/lacks":
		body = `{"site":"` + site + `","files":[]}`
	case "/":
		path = "/nothing-here"
	}
	b, method := who[c], r.method
	if c == wrongVerb {
		method = "DELETE"
	}
	q, err := http.NewRequest(method, w.base+path, strings.NewReader(body))
	if err != nil {
		w.t.Fatal(err)
	}
	q.Header.Set("Origin", w.base)
	if b.origin != "" {
		q.Header.Set("Origin", b.origin)
	}
	q.Header.Set("Content-Type", "application/json; charset=utf-8")
	if r.need == byCode {
		q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	if r.method == "PUT" {
		q.Header.Set("Content-Type", "application/octet-stream")
	}
	if c == plainForm {
		q.Header.Set("Content-Type", "text/plain")
	}
	for _, cookie := range b.http.Jar.Cookies(q.URL) {
		q.AddCookie(cookie)
	}
	a, err := http.DefaultClient.Do(q) // without the jar: whoever pairs here stays who they were
	if err != nil {
		w.t.Fatal(err)
	}
	a.Body.Close()
	w.headersOf(r, c, a)
	return a.StatusCode
}

// headersOf checks what every answer carries, whoever asked and whatever came of it.
func (w *world) headersOf(r route, c credential, a *http.Response) {
	w.t.Helper()
	name := r.method + " " + r.path + " as " + string(c)
	for header, want := range map[string]string{
		"Referrer-Policy":              "no-referrer",
		"X-Content-Type-Options":       "nosniff",
		"X-Frame-Options":              "DENY",
		"Cross-Origin-Opener-Policy":   "same-origin",
		"Cross-Origin-Resource-Policy": "same-origin",
	} {
		if got := a.Header.Get(header); got != want {
			w.t.Errorf("%s: %s is %q", name, header, got)
		}
	}
	csp := a.Header.Get("Content-Security-Policy")
	for _, must := range []string{"default-src 'none'", "frame-ancestors 'none'", "base-uri 'none'", "form-action "} {
		if !strings.Contains(csp, must) {
			w.t.Errorf("%s: the policy has no %s: %s", name, must, csp)
		}
	}
	if r.need != byCode && !(strings.Contains(csp, "require-trusted-types-for 'script'") && strings.Contains(csp, "script-src 'self' 'wasm-unsafe-eval';")) {
		w.t.Errorf("%s: scripts may do more than they should: %s", name, csp)
	}
	if r.need == byCode && c != wrongVerb && strings.Contains(csp, "script-src") {
		w.t.Errorf("%s: a page without script allows some: %s", name, csp)
	}
	for _, never := range []string{"unsafe-inline", "'unsafe-eval'", "*", "http:", "https:"} {
		if strings.Contains(csp, never) {
			w.t.Errorf("%s: the policy has %s: %s", name, never, csp)
		}
	}
	if a.Header.Get("Access-Control-Allow-Origin") != "" {
		w.t.Errorf("%s: other pages may read this", name)
	}
	if cookies := len(a.Cookies()); cookies > 0 && r.path != "/api/pair" && r.path != "/api/demo" {
		w.t.Errorf("%s: sets %d cookies", name, cookies)
	}
	if c := a.Header.Get("Cache-Control"); !strings.Contains(c, "no-store") && !strings.HasPrefix(c, "private, ") && r.path != crewLookPath && r.path != "/" {
		w.t.Errorf("%s: may be kept: %q", name, c)
	}
}

func siteOf(b *browser) string {
	return b.must("GET", "/api/me", nil)["sites"].([]any)[0].(map[string]any)["id"].(string)
}

// codeFor mints the code that c tries to pair with. Those who pair get onto a site of their own, so that the
// cast stays as it is.
// Whatever is asked, and whatever goes wrong with it, the log holds nothing by which somebody could be
// found or a door be opened: no names, addresses, codes, tokens, nor what people wrote.
func TestLogsHoldNothingOfAnybody(t *testing.T) {
	var log lockedBuffer
	was := slog.Default()
	slog.SetDefault(slog.New(slog.NewJSONHandler(&log, &slog.HandlerOptions{Level: slog.LevelDebug})))
	defer slog.SetDefault(was)
	w := newWorld(t)
	site, who := cast(t, w)
	code := w.crewCodeFor(owner, site)
	fixed := func(c credential, site string) string { return code }
	secrets := []string{"Anna", "Ben", "Gus", "Olga", "127.0.0.1", code, "Where is the gate"}
	for _, b := range who {
		for _, cookie := range b.http.Jar.Cookies(mustURL(w.base)) {
			if _, secret, ok := strings.Cut(cookie.Value, "."); ok {
				secrets = append(secrets, secret)
			}
		}
	}
	for _, r := range routes() {
		for c := range answers[r.method+" "+r.path] {
			w.knock(r, c, who, site)
		}
	}
	w.srv.sites.drop(websocket.CloseGoingAway, "stopping", func(seat) bool { return true })
	broken := w.srv.store.shelf
	w.srv.store.shelf = brokenShelf{}
	failed := 0
	for _, r := range routes() {
		path := strings.NewReplacer("{code}", fixed(owner, site), "{name}", strings.Repeat("0a", 32)).Replace(r.path)
		q, err := http.NewRequest(r.method, w.base+path+"?site="+site, strings.NewReader(`{"code":"ABCD-EFGH","site":"`+site+`"}`))
		if err != nil {
			t.Fatal(err)
		}
		q.Header.Set("Origin", w.base)
		q.Header.Set("Content-Type", "application/json")
		a, err := who[owner].http.Do(q)
		if err != nil {
			t.Fatal(err)
		}
		a.Body.Close()
		if a.StatusCode >= 500 {
			failed++
		}
	}
	w.srv.store.shelf = broken
	if failed < 4 {
		t.Errorf("only %d routes failed with a broken store", failed)
	}
	lines := strings.Split(strings.TrimSpace(log.String()), "\n")
	if len(lines) < 20 {
		t.Errorf("%d lines were logged", len(lines))
	}
	for _, line := range lines {
		if !json.Valid([]byte(line)) {
			t.Errorf("no JSON: %s", line)
		}
		for _, s := range append(secrets, "ABCDEFGH", "ABCD-EFGH") {
			if strings.Contains(line, s) {
				t.Errorf("the log holds %q: %s", s, line)
			}
		}
	}
}

// brokenShelf reads and writes nothing.
type brokenShelf struct{}

var errBroken = errors.New("the disk is gone")

func (brokenShelf) view(func(records) error) error { return errBroken }
func (brokenShelf) put([]pair) error               { return errBroken }
func (brokenShelf) close() error                   { return nil }

// lockedBuffer is a buffer that several may write to.
type lockedBuffer struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.Write(p)
}

func (b *lockedBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.String()
}

// Somebody at the same address guesses tokens and codes as fast as they can. The owner's phone goes on,
// and a way in that was made in the shell opens.
func TestNobodyLocksTheOwnerOut(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	eve := w.browser()
	device := anna.must("GET", "/api/me", nil)["device"].(string)
	limited := 0
	for range 100 {
		token, _ := newToken(device)
		eve.wear(token)
		if got, _ := eve.ask("GET", "/api/devices?site="+site, nil); got == 429 {
			limited++
		} else if got != 401 {
			t.Fatalf("a guessed token: %d", got)
		}
		eve.ask("POST", "/api/pair", map[string]string{"code": newCode(inviteLetters)})
	}
	if limited != 40 {
		t.Errorf("%d of 100 guesses were told to wait", limited)
	}
	anna.must("GET", "/api/devices?site="+site, nil)
	anna.must("POST", "/api/invite", map[string]any{"site": site, "role": "viewer"})
	var made bytes.Buffer
	if err := w.srv.answer(ask{Do: "owner"}, &made); err != nil {
		t.Fatal(err)
	}
	var o ownerCode
	if err := json.Unmarshal(made.Bytes(), &o); err != nil {
		t.Fatal(err)
	}
	w.browser().must("POST", "/api/pair", map[string]string{"code": o.Code})

	// A device that was stolen cannot wear the server out either; others are not touched.
	w.later(6 * time.Second) // short codes wait for a try at this address
	ben := anna.invited(site, opsync.Second, "Ben")
	got := 0
	for i := 0; got != 429; i++ {
		if got, _ = ben.ask("POST", "/api/revoke", map[string]any{"site": site, "device": device}); i > 200 {
			t.Fatal("no end to it")
		}
	}
	anna.must("POST", "/api/invite", map[string]any{"site": site, "role": "viewer"})
	w.later(2 * time.Second)
	if got, _ = ben.ask("POST", "/api/revoke", map[string]any{"site": site, "device": device}); got != 403 {
		t.Errorf("two seconds later: %d", got)
	}
}

func (w *world) codeFor(c credential, site string) string {
	code := newCode(inviteLetters)
	record := codeRecord{Role: opsync.Second, Until: w.now().Add(inviteLife).Unix()}
	if c == expired {
		record.Until = w.now().Unix()
	}
	if c == wrongCode {
		return code
	}
	if err := w.srv.store.addCode(code, record, w.now().Add(-time.Hour)); err != nil {
		w.t.Fatal(err)
	}
	if c == usedCode {
		w.browser().must("POST", "/api/pair", map[string]string{"code": code})
	}
	return code
}

func TestAnInvitationIsForOnePhoneAndTenMinutes(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	answer := anna.must("POST", "/api/invite", map[string]any{"site": site, "role": "second"})
	code := answer["code"].(string)
	if want := w.base + "/#/pair/" + typed(code); answer["url"] != want {
		t.Errorf("url %v, want %s", answer["url"], want)
	}
	// Typed by hand: small letters, a blank for the dash.
	ben := w.browser()
	got := ben.must("POST", "/api/pair", map[string]string{"code": strings.ToLower(strings.ReplaceAll(code, "-", " ")), "name": "  Ben\u0007's \n phone "})
	if got["site"] != site || got["num"] != 2.0 || got["role"] != "second" || got["name"] != "Ben's phone" {
		t.Errorf("paired: %v", got)
	}
	if spares := got["spares"].([]any); len(spares) != spareCount || !validID(spares[0].(string)) {
		t.Errorf("spares: %v", spares)
	}
	if status, _ := w.browser().ask("POST", "/api/pair", map[string]string{"code": code}); status != 403 {
		t.Errorf("the same code again: %d", status)
	}
	late := anna.must("POST", "/api/invite", map[string]any{"site": site, "role": "second"})["code"].(string)
	w.later(inviteLife)
	status, no := w.browser().ask("POST", "/api/pair", map[string]string{"code": late})
	if status != 403 || no["error"] != "This code is not right, was used already, or is older than ten minutes: ask for a new one." {
		t.Errorf("after ten minutes: %d %v", status, no)
	}
}

// Two phones with the same token, one made from the other's backup, would write over each other's
// numbers. One of them pairs anew and is a device of its own.
func TestACopiedPhonePairsAnew(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	id := anna.must("GET", "/api/me", nil)["device"]
	code := func() any {
		return anna.must("POST", "/api/invite", map[string]any{"site": site, "role": "owner"})["code"]
	}
	if got := anna.must("POST", "/api/pair", map[string]any{"code": code()}); got["num"] != 1.0 || got["device"] != id {
		t.Errorf("paired again: %v", got)
	}
	got := anna.must("POST", "/api/pair", map[string]any{"code": code(), "anew": true, "name": "Anna's old phone"})
	if got["num"] != 2.0 || got["device"] == id {
		t.Errorf("paired anew: %v", got)
	}
}

// TestAServerHasSoManySites: the next one is refused in words, also the one a phone was born with, and the
// code stays good.
func TestAServerHasSoManySites(t *testing.T) {
	w := newWorld(t)
	anna, _ := w.owner("Anna")
	w.srv.store.sitesAtMost = 1
	code := newCode(ownerLetters)
	if err := w.srv.store.addCode(code, codeRecord{Role: opsync.Owner, Until: w.now().Add(ownerLife).Unix()}, w.now()); err != nil {
		t.Fatal(err)
	}
	ben := w.browser()
	status, answer := ben.ask("POST", "/api/pair", map[string]string{"code": code, "name": "Ben"})
	if status != http.StatusInsufficientStorage || answer["error"] != sentence(errSites.Error()) {
		t.Errorf("one site too many: %d %v", status, answer)
	}
	spare := anna.must("GET", "/api/me", nil)["spares"].([]any)[0].(string)
	if _, r, err := anna.dial(spare); err == nil || r == nil || r.StatusCode != http.StatusInsufficientStorage {
		t.Errorf("a spare one too many: %v %v", r, err)
	}
	w.srv.store.sitesAtMost = 2
	ben.must("POST", "/api/pair", map[string]string{"code": code, "name": "Ben"})
}

func TestASecondHandInvitesNoOwner(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	ben := anna.invited(site, opsync.Second, "Ben")
	for role, want := range map[string]int{"owner": 403, "second": 200, "viewer": 200, "king": 403, "": 403} {
		if got, _ := ben.ask("POST", "/api/invite", map[string]any{"site": site, "role": role}); got != want {
			t.Errorf("invite %q: %d, want %d", role, got, want)
		}
	}
}

func TestGuessingCodesIsSlow(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	code := anna.must("POST", "/api/invite", map[string]any{"site": site, "role": "second"})["code"].(string)
	eve := w.browser()
	guess := func() int {
		status, _ := eve.ask("POST", "/api/pair", map[string]string{"code": newCode(inviteLetters)})
		return status
	}
	for i := range 10 {
		if got := guess(); got != 403 {
			t.Fatalf("guess %d: %d", i, got)
		}
	}
	if got := guess(); got != 429 {
		t.Errorf("the eleventh guess: %d", got)
	}
	if got, _ := eve.ask("POST", "/api/pair", map[string]string{"code": code}); got != 429 {
		t.Errorf("even the right code has to wait: %d", got)
	}
	w.later(6 * time.Second)
	if got, _ := eve.ask("POST", "/api/pair", map[string]string{"code": code}); got != 200 {
		t.Errorf("after six seconds: %d", got)
	}
}

// A phone that looked around first, or was let in under another name, is known by the name it gave last; what
// it is called elsewhere stays.
func TestAPhoneIsKnownByTheNameItGaveLast(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	olga, other := w.owner("Olga")
	code := anna.must("POST", "/api/invite", map[string]any{"site": site, "role": "second"})["code"]
	olga.must("POST", "/api/pair", map[string]any{"code": code, "name": "Olga the painter"})
	names := func(b *browser, site string) (all []string) {
		for _, d := range b.must("GET", "/api/devices?site="+site, nil)["devices"].([]any) {
			all = append(all, d.(map[string]any)["name"].(string))
		}
		return all
	}
	if got := names(anna, site); !slices.Equal(got, []string{"Anna", "Olga the painter"}) {
		t.Errorf("on Anna's site are %q", got)
	}
	if got := names(olga, other); !slices.Equal(got, []string{"Olga"}) {
		t.Errorf("on Olga's site are %q", got)
	}
	olga.must("POST", "/api/name", map[string]any{"site": site, "name": " Olga \n with\u0000 the  brush "})
	if got := names(anna, site); !slices.Equal(got, []string{"Anna", "Olga with the brush"}) {
		t.Errorf("renamed, on Anna's site are %q", got)
	}
	code = anna.must("POST", "/api/invite", map[string]any{"site": site, "role": "second"})["code"]
	if olga.must("POST", "/api/pair", map[string]any{"code": code}); names(anna, site)[1] != "Olga with the brush" {
		t.Errorf("without a name, on Anna's site are %q", names(anna, site))
	}
}

func TestTheLastOwnerStays(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	id := anna.must("GET", "/api/me", nil)["device"]
	if got, no := anna.ask("POST", "/api/revoke", map[string]any{"site": site, "device": id}); got != 409 {
		t.Errorf("the only owner leaves: %d %v", got, no)
	}
	ben := anna.invited(site, opsync.Owner, "Ben")
	anna.must("POST", "/api/revoke", map[string]any{"site": site, "device": id})
	if got := anna.must("GET", "/api/me", nil)["sites"].([]any); len(got) != 0 {
		t.Errorf("Anna left and still has %v", got)
	}
	// Anna comes back: the same device, but a new number, for her old chain of operations is closed.
	code := ben.must("POST", "/api/invite", map[string]any{"site": site, "role": "owner"})["code"]
	if got := anna.must("POST", "/api/pair", map[string]any{"code": code}); got["device"] != id || got["num"] != 3.0 {
		t.Errorf("Anna came back as %v", got)
	}
}

// A copy of the store must open no door: neither tokens nor codes lie in it.
func TestTheStoreKeepsNoSecrets(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	code := typed(anna.must("POST", "/api/invite", map[string]any{"site": site, "role": "second"})["code"].(string))
	u, _ := url.Parse(w.base)
	_, secret, _ := strings.Cut(anna.http.Jar.Cookies(u)[0].Value, ".")
	n := 0
	err := w.srv.store.each("", func(key string, value []byte) error {
		n++
		for _, s := range []string{code, secret} {
			if strings.Contains(key, s) || strings.Contains(string(value), s) {
				t.Errorf("%s holds a secret", key)
			}
		}
		return nil
	})
	if err != nil || n == 0 {
		t.Fatal(n, err)
	}
}

func TestTokensOfAllShapes(t *testing.T) {
	w := newWorld(t)
	anna, _ := w.owner("Anna")
	u, _ := url.Parse(w.base)
	token := anna.http.Jar.Cookies(u)[0].Value
	if _, _, err := w.srv.store.known(token); err != nil {
		t.Fatal("the real token is not known")
	}
	for i := range len(token) {
		if _, _, err := w.srv.store.known(token[:i]); err == nil {
			t.Errorf("known after %d of %d bytes", i, len(token))
		}
		wrong := []byte(token)
		wrong[i] ^= 1
		if _, _, err := w.srv.store.known(string(wrong)); err == nil {
			t.Errorf("known with byte %d changed", i)
		}
	}
	for _, s := range []string{"", ".", "a.b", strings.Repeat("a", 20) + ".", strings.Repeat("x", 5000), token + "A", token + ".A"} {
		if _, _, err := w.srv.store.known(s); err == nil {
			t.Errorf("%.30q is known", s)
		}
	}
}

// A device's ID is no secret: whoever shows it with a made-up secret, and has an invitation of their own, is let in as
// somebody new and hears nothing of that device.
func TestAForgedTokenIsNobodyWhoPairs(t *testing.T) {
	w := newWorld(t)
	anna, _ := w.owner("Anna")
	olga, site := w.owner("Olga")
	device := anna.must("GET", "/api/me", nil)["device"].(string)
	token, _ := newToken(device)
	forger := w.browser()
	forger.wear(token)
	code := olga.must("POST", "/api/invite", map[string]any{"site": site, "role": opsync.Viewer})["code"]
	a := forger.must("POST", "/api/pair", map[string]any{"code": code, "name": "Anna"})
	if sites := a["sites"].([]any); a["device"] == device || len(sites) != 1 {
		t.Errorf("paired as %v, with %d sites", a["device"], len(sites))
	}
}
