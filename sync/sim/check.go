package sim

import (
	"bytes"
	"fmt"

	"batterboard/sync"
)

// Check says what does not hold in a settled world; nil when all is well.
func (w *World) Check() error {
	if w.broken != nil {
		return w.broken
	}
	server := opsync.NewLog()
	if _, err := server.AddAll(w.Server.hub.StoredSince(0)); err != nil {
		return fmt.Errorf("seed %d: the server's log does not read: %w", w.Seed, err)
	}
	want := server.State().Document()
	for _, p := range w.Phones {
		if p.gone || p.taken {
			continue
		}
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
	if err := w.checkPictures(server); err != nil {
		return err
	}
	return w.checkAcked(server)
}

// look holds, in the middle of everything, what a phone shows against what it has saved.
func (w *World) look(p *Phone) {
	if p.app == nil || p.lost || bytes.Contains(p.app.Meta(), []byte(`"again":`)) { // between taking out and writing anew
		return
	}
	if err := w.reopened(p, p.app.Log.State().Document()); err != nil {
		w.fail("%v", err)
	}
}

func (w *World) fail(format string, args ...any) {
	if w.broken == nil {
		w.broken = fmt.Errorf("seed %d: "+format, append([]any{w.Seed}, args...)...)
	}
}

// reopened opens a phone from its store alone: what is shown must be what is saved.
func (w *World) reopened(p *Phone, want []byte) error {
	app, err := opsync.OpenPhone("laundry", p.dev, "", p.ops.meta, p.ops.raws())
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
		if there[o.Label] && w.onceEach() {
			return fmt.Errorf("seed %d: done twice: %s, the second time as %s", w.Seed, o.Label, o.ID)
		}
		there[o.Label] = true
	}
	for _, p := range w.Phones {
		if p.app == nil {
			p.start()
		}
		for _, r := range p.app.Rejected() {
			there[r.Op.Label] = true
		}
		if p.gone || p.taken { // it has what it saved, to show or to write anew
			for _, label := range p.ops.labels() {
				there[label] = true
			}
		}
	}
	for label, p := range w.Kept {
		if !there[label] && !p.lost {
			return fmt.Errorf("seed %d: saved on %s and lost: %s", w.Seed, p.name, label)
		}
	}
	for label, id := range w.Known {
		if !there[label] {
			return fmt.Errorf("seed %d: acknowledged and lost: %s, %s", w.Seed, id, label)
		}
	}
	return nil
}

// onceEach says that each act is in the log once: no phone was copied, emptied, garbled or paired anew, and
// the server's store never went backwards. Then what one phone wrote anew may come again from another.
func (w *World) onceEach() bool {
	n := 0
	for _, f := range []Fault{Copied, PairedAnew, Evicted, Rot, Backup, Backwards, LostFlush, LogRot} {
		n += w.Fired[f]
	}
	return n == 0
}
