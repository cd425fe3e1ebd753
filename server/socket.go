package main

import (
	"sync"
	"time"

	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
)

// Limits of one socket.
const (
	pingEvery = 25 * time.Second // phones' networks forget a silent connection after 30 s or more (from memory)
	hearEvery = 70 * time.Second // two pings unanswered: gone
	writeWait = 30 * time.Second // a phone that takes this long for one frame is gone
	helloWait = 15 * time.Second
	byeWait   = 2 * time.Second // for the other end's close
	maxUnread = 4 << 20         // bytes waiting for a slow reader: it is dropped and catches up when it comes back
	maxFlight = 64              // frames of one phone between hub and disk
)

// Close codes of our own (4000 to 4999 are free for that, RFC 6455, section 7.4.2).
const (
	closeRevoked = 4401 // not on this site any more
	closeBroken  = 4400 // what was sent could not be understood
)

// message is one thing to be written to a socket.
type message struct {
	text   []byte
	shared *websocket.PreparedMessage
	size   int  // of shared
	ping   bool // nothing but a ping
	asked  bool // the phone asked for it: a long catch-up is no debt of a slow reader
	close  int  // the code of a close, text its reason
}

func (m message) debt() int {
	if m.asked {
		return 0
	}
	return len(m.text) + m.size
}

// socket is one phone's connection to one site. It has one goroutine that reads; one that writes
// exists only while there is something to write, which halves what an idle phone costs.
type socket struct {
	ws     *websocket.Conn
	seat   seat
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

// send queues a message. It never blocks; a reader that is too slow is dropped.
func (c *socket) send(m message) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.closing {
		return
	}
	if c.size > c.owe {
		c.closing, c.out = true, nil
		go c.hangUp()
		return
	}
	c.queue(m)
}

// queue is send's inner half; mu is held.
func (c *socket) queue(m message) {
	c.out = append(c.out, m)
	c.size += m.debt()
	if !c.writing {
		c.writing = true
		go c.drain()
	}
}

// drain writes until nothing is left.
func (c *socket) drain() {
	for {
		c.mu.Lock()
		if len(c.out) == 0 {
			c.writing, c.out, c.size = false, nil, 0
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
	case m.ping:
		return c.ws.WriteControl(websocket.PingMessage, nil, deadline)
	case m.close != 0:
		err := c.ws.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(m.close, string(m.text)), deadline)
		c.ws.NetConn().SetReadDeadline(time.Now().Add(byeWait)) // the reader waits for the answer and closes
		return err
	}
	if err := c.ws.SetWriteDeadline(deadline); err != nil {
		return err
	}
	if m.shared != nil {
		return c.ws.WritePreparedMessage(m.shared)
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
	c.queue(message{close: code, text: []byte(closeText(why))})
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
	for {
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
		c.site.receive(c, frame, func() { <-c.flight })
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
