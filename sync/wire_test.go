package opsync

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

func TestGoldenDialogue(t *testing.T) { // SPEC G1, G3, P1, H4

	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})

	d.hub.Names(map[Device]string{1: "Anna", 2: "Ben's \"phone\""})

	anna, ben := open(t, 1, Owner), open(t, 2, Second)

	anna.Log.Write(1, t0, KindEdit, "offline", []Edit{set("site", "site", `name="Old Laundry"`)})

	d.join(1, anna, Owner)

	d.join(2, ben, Second)

	d.write(2, set("crew", "electric", `name="Ruiz Electric"`))

	d.write(1, set("crew", "electric", `size=2`))

	d.down(d.hub.Names(map[Device]string{1: "Anna", 2: "Ben", 10: "Cleo"}))

	cleo := open(t, 10, Viewer)

	d.join(3, cleo, Viewer)

	cleo.Log.Write(10, t0, KindEdit, "", []Edit{set("site", "site", `name="Cleo's"`)})

	d.up(3, cleo.Push())

	golden(t, "dialogue.txt", strings.Join(d.said, "\n")+"\n")

	for _, p := range []*Phone{anna, ben, cleo} {
		want(t, "site", string(p.Log.State().Document()), `{"crews":[{"id":"electric","name":"Ruiz Electric","size":2}],"format":1,"name":"Old Laundry"}`)
		if p.Unsent() != 0 {
			t.Errorf("device %d: %d unsent", p.Dev, p.Unsent())
		}
	}
	golden(t, "meta.json", string(cleo.Meta())+"\n")
}

func TestOldNotesOpen(t *testing.T) { // SPEC G3, P3

	p, err := OpenPhone("laundry", 10, "", []byte(lines(t, "meta.json")[0]), nil)

	if err != nil || p.Role() != Viewer || len(p.Rejected()) != 1 || p.Rejected()[0].Why != WhyRole || p.Names()["2"] != "Ben" {
		t.Errorf("%+v, %v", p.kept, err)
	}
}

func TestAViewerWritesNothing(t *testing.T) { // SPEC H1, H6, P3

	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})

	p := open(t, 3, Viewer)

	d.join(3, p, Viewer)

	if p.ReadOnly() != WhyRole {
		t.Errorf("read-only: %q", p.ReadOnly())
	}
	first := d.write(3, set("site", "site", `name="mine"`))
	d.write(3, set("site", "site", `name="mine!"`))
	if len(d.disk) != 0 || p.Unsent() != 0 {
		t.Errorf("%d stored, %d unsent", len(d.disk), p.Unsent())
	}
	r := p.Rejected()
	if len(r) != 2 || r[0].Op.ID != first || r[0].Why != WhyRole || !strings.Contains(r[0].Say, "owner") {
		t.Errorf("refused: %+v", r)
	}
	want(t, "and it does not show what is nowhere else", string(p.Log.State().Document()), `{"format":1}`)
	p.Forget(r[0].Op.Hash)
	if len(p.Rejected()) != 1 {
		t.Error("seen, and still there")
	}
}

func TestADemotedPhoneKeepsWhatItCouldNotHandIn(t *testing.T) { // SPEC H1, P3
	p := open(t, 2, Second)
	for i := range 300 {
		p.Log.Write(2, t0+int64(i), KindEdit, count(i), []Edit{set("note", "n"+count(i), `said="x"`)})
	}
	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})
	d.join(2, p, Viewer)
	if r := p.Rejected(); len(r) != 300 || r[299].Op.Label != "299" || p.Unsent() != 0 || len(d.said) > 5 {
		t.Errorf("%d kept, %d unsent, %d messages", len(r), p.Unsent(), len(d.said))
	}
}

func TestWhatFollowsARefusalIsWrittenAnew(t *testing.T) { // SPEC P3, H3

	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})

	p := open(t, 1, Owner)

	d.hub.Join(1, 1, Owner)

	d.phones[1] = p

	p.Log.Write(1, t0, KindEdit, "bad", []Edit{set("crew", "a", `size="many"`)})

	p.Log.Write(1, t0, KindEdit, "good", []Edit{set("crew", "a", `name="A"`)})

	undo, _ := p.Log.Undo(1, t0, "undo bad", OpID{1, 1})

	p.Log.Write(1, t0, KindEdit, "better", []Edit{set("crew", "a", `size=3`)})

	if undo == nil {
		t.Fatal("no undo")
	}
	d.up(1, p.Connected())
	if r := p.Rejected(); len(r) != 1 || r[0].Op.Label != "bad" || r[0].Why != WhyForm {
		t.Fatalf("refused: %+v", r)
	}
	var labels []string
	for _, raw := range d.disk {
		o, _ := Decode(raw)
		labels = append(labels, o.ID.String()+" "+o.Label)
	}
	want(t, "stored", strings.Join(labels, ", "), "1.1 good, 1.2 better")
	again, err := OpenPhone("laundry", 1, Owner, p.Meta(), append(d.disk, undo))
	if err != nil || again.Unsent() != 0 {
		t.Errorf("%d unsent, %v", again.Unsent(), err)
	}
}

func TestNobodySpeaksForADeviceThatHasSpoken(t *testing.T) { // SPEC H2, E2, E3

	for _, restored := range []bool{false, true} {
		d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1", Restored: restored})
		theirs := NewLog()
		theirs.Write(2, t0, KindEdit, "", []Edit{set("site", "site", `name="Ben's"`)})
		p := open(t, 1, Owner, theirs.Since(nil)...)
		d.join(1, p, Owner)
		if len(d.disk) != 1 || (p.Epoch() == "e-next") == restored {
			t.Errorf("restored %v: %d stored, epoch %s", restored, len(d.disk), p.Epoch())
		}
		// Ben himself has written: now nobody speaks for him.
		d.join(2, open(t, 2, Second), Second)
		d.write(2, set("site", "site", `contact="Ben"`))
		n := len(d.disk)
		log := NewLog()
		log.AddAll(d.disk)
		forged, _ := log.Write(2, d.wall+5000, KindEdit, "", []Edit{set("site", "site", `name="forged"`)})
		d.phones[1] = nil
		d.up(1, []string{`{"m":"push","ops":[` + string(forged) + `]}`})
		if len(d.disk) != n {
			t.Errorf("restored %v: forged operation stored", restored)
		}
	}
}

func TestWhatCannotBeStoredIsKeptAndHandedInAgain(t *testing.T) { // SPEC H4, H5

	h := NewHub(HubStart{Site: "laundry", Epoch: "e1"})

	p := open(t, 1, Owner)

	p.Log.Write(1, t0, KindEdit, "", []Edit{set("site", "site", `name="A"`)})

	h.Join(1, 1, Owner)

	w := h.Receive(1, []byte(p.Connected()[0]), t0)

	r, _ := p.Receive(string(w.Now[0].Frame))

	w = h.Receive(1, []byte(r.Frames[0]), t0)

	if len(w.Store) != 1 || len(w.Now) != 0 || len(h.Seen()) != 0 {
		t.Fatalf("told before stored: %+v, seen %v", w, h.Seen())
	}
	out := h.NotStored("The server's disk is full.")
	r, err := p.Receive(string(out[0].Frame))
	if err != nil || r.Say != "The server's disk is full." || p.Unsent() != 1 || p.Push() != nil {
		t.Errorf("say %q, unsent %d, %v", r.Say, p.Unsent(), err)
	}
	join(h, 2, p, Owner)
	if p.Unsent() != 0 || h.Seen()[1] != 1 {
		t.Errorf("unsent %d, stored %v", p.Unsent(), h.Seen())
	}
}

func TestAnOldSiteWithManyDevicesTakesANewcomer(t *testing.T) { // SPEC O4, C3
	l := NewLog()
	for dev := Device(1); dev <= 600; dev++ {
		if _, err := l.Write(dev, t0+int64(dev), KindEdit, "", []Edit{set("note", "n"+count(int(dev)), `said="x"`)}); err != nil {
			t.Fatal(err)
		}
	}
	if n := len(l.Ops()[599].Seen); n != 599 {
		t.Errorf("the last one names %d devices", n)
	}
}

func TestTenThousandUnsentChanges(t *testing.T) { // SPEC P1, O4
	p := open(t, 1, Owner)
	for i := range 10_000 {
		p.Log.Write(1, t0+int64(i), KindEdit, "offline", []Edit{set("note", "n"+count(i%500), `said="`+count(i)+`"`)})
	}
	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})
	d.join(1, p, Owner)
	if p.Unsent() != 0 || len(d.disk) != 10_000 {
		t.Errorf("%d unsent, %d stored", p.Unsent(), len(d.disk))
	}
	for _, f := range d.said {
		if len(f) > MaxFrameBytes+20 {
			t.Errorf("a frame of %d bytes", len(f))
		}
	}
	newcomer := open(t, 2, Viewer)
	d.join(2, newcomer, Viewer)
	want(t, "a newcomer", string(newcomer.Log.State().Document()), string(p.Log.State().Document()))
}

func TestABrokenOperationDoesNotTakeTheOnesBeforeItAlong(t *testing.T) { // SPEC H3, H4
	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})
	l := NewLog()
	a, _ := l.Write(1, t0, KindEdit, "", []Edit{set("site", "site", `name="A"`)})
	b, _ := l.Write(1, t0, KindEdit, "", []Edit{set("site", "site", `name="B"`)})
	d.join(1, open(t, 1, Owner), Owner)
	d.phones[1] = nil
	w := d.hub.Receive(1, []byte(`{"m":"push","ops":[`+string(a)+`,{"d":1}]}`), t0)
	if len(w.Store) != 1 || w.Close == "" {
		t.Fatalf("%d to store, closed with %q", len(w.Store), w.Close)
	}
	d.hub.Stored(len(w.Store))
	w = d.hub.Receive(1, []byte(`{"m":"push","ops":[`+string(b)+`]}`), t0)
	if len(w.Store) != 1 || d.hub.Seen()[1] != 1 {
		t.Errorf("%d to store, %v stored", len(w.Store), d.hub.Seen())
	}
}

func TestHelloAgain(t *testing.T) { // SPEC G2, S2

	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})

	p := open(t, 1, Owner)

	d.join(1, p, Owner)

	d.write(1, set("site", "site", `name="A"`))

	d.up(1, p.Connected())

	d.write(1, set("site", "site", `name="B"`))

	if p.Unsent() != 0 || p.Acked() != 2 || len(d.disk) != 2 {
		t.Errorf("unsent %d, acked %d, stored %d", p.Unsent(), p.Acked(), len(d.disk))
	}
}

func TestAStoreThatWentBackwardsGetsEverythingAgain(t *testing.T) { // SPEC E1-E3

	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})

	anna, ben := open(t, 1, Owner), open(t, 2, Second)

	d.join(1, anna, Owner)

	d.join(2, ben, Second)

	d.write(1, set("site", "site", `name="A"`))

	d.write(2, set("site", "site", `contact="Ben"`))

	d.write(1, set("site", "site", `name="B"`))

	full := d.disk

	// The disk is the old one, and nobody noticed. Ben is gone; Anna's phone has his change.

	late := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})

	late.hub.Load(full[0])

	late.disk = full[:1:1]

	late.join(1, anna, Owner)

	if len(late.disk) != 3 || anna.Epoch() != "e-next" || anna.Unsent() != 0 {
		t.Errorf("stored %d, epoch %s, unsent %d", len(late.disk), anna.Epoch(), anna.Unsent())
	}
}

// TestHeadsTellOfAnotherChainUnderTheSameNumbers: the store went back to before Ben's change, and Ben's phone wrote another
// one under its number. Anna's phone has the first one, and nothing in the numbers says so.
func TestHeadsTellOfAnotherChainUnderTheSameNumbers(t *testing.T) { // SPEC E4, G3
	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})
	anna := open(t, 1, Owner)
	d.join(1, anna, Owner)
	d.write(1, set("site", "site", `name="A"`))
	before := slices.Clone(d.disk)
	d.join(2, open(t, 2, Second), Second)
	d.write(2, set("site", "site", `contact="Ben at first"`))

	later := newDesk(t, HubStart{Site: "laundry", Epoch: "e2", Restored: true})
	if err := later.hub.Load(before[0]); err != nil {
		t.Fatal(err)
	}
	later.disk = before
	later.join(2, open(t, 2, Second), Second)
	later.write(2, set("site", "site", `contact="Ben"`))
	later.said = nil
	later.join(1, anna, Owner)
	golden(t, "heads.txt", strings.Join(later.said, "\n")+"\n")
	want(t, "Ben's change", string(anna.Log.State().Document()), `{"contact":"Ben","format":1,"name":"A"}`)
	heads := `"seen":[[1,1],[2,1]],"heads":["` + HashOf(before[0]) + `","` + HashOf(later.disk[1]) + `"]`
	if all := strings.Join(later.said, ""); !strings.Contains(all, heads) {
		t.Errorf("no welcome has %s in\n%s", heads, all)
	}
}

func TestACopiedPhone(t *testing.T) { // SPEC F1, F2

	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})

	anna := open(t, 1, Owner)

	d.join(1, anna, Owner)

	d.write(1, set("site", "site", `name="Old Laundry"`))

	twin, _ := OpenPhone("laundry", 1, Owner, anna.Meta(), d.disk)

	id := anna.Log.NextID(1)

	if id != twin.Log.NextID(1) {
		t.Fatal("the copy is no copy")
	}
	d.write(1, set("crew", id, `name="Anna's crew"`))
	twin.Log.Write(1, t0+5000, KindEdit, "", []Edit{set("crew", id, `name="Twin's crew"`), set("activity", "paint", `crew="`+id+`"`, `with=["`+id+`","x"]`, `name="`+id+`"`)})
	d.join(2, twin, Owner)
	for _, p := range []*Phone{anna, twin} {
		want(t, "both crews are there", string(p.Log.State().Document()),
			`{"activities":[{"crew":"1.3.1","id":"paint","name":"1.2","with":["1.3.1","x"]}],"crews":[{"id":"1.2","name":"Anna's crew"},{"id":"1.3.1","name":"Twin's crew"}],"format":1,"name":"Old Laundry"}`)
	}
	if !twin.Twin() || anna.Twin() || twin.Unsent() != 0 {
		t.Errorf("twin %v, anna %v, unsent %d", twin.Twin(), anna.Twin(), twin.Unsent())
	}
}

func TestAPhonePairedAnewTakesItsChangesAlong(t *testing.T) { // SPEC F3

	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})

	old := open(t, 1, Owner)

	d.join(1, old, Owner)

	d.write(1, set("site", "site", `name="A"`))

	old.Cut()

	old.Log.Write(1, t0+9000, KindEdit, "offline", []Edit{set("site", "site", `name="B"`)})

	anew, err := OpenPhone("laundry", 5, Owner, old.Meta(), old.Log.Since(nil))

	if err != nil || anew.Unsent() != 1 {
		t.Fatalf("unsent %d, %v", anew.Unsent(), err)
	}
	d.join(5, anew, Owner)
	want(t, "site", string(anew.Log.State().Document()), `{"format":1,"name":"B"}`)
	o, _ := Decode(d.disk[1])
	if o.ID != (OpID{5, 1}) || o.Label != "offline" {
		t.Errorf("stored %s %s", o.ID, o.Label)
	}
}

func TestADamagedStore(t *testing.T) { // SPEC P4

	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e1"})

	p := open(t, 1, Owner)

	d.join(1, p, Owner)

	for i := range 3 {
		d.write(1, set("site", "site", `name="`+count(i)+`"`))
	}
	p.Cut()
	p.Log.Write(1, t0+9000, KindEdit, "mine", []Edit{set("site", "site", `contact="Anna"`)})
	ops := p.Log.Since(nil)
	hurt, err := OpenPhone("laundry", 1, Owner, p.Meta(), [][]byte{ops[0], ops[1][:40], ops[2], ops[3]})
	if err != nil || hurt.ReadOnly() != WhyBehind || hurt.Damaged() != 3 {
		t.Fatalf("read-only %q, damaged %d, %v", hurt.ReadOnly(), hurt.Damaged(), err)
	}
	d.join(2, hurt, Owner)
	want(t, "site", string(hurt.Log.State().Document()), `{"contact":"Anna","format":1,"name":"2"}`)
	if hurt.ReadOnly() != "" || len(d.disk) != 4 {
		t.Errorf("read-only %q, stored %d", hurt.ReadOnly(), len(d.disk))
	}
}

func TestSnapshot(t *testing.T) { // SPEC G1, G3, G5

	var frames []string

	for _, raw := range snapshotMessages(story(t).Ops(), 9, nil) {
		frames = append(frames, string(raw))
	}
	if *update {
		golden(t, "snapshot.json", strings.Join(frames, "\n")+"\n")
	}
	for what, list := range map[string][]string{"the golden one": lines(t, "snapshot.json"), "today's": frames} {
		p := open(t, 9, Viewer)
		for _, f := range list {
			if _, err := p.Receive(f); err != nil {
				t.Fatalf("%s: %v", what, err)
			}
		}
		var got strings.Builder
		for _, o := range p.Log.Ops() {
			got.WriteString(string(o.Raw) + "\n")
		}
		want(t, what, got.String(), strings.Join(lines(t, "ops.txt"), "\n")+"\n")
	}
}

// TestCutOffMessages cuts every message of the golden dialogue at every byte, and packed ones as well.
func TestCutOffMessages(t *testing.T) { // SPEC G4

	ops := make([][]byte, 0, 10)

	for _, raw := range lines(t, "ops.txt") {
		ops = append(ops, []byte(raw))
		for n := range len(raw) {
			if _, err := Decode([]byte(raw[:n])); err == nil {
				t.Fatalf("an operation cut at byte %d is taken: %s", n, raw[:n])
			}
		}
	}
	for _, line := range append(append(lines(t, "dialogue.txt"), lines(t, "seals.txt")...), "phone 1 < "+lines(t, "snapshot.json")[0]) {
		from, frame, _ := strings.Cut(line, " > ")
		toHub := frame != ""
		if !toHub {
			_, frame, _ = strings.Cut(from, " < ")
		}
		for n := range len(frame) {
			cutAt(t, frame[:n], toHub, ops)
		}
	}
}

func cutAt(t *testing.T, frame string, toHub bool, ops [][]byte) {
	t.Helper()
	if toHub {
		h := NewHub(HubStart{Site: "laundry", Epoch: "e1"})
		h.Join(1, 1, Owner)
		if w := h.Receive(1, []byte(frame), t0); len(w.Store) > 0 || w.Close == "" {
			t.Fatalf("the hub takes %q", frame)
		}
		return
	}
	p := open(t, 1, Owner, ops...)
	before := string(p.Log.State().Document())
	if _, err := p.Receive(frame); err == nil {
		t.Fatalf("the phone takes %q", frame)
	}
	want(t, "a cut message changes nothing", string(p.Log.State().Document()), before)
}

// TestHarmfulMessages: right in form, wrong in what they say.
func TestHarmfulMessages(t *testing.T) { // SPEC G4, H3

	h := NewHub(HubStart{Site: "laundry", Epoch: "e1"})

	h.Join(1, 1, Owner)

	for _, frame := range []string{`{"m":"push","ops":[]}`, `{"m":"hello","proto":2}`, `{"m":"hello","proto":1,"site":"other"}`,

		`{"m":"hello","proto":1,"site":"laundry","seen":[[1,2,3,4]],"acked":-1}`, `[]`, `{"m":"push","ops":{}}`, strings.Repeat(" ", MaxFrameBytes+1)} {
		if w := h.Receive(1, []byte(frame), t0); w.Close == "" || len(w.Store) > 0 {
			t.Errorf("taken: %.80s", frame)
		}
	}
	if w := h.Receive(2, []byte(`{}`), t0); w.Close == "" {
		t.Error("a connection nobody joined is answered")
	}
	if w := h.Receive(1, []byte(`{"m":"hello","proto":1,"schema":9,"site":"laundry","seen":[[1,900],[77,5]],"head":"x","acked":4000000000,"new":1}`), t0); w.Close != "" {
		t.Errorf("a later program's hello is closed: %s", w.Close)
	}
	if w := h.Receive(1, []byte(`{"m":"dance"}`), t0); w.Close != "" || w.Now != nil {
		t.Error("a message of a later program is not passed over")
	}
	p := open(t, 1, Owner)
	for _, frame := range []string{`{"m":"welcome","proto":2}`, `{"m":"welcome","proto":1,"site":"other","device":1}`,
		`{"m":"snapshot","z":"AAAA"}`, `{"m":"snapshot","z":"?"}`, `{"m":"ops","ops":[{}]}`, `{"m":"ops","ops":[null]}`} {
		if _, err := p.Receive(frame); err == nil {
			t.Errorf("the phone takes %s", frame)
		}
	}
	for _, frame := range []string{`{"m":"ack","s":7,"h":"x"}`, `{"m":"reject","device":1,"s":7,"h":"x","why":"role"}`, `{"m":"dance"}`} {
		if r, err := p.Receive(frame); err != nil || r.Changed || p.Acked() != 0 {
			t.Errorf("%s: %+v, %v", frame, r, err)
		}
	}
}

func TestOldCatchUpIsWhole(t *testing.T) { // SPEC G1, H4, G5

	h := NewHub(HubStart{Site: "laundry", Epoch: "e1"})

	l := NewLog()

	for i := range 1200 {
		dev := Device(1 + i%3)
		raw, err := l.Write(dev, t0+int64(i)*60_000, KindEdit, "step", []Edit{set("note", "n"+count(i%700), `said="`+count(i)+`"`)})
		if err != nil {
			t.Fatal(err)
		}
		if err := h.Load(raw); err != nil {
			t.Fatal(err)
		}
	}
	for _, had := range []int{0, 1, 500, 1150, 1200} {
		var ops [][]byte
		for _, o := range l.Ops()[:had] {
			ops = append(ops, o.Raw)
		}
		p := open(t, 9, Viewer, ops...)
		join(h, 9, p, Viewer)
		want(t, count(had)+" had", string(p.Log.State().Document()), string(l.State().Document()))
		h.Leave(9)
	}
}

func TestValuesOfTheWrongShapeLockNobodyOut(t *testing.T) { // SPEC D5, H3

	l := NewLog()

	l.Write(1, t0, KindEdit, "", []Edit{set("activity", "a", `name="A"`, `hands="two"`, `labour=7`, `Name=5`, `laid="soon"`, `with=[1]`, `ID=1`),

		set("hold", "a", `name="same ID"`), set("activities", "x", `name=1`), set("Crews", "x", `name=1`), set("name", "x", `a=1`),

		set("site", "site", `name=[1]`, `crews=5`, `Format=9`, `hours="always"`, `activity=1`, `id2=1`)})

	want(t, "document", string(l.State().Document()), `{"activities":[{"id":"a","name":"A"}],"format":1,"id2":1}`)

}

func TestDocument(t *testing.T) { // SPEC D1-D4

	doc := `{"activities":[{"id":"b","name":"B","pos":1},{"id":"c","name":"C","pos":1},{"extra":{"k":[1,null]},"id":"a","name":"A","pos":2}],` +

		`"colour":"blue","format":1,"name":"Old Laundry","sketch":[{"id":"s1","x":1.5}]}`

	edits, err := EditsFromDocument([]byte(doc))

	if err != nil {
		t.Fatal(err)
	}
	l := NewLog()
	l.Write(1, t0, KindEdit, "", edits)
	want(t, "read and written", string(l.State().Document()), doc)
	want(t, "in order", strings.Join(l.State().IDs("activity"), " "), "b c a")
	edits, err = EditsFromDocument([]byte(`{"id":"x","format":1,"crews":[{"id":"z"},{"id":"y","name":null}],"linksAside":[{"id":"l","from":"a","to":"a"}]}`))
	if err != nil {
		t.Fatal(err)
	}
	l = NewLog()
	l.Write(1, t0, KindEdit, "", edits)
	want(t, "the file's own order is kept", string(l.State().Document()),
		`{"crews":[{"id":"z","pos":1},{"id":"y","pos":2}],"format":1,"linksAside":[{"from":"a","id":"l","to":"a"}]}`)
	for _, bad := range []string{``, `[]`, `null`, `{"format":2}`, `{"crews":5}`, `{"crews":[5]}`, `{"crews":[{}]}`, `{"crews":[{"id":"a"},{"id":"a"}]}`,
		`{"crews":[{"id":"a b"}]}`, `{"crews":[{"id":"a","size":"x"}]}`, `{"activities":[{"id":"a","na me":1}]}`, `{"a b":1}`, `{"start":"soon"}`} {
		if _, err := EditsFromDocument([]byte(bad)); err == nil {
			t.Errorf("taken: %s", bad)
		} else if len(err.Error()) < 15 {
			t.Errorf("%s: %v", bad, err)
		}
	}
}

func TestRandomBytesDoNoHarm(t *testing.T) { // SPEC G4

	rng := rand.New(rand.NewPCG(4, 4))

	p, h := open(t, 1, Owner), NewHub(HubStart{Site: "laundry", Epoch: "e1"})

	h.Join(1, 1, Owner)

	var said []string

	for _, line := range lines(t, "dialogue.txt") {
		said = append(said, line[10:])
	}
	for range 3000 {
		b := []byte(said[rng.IntN(len(said))])
		for range 1 + rng.IntN(4) {
			b[rng.IntN(len(b))] = byte(rng.Uint32())
		}
		p.Receive(string(b))
		h.Receive(1, b, t0)
	}
	var v any
	if err := json.Unmarshal(p.Log.State().Document(), &v); err != nil {
		t.Error(err)
	}
}
