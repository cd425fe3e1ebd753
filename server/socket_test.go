package main

import (
	"bytes"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
	"unsafe"

	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
)

// Frames are put together here; a library of another house must read them, at the sizes where their head changes
// (RFC 6455, section 5.2).
func TestFramesAreReadByTheLibrary(t *testing.T) {
	sizes := []int{0, 1, 125, 126, 127, 1<<16 - 1, 1 << 16, 1<<16 + 1, 300_000}
	up := websocket.Upgrader{}
	web := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		ws, err := up.Upgrade(w, q, nil)
		if err != nil {
			t.Error(err)
			return
		}
		defer ws.Close()
		for _, n := range sizes {
			if _, err := ws.NetConn().Write(framed(websocket.TextMessage, bytes.Repeat([]byte{'x'}, n))); err != nil {
				t.Error(err)
			}
		}
		ws.NetConn().Write(framed(websocket.PingMessage, []byte("still there?")))
		ws.ReadMessage()
	}))
	defer web.Close()
	ws, _, err := websocket.DefaultDialer.Dial("ws"+strings.TrimPrefix(web.URL, "http"), nil)
	if err != nil {
		t.Fatal(err)
	}
	defer ws.Close()
	for _, n := range sizes {
		kind, body, err := ws.ReadMessage()
		if err != nil || kind != websocket.TextMessage || len(body) != n || strings.Trim(string(body), "x") != "" {
			t.Errorf("%d bytes: kind %d, %d bytes, %v", n, kind, len(body), err)
		}
	}
	pinged := make(chan string, 1)
	ws.SetPingHandler(func(s string) error { pinged <- s; return nil })
	go ws.ReadMessage()
	select {
	case s := <-pinged:
		if s != "still there?" {
			t.Errorf("pinged with %q", s)
		}
	case <-time.After(20 * time.Second):
		t.Error("no ping")
	}
}

// Two phones stop reading for a while, with little room on the way, so that frames are taken in pieces. Then every
// frame is there, whole and in order, and the pings among them.
func TestAPhoneThatPausesGetsAllOfIt(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	var paused []*phone
	for i := range 2 {
		p := annaB.invited(site, opsync.Second, fmt.Sprint("Sam ", i)).phone(site).connect()
		p.hear()
		if tcp, ok := p.ws.NetConn().(*net.TCPConn); ok {
			tcp.SetReadBuffer(64 << 10)
		}
		paused = append(paused, p)
	}
	pings := 0
	paused[0].ws.SetPingHandler(func(string) error { pings++; return nil })
	narrow(w, site)
	for i := range 60 {
		anna.set("note", fmt.Sprintf("1.%d", i+1), "said", fmt.Sprint(i, strings.Repeat("x", 15<<10)))
		if i%10 == 9 {
			anna.untilSent()
			w.srv.sites.sweep()
		}
	}
	for _, p := range paused {
		p.until("all of it", func() bool { return p.in.Log.Seen()[1] == 60 })
		if p.doc() != anna.doc() {
			t.Error("two documents")
		}
	}
	if pings < 5 { // the sixth may come after the last change
		t.Errorf("%d pings of 6", pings)
	}
}

// narrow leaves the server's connections little room for what is on the way.
func narrow(w *world, site string) {
	w.srv.sites.mu.Lock()
	x := w.srv.sites.open[site]
	w.srv.sites.mu.Unlock()
	x.each(func(c *socket) {
		if tcp, ok := c.ws.NetConn().(*net.TCPConn); ok {
			tcp.SetWriteBuffer(4096)
		}
	})
}

// Over TLS bytes cannot go straight to the system: the same story on the other way out.
func TestPhonesOverTLS(t *testing.T) {
	w := newWorld(t)
	web := httptest.NewTLSServer(w.srv.handler())
	t.Cleanup(web.Close)
	t.Cleanup(func() { w.srv.sites.drop(websocket.CloseGoingAway, "stopping", func(seat) bool { return true }) })
	w.base, w.tls = web.URL, web.Client().Transport.(*http.Transport).TLSClientConfig
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	ben := annaB.invited(site, opsync.Second, "Ben").phone(site).connect()
	cy := annaB.invited(site, opsync.Viewer, "Cy").phone(site).connect()
	for i := range 30 {
		anna.set("note", fmt.Sprint("1.", i+1), "said", strings.Repeat("x", i*500))
		ben.set("note", fmt.Sprint("2.", i+1), "said", "y")
	}
	anna.untilSent()
	ben.untilSent()
	w.srv.sites.sweep()
	for _, p := range []*phone{anna, ben, cy} {
		p.until("all of it", func() bool { seen := p.in.Log.Seen(); return seen[1] == 30 && seen[2] == 30 })
	}
	if anna.doc() != ben.doc() || anna.doc() != cy.doc() {
		t.Error("not everybody has the same")
	}
}

// Messages of two bytes take memory too: a phone that pings and never reads is dropped before they are many.
func TestSmallMessagesAreOwedToo(t *testing.T) {
	c, pong, n := &socket{owe: maxUnread}, message{frame: framed(websocket.PongMessage, nil)}, 0
	for ; c.size <= c.owe; n++ {
		c.queue(pong)
		if cap(c.out)*int(unsafe.Sizeof(pong)) > 2*maxUnread {
			t.Fatalf("%d messages wait and %d bytes are owed", n, c.size)
		}
	}
}

// A phone may ask whether the server is there, also while it is being written to.
func TestAPingIsAnswered(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	heard := ""
	anna.ws.SetPongHandler(func(s string) error { heard += s; return nil })
	for i := range 20 {
		if err := anna.ws.WriteControl(websocket.PingMessage, []byte{byte('a' + i)}, time.Now().Add(20*time.Second)); err != nil {
			t.Fatal(err)
		}
		anna.set("note", fmt.Sprint("1.", i+1), "said", "x")
	}
	anna.untilSent()
	anna.until("all pongs", func() bool { return heard == "abcdefghijklmnopqrst" })
}
