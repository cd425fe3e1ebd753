package sim

import (
	"bytes"
	"fmt"

	"batterboard/sync"
)

// Check says what does not hold in a settled world; nil when all is well.
func (w *World) Check() error {
	server := opsync.NewLog()
	if _, err := server.AddAll(w.Server.disk); err != nil {
		return fmt.Errorf("seed %d: the server's log does not read: %w", w.Seed, err)
	}
	want := server.State().Document()
	for _, p := range w.Phones {
		if n := p.app.Unsent(); n > 0 {
			return fmt.Errorf("seed %d: %s still has %d changes not on the server", w.Seed, p.name, n)
		}
		if got := p.app.Log.State().Document(); !bytes.Equal(got, want) {
			return fmt.Errorf("seed %d: %s and the server differ:\n%s\n%s", w.Seed, p.name, got, want)
		}
		if err := w.reopened(p, want); err != nil {
			return err
		}
	}
	return w.checkAcked(server)
}

// reopened opens a phone from its store alone: what is shown must be what is saved.
func (w *World) reopened(p *Phone, want []byte) error {
	app, err := opsync.OpenPhone("laundry", p.dev, "", p.meta, p.ops)
	if err != nil {
		return fmt.Errorf("seed %d: %s does not open again: %w", w.Seed, p.name, err)
	}
	if got := app.Log.State().Document(); !bytes.Equal(got, want) && !p.lost {
		return fmt.Errorf("seed %d: %s shows what it has not saved:\n%s\n%s", w.Seed, p.name, got, want)
	}
	return nil
}

// checkAcked looks for every act that was ever acknowledged: on the server, or among what a phone
// keeps as refused.
func (w *World) checkAcked(server *opsync.Log) error {
	there := map[string]bool{}
	for _, o := range server.Ops() {
		there[o.Label] = true
	}
	for _, p := range w.Phones {
		for _, r := range p.app.Rejected() {
			there[r.Op.Label] = true
		}
	}
	for label, id := range w.Known {
		if !there[label] {
			return fmt.Errorf("seed %d: acknowledged and lost: %s, %s", w.Seed, id, label)
		}
	}
	return nil
}
