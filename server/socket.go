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
	writeWait = 10 * time.Second // a phone that takes no byte for this long is gone
	helloWait = 15 * time.Second
	maxUnread = 4 << 20 // bytes waiting for a slow reader: it is dropped and catches up when it comes back
	maxFlight = 64      // frames of one phone between hub and disk
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
	size   int // of shared
	ping   bool
}

// socket is one phone's connection to one site. It has one goroutine that reads; one that writes
// exists only while there is something to write, which halves what an idle phone costs.
type socket struct {
	ws     *websocket.Conn
	seat   seat
	flight chan struct{}

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
	// The first message may be of any size: a snapshot is larger than what a slow reader may owe.
	if len(c.out) > 0 && c.size > maxUnread {
		c.closing, c.out = true, nil
		go c.hangUp(websocket.CloseTryAgainLater, "This phone reads too slowly. It will catch up when it connects again.")
		return
	}
	c.out = append(c.out, m)
	c.size += len(m.text) + m.size
	if !c.writing {
		c.writing = true
		go c.drain()
	}
}

// drain writes until nothing is left.
func (c *socket) drain() {
	for {
		c.mu.Lock()
		if len(c.out) == 0 || c.closing {
			c.writing, c.out, c.size = false, nil, 0
			c.mu.Unlock()
			return
		}
		batch := c.out
		c.out = nil
		c.mu.Unlock()
		for i, m := range batch {
			if err := c.writeOne(m); err != nil {
				c.ws.Close() // the reader sees it and cleans up
				return
			}
			batch[i] = message{}
			c.mu.Lock()
			c.size -= len(m.text) + m.size
			c.mu.Unlock()
		}
	}
}

func (c *socket) writeOne(m message) error {
	deadline := time.Now().Add(writeWait)
	if m.ping {
		return c.ws.WriteControl(websocket.PingMessage, nil, deadline)
	}
	if err := c.ws.SetWriteDeadline(deadline); err != nil {
		return err
	}
	if m.shared != nil {
		return c.ws.WritePreparedMessage(m.shared)
	}
	return c.ws.WriteMessage(websocket.TextMessage, m.text)
}

// drop closes the socket for a reason the phone is told.
func (c *socket) drop(code int, why string) {
	c.mu.Lock()
	already := c.closing
	c.closing = true
	c.mu.Unlock()
	if !already {
		go c.hangUp(code, closeText(why))
	}
}

func (c *socket) hangUp(code int, why string) {
	c.ws.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(code, why), time.Now().Add(time.Second))
	c.ws.Close()
}

// listen reads frames until the phone goes. Only text frames are ours.
func (c *socket) listen() {
	defer c.ws.Close()
	defer c.site.leave(c)
	c.ws.SetReadLimit(opsync.MaxFrameBytes)
	c.ws.SetReadDeadline(time.Now().Add(helloWait))
	c.ws.SetPongHandler(func(string) error { return c.ws.SetReadDeadline(time.Now().Add(hearEvery)) })
	for {
		kind, frame, err := c.ws.ReadMessage()
		if err != nil {
			return
		}
		if kind != websocket.TextMessage {
			c.drop(closeBroken, "Only text frames are understood here.")
			return
		}
		c.ws.SetReadDeadline(time.Now().Add(hearEvery))
		c.flight <- struct{}{}
		c.site.receive(c, frame, func() { <-c.flight })
	}
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
