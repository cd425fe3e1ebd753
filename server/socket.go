package main

import (
	"bytes"
	"encoding/binary"
	"sync"
	"syscall"
	"time"

	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
)

// Limits of one socket.
const (
	pingEvery = 25 * time.Second // phones' networks forget a silent connection after 30 s or more (from memory)
	hearEvery = 70 * time.Second // two pings unanswered: gone
	helloWait = 15 * time.Second
	byeWait   = 2 * time.Second // for the other end's close
	maxUnread = 4 << 20         // bytes waiting for a slow reader: it is dropped and catches up when it comes back
	maxGather = 64 << 10        // bytes of several frames that go out in one write
	maxFlight = 64              // frames of one phone between hub and disk
)

// messageCost is what a waiting message takes beside its bytes, rounded up: of a phone that pings and does not read
// two bytes wait each time.
const messageCost = 128

// writeWait is how long one frame may take; a phone that needs longer is gone. The tests, on a busy machine, wait longer.
var writeWait = 30 * time.Second

// Close codes of our own (4000 to 4999 are free for that, RFC 6455, section 7.4.2).
const (
	closeRevoked = 4401 // not on this site any more
	closeBroken  = 4400 // what was sent could not be understood
	closeFull    = 4507 // what was sent could not be stored
)

// message is one thing to be written to a socket: a frame as it goes over the wire, which all who get it
// share, or what is yet to be framed.
type message struct {
	frame []byte
	text  []byte
	asked bool // the phone asked for it: a long catch-up is no debt of a slow reader
	close int  // the code of a close, text its reason
}

func (m message) debt() int {
	if m.asked {
		return 0
	}
	return messageCost + len(m.frame) + len(m.text)
}

// framed is a whole frame of a server, which is not masked (RFC 6455, section 5.2).
func framed(kind byte, body []byte) []byte {
	b := make([]byte, 0, 10+len(body))
	b = append(b, 0x80|kind)
	switch n := len(body); {
	case n < 126:
		b = append(b, byte(n))
	case n < 1<<16:
		b = binary.BigEndian.AppendUint16(append(b, 126), uint16(n))
	default:
		b = binary.BigEndian.AppendUint64(append(b, 127), uint64(n))
	}
	return append(b, body...)
}

// socket is one phone's connection to one site. It has one goroutine that reads. What is to be written is
// queued, and whoever queues the first of it has it written: for all phones of a site together, as far as
// their connections take it at once (writeAll), otherwise by a goroutine that ends when nothing is left.
type socket struct {
	ws     *websocket.Conn
	seat   seat
	quick  syscall.RawConn // nil where bytes cannot go straight to the system, as over TLS
	flight chan struct{}
	owe    int // maxUnread

	// Set by sites.join.
	conn opsync.Conn
	site *site

	mu      sync.Mutex
	out     []message
	size    int
	writing bool
	closing bool
}

// send queues a message. It never blocks; a reader that is too slow is dropped. True asks the caller to
// have it written: nobody is writing to this socket.
func (c *socket) send(m message) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closing {
		return false
	}
	if c.size > c.owe {
		c.closing, c.out = true, nil
		go c.hangUp()
		return false
	}
	return c.queue(m)
}

// queue is send's inner half; mu is held.
func (c *socket) queue(m message) (idle bool) {
	idle = !c.writing
	c.out, c.size, c.writing = append(c.out, m), c.size+m.debt(), true
	return idle
}

// writeAll writes what waits for these sockets, one after the other. One that does not take all of it at once
// gets a goroutine, so nobody waits for a slow phone. A goroutine for each from the start costs as much again as
// the writing: measured with 50 phones, the frame is there after 0.5 ms instead of 0.7.
func writeAll(all []*socket) {
	var w quickWriter
	for _, c := range all {
		if !c.writeNow(&w) {
			go c.drain()
		}
	}
}

// writeNow writes frames as long as the connection takes them. False: some are left.
func (c *socket) writeNow(w *quickWriter) bool {
	if c.quick == nil {
		return false
	}
	for {
		debt, done := c.gather(w)
		if len(w.b) == 0 {
			return done
		}
		n, err := w.write(c.quick)
		if err != nil {
			c.lost()
			return true
		}
		if !c.wrote(debt, w.b[n:]) {
			return false
		}
	}
}

// gather takes the frames that wait into w, as many as go out in one write, and says what they owe. Nothing in w:
// done says whether that is because nothing waits.
func (c *socket) gather(w *quickWriter) (debt int, done bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	n := 0
	w.b = w.b[:0]
	for n < len(c.out) && c.out[n].frame != nil && (n == 0 || len(w.b)+len(c.out[n].frame) <= maxGather) {
		w.b = append(w.b, c.out[n].frame...)
		debt += c.out[n].debt()
		n++
	}
	c.out = c.out[n:]
	if n == 0 && len(c.out) == 0 {
		c.idle()
		return 0, true
	}
	return debt, false
}

// idle notes that nobody writes any more; mu is held.
func (c *socket) idle() { c.writing, c.out, c.size = false, nil, 0 }

// wrote settles what was gathered. False: the rest was not taken and waits before all else.
func (c *socket) wrote(debt int, rest []byte) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.size -= debt
	if len(rest) == 0 {
		return true
	}
	left := message{frame: bytes.Clone(rest)}
	c.out, c.size = append([]message{left}, c.out...), c.size+left.debt()
	return false
}

// drain writes until nothing is left.
func (c *socket) drain() {
	for {
		c.mu.Lock()
		if len(c.out) == 0 {
			c.ws.NetConn().SetWriteDeadline(time.Time{}) // of the last write: writeNow would stumble over it
			c.idle()
			c.mu.Unlock()
			return
		}
		batch := c.out
		c.out = nil
		c.mu.Unlock()
		for i, m := range batch {
			if err := c.writeOne(m); err != nil {
				c.lost()
				return
			}
			batch[i] = message{}
			c.mu.Lock()
			c.size -= m.debt()
			c.mu.Unlock()
		}
	}
}

// lost gives up on a connection that cannot be written to: the reader sees it and cleans up.
func (c *socket) lost() {
	c.mu.Lock()
	c.closing, c.out = true, nil
	c.mu.Unlock()
	c.ws.Close()
}

func (c *socket) writeOne(m message) error {
	deadline := time.Now().Add(writeWait)
	switch {
	case m.frame != nil:
		conn := c.ws.NetConn()
		if err := conn.SetWriteDeadline(deadline); err != nil {
			return err
		}
		_, err := conn.Write(m.frame)
		return err
	case m.close != 0:
		err := c.ws.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(m.close, string(m.text)), deadline)
		c.ws.NetConn().SetReadDeadline(time.Now().Add(byeWait)) // the reader waits for the answer and closes
		return err
	}
	if err := c.ws.SetWriteDeadline(deadline); err != nil {
		return err
	}
	return c.ws.WriteMessage(websocket.TextMessage, m.text)
}

// drop closes the socket for a reason the phone is told, after what is queued already.
func (c *socket) drop(code int, why string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closing {
		return
	}
	c.closing = true
	if c.queue(message{close: code, text: []byte(closeText(why))}) {
		go c.drain()
	}
}

// hangUp ends a connection that takes nothing any more.
func (c *socket) hangUp() {
	c.ws.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(websocket.CloseTryAgainLater,
		"This phone reads too slowly. It will catch up when it connects again."), time.Now().Add(time.Second))
	c.ws.Close()
}

// listen reads frames until the phone goes. Only text frames are ours. Once the socket is closing it
// only waits for the other end to close too.
func (c *socket) listen() {
	defer c.ws.Close()
	defer c.site.leave(c)
	c.ws.SetReadLimit(opsync.MaxFrameBytes)
	c.ws.SetReadDeadline(time.Now().Add(helloWait))
	c.ws.SetPongHandler(func(string) error { c.heard(); return nil })
	c.ws.SetPingHandler(func(body string) error { c.answer(body); return nil })
	taken := func() { <-c.flight }
	for hello := true; ; {
		kind, frame, err := c.ws.ReadMessage()
		if err != nil {
			return
		}
		if !c.heard() {
			continue
		}
		if kind != websocket.TextMessage {
			c.drop(closeBroken, "Only text frames are understood here.")
			continue
		}
		c.flight <- struct{}{}
		if hello {
			apart(func() { c.site.receive(c, frame, taken) })
		} else {
			c.site.receive(c, frame, taken)
		}
		hello = false
	}
}

// apart runs f on a stack of its own and waits for it. A hello goes deep, and the stack that grew for it would stay
// with the goroutine that reads: 4 kB for each phone, of which most then say nothing for hours.
func apart(f func()) {
	done := make(chan struct{})
	go func() {
		defer close(done)
		f()
	}()
	<-done
}

// answer queues a pong: only one may write at a time.
func (c *socket) answer(ping string) {
	if c.send(message{frame: framed(websocket.PongMessage, []byte(ping))}) {
		go c.drain()
	}
}

// wait reads until a socket that never got onto its site is closed.
func (c *socket) wait() {
	defer c.ws.Close()
	c.ws.SetReadDeadline(time.Now().Add(helloWait))
	for {
		if _, _, err := c.ws.ReadMessage(); err != nil {
			return
		}
	}
}

// heard notes a sign of life. False when the socket is closing: then nothing is waited for any longer.
func (c *socket) heard() bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !c.closing {
		c.ws.SetReadDeadline(time.Now().Add(hearEvery))
	}
	return !c.closing
}

// closeText cuts a reason to what a close frame can carry: 125 bytes less the code's two (RFC 6455,
// section 5.5).
func closeText(s string) string {
	if len(s) > 123 {
		s = s[:123]
	}
	for i := range len(s) {
		if s[i] >= 0x80 {
			return s[:i]
		}
	}
	return s
}
