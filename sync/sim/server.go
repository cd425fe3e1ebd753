package sim

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"batterboard/sync"
)

// Server is the one server: a hub, a disk, and what is on its way to the disk.
type Server struct {
	world  *World
	hub    *opsync.Hub
	disk   [][]byte
	buffer [][]byte // handed to the disk, not flushed
	backup [][]byte
	epoch  string
	epochs int
	back   bool // Restored
	full   bool
	pics   pictures
	older  pictures // of the backup
	rotten bool     // some of the disk cannot be read
	roles  map[opsync.Device]opsync.Role
	wires  map[opsync.Conn]*wire
	life   int // counts restarts: what was set going before one does not go on after it
	flush  bool
	keys   int  // keys there were: the last one seals
	open   bool // Unsealed
}

// start opens the store.
func (s *Server) start() {
	s.life++
	s.buffer, s.flush = nil, false
	s.wires = map[opsync.Conn]*wire{}
	s.hub = opsync.NewHub(opsync.HubStart{Site: "laundry", Epoch: s.epoch, Restored: s.back,
		MAC: s.mac, Unsealed: s.open})
	for i, raw := range s.disk {
		if raw == nil { // the checksum says so: what hung on it is passed over as well, and comes again
			continue
		}
		if err := s.hub.Load(raw); err != nil && !s.rotten {
			panic(fmt.Sprintf("seed %d: stored operation %d does not load: %v", s.world.Seed, i, err))
		}
	}
	if s.world.now%3 == 0 {
		s.hub.Prepare()
	}
}

// restart stops the server, drops all connections and what was not flushed, and starts it again.
func (s *Server) restart() {
	for _, c := range s.wires {
		c.up.dead, c.down.dead = true, true
	}
	for _, p := range s.world.Phones { // in order: the map above only sets flags
		if p.wire != nil && p.wire.down.dead {
			s.world.after(int64(s.world.rng.IntN(5000)), p.noticer(p.wire))
		}
	}
	s.start()
}

func (s *Server) join(c *wire) {
	s.wires[c.id] = c
	s.hub.Join(c.id, c.phone.dev, s.roles[c.phone.dev])
}

func (s *Server) leave(c *wire) {
	if s.wires[c.id] == c {
		delete(s.wires, c.id)
		s.hub.Leave(c.id)
	}
}

func (s *Server) receive(c *wire, frame string) {
	if s.wires[c.id] != c {
		return
	}
	work := s.hub.Receive(c.id, []byte(frame), s.world.now)
	s.send(work.Now)
	if len(work.Store) > 0 && s.world.hit(ServerWrite) {
		s.restart()
		return
	}
	for _, o := range work.Store {
		if s.buffer = append(s.buffer, o.Raw); o.ID.Device != c.phone.dev {
			s.world.Spoken++
		}
		if strings.HasPrefix(o.Label, forgery) {
			s.world.fail("taken as device %d's, and made up by %s: %s", o.ID.Device, c.phone.name, o.Raw)
		}
	}
	if len(work.Store) > 0 && !s.flush {
		s.flush = true
		life := s.life
		s.world.after(int64(1+s.world.rng.IntN(30)), func() {
			if s.life == life {
				s.flushed()
			}
		})
	}
	if work.Epoch {
		s.newEpoch()
		s.send(s.hub.NewEpoch(s.epoch, s.world.now))
	}
	if work.Close != "" {
		c.down.dead = true
		s.leave(c)
		s.world.after(int64(s.world.rng.IntN(3000)), c.phone.noticer(c))
	}
}

// checkAck holds every ack, at the moment it is sent, against the disk: acknowledged means stored.
func (s *Server) checkAck(m opsync.Send) {
	var ack struct {
		M    string `json:"m"`
		Hash string `json:"h"`
	}
	if json.Unmarshal(m.Frame, &ack) != nil || ack.M != "ack" {
		return
	}
	for _, raw := range slices.Backward(s.disk) {
		if raw != nil && opsync.HashOf(raw) == ack.Hash {
			return
		}
	}
	panic(fmt.Sprintf("seed %d: %s sent, and not on the disk", s.world.Seed, m.Frame))
}

// mac is under the key that the store has now.
func (s *Server) mac(text []byte) []byte {
	m := hmac.New(sha256.New, fmt.Append(nil, "key ", s.keys))
	m.Write(text)
	return m.Sum(nil)
}

func (s *Server) newEpoch() {
	s.epochs++
	s.epoch, s.back = fmt.Sprintf("e%d", s.epochs), true
}

// flushed is one group commit.
func (s *Server) flushed() {
	s.flush = false
	n := len(s.buffer)
	switch {
	case s.full:
		s.buffer = nil
		for _, m := range s.hub.NotStored("The server's disk is full.") {
			s.send([]opsync.Send{m})
			for _, c := range m.To {
				s.leave(s.wires[c])
			}
		}
		return
	case s.world.hit(ServerFlush):
		s.restart()
		return
	}
	if n > 1 && s.world.hit(Torn) {
		s.disk = append(s.disk, s.buffer[:1+s.world.rng.IntN(n-1)]...)
		s.restart()
		return
	}
	s.disk = append(s.disk, s.buffer...)
	for _, raw := range s.buffer {
		s.world.log("server stores %.60s %s", raw, opsync.HashOf(raw))
	}
	s.buffer = nil
	if s.world.hit(ServerAck) {
		s.restart()
		return
	}
	s.tell(s.hub.Stored(n))
}

// tell hands out acks, then the fan-out.
func (s *Server) tell(list []opsync.Send) {
	for i := range list {
		var m struct{ M string }
		if json.Unmarshal(list[i].Frame, &m) == nil && m.M != "ack" && s.world.hit(ServerTell) {
			s.restart()
			return
		}
		s.send(list[i : i+1])
	}
}

func (s *Server) send(list []opsync.Send) {
	for _, m := range list {
		s.checkAck(m)
		for _, to := range m.To {
			if c := s.wires[to]; c != nil {
				c.toPhone(string(m.Frame))
			}
		}
	}
}
