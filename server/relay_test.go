package main

import (
	"fmt"
	"net"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
)

func TestTwoPhonesOneSite(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	ben := annaB.invited(site, opsync.Second, "Ben").phone(site).connect()

	anna.set("site", "site", "name", "Old Laundry")
	anna.set("crew", "spark", "name", "Bright Spark Electric")
	anna.untilSent()
	ben.until("Anna's crew", func() bool { return ben.in.Log.State().Has("crew", "spark") })

	ben.set("crew", "spark", "phone", "+15550101")
	ben.untilSent()
	anna.until("Ben's change", func() bool { return strings.Contains(anna.doc(), "+15550101") })
	if anna.doc() != ben.doc() {
		t.Errorf("two documents:\n%s\n%s", anna.doc(), ben.doc())
	}
	if got := annaB.must("GET", "/api/me", nil)["sites"].([]any)[0].(map[string]any)["name"]; got != "Old Laundry" {
		t.Errorf("the list of sites says %q", got)
	}
}

func TestOfflineIsAMessageThatHasNotLeft(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site)
	ben := annaB.invited(site, opsync.Second, "Ben").phone(site).connect()
	for i := range 20 {
		anna.set("note", fmt.Sprintf("1.%d", i+1), "said", fmt.Sprintf("line %d", i))
	}
	ben.set("note", "2.1", "said", "meanwhile")
	ben.untilSent()
	if anna.in.Unsent() != 20 {
		t.Fatalf("unsent: %d", anna.in.Unsent())
	}
	anna.connect().untilSent()
	anna.until("Ben's note", func() bool { return anna.in.Log.State().Has("note", "2.1") })
	ben.until("Anna's notes", func() bool { return ben.in.Log.State().Has("note", "1.20") })
	if anna.doc() != ben.doc() {
		t.Error("two documents")
	}
}

func TestTheServerRestarts(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	anna.set("site", "site", "name", "Garage")
	anna.untilSent()
	w.stop()
	if code := anna.untilClosed(); code != websocket.CloseGoingAway {
		t.Errorf("stopped with code %d", code)
	}
	anna.in.Cut()
	anna.ws = nil
	anna.set("site", "site", "address", "12 Elm") // while the server is down
	w.start()
	rewear(anna) // the test server has another port; a real one has not
	anna.connect().untilSent()
	fresh := annaB.invited(site, opsync.Viewer, "Vic").phone(site).connect()
	fresh.until("the whole site", func() bool { return fresh.doc() == anna.doc() })
}

func TestASiteIsBornOffline(t *testing.T) {
	w := newWorld(t)
	annaB, first := w.owner("Anna")
	spare := annaB.must("GET", "/api/me", nil)["spares"].([]any)[0].(string)
	anna := annaB.phone(spare)
	anna.set("site", "site", "name", "Barn")
	olga, _ := w.owner("Olga")
	if _, r, err := olga.dial(spare); err == nil || r.StatusCode != http.StatusForbidden {
		t.Errorf("somebody else begins Anna's spare site: %v", err)
	}
	anna.connect().untilSent()
	me := annaB.must("GET", "/api/me", nil)
	sites, spares := fmt.Sprint(me["sites"]), me["spares"].([]any)
	if !strings.Contains(sites, "name:Barn num:1 role:owner") || !strings.Contains(sites, first) {
		t.Errorf("sites: %s", sites)
	}
	if len(spares) != spareCount || spares[0] == spare || spares[1] == spare {
		t.Errorf("spares: %v after %s was used", spares, spare)
	}
	if err := w.srv.store.read(siteKey(spare), &siteRecord{}); err != nil {
		t.Error(err)
	}
}

func TestRevokeDropsTheSocket(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	benB := annaB.invited(site, opsync.Second, "Ben")
	ben := benB.phone(site).connect()
	ben.set("note", "2.1", "said", "here")
	ben.untilSent()
	annaB.must("POST", "/api/revoke", map[string]any{"site": site, "device": benB.must("GET", "/api/me", nil)["device"]})
	if code := ben.untilClosed(); code != closeRevoked {
		t.Errorf("closed with %d", code)
	}
	if _, r, err := benB.dial(site); err == nil || r.StatusCode != http.StatusForbidden {
		t.Error("a revoked phone opens a socket")
	}
	anna.until("what Ben wrote before", func() bool { return anna.in.Log.State().Has("note", "2.1") })
	list := annaB.must("GET", "/api/devices?site="+site, nil)["devices"].([]any)
	if got := list[1].(map[string]any); got["gone"] != true || got["name"] != "Ben" {
		t.Errorf("Ben in the list: %v", got)
	}
}

func TestAViewerWritesNothing(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	vic := annaB.invited(site, opsync.Viewer, "Vic").phone(site)
	vic.role = opsync.Second // a changed app
	vic.open()
	vic.set("site", "site", "name", "Mine now")
	vic.connect()
	vic.until("a no", func() bool { return len(vic.in.Rejected()) == 1 || vic.in.ReadOnly() != "" })
	anna.set("site", "site", "address", "12 Elm")
	anna.untilSent()
	if n, err := w.srv.store.ops(site, func([]byte) error { return nil }); n != 1 || err != nil {
		t.Errorf("%d operations stored, %v", n, err)
	}
}

func TestWrongOriginsOpenNoSocket(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	host := strings.TrimPrefix(w.base, "http://")
	for origin, want := range map[string]int{
		"http://elsewhere.example": 403, "null": 403, "file://" + host: 403, "http://" + host + ".elsewhere.example": 403,
		"http://user@elsewhere.example/" + host: 403, "http://" + host: 101, "https://" + host: 101,
	} {
		b := &browser{world: w, http: anna.http, origin: origin}
		ws, r, err := b.dial(site)
		if err == nil {
			ws.Close()
		}
		if r == nil || r.StatusCode != want {
			t.Errorf("%s: %v, want %d", origin, r, want)
		}
	}
}

func TestWhatASocketDoesNotTake(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	for _, c := range []struct {
		name string
		kind int
		body string
		want int
	}{
		{"a frame above the limit", websocket.TextMessage, strings.Repeat(" ", opsync.MaxFrameBytes+1), websocket.CloseMessageTooBig},
		{"a binary frame", websocket.BinaryMessage, "{}", closeBroken},
		{"no JSON", websocket.TextMessage, "hello", closeBroken},
		{"a push before the hello", websocket.TextMessage, `{"m":"push","ops":[]}`, closeBroken},
		{"an empty frame", websocket.TextMessage, "", closeBroken},
	} {
		ws, _, err := annaB.dial(site)
		if err != nil {
			t.Fatal(err)
		}
		if err := ws.WriteMessage(c.kind, []byte(c.body)); err != nil {
			t.Fatal(err)
		}
		if code := closeCode(t, ws); code != c.want {
			t.Errorf("%s: closed with %d, want %d", c.name, code, c.want)
		}
		ws.Close()
	}
	if err := annaB.phone(site).connect().hear(); err != nil {
		t.Errorf("no welcome after all that: %v", err)
	}
}

// closeCode reads until the end and says how it came.
func closeCode(t *testing.T, ws *websocket.Conn) int {
	t.Helper()
	ws.SetReadDeadline(time.Now().Add(patience))
	for {
		if _, _, err := ws.ReadMessage(); err != nil {
			if c, ok := err.(*websocket.CloseError); ok {
				return c.Code
			}
			t.Log(err)
			return 0
		}
	}
}

// A phone that stops reading is dropped; the others do not wait for it, and it loses nothing.
func TestASlowReaderIsDroppedAndCatchesUp(t *testing.T) {
	w := newWorld(t)
	w.srv.sites.owe = 256 << 10
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	slowB := annaB.invited(site, opsync.Second, "Sam")
	slow := slowB.phone(site).connect()
	slow.hear() // the welcome, and from here on nothing
	if tcp, ok := slow.ws.NetConn().(*net.TCPConn); ok {
		tcp.SetReadBuffer(4096)
	}
	long := strings.Repeat("x", 15<<10)
	for i := 0; w.sockets(site) == 2; i++ {
		if i > 4000 {
			t.Fatal("60 MB later the slow reader is still there")
		}
		anna.set("note", fmt.Sprintf("1.%d", i+1), "said", long)
		anna.untilSent()
	}
	slow.cut()
	slow.connect()
	slow.until("all of it", func() bool { return slow.doc() == anna.doc() })
}

// sockets counts who is connected to a site and not on the way out.
func (w *world) sockets(site string) (n int) {
	w.srv.sites.mu.Lock()
	x := w.srv.sites.open[site]
	w.srv.sites.mu.Unlock()
	x.each(func(c *socket) {
		c.mu.Lock()
		defer c.mu.Unlock()
		if !c.closing {
			n++
		}
	})
	return n
}

// A commit that fails must be acked to nobody and shown to nobody.
func TestWhatIsNotStoredIsNotAcked(t *testing.T) {
	w := newWorld(t)
	var full atomic.Bool
	w.srv.store.space = func() error {
		if full.Load() {
			return errFull
		}
		return nil
	}
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	ben := annaB.invited(site, opsync.Second, "Ben").phone(site).connect()
	anna.set("note", "1.1", "said", "stored")
	anna.untilSent()
	ben.until("it", func() bool { return ben.in.Log.State().Has("note", "1.1") })
	full.Store(true)
	anna.set("note", "1.2", "said", "not stored")
	if code := anna.untilClosed(); code != closeFull {
		t.Errorf("closed with %d", code)
	}
	if code := ben.untilClosed(); code != closeFull {
		t.Errorf("closed with %d", code)
	}
	if anna.in.Unsent() != 1 || ben.in.Log.State().Has("note", "1.2") {
		t.Errorf("unsent %d, Ben sees it: %v", anna.in.Unsent(), ben.in.Log.State().Has("note", "1.2"))
	}
	full.Store(false)
	anna.in.Cut()
	ben.in.Cut()
	anna.connect().untilSent()
	ben.connect().until("it at last", func() bool { return ben.in.Log.State().Has("note", "1.2") })
}

func TestASiteNobodyUsesLeavesMemory(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	anna.set("note", "1.1", "said", "x")
	anna.untilSent()
	anna.cut()
	w.until(func() bool { return w.sockets(site) == 0 })
	w.srv.sites.sweep()
	if len(w.srv.sites.open) != 1 {
		t.Error("forgotten at once")
	}
	w.later(idleSite)
	w.srv.sites.sweep()
	if len(w.srv.sites.open) != 0 {
		t.Error("still in memory")
	}
	anna.set("note", "1.2", "said", "y")
	anna.connect().untilSent()
}

func TestTheServerIsFull(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	w.srv.sites.full = 1
	if err := annaB.phone(site).connect().hear(); err != nil { // the welcome: now it is on its site
		t.Fatal(err)
	}
	ws, _, err := annaB.dial(site)
	if err != nil {
		t.Fatal(err)
	}
	defer ws.Close()
	if code := closeCode(t, ws); code != websocket.CloseTryAgainLater {
		t.Errorf("closed with %d", code)
	}
}

// The server pings, so that a network that forgets silent connections does not forget this one.
func TestPings(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	anna.hear()
	pinged := make(chan struct{}, 1)
	anna.ws.SetPingHandler(func(string) error { pinged <- struct{}{}; return nil })
	w.srv.sites.sweep()
	go anna.ws.ReadMessage()
	select {
	case <-pinged:
	case <-time.After(patience):
		t.Error("no ping")
	}
}
