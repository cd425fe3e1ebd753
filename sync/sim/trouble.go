package sim

import (
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
	p.trouble()
}

// restore takes backups, and now and then goes back to the last one.
func (w *World) restore() {
	s := w.Server
	if w.rng.IntN(100) == 0 {
		s.backup = slices.Clone(s.disk)
	}
	if s.backup == nil || len(s.backup) == len(s.disk) {
		return
	}
	known := w.hit(Backup)
	if !known && !w.hit(Backwards) {
		return
	}
	s.disk = slices.Clone(s.backup)
	if known {
		s.newEpoch()
	}
	s.restart()
}

func (p *Phone) trouble() {
	w := p.world
	if w.hit(Rot) && len(p.ops) > 0 {
		i := w.rng.IntN(len(p.ops))
		rotten := slices.Clone(p.ops[i])
		rotten[w.rng.IntN(len(rotten))] ^= 1 << w.rng.IntN(8)
		p.ops[i] = rotten
		p.lost = true
		p.crash()
		p.start()
	}
	if w.hit(Evicted) {
		p.ops, p.meta, p.lost = nil, nil, true
		p.crash()
		p.start()
	}
	if len(w.Phones) < 12 && w.hit(Copied) {
		twin := &Phone{world: w, name: p.name + "'", dev: p.dev, role: p.role, off: p.off,
			ops: slices.Clone(p.ops), meta: slices.Clone(p.meta), lost: p.lost}
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
		w.pair(p, role)
	}
}
