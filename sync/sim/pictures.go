package sim

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"batterboard/sync"
)

// Pictures travel beside the log (SPEC K1-K4): a phone keeps one, names it in an operation, hands it in
// in pieces and marks it with the epoch of the store that has it; phones fetch what others named; the server
// asks for what it finds missing. What is played here is that protocol, not the bytes.

// pieces is how many requests a picture takes.
const pieces = 3

// pic is a picture on a phone.
type pic struct {
	sent string // the epoch of the server's store that has it
}

// pictures are those on the server's disk.
type pictures struct {
	whole map[string]bool
	parts map[string]int
}

func (s pictures) clone() pictures {
	return pictures{maps.Clone(s.whole), maps.Clone(s.parts)}
}

// take keeps a picture, then writes down that there is one.
func (p *Phone) takePicture() {
	if p.app == nil {
		p.start()
	}
	if p.app.ReadOnly() != "" || p.turn != p.ops.turn {
		return
	}
	label := p.world.label()
	name := fmt.Sprintf("%064x", p.world.labels)
	p.ops.pics[name] = &pic{}
	if p.world.hit(CrashPicture) {
		p.crash()
		return
	}
	p.write(label, p.edit(p.app.Log, label, "photo", p.app.Log.NextID(p.dev), "file", strconv.Quote(name)))
	p.look()
}

// named lists the pictures a log speaks of, in order.
func named(log *opsync.Log) (names []string) {
	state := log.State()
	for _, id := range state.IDs("photo") {
		var name string
		if json.Unmarshal(state.Fields("photo", id)["file"], &name) == nil {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// look has the phone see a little later whether a picture is to be handed in or fetched: one at a time.
func (p *Phone) look() {
	if p.world.faults[CrashPicture] == 0 || p.looking || p.wire == nil || p.app == nil {
		return
	}
	p.looking = true
	p.world.after(int64(1+p.world.rng.IntN(2000)), func() {
		p.looking = false
		if c := p.wire; c != nil && p.app != nil && p.turn == p.ops.turn {
			p.round(c)
		}
	})
}

func (p *Phone) round(c *wire) {
	epoch := p.app.Epoch()
	var fetch string
	for _, name := range named(p.app.Log) {
		switch have := p.ops.pics[name]; {
		case have == nil && c.tries[name] < 6:
			fetch = name
		case have != nil && have.sent != epoch && p.app.Role().Writes() && c.tries[name] < 60:
			c.tries[name]++
			p.ask(c, func() (again bool) { return p.world.Server.piece(name) }, func() { have.sent = epoch })
			return
		}
	}
	if fetch != "" {
		c.tries[fetch]++
		p.ask(c, func() bool { return p.world.Server.picture(fetch) }, func() { p.ops.pics[fetch] = &pic{sent: epoch} })
	}
}

// ask is one request over plain HTTP: either way of it may get lost. done is called when the server says
// that there is no more to do.
func (p *Phone) ask(c *wire, serve func() bool, done func()) {
	w := p.world
	w.after(int64(5+w.rng.IntN(500)), func() {
		lost := w.hit(Drop)
		whole := !lost && serve()
		w.after(int64(5+w.rng.IntN(500)), func() {
			if whole && !w.hit(Drop) && p.turn == p.ops.turn {
				done()
			}
			p.look()
		})
	})
}

// piece takes a piece of a picture. True: all of it is on the disk.
func (s *Server) piece(name string) (whole bool) {
	if s.full || s.pics.whole[name] {
		return s.pics.whole[name]
	}
	if s.pics.parts[name]++; s.pics.parts[name] < pieces {
		return false
	}
	delete(s.pics.parts, name)
	s.pics.whole[name] = true
	return true
}

// picture serves one, or asks everybody for it.
func (s *Server) picture(name string) bool {
	if !s.pics.whole[name] {
		s.send(s.hub.Want([]string{name}))
	}
	return s.pics.whole[name]
}

// tend is the daily look after the pictures: those that are missing are asked for.
func (s *Server) tend() {
	log := opsync.NewLog()
	_, _ = log.AddAll(s.hub.StoredSince(0)) // what does not fit is the hub's affair
	for _, name := range named(log) {
		s.picture(name)
	}
}

// wanted: the server says it lacks these.
func (p *Phone) wanted(names []string) {
	for _, name := range names {
		if have := p.ops.pics[name]; have != nil {
			have.sent = ""
		}
	}
}

// checkPictures: what the site speaks of, and somebody who may hand it in has, is on the server and on
// every phone that is here.
func (w *World) checkPictures(log *opsync.Log) error {
	for _, name := range named(log) {
		there := false
		for _, p := range w.Phones {
			there = there || !p.gone && !p.taken && p.app.Role().Writes() && p.ops.pics[name] != nil
		}
		if !there {
			continue // its phone was emptied, or is not heard of any more
		}
		if !w.Server.pics.whole[name] {
			return fmt.Errorf("seed %d: picture %s is not on the server", w.Seed, name)
		}
		for _, p := range w.Phones {
			if !p.gone && !p.taken && p.ops.pics[name] == nil {
				return fmt.Errorf("seed %d: picture %s never came to %s", w.Seed, name, p.name)
			}
		}
	}
	return nil
}
