package main

import (
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
	"github.com/rs/xid"
)

// site is one open site. Frames go through the hub one at a time, in the order they are queued for
// the committer; what the hub answers to new operations leaves only after the fsync:
//
//	frame -> hub (admits, provisionally) -> committer (fsync) -> hub.Stored: acks, fan-out
//
// If a commit fails, the hub is ahead of the store. The site is then closed as a whole: every socket
// is dropped, nobody was acked, and the phones come back to a hub loaded anew.
type site struct {
	id    string
	store *store
	now   func() time.Time

	hubMu  sync.Mutex // never held while waiting for a disk or a phone
	hub    *opsync.Hub
	next   uint64 // number of the next operation in the store
	flight int    // writes between hub and disk
	stored int    // operations on disk that the hub has not heard of yet
	socks  map[opsync.Conn]*socket
	since  time.Time // when the last socket left
	epoch  epochRecord
	dead   bool

	group group
	desk  crewDesk // locked before hubMu, never after
	asked func()   // called when a text to be sent may have come in; must not block
}

// load reads the site from the store into a new hub.
func (x *site) load() error {
	key, err := x.store.sealing()
	if err != nil {
		return err
	}
	was := epochRecord{Epoch: xid.New().String()}
	err = x.store.read(epochKey(x.id), &was)
	fresh := errors.Is(err, errMissing)
	if err != nil && !fresh {
		return err
	}
	x.epoch = was.opened(key.ID, fresh, x.now())
	if fresh || x.epoch != was {
		if err := x.store.write(record(epochKey(x.id), x.epoch)); err != nil {
			return err
		}
	}
	names, err := x.names()
	if err != nil {
		return err
	}
	x.hub = opsync.NewHub(opsync.HubStart{Site: x.id, Epoch: x.epoch.Epoch, Restored: x.epoch.Restored,
		MAC: key.mac(), Unsealed: x.epoch.Seal != key.ID})
	if x.epoch.Seal != key.ID {
		slog.Warn("restored from before the key to its seals: what phones have of others is taken without one", "site", x.id,
			"until", time.Unix(x.epoch.Until, 0).UTC().Format(time.DateOnly))
	}
	x.hub.Names(names)
	x.next, err = x.store.ops(x.id, x.loadOne)
	return err
}

// loadOne takes one stored operation. One that is damaged, and what hung on it, is passed over: phones
// that have it are told that the store knows less than it said, and hand it in again.
func (x *site) loadOne(raw []byte) error {
	if err := x.hub.Load(raw); err != nil {
		slog.Error("operation passed over", "site", x.id, "err", err)
	}
	return nil
}

func (x *site) names() (map[opsync.Device]string, error) {
	seats, err := x.store.seats(x.id)
	names := make(map[opsync.Device]string, len(seats))
	for _, s := range seats {
		names[opsync.Device(s.Num)] = s.Name
	}
	return names, err
}

func (x *site) isDead() bool {
	x.hubMu.Lock()
	defer x.hubMu.Unlock()
	return x.dead
}

// quiet says whether the site can be forgotten, and if so marks it, so that nobody uses it any more.
func (x *site) quiet(now time.Time) bool {
	x.hubMu.Lock()
	defer x.hubMu.Unlock()
	if !x.dead && (x.flight > 0 || len(x.socks) > 0 || now.Sub(x.since) < idleSite) {
		return false
	}
	x.dead = true
	return len(x.socks) == 0
}

// prepare packs what a newcomer to the site gets, so that nobody waits for it: 4 ms for a thousand
// operations, once, and again for every ten thousand more.
func (x *site) prepare() {
	x.hubMu.Lock()
	defer x.hubMu.Unlock()
	if !x.dead {
		x.hub.Prepare()
	}
}

func (x *site) each(f func(*socket)) {
	x.hubMu.Lock()
	defer x.hubMu.Unlock()
	for _, c := range x.socks {
		f(c)
	}
}

func (x *site) leave(c *socket) {
	x.hubMu.Lock()
	defer x.hubMu.Unlock()
	if x.socks[c.conn] == c {
		delete(x.socks, c.conn)
		x.hub.Leave(c.conn)
		x.since = x.now()
	}
}

// receive takes one frame of one phone through the hub, sends what may go at once and queues what
// must be stored. taken is called when the frame needs no more memory here.
func (x *site) receive(c *socket, frame []byte, taken func()) {
	x.hubMu.Lock()
	defer x.hubMu.Unlock()
	if x.dead || x.socks[c.conn] != c {
		taken()
		return
	}
	w := x.hub.Receive(c.conn, frame, x.now().UnixMilli())
	x.send(w.Now, true)
	if w.Epoch {
		x.newEpoch()
	}
	if w.Close != "" {
		c.drop(closeBroken, w.Close)
	}
	if len(w.Store) == 0 {
		taken()
		return
	}
	x.queue(w.Store, func(error) { taken() })
}

// queue hands operations to the committer, together with the site's name when they set it.
func (x *site) queue(ops []*opsync.Op, taken func(error)) {
	w, asked := write{group: &x.group, dead: x.isDead}, false
	for _, op := range ops {
		w.pairs = append(w.pairs, pair{opKey(x.id, x.next), op.Raw})
		x.next++
		if asksToSend(op.Raw) {
			w.pairs, asked = append(w.pairs, pair{askedKey(x.id), []byte{}}), true
		}
		if name := siteName(op.Raw); name != "" {
			w.pairs = append(w.pairs, pair{nameKey(x.id), []byte(name)})
		}
	}
	w.done = func(err error) {
		taken(err)
		x.hubMu.Lock()
		defer x.hubMu.Unlock()
		x.flight--
		if err != nil {
			x.fail(err)
			return
		}
		x.stored += len(ops)
		if asked && x.asked != nil {
			x.asked()
		}
	}
	x.flight++
	x.store.enqueue(w)
}

// flush runs in the committer, once per commit: acks and fan-out of all that this commit stored.
func (x *site) flush() {
	x.hubMu.Lock()
	defer x.hubMu.Unlock()
	if n := x.stored; n > 0 && !x.dead {
		x.stored = 0
		x.send(x.hub.Stored(n), false)
	}
}

// fail closes the site after a commit that did not reach the disk. hubMu is held.
func (x *site) fail(err error) {
	if x.dead {
		return
	}
	x.dead = true
	slog.Error("site closed: not stored", "site", x.id, "err", err)
	for _, c := range x.socks {
		c.drop(closeFull, "The server could not store that. Your changes are safe on this phone and will be sent again.")
	}
}

// newEpoch: the hub found that this store has lost what phones still have.
func (x *site) newEpoch() {
	x.epoch.Epoch, x.epoch.Restored = xid.New().String(), true
	e := x.epoch
	slog.Warn("the store went backwards: asking phones for what is missing", "site", x.id)
	x.send(x.hub.NewEpoch(e.Epoch, x.now().UnixMilli()), false)
	x.flight++
	x.store.enqueue(write{pairs: []pair{record(epochKey(x.id), e)}, dead: x.isDead, done: func(err error) {
		x.hubMu.Lock()
		defer x.hubMu.Unlock()
		x.flight--
		if err != nil {
			x.fail(err)
		}
	}})
}

// send hands frames to the sockets they are for. asked says that they answer a phone's own message. hubMu is
// held.
func (x *site) send(all []opsync.Send, asked bool) {
	var idle []*socket
	for _, s := range all {
		m := message{text: s.Frame, asked: asked}
		if len(s.To) > 1 || len(s.Frame) <= smallFrame {
			m.frame, m.text = framed(websocket.TextMessage, s.Frame), nil
		}
		for _, to := range s.To {
			if c := x.socks[to]; c != nil && c.send(m) {
				idle = append(idle, c)
			}
		}
	}
	if len(idle) > 0 {
		go writeAll(idle)
	}
}

// smallFrame is the size up to which copying a frame costs less than writing it by itself.
const smallFrame = 4 << 10

func (x *site) String() string { return fmt.Sprintf("site %s", x.id) }
