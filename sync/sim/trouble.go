package sim

import (
	"fmt"
	"maps"
	"slices"

	"batterboard/sync"
)

// trouble tries every fault that is not tied to a message or an act.
func (w *World) trouble(p *Phone) {
	s := w.Server
	if p.wire != nil && w.hit(Cut) {
		c := p.wire
		c.up.dead, c.down.dead = true, true
		w.after(int64(w.rng.IntN(60_000)), p.noticer(c))
	}
	if p.wire != nil && w.hit(OneWay) {
		c := p.wire
		if w.rng.IntN(2) == 0 {
			c.up.dead = true
		} else {
			c.down.dead = true
		}
		w.after(int64(w.rng.IntN(60_000)), p.noticer(c))
	}
	if w.hit(Full) {
		s.full = true
		w.after(int64(w.rng.IntN(120_000)), func() { s.full = false })
	}
	if w.hit(ServerRestart) {
		s.restart()
	}
	if w.hit(Clock) {
		p.off = (w.rng.Int64N(20) - 10) * 31_557_600_000 // up to ten years either way
	}
	w.restore()
	w.disk()
	p.forge()
	p.trouble()
}

// restore takes backups, and now and then goes back to the last one.
func (w *World) restore() {
	s := w.Server
	if w.rng.IntN(100) == 0 {
		s.backup, s.older = slices.Clone(s.disk), s.pics.clone()
	}
	if s.backup == nil || len(s.backup) == len(s.disk) {
		return
	}
	known := w.hit(Backup)
	if !known && !w.hit(Backwards) {
		return
	}
	s.disk, s.pics = slices.Clone(s.backup), s.older.clone()
	if known {
		s.newEpoch()
		if w.hit(KeyLost) {
			s.keys, s.open = s.keys+1, true
		}
	}
	s.restart()
}

// disk has the server's disk lie or rot, which shows when it is opened the next time.
func (w *World) disk() {
	s := w.Server
	if n := len(s.disk); n > 5 && w.hit(LostFlush) {
		s.disk = s.disk[:n-1-w.rng.IntN(5)]
		s.restart()
	}
	if all := slices.Sorted(maps.Keys(s.pics.whole)); len(all) > 0 && w.hit(PictureLost) {
		delete(s.pics.whole, all[w.rng.IntN(len(all))])
	}
	if n := len(s.disk); n > 0 && w.hit(LogRot) {
		s.disk, s.rotten = slices.Clone(s.disk), true
		s.disk[w.rng.IntN(n)] = nil
		s.restart()
	}
}

func (p *Phone) trouble() {
	w := p.world
	if p.app != nil && w.hit(TwoTabs) {
		p.split()
	}
	if w.faults[Newer] > 0 && w.Fired[Newer] == 0 && p.app != nil && p.app.ReadOnly() == "" && w.hit(Newer) {
		p.writeNewer()
	}
	if p.role == opsync.Second && !p.taken && w.taken < 2 && w.hit(Revoked) {
		w.taken++
		delete(w.Server.roles, p.dev)
		for _, twin := range w.Phones {
			if twin.dev == p.dev {
				twin.taken = true
				twin.cut()
			}
		}
	}
	if len(p.ops.rows) > 0 && w.hit(Rot) {
		r := &p.ops.rows[w.rng.IntN(len(p.ops.rows))]
		r.raw = slices.Clone(r.raw)
		r.raw[w.rng.IntN(len(r.raw))] ^= 1 << w.rng.IntN(8)
		p.lost = true
		p.crash()
		p.start()
	}
	if w.hit(Evicted) {
		p.ops, p.lost = newShelf(), true
		p.turn = p.ops.turn
		p.crash()
		p.start()
	}
	if len(w.Phones) < 12 && w.hit(Copied) {
		twin := &Phone{world: w, name: p.name + "'", dev: p.dev, role: p.role, off: p.off,
			ops: p.ops.clone(), lost: p.lost, taken: p.taken}
		w.Phones = append(w.Phones, twin)
		twin.start()
	}
	if p.role == opsync.Second && w.hit(Demoted) {
		p.role = opsync.Viewer
		w.Server.roles[p.dev] = opsync.Viewer
		p.cut()
	}
	if w.hit(PairedAnew) {
		p.crash()
		role := w.Server.roles[p.dev]
		if p.taken { // let in again
			p.taken, role = false, opsync.Second
		}
		w.pair(p, role)
	}
}

// split opens another tab, which takes over. The first one has the wire and goes on until it finds out.
func (p *Phone) split() {
	old := *p
	old.name = p.name + "~"
	if old.wire != nil {
		old.wire.phone = &old
	}
	p.wire = nil
	p.openTab()
	p.world.after(int64(p.world.rng.IntN(60_000)), func() {
		if old.app != nil && old.app.ReadOnly() == "" {
			if name := p.world.label(); old.do(name) == late {
				p.world.later(p, name)
			} else if old.last == name {
				p.world.fail("%s wrote to the store after another tab had taken over", old.name)
			}
		}
		old.crash()
	})
}

// later has a phone do an act that another of its tabs may have done or not.
func (w *World) later(p *Phone, name string) {
	w.after(int64(w.rng.IntN(5000)), func() {
		if p.app == nil {
			p.start()
		}
		if p.app.ReadOnly() == "" && p.do(name) == late {
			w.later(p, name)
		}
	})
}

// writeNewer writes an operation that needs a later program than this one, as such a program would: in
// the same chain, with the schema in front.
func (p *Phone) writeNewer() {
	scratch, err := opsync.OpenPhone("laundry", p.dev, "", p.ops.meta, p.ops.raws())
	if err != nil {
		panic(fmt.Sprintf("seed %d: %v", p.world.Seed, err))
	}
	name := p.world.label()
	raw := p.edit(scratch.Log, name, "crew", "c1", "name", `"of a later program"`)
	raw = append([]byte(fmt.Sprintf(`{"n":%d,`, opsync.Schema+1)), raw[1:]...)
	if _, err := p.app.Log.Add(raw); err != nil {
		return // its log is ahead of its store: two tabs
	}
	p.write(name, raw)
}

// WriteMany has a phone without signal write n changes.
func (w *World) WriteMany(p *Phone, n int) {
	w.Fired[Unsent]++
	for i := range n {
		if p.app == nil {
			p.start()
		}
		name := w.label()
		p.write(name, p.edit(p.app.Log, name, "activity", fmt.Sprintf("a%d", i%7), "pos", fmt.Sprint(i)))
		w.pass(10)
	}
}
