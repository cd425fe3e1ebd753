package main

import (
	"bytes"
	"crypto/tls"
	"encoding/json"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"strings"
	"sync"
	"testing"
	"time"

	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
)

// TestMain lets the test binary be the real program: a test that must kill it starts it as a process.
func TestMain(m *testing.M) {
	if os.Getenv("BATTERBOARD_RUN") == "1" {
		os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
	}
	slog.SetDefault(slog.New(slog.NewJSONHandler(io.Discard, nil)))
	os.Exit(m.Run())
}

// world is one real server: Badger in a folder, HTTP and sockets on loopback, and a clock that the
// story moves.
type world struct {
	t   testing.TB
	dir string
	srv *server
	web *httptest.Server

	base string      // where it answers
	tls  *tls.Config // whom to believe there, when it is HTTPS

	mu    sync.Mutex
	clock time.Time
}

// newWorld starts a server on an empty store.
func newWorld(t testing.TB) *world {
	t.Helper()
	w := &world{t: t, dir: t.TempDir(), clock: time.Date(2027, 3, 1, 6, 40, 0, 0, time.UTC)}
	w.start()
	t.Cleanup(w.stop)
	return w
}

func (w *world) now() time.Time {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.clock
}

func (w *world) later(d time.Duration) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.clock = w.clock.Add(d)
}

func (w *world) start() {
	w.t.Helper()
	st, err := openStore(w.dir)
	if err != nil {
		w.t.Fatal(err)
	}
	w.srv = newServer(st, w.now)
	w.web = httptest.NewServer(w.srv.handler())
	w.base = w.web.URL
}

func (w *world) stop() {
	w.srv.sites.drop(websocket.CloseGoingAway, "stopping", func(seat) bool { return true })
	w.web.Close()
	w.srv.post.close()
	w.srv.push.close()
	if err := w.srv.store.close(); err != nil && !errors.Is(err, errFull) {
		w.t.Error(err)
	}
}

// patience is how long a test waits for what must come: a busy machine is slow, and only a failure waits so long.
const patience = 2 * time.Minute

func init() { writeWait = patience }

// until waits for something that the server does by itself.
func (w *world) until(done func() bool) {
	w.t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); {
		if done() {
			return
		}
		time.Sleep(time.Millisecond)
	}
	w.t.Fatal(patience, "later it has not happened")
}

// browser is one phone's browser: a cookie jar.
type browser struct {
	*world
	http   *http.Client
	origin string // empty: the server's own
}

func (w *world) browser() *browser {
	jar, err := cookiejar.New(nil)
	if err != nil {
		w.t.Fatal(err)
	}
	b := &browser{world: w, http: &http.Client{Jar: jar}}
	if w.tls != nil {
		b.http.Transport = &http.Transport{TLSClientConfig: w.tls}
	}
	return b
}

// ask sends a request and reads the JSON that comes back.
func (b *browser) ask(method, path string, body any) (status int, answer map[string]any) {
	b.t.Helper()
	var in io.Reader
	if body != nil {
		raw, err := json.Marshal(body)
		if err != nil {
			b.t.Fatal(err)
		}
		in = bytes.NewReader(raw)
	}
	q, err := http.NewRequest(method, b.base+path, in)
	if err != nil {
		b.t.Fatal(err)
	}
	q.Header.Set("Content-Type", "application/json")
	q.Header.Set("Origin", b.base)
	if b.origin != "" {
		q.Header.Set("Origin", b.origin)
	}
	r, err := b.http.Do(q)
	raw := readAll(b.t, r, err)
	if err := json.Unmarshal(raw, &answer); err != nil {
		b.t.Fatalf("%s %s: %d %q is no JSON", method, path, r.StatusCode, raw)
	}
	return r.StatusCode, answer
}

// readAll reads what a request brought.
func readAll(t testing.TB, r *http.Response, err error) []byte {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	b, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// fetch is a request of somebody without a cookie.
func fetch(t testing.TB, url string) (int, string, http.Header) {
	t.Helper()
	r, err := http.Get(url)
	b := readAll(t, r, err)
	return r.StatusCode, string(b), r.Header
}

// must is ask for what has to work.
func (b *browser) must(method, path string, body any) map[string]any {
	b.t.Helper()
	status, answer := b.ask(method, path, body)
	if status != http.StatusOK {
		b.t.Fatalf("%s %s: %d %v", method, path, status, answer["error"])
	}
	return answer
}

// owner pairs a fresh browser with a fresh site.
func (w *world) owner(name string) (b *browser, site string) {
	w.t.Helper()
	code := newCode(ownerLetters)
	if err := w.srv.store.addCode(code, codeRecord{Role: opsync.Owner, Until: w.now().Add(ownerLife).Unix()}, w.now()); err != nil {
		w.t.Fatal(err)
	}
	b = w.browser()
	return b, b.must("POST", "/api/pair", map[string]string{"code": code, "name": name})["site"].(string)
}

// invited pairs a fresh browser by an invitation from b.
func (b *browser) invited(site string, role opsync.Role, name string) *browser {
	b.t.Helper()
	code := b.must("POST", "/api/invite", map[string]any{"site": site, "role": role})["code"]
	c := b.world.browser()
	c.must("POST", "/api/pair", map[string]any{"code": code, "name": name})
	return c
}

// dial opens a socket; the response tells why when there is none.
func (b *browser) dial(site string) (*websocket.Conn, *http.Response, error) {
	h := http.Header{"Origin": {b.base}}
	if b.origin != "" {
		h.Set("Origin", b.origin)
	}
	d := websocket.Dialer{Jar: b.http.Jar, HandshakeTimeout: patience, TLSClientConfig: b.tls}
	return d.Dial("ws"+strings.TrimPrefix(b.base, "http")+"/ws?site="+url.QueryEscape(site), h)
}

// phone is a browser with a site open: the same state machine as in the app, on a real socket.
type phone struct {
	*browser
	site string
	dev  opsync.Device
	role opsync.Role
	in   *opsync.Phone
	ws   *websocket.Conn
	raws [][]byte // what a real phone would have in its own store
	wall int64

	meta   []byte   // its notes beside the operations
	token  string   // the cookie
	wanted []string // pictures the server asked for
}

func (b *browser) phone(site string) *phone {
	b.t.Helper()
	p := &phone{browser: b, site: site, wall: b.now().UnixMilli()}
	if c := b.http.Jar.Cookies(mustURL(b.base)); len(c) > 0 {
		p.token = c[0].Value
	}
	for _, s := range b.must("GET", "/api/me", nil)["sites"].([]any) {
		if s := s.(map[string]any); s["id"] == site {
			p.dev, p.role = opsync.Device(s["num"].(float64)), opsync.Role(s["role"].(string))
		}
	}
	if p.dev == 0 { // a spare: this phone begins it
		p.dev, p.role = 1, opsync.Owner
	}
	p.open()
	return p
}

func (p *phone) open() {
	p.t.Helper()
	in, err := opsync.OpenPhone(p.site, p.dev, p.role, p.meta, p.raws)
	if err != nil {
		p.t.Fatal(err)
	}
	p.in = in
}

func (p *phone) connect() *phone {
	p.t.Helper()
	ws, r, err := p.dial(p.site)
	if err != nil {
		p.t.Fatalf("dial: %v (%v)", err, r)
	}
	p.ws = ws
	p.t.Cleanup(func() { ws.Close() })
	p.say(p.in.Connected())
	return p
}

func (p *phone) cut() {
	p.ws.Close()
	p.in.Cut()
	p.ws = nil
}

func (p *phone) say(frames []string) {
	p.t.Helper()
	for _, f := range frames {
		if err := p.ws.WriteMessage(websocket.TextMessage, []byte(f)); err != nil {
			p.t.Fatal(err)
		}
	}
}

// set writes one change; it is handed in when there is a connection.
func (p *phone) set(thing, id, field string, value any) {
	p.t.Helper()
	raw, err := json.Marshal(value)
	if err != nil {
		p.t.Fatal(err)
	}
	p.wall++
	op, err := p.in.Log.Write(p.dev, p.wall, opsync.KindEdit, "set "+field,
		[]opsync.Edit{{Thing: thing, ID: id, Set: map[string]json.RawMessage{field: raw}}})
	if err != nil {
		p.t.Fatal(err)
	}
	p.raws = append(p.raws, op)
	if p.ws != nil {
		p.say(p.in.Push())
	}
}

// hear takes one message from the server, or says how the connection ended.
func (p *phone) hear() error {
	p.t.Helper()
	p.ws.SetReadDeadline(time.Now().Add(patience))
	_, frame, err := p.ws.ReadMessage()
	if err != nil {
		return err
	}
	r, err := p.in.Receive(string(frame))
	if err != nil {
		p.t.Fatalf("receive %.200s: %v", frame, err)
	}
	p.raws = append(p.raws, r.Store...)
	if r.Meta != nil {
		p.meta = r.Meta
	}
	p.wanted = append(p.wanted, r.Want...)
	p.say(r.Frames)
	return nil
}

// until hears messages until done is true.
func (p *phone) until(what string, done func() bool) {
	p.t.Helper()
	for !done() {
		if err := p.hear(); err != nil {
			p.t.Fatalf("waiting for %s: %v", what, err)
		}
	}
}

func (p *phone) untilSent() {
	p.t.Helper()
	p.until("acks", func() bool { return p.in.Unsent() == 0 })
}

// untilClosed hears until the server closes, and returns the close code.
func (p *phone) untilClosed() int {
	p.t.Helper()
	for {
		err := p.hear()
		if err == nil {
			continue
		}
		if c, ok := err.(*websocket.CloseError); ok {
			return c.Code
		}
		return websocket.CloseAbnormalClosure
	}
}

func (p *phone) doc() string { return string(p.in.Log.State().Document()) }
