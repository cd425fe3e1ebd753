package sim

import (
	"encoding/json"
	"fmt"

	"batterboard/sync"
)

// forgery begins the label of everything that is made up in another's name.
const forgery = "forged"

// forge has somebody who may write, with a changed program, make up an operation of another device that
// continues what the server has of it, and show for it what there is at hand: nothing, the true seal of something
// else, a seal made up. The server must never take it.
func (p *Phone) forge() {
	w := p.world
	if w.faults[Forged] == 0 || p.wire == nil || p.app == nil || !w.Server.roles[p.dev].Writes() {
		return
	}
	victim := w.Phones[w.rng.IntN(len(w.Phones))].dev
	if victim == p.dev || !w.hit(Forged) {
		return
	}
	log := opsync.NewLog()
	_, _ = log.AddAll(w.Server.hub.StoredSince(0)) // what does not fit is not built upon
	raw := p.editAs(victim, log, fmt.Sprintf("%s %d", forgery, w.Fired[Forged]), "site", "site", "contact", `"nobody said so"`)
	o, err := opsync.Decode(raw)
	if err != nil {
		panic(fmt.Sprintf("seed %d: a forgery that does not read: %v", w.Seed, err))
	}
	push := fmt.Sprintf(`{"m":"push","ops":[%s]}`, raw)
	vouch := func(seq uint32, hash, seal string) string {
		return fmt.Sprintf(`{"m":"vouch","device":%d,"s":%d,"h":"%s","seal":"%s"}`, victim, seq, hash, seal)
	}
	seq, seal := p.sealOf(victim)
	real := p.app.Log.Op(opsync.OpID{Device: victim, Seq: seq})
	switch how := w.rng.IntN(4); {
	case how == 0 || real == nil:
		p.send([]string{push})
	case how == 1:
		p.send([]string{vouch(o.ID.Seq, o.Hash, seal), push})
	case how == 2:
		p.send([]string{vouch(seq, real.Hash, seal), push})
	default: // hung on the true one
		p.send([]string{vouch(seq, real.Hash, seal), fmt.Sprintf(`{"m":"vouch","ops":[%s,%s]}`, real.Raw, raw), push})
	}
}

// sealOf reads the newest seal of a device out of the phone's own notes.
func (p *Phone) sealOf(d opsync.Device) (seq uint32, seal string) {
	var notes struct {
		Seals map[opsync.Device]struct {
			S    uint32
			Seal string
		}
	}
	if err := json.Unmarshal(p.app.Meta(), &notes); err != nil {
		panic("sim: notes that do not read: " + err.Error())
	}
	k := notes.Seals[d]
	return k.S, k.Seal
}
