package opsync

import (
	"slices"
	"strings"
	"testing"
)

// place is a phone's store as browsers have it: one place for each number, and the notes.
type place struct {
	ops  map[OpID][]byte
	meta []byte
}

func (s *place) keep(t *testing.T, ops [][]byte, meta []byte) {
	t.Helper()
	for _, raw := range ops {
		o, err := Decode(raw)
		if err != nil {
			t.Fatal(err)
		}
		s.ops[o.ID] = raw
	}
	if meta != nil {
		s.meta = meta
	}
}

func (s *place) open(t *testing.T) *Phone {
	t.Helper()
	var raws [][]byte
	for _, raw := range s.ops {
		raws = append(raws, raw)
	}
	slices.SortFunc(raws, slices.Compare)
	p, err := OpenPhone("laundry", 1, Owner, s.meta, raws)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestAPhoneStopsBeforeItWroteAnew: Anna's phone and a copy of it both wrote number 2. The hub has the
// copy's. Anna's phone takes that in, which is all the store has room for under that number, and stops.
//
//	store    1 ── 2        then  1 ── 2*  and 2 in the notes      then  1 ── 2* ── 3, with the edits of 2
func TestAPhoneStopsBeforeItWroteAnew(t *testing.T) { // SPEC P2, P5, F1
	h := NewHub(HubStart{Site: "laundry", Epoch: "e0"})
	anna, copied := &place{ops: map[OpID][]byte{}}, &place{ops: map[OpID][]byte{}}
	write := func(s *place, p *Phone, name string) {
		t.Helper()
		raw, err := p.Log.Write(1, t0, KindEdit, name, []Edit{set("crew", name, `name="`+name+`"`)})
		if err != nil {
			t.Fatal(err)
		}
		s.keep(t, [][]byte{raw}, nil)
	}
	// talk carries messages until nobody says anything more; lost says which of the hub's get lost.
	talk := func(c Conn, s *place, p *Phone, frames []string, lost func(string) bool) {
		t.Helper()
		for len(frames) > 0 {
			w := h.Receive(c, []byte(frames[0]), t0)
			frames = frames[1:]
			for _, out := range append(w.Now, h.Stored(len(w.Store))...) {
				if f := string(out.Frame); slices.Contains(out.To, c) && !lost(f) {
					r, err := p.Receive(f)
					if err != nil {
						t.Fatal(err)
					}
					s.keep(t, r.Store, r.Meta)
					frames = append(frames, r.Frames...)
				}
			}
		}
	}
	nothing := func(string) bool { return false }
	p := anna.open(t)
	write(anna, p, "First")
	h.Join(1, 1, Owner)
	talk(1, anna, p, p.Connected(), nothing)
	h.Leave(1)

	copied.keep(t, [][]byte{anna.ops[OpID{1, 1}]}, anna.meta)
	q := copied.open(t)
	write(copied, q, "Copy")
	h.Join(2, 1, Owner)
	talk(2, copied, q, q.Connected(), nothing)

	write(anna, p, "Anna")
	h.Join(3, 1, Owner)
	talk(3, anna, p, p.Connected(), func(f string) bool { return strings.Contains(f, `"welcome"`) })
	h.Leave(3)
	if strings.Contains(string(anna.ops[OpID{1, 2}]), "Anna") {
		t.Fatal("the story needs the hub's operation in the place of Anna's")
	}
	p = anna.open(t) // it stopped here, and is started again
	if p.Unsent() != 1 {
		t.Errorf("%d unsent, want the one that is to be written anew", p.Unsent())
	}
	h.Join(4, 1, Owner)
	talk(4, anna, p, p.Connected(), nothing)
	want(t, "site", string(p.Log.State().Document()),
		`{"crews":[{"id":"Anna","name":"Anna"},{"id":"Copy","name":"Copy"},{"id":"First","name":"First"}],"format":1}`)
	if len(p.again) > 0 || p.Unsent() > 0 || !p.Twin() {
		t.Errorf("left to write anew %d, unsent %d, twin %v", len(p.again), p.Unsent(), p.Twin())
	}
	if again := anna.open(t); len(again.again) > 0 || len(again.kept.Dropped) > 0 {
		t.Errorf("the notes still have %d to write anew, %d dropped", len(again.again), len(again.kept.Dropped))
	}
}
