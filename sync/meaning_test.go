package opsync

import (
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
)

// deed is an operation as SPEC.md speaks of it: what it wrote, and all it had seen.
type deed struct {
	op    *Op
	seen  map[OpID]bool
	way   bool
	edits []Edit
}

// history lets so many hands write at random, meeting now and then, and says what each deed had seen.
func history(t *testing.T, seed uint64) (deeds []deed, all *Log) {
	r := rand.New(rand.NewPCG(seed, 11))
	hs := hands(t, 2+r.IntN(3))
	for _, h := range hs {
		h.off = r.Int64N(8_000_000) - 4_000_000
	}
	for range 10 + r.IntN(40) {
		h := hs[r.IntN(len(hs))]
		if r.IntN(3) == 0 {
			other := hs[r.IntN(len(hs))]
			for _, raw := range other.log.Since(h.log.Seen()) {
				if _, err := h.log.Add(raw); err != nil {
					t.Fatal(err)
				}
			}
			continue
		}
		seen := map[OpID]bool{}
		for _, o := range h.log.Ops() {
			seen[o.ID] = true
		}
		edits, kind := randomEdits(r), KindEdit
		if r.IntN(4) == 0 {
			kind = KindWay
			edits = append(edits, fact(set("away", "x"+strconv.Itoa(r.IntN(3)), "crew="+strconv.Quote("c"+strconv.Itoa(r.IntN(3))))))
		}
		*h.clock += r.Int64N(3000)
		raw, err := h.log.Write(h.dev, *h.clock+h.off, kind, "", edits)
		if err != nil {
			t.Fatal(err)
		}
		o, err := Decode(raw)
		if err != nil {
			t.Fatal(err)
		}
		deeds = append(deeds, deed{o, seen, kind == KindWay, edits})
	}
	meet(hs...)
	// Fold order, by T2.
	slices.SortFunc(deeds, func(a, b deed) int {
		if c := a.op.Stamp.Compare(b.op.Stamp); c != 0 {
			return c
		}
		if a.op.ID.Device != b.op.ID.Device {
			return int(a.op.ID.Device) - int(b.op.ID.Device)
		}
		return int(a.op.ID.Seq) - int(b.op.ID.Seq)
	})
	return deeds, hs[r.IntN(len(hs))].log
}

// randomEdits writes to few things, so that people get in each other's way. Each thing comes once.
func randomEdits(r *rand.Rand) (edits []Edit) {
	ids := r.Perm(4)
	for _, i := range ids[:1+r.IntN(2)] {
		id, v := "a"+strconv.Itoa(i), func() string { return strconv.Quote("v" + strconv.Itoa(r.IntN(3))) }
		switch r.IntN(10) {
		case 0, 1:
			edits = append(edits, gone("activity", id, true))
		case 2:
			edits = append(edits, gone("activity", id, false))
		case 3:
			edits = append(edits, set("activity", id, `laid="2027-04-0`+strconv.Itoa(1+r.IntN(8))+`T08:00"`))
		case 4:
			edits = append(edits, set("activity", id, "name="+v(), "bring=null"))
		case 5:
			edits = append(edits, set("activity", id, "bring="+v(), `laid="2027-04-09T08:00"`))
		default:
			edits = append(edits, set("activity", id, "name="+v()))
		}
	}
	return edits
}

// TestWhatAFoldMeans: the site is what M1 to M5, W1 to W3 and T2 say, word for word, reckoned from who had seen what.
// The fold goes another way to it, and faster.
func TestWhatAFoldMeans(t *testing.T) { // SPEC M1, M2, M4, M5, W1, W2, W3, T2
	clashes, back, removed := 0, 0, 0
	for seed := range uint64(600) {
		deeds, log := history(t, seed)
		state := log.State()

		// W1, W2: from the latest way to the first.
		var standing []deed
		stoodBack := map[OpID]bool{}
		for _, d := range slices.Backward(deeds) {
			if !d.way {
				continue
			}
			if slices.ContainsFunc(standing, func(x deed) bool { return !x.seen[d.op.ID] }) {
				stoodBack[d.op.ID] = true
				back++
			} else {
				standing = append(standing, d)
			}
		}
		// What counts: W3.
		type write struct {
			deed
			value string
		}
		fields := map[[3]string][]write{} // of thing, ID, field
		changes, removals := map[[2]string][]deed{}, map[[2]string][]deed{}
		for _, d := range deeds {
			for _, e := range d.edits {
				key := [2]string{e.Thing, e.ID}
				if stoodBack[d.op.ID] && !e.Fact {
					continue
				}
				if e.Gone != nil && *e.Gone {
					removals[key] = append(removals[key], d)
					continue
				}
				_, laid := e.Set["laid"]
				if !(laid && len(e.Set) == 1) { // M5
					changes[key] = append(changes[key], d)
				}
				for name, v := range e.Set {
					f := [3]string{e.Thing, e.ID, name}
					fields[f] = append(fields[f], write{d, string(v)})
				}
			}
		}
		for i := range 4 {
			key := [2]string{"activity", "a" + strconv.Itoa(i)}
			there := slices.ContainsFunc(changes[key], func(c deed) bool { // M4
				return !slices.ContainsFunc(removals[key], func(r deed) bool { return r.seen[c.op.ID] })
			})
			if len(removals[key]) > 0 && !there {
				removed++
			}
			if got := state.Has(key[0], key[1]); got != there {
				t.Fatalf("seed %d: %s is there: %v; by M4 %v", seed, key[1], got, there)
			}
		}
		for f, writes := range fields {
			if !state.Has(f[0], f[1]) {
				continue
			}
			var count []write // M1
			for _, w := range writes {
				if !slices.ContainsFunc(writes, func(x write) bool { return x.seen[w.op.ID] }) {
					count = append(count, w)
				}
			}
			want := count[len(count)-1].value
			got, has := state.Fields(f[0], f[1])[f[2]]
			if want == "null" && has && string(got) != "null" || want != "null" && string(got) != want {
				t.Fatalf("seed %d: %v is %s; by M1 %s", seed, f, got, want)
			}
			values := map[string]bool{} // M2
			for _, w := range count {
				values[w.value] = true
			}
			shown := slices.IndexFunc(state.Clashes(), func(c Clash) bool { return c.Thing == f[0] && c.ID == f[1] && c.Field == f[2] })
			if f[2] != "laid" && (shown >= 0) != (len(values) > 1) {
				t.Fatalf("seed %d: %v has the values %v; shown as a clash: %v", seed, f, slices.Sorted(maps.Keys(values)), shown >= 0)
			}
			if shown >= 0 {
				clashes++
				said := map[string]bool{}
				for _, v := range state.Clashes()[shown].Values {
					said[string(v.Value)] = true
				}
				if f[2] != "laid" && fmt.Sprint(slices.Sorted(maps.Keys(said))) != fmt.Sprint(slices.Sorted(maps.Keys(values))) {
					t.Fatalf("seed %d: the clash of %v shows %v, want %v", seed, f, slices.Sorted(maps.Keys(said)), slices.Sorted(maps.Keys(values)))
				}
			}
		}
		var doc struct {
			Activities []struct{ ID, Name string }
		}
		if err := json.Unmarshal(state.Document(), &doc); err != nil {
			t.Fatal(err)
		}
		for _, a := range doc.Activities {
			if !state.Has("activity", a.ID) {
				t.Fatalf("seed %d: the document has %s", seed, a.ID)
			}
		}
	}
	if clashes < 100 || back < 50 || removed < 50 {
		t.Errorf("too little happened: %d clashes, %d ways that stood back, %d things removed", clashes, back, removed)
	}
}

// TestStampsAreCausal: T1 and T2: a stamp is later than all its author had seen, and never further from the author's
// clock than it must be, whatever the clocks say.
func TestStampsAreCausal(t *testing.T) { // SPEC T1, T2
	for seed := range uint64(200) {
		deeds, _ := history(t, seed)
		by := map[OpID]Stamp{}
		for _, d := range deeds {
			by[d.op.ID] = d.op.Stamp
		}
		for i, d := range deeds {
			var last Stamp
			for id := range d.seen {
				if s := by[id]; s.Compare(last) > 0 {
					last = s
				}
			}
			s := d.op.Stamp
			if s.Compare(last) <= 0 {
				t.Fatalf("seed %d: %v is stamped %v, and had seen %v", seed, d.op.ID, s, last)
			}
			if s.Count == 0 && s.Wall <= last.Wall || s.Count > 0 && (s.Wall != last.Wall || s.Count != last.Count+1) {
				t.Fatalf("seed %d: %v is stamped %v after %v", seed, d.op.ID, s, last)
			}
			for _, e := range deeds[:i] {
				if e.seen[d.op.ID] {
					t.Fatalf("seed %d: %v comes before %v, which it had not seen", seed, e.op.ID, d.op.ID)
				}
			}
		}
	}
}
