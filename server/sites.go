package main

import (
	"errors"
	"sync"
	"time"

	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
)

// sites are the open ones: those that a phone is, or was a moment ago, connected to.
type sites struct {
	store *store
	now   func() time.Time
	mu    sync.Mutex
	open  map[string]*site
	conns opsync.Conn // the last number given
	full  int         // sockets there may be at once
	owe   int         // bytes a slow reader may owe
	here  sync.WaitGroup
	asked func() // see site
}

// idleSite is how long a site without phones stays in memory: a phone in a tunnel comes back soon.
const idleSite = 2 * time.Minute

func newSites(s *store, now func() time.Time) *sites {
	return &sites{store: s, now: now, open: map[string]*site{}, full: opsync.MaxSockets, owe: maxUnread}
}

var errManySockets = errors.New("the server is full: your changes are safe on this phone, it will try again")

// join takes a socket to its site, opening the site when it is not in memory.
func (all *sites) join(c *socket) error {
	all.mu.Lock()
	defer all.mu.Unlock()
	if all.count() >= all.full {
		return errManySockets
	}
	x, err := all.get(c.seat.Site)
	if err != nil {
		return err
	}
	all.here.Add(1)
	all.conns++
	c.conn, c.site, c.owe = all.conns, x, all.owe
	x.hubMu.Lock()
	defer x.hubMu.Unlock()
	x.socks[c.conn] = c
	x.hub.Join(c.conn, opsync.Device(c.seat.Num), c.seat.Role)
	return nil
}

func (all *sites) count() (n int) {
	for _, x := range all.open {
		x.hubMu.Lock()
		n += len(x.socks)
		x.hubMu.Unlock()
	}
	return n
}

// get opens a site, reading its operations when it is not in memory.
func (all *sites) get(id string) (*site, error) {
	if x := all.open[id]; x != nil && !x.isDead() {
		return x, nil
	}
	x := &site{id: id, store: all.store, now: all.now, socks: map[opsync.Conn]*socket{}, since: all.now(), asked: all.asked}
	x.group.flush = x.flush
	if err := x.load(); err != nil {
		return nil, err
	}
	all.open[id] = x
	return x, nil
}

var ping = framed(websocket.PingMessage, nil)

// sweep pings every phone and lets go of sites nobody is connected to.
func (all *sites) sweep() {
	all.mu.Lock()
	defer all.mu.Unlock()
	for id, x := range all.open {
		if x.quiet(all.now()) {
			delete(all.open, id)
			continue
		}
		x.prepare()
		var idle []*socket
		x.each(func(c *socket) {
			if c.send(message{frame: ping}) {
				idle = append(idle, c)
			}
		})
		go writeAll(idle)
	}
}

// listen reads what a socket says until it goes.
func (all *sites) listen(c *socket) {
	defer all.here.Done()
	c.listen()
}

// gone waits until all sockets have left, but not for long.
func (all *sites) gone(patience time.Duration) {
	left := make(chan struct{})
	go func() { all.here.Wait(); close(left) }()
	select {
	case <-left:
	case <-time.After(patience):
	}
}

// drop closes the sockets for which want says so.
func (all *sites) drop(code int, why string, want func(seat) bool) {
	all.mu.Lock()
	defer all.mu.Unlock()
	for _, x := range all.open {
		x.each(func(c *socket) {
			if want(c.seat) {
				c.drop(code, why)
			}
		})
	}
}

// renamed tells the phones of a site who is on it now.
func (all *sites) renamed(id string) error {
	all.mu.Lock()
	x := all.open[id]
	all.mu.Unlock()
	if x == nil {
		return nil
	}
	names, err := x.names()
	if err != nil {
		return err
	}
	x.hubMu.Lock()
	defer x.hubMu.Unlock()
	x.send(x.hub.Names(names), false)
	return nil
}
