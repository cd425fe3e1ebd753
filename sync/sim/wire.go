package sim

import "batterboard/sync"

// wire is one connection: two lines of messages, each in order.
type wire struct {
	world *World
	id    opsync.Conn
	phone *Phone
	up    line           // to the server
	down  line           // to the phone
	tries map[string]int // requests for each picture, over this connection
}

type line struct {
	dead bool
	last int64 // when the last message arrives: the next one is not earlier
}

// dial opens a connection.
func (w *World) dial(p *Phone) *wire {
	w.conns++
	c := &wire{world: w, id: w.conns, phone: p, tries: map[string]int{}}
	w.Server.join(c)
	return c
}

// close ends both directions; the server hears of it a little later.
func (c *wire) close() {
	c.up.dead, c.down.dead = true, true
	s := c.world.Server
	c.world.after(int64(c.world.rng.IntN(5000)), func() { s.leave(c) })
}

// send puts one message on a line.
func (c *wire) send(l *line, frame string, take func(string)) {
	w := c.world
	times := 1
	switch {
	case w.hit(Drop):
		return
	case w.hit(Double):
		times = 2
	case w.hit(Half):
		frame = frame[:w.rng.IntN(len(frame))]
	}
	delay := int64(5 + w.rng.IntN(200))
	if w.hit(Late) {
		delay += int64(w.rng.IntN(72 * 3_600_000))
	}
	if l.last = max(l.last, w.now+delay); w.hit(Reorder) {
		l.last = w.now + delay
	}
	w.sent++
	for range times {
		w.after(l.last-w.now, func() {
			if !l.dead {
				take(frame)
			}
		})
	}
}

func (c *wire) toServer(frame string) {
	c.world.log("%s > %.300s", c.phone.name, frame)
	c.send(&c.up, frame, func(f string) { c.world.Server.receive(c, f) })
}

func (c *wire) toPhone(frame string) {
	c.world.log("%s < %.300s", c.phone.name, frame)
	c.send(&c.down, frame, func(f string) { c.phone.receive(c, f) })
}
