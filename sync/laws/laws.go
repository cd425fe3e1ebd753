// Package laws has what must hold for every history whatever its people do, as functions of a seed, so
// that the same laws run natively and as WebAssembly and can be compared.
package laws

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"batterboard/sync"
)

// History is what a few devices wrote, meeting now and then.
type History struct {
	Logs []*opsync.Log
	Ops  [][]byte // in the order they were written
}

// Random makes a history: devices 1 to n, clocks off by hours, ops operations.
func Random(seed uint64, devices, ops int) *History {
	r := rand.New(rand.NewPCG(seed, 7))
	h := &History{}
	off := make([]int64, devices)
	for i := range devices {
		h.Logs = append(h.Logs, opsync.NewLog())
		off[i] = r.Int64N(10_000_000) - 5_000_000
	}
	wall := int64(1806991200000)
	for n := 0; len(h.Ops) < ops && n < 100*ops; n++ {
		i := r.IntN(devices)
		if r.IntN(4) == 0 {
			meet(h.Logs[i], h.Logs[r.IntN(devices)])
			continue
		}
		wall += r.Int64N(2000)
		raw, err := Act(r, h.Logs[i], opsync.Device(i+1), wall+off[i], "")
		if err == nil {
			h.Ops = append(h.Ops, raw)
		} else if !errors.Is(err, opsync.ErrNothing) {
			panic(fmt.Sprintf("seed %d: %v", seed, err))
		}
	}
	return h
}

// meet hands everything over, one way.
func meet(from, to *opsync.Log) {
	for _, raw := range from.Since(to.Seen()) {
		if _, err := to.Add(raw); err != nil {
			panic("laws: a log hands out what another cannot take: " + err.Error())
		}
	}
}

// Render writes everything a state says.
func Render(s *opsync.State) string {
	var b strings.Builder
	b.Write(s.Document())
	for _, c := range s.Clashes() {
		fmt.Fprintf(&b, "\nclash %s %s %s", c.Thing, c.ID, c.Field)
		for _, v := range c.Values {
			fmt.Fprintf(&b, " %s=%s", v.Op, v.Value)
		}
	}
	for _, a := range s.Aside() {
		fmt.Fprintf(&b, "\naside %s %s %v", a.ID, a.Op, a.Circle)
	}
	for _, g := range s.Gone() {
		fmt.Fprintf(&b, "\ngone %s %s %q %s", g.Thing, g.ID, g.Name, g.Op)
	}
	fmt.Fprintf(&b, "\nback %v", s.StoodBack())
	return b.String()
}

// Check runs every law on one random history and returns what its state says.
func Check(seed uint64) (string, error) {
	r := rand.New(rand.NewPCG(seed, 8))
	h := Random(seed, 2+r.IntN(4), 20+r.IntN(60))
	all := opsync.NewLog()
	if n, err := all.AddAll(h.Ops); n != len(h.Ops) || err != nil {
		return "", fmt.Errorf("seed %d: %d of %d operations taken: %v", seed, n, len(h.Ops), err)
	}
	want := Render(all.State())
	for range 4 {
		if got := Render(shuffled(r, h.Ops).State()); got != want {
			return "", fmt.Errorf("seed %d: another order, another state:\n%s\nwant\n%s", seed, got, want)
		}
	}
	for _, law := range []func(*rand.Rand, *History, *opsync.Log) error{meeting, undoing, importing} {
		if err := law(r, h, all); err != nil {
			return "", fmt.Errorf("seed %d: %w", seed, err)
		}
	}
	return want, nil
}

// shuffled adds operations in a random order of cause, some of them twice, asking for the state now
// and then.
func shuffled(r *rand.Rand, ops [][]byte) *opsync.Log {
	l := opsync.NewLog()
	left := slices.Clone(ops)
	r.Shuffle(len(left), func(i, j int) { left[i], left[j] = left[j], left[i] })
	for len(left) > 0 {
		var later [][]byte
		for _, raw := range left {
			if _, err := l.Add(raw); err != nil {
				later = append(later, raw)
			}
			if r.IntN(5) == 0 {
				l.State().Document()
			}
			if r.IntN(3) == 0 {
				_, _ = l.Add(ops[r.IntN(len(ops))]) // again, or too early
			}
		}
		if len(later) == len(left) {
			return opsync.NewLog() // stuck: the states differ, and that is reported
		}
		left = later
	}
	return l
}

// meeting: when everybody has met everybody, all are the same.
func meeting(_ *rand.Rand, h *History, all *opsync.Log) error {
	for i, l := range h.Logs {
		meet(all, l)
		if got, want := Render(l.State()), Render(all.State()); got != want {
			return fmt.Errorf("device %d differs:\n%s\nwant\n%s", i+1, got, want)
		}
	}
	return nil
}

// undoing: an act taken back at once leaves the site as it was.
func undoing(r *rand.Rand, h *History, all *opsync.Log) error {
	l := opsync.NewLog()
	meet(all, l)
	before := string(l.State().Document())
	wall := int64(1806999999999)
	raw, err := Act(r, l, 1, wall, "")
	if err != nil {
		return nil // nothing was done
	}
	o, _ := opsync.Decode(raw)
	if len(all.State().Aside())+len(l.State().Aside()) > 0 {
		return nil // a link written again is a younger one: another of the circle may yield
	}
	if o.Kind == opsync.KindChoose || o.Kind == opsync.KindAgain || o.Kind == opsync.KindUndo {
		return nil // these say what counts among what is there already
	}
	if _, err := l.Undo(1, wall+1, "", o.ID); err != nil && !errors.Is(err, opsync.ErrNothing) {
		return err
	}
	if after := string(l.State().Document()); after != before {
		return fmt.Errorf("%s\nand taken back:\n%s\nwant\n%s", raw, after, before)
	}
	return nil
}

// importing: a site read from its document is the same document.
func importing(_ *rand.Rand, _ *History, all *opsync.Log) error {
	doc := all.State().Document()
	edits, err := opsync.EditsFromDocument(doc)
	if err != nil || len(all.State().Aside()) > 0 || len(edits) == 0 {
		return err
	}
	l := opsync.NewLog()
	for _, part := range opsync.SplitEdits(edits) {
		if _, err := l.Write(1, 1806991200000, opsync.KindEdit, "", part); err != nil {
			return err
		}
	}
	if got := string(l.State().Document()); got != string(doc) {
		return fmt.Errorf("read in again:\n%s\nwant\n%s", got, doc)
	}
	return nil
}
