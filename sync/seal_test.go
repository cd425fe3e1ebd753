package opsync

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"slices"
	"strings"
	"testing"
)

// macOf is HMAC-SHA-256 of the standard library under a key made of a word.
func macOf(word string) func([]byte) []byte {
	return func(text []byte) []byte {
		m := hmac.New(sha256.New, []byte(word))
		m.Write(text)
		return m.Sum(nil)
	}
}

// wentBack is the server after the store went back to what disk holds.
func wentBack(t *testing.T, start HubStart, disk [][]byte) *desk {
	t.Helper()
	d := newDesk(t, start)
	for _, raw := range disk {
		if err := d.hub.Load(raw); err != nil {
			t.Fatal(err)
		}
		d.disk = append(d.disk, raw)
	}
	return d
}

func sealedStart(epoch string, restored bool) HubStart {
	return HubStart{Site: "laundry", Epoch: epoch, Restored: restored, MAC: macOf("key")}
}

// reopened is the phone from its store, as another program of today would open it.
func reopened(t *testing.T, p *Phone) *Phone {
	t.Helper()
	again, err := OpenPhone("laundry", p.Dev, "", p.Meta(), p.Log.Since(nil))
	if err != nil {
		t.Fatal(err)
	}
	return again
}

// aDayOf lets Anna and Ben work, both connected, and returns the phones and the disk after each change.
func aDayOf(t *testing.T) (d *desk, anna, ben *Phone) {
	t.Helper()
	d = newDesk(t, sealedStart("e1", false))
	anna, ben = open(t, 1, Owner), open(t, 2, Second)
	d.join(1, anna, Owner)
	d.join(2, ben, Second)
	d.write(1, set("site", "site", `name="Old Laundry"`))
	d.write(2, set("crew", "electric", `name="Ruiz Electric"`))
	d.write(1, set("crew", "electric", `size=2`))
	d.write(2, set("site", "site", `contact="Ben"`))
	return d, anna, ben
}

func TestASealIsAnHMAC(t *testing.T) { // SPEC E5
	d, anna, _ := aDayOf(t)
	// Worked out here with the standard library, from the words of the rule alone.
	m := hmac.New(sha256.New, []byte("key"))
	m.Write([]byte("seal 1\nlaundry\n2\n2\n" + HashOf(d.disk[3])))
	seal := base64.RawURLEncoding.EncodeToString(m.Sum(nil)[:16])
	if last := d.said[len(d.said)-1]; !strings.HasSuffix(last, `],"seals":["`+seal+`"]}`) {
		t.Errorf("%s\ndoes not end with the seal %s", last, seal)
	}
	want(t, "kept", string(mustJSON(t, anna.kept.Seals)), `{"2":{"s":2,"seal":"`+seal+`"}}`)
	// One after the other, and opened again, it is still there; a welcome has the phone's own as well.
	again := reopened(t, anna)
	d.join(1, again, Owner)
	if len(again.kept.Seals) != 2 || again.kept.Seals[2].Seal != seal || again.kept.Seals[1].Seq != 2 {
		t.Errorf("kept %+v", again.kept.Seals)
	}
}

func mustJSON(t *testing.T, v any) []byte {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestASnapshotIsSealed: a newcomer keeps a seal of everybody, whatever way the operations came.
func TestASnapshotIsSealed(t *testing.T) { // SPEC E5
	for _, n := range []int{20, 2 * snapshotFrom} {
		d, _, _ := aDayOf(t)
		for i := range n {
			d.write(Conn(1+i%2), set("site", "site", `name="`+count(i)+`"`))
		}
		d.hub.Prepare()
		cleo := open(t, 3, Second)
		d.join(3, cleo, Second)
		for _, dev := range []Device{1, 2} {
			seq, hash := cleo.Log.Head(dev)
			if len(cleo.kept.Seals) != 2 || cleo.kept.Seals[dev] != (keptSeal{seq, d.hub.seal(OpID{dev, seq}, hash)}) {
				t.Errorf("after %d operations: %+v", n, cleo.kept.Seals)
			}
		}
	}
}

// TestOthersComeBackUnderTheirSeals: the store went back to the first operation. Ben's phone is gone for good;
// Anna's hands in what he wrote, however the hub learns of it.
func TestOthersComeBackUnderTheirSeals(t *testing.T) { // SPEC E2, E3, E6, G3
	for _, unnoticed := range []bool{false, true} {
		day, anna, _ := aDayOf(t)
		start := sealedStart("e2", true)
		if unnoticed {
			start = sealedStart("e1", false)
		}
		d := wentBack(t, start, day.disk[:1])
		d.join(1, reopened(t, anna), Owner)
		if len(d.disk) != 4 {
			t.Fatalf("unnoticed %v: %d of 4 are stored\n%s", unnoticed, len(d.disk), strings.Join(d.said, "\n"))
		}
		want(t, "site", string(d.phones[1].Log.State().Document()),
			`{"contact":"Ben","crews":[{"id":"electric","name":"Ruiz Electric","size":2}],"format":1,"name":"Old Laundry"}`)
		if unnoticed == !strings.Contains(strings.Join(d.said, ""), `"epoch":"e-next"`) {
			t.Errorf("unnoticed %v, and the epochs do not show it", unnoticed)
		}
		if len(d.hub.vouched) != 0 {
			t.Errorf("still vouched for: %v", d.hub.vouched)
		}
		if !unnoticed {
			golden(t, "seals.txt", strings.Join(append(day.said, d.said...), "\n")+"\n")
		}
	}
}

// TestALongChainComesBack: more than one message holds.
func TestALongChainComesBack(t *testing.T) { // SPEC E6
	day, anna, _ := aDayOf(t)
	for i := range 3*MaxFrameOps + 7 {
		day.write(2, set("site", "site", `contact="`+count(i)+`"`))
	}
	d := wentBack(t, sealedStart("e2", true), day.disk[:1])
	d.join(1, reopened(t, anna), Owner)
	if len(d.disk) != len(day.disk) {
		t.Errorf("%d of %d are stored", len(d.disk), len(day.disk))
	}
}

// forged is an operation in Ben's name that continues his chain at the hub.
func forged(t *testing.T, l *Log, label string) []byte {
	t.Helper()
	again := NewLog()
	if _, err := again.AddAll(l.Since(nil)); err != nil {
		t.Fatal(err)
	}
	raw, err := again.Write(2, t0+50_000, KindEdit, label, []Edit{set("site", "site", `contact="never said"`)})
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// TestNobodySpeaksInAnothersName: Anna's program was changed. She has true seals of Ben's, and makes up the rest.
func TestNobodySpeaksInAnothersName(t *testing.T) { // SPEC H2, E3, E6
	day, anna, _ := aDayOf(t)
	var short *Log // as the hub knows it
	for k, start := range map[string]HubStart{"restored": sealedStart("e2", true), "in order": sealedStart("e1", false)} {
		d := wentBack(t, start, day.disk[:2])
		short = NewLog()
		if _, err := short.AddAll(day.disk[:2]); err != nil {
			t.Fatal(err)
		}
		raw := forged(t, short, "forged")
		o, _ := Decode(raw)
		push := string(opsMessages(msgPush, [][]byte{raw}, nil)[0])
		real, _ := Decode(day.disk[3]) // Ben's true second operation
		seal := anna.kept.Seals[2].Seal
		vouch := func(dev Device, s uint32, hash, seal string) string {
			b := appendInt(appendInt(begin(msgVouch), "device", int64(dev)), "s", int64(s))
			return string(append(appendText(appendText(b, "h", hash), "seal", seal), '}'))
		}
		d.hub.Join(1, 1, Owner)
		d.phones[1] = nil
		d.up(1, []string{`{"m":"hello","proto":1,"schema":1,"site":"laundry","epoch":"e2","seen":[],"head":"","acked":0}`})
		for what, frames := range map[string][]string{
			"nothing to show":            {push},
			"a seal of nothing":          {vouch(2, 2, o.Hash, strings.Repeat("A", 22)), push},
			"the seal of what Ben wrote": {vouch(2, 2, o.Hash, seal), push},
			"a true seal beside it":      {vouch(2, 2, real.Hash, seal), push},
			"under another number":       {vouch(2, 3, real.Hash, seal), vouch(1, 2, real.Hash, seal), push},
			"hung on nothing":            {string(opsMessages(msgVouch, [][]byte{raw}, nil)[0]), push},
			"hung on what hangs on nothing": {vouch(2, 2, real.Hash, seal),
				string(opsMessages(msgVouch, [][]byte{raw, day.disk[3]}, nil)[0]), push},
			"another site's":  {vouch(2, 2, o.Hash, other(t, o.ID, o.Hash, "garage", "key")), push},
			"another store's": {vouch(2, 2, o.Hash, other(t, o.ID, o.Hash, "laundry", "another")), push},
			"a cut one":       {vouch(2, 2, o.Hash, d.hub.seal(o.ID, o.Hash)[:21]), push},
		} {
			said := len(d.said)
			d.up(1, frames)
			if len(d.disk) != 2 || !strings.Contains(strings.Join(d.said[said:], ""), `"why":"device"`) {
				t.Errorf("%s, %s: %d stored, %s", k, what, len(d.disk), strings.Join(d.said[said:], "\n"))
			}
		}
		// The true one is taken all the same.
		d.up(1, []string{vouch(2, 2, real.Hash, seal), string(opsMessages(msgPush, [][]byte{day.disk[2], day.disk[3]}, nil)[0])})
		if len(d.disk) != 4 {
			t.Errorf("%s: the true one is not taken: %s", k, d.said[len(d.said)-1])
		}
	}
}

func other(t *testing.T, id OpID, hash, site, key string) string {
	t.Helper()
	return NewHub(HubStart{Site: site, MAC: macOf(key)}).seal(id, hash)
}

// TestAViewerVouchesForNobody: nothing is believed, and nobody welcomed anew. Nor is anything before hello.
func TestAViewerVouchesForNobody(t *testing.T) { // SPEC H1, E3
	day, anna, _ := aDayOf(t)
	d := wentBack(t, sealedStart("e1", false), day.disk[:2])
	anna.kept.Acked = 1 // as if she had not heard
	d.join(1, reopened(t, anna), Viewer)
	if frames := anna.vouch(); len(frames) != 0 {
		t.Errorf("she has nothing to show: %s", frames)
	}
	anna.pushed = Vector{2: 1}
	frames := anna.vouch()
	if len(frames) != 1 {
		t.Fatalf("what an owner would say: %s", frames)
	}
	if w := d.hub.Receive(1, []byte(frames[0]), t0); w.Epoch || len(d.hub.vouched) != 0 {
		t.Error("a viewer is believed")
	}
	d.hub.Join(9, 1, Owner)
	if w := d.hub.Receive(9, []byte(frames[0]), t0); w.Close == "" || w.Epoch {
		t.Error("believed before hello")
	}
	if w := d.hub.Receive(1, []byte(frames[0]), t0); w.Epoch {
		t.Error("a viewer is believed the second time")
	}
}

// TestWhatHasNoSealIsKeptToBeSeen: Anna's phone has Ben's last change from a server that sealed nothing. Her own work
// on top of it is not lost, his is kept, and comes back when his phone speaks.
func TestWhatHasNoSealIsKeptToBeSeen(t *testing.T) { // SPEC E7, P3
	day, anna, ben := aDayOf(t)
	anna.kept.Seals = nil
	raw, err := anna.Log.Write(1, t0+90_000, KindEdit, "on top of it", []Edit{set("site", "site", `contact="Ben, mornings"`)})
	if err != nil {
		t.Fatal(err)
	}
	d := wentBack(t, sealedStart("e2", true), day.disk[:2])
	anna = reopened(t, anna)
	d.join(1, anna, Owner)
	if len(d.disk) != 4 || anna.Unsent() != 0 { // hers: the crew's size, and what she wrote on top
		t.Fatalf("%d stored, %d unsent", len(d.disk), anna.Unsent())
	}
	if anna.Log.Op(OpID{1, 3}).Label != "on top of it" || !slices.ContainsFunc(d.disk, func(b []byte) bool { return string(b) == string(anna.Log.Op(OpID{1, 3}).Raw) }) {
		t.Errorf("not said anew: %s", anna.Log.Op(OpID{1, 3}).Raw)
	}
	if slices.ContainsFunc(d.disk, func(b []byte) bool { return string(b) == string(raw) }) {
		t.Error("stored as it was, on top of what is not there")
	}
	r := reopened(t, anna).Rejected()
	if len(r) != 1 || r[0].Why != WhyDevice || r[0].Op.Hash != HashOf(day.disk[3]) {
		t.Fatalf("kept %+v", r)
	}
	d.join(2, reopened(t, ben), Second)
	if len(d.disk) != 5 || len(anna.Rejected()) != 0 {
		t.Errorf("Ben is back: %d stored, still kept %+v", len(d.disk), anna.Rejected())
	}
	if a, b := anna.Log.State().Document(), d.phones[2].Log.State().Document(); string(a) != string(b) {
		t.Errorf("they differ:\n%s\n%s", a, b)
	}
}

// TestAStoreOlderThanItsKey takes what nobody sealed, and only until its own phone speaks.
func TestAStoreOlderThanItsKey(t *testing.T) { // SPEC E8
	day, anna, ben := aDayOf(t)
	anna.kept.Seals = nil
	start := sealedStart("e2", true)
	start.Unsealed = true
	d := wentBack(t, start, day.disk[:2])
	d.join(1, reopened(t, anna), Owner)
	if len(d.disk) != 4 {
		t.Fatalf("%d of 4 stored", len(d.disk))
	}
	d = wentBack(t, start, day.disk[:2])
	ben.Cut()
	d.join(2, reopened(t, ben), Second)
	short := NewLog()
	if _, err := short.AddAll(d.disk); err != nil {
		t.Fatal(err)
	}
	d.join(1, reopened(t, anna), Owner)
	n := len(d.disk)
	d.up(1, []string{string(opsMessages(msgPush, [][]byte{forged(t, short, "forged")}, nil)[0])})
	if len(d.disk) != n {
		t.Error("Ben has spoken, and somebody else speaks for him")
	}
}

// TestSealsReadAsTheyAreWritten: the short way of reading a message gives what the long one gives.
func TestSealsReadAsTheyAreWritten(t *testing.T) { // SPEC G4
	day, _, _ := aDayOf(t)
	for n := range 4 {
		var seals []string
		for i := range n {
			seals = append(seals, other(t, OpID{1, uint32(i + 1)}, "x", "laundry", "key"))
		}
		frame := opsMessages(msgOps, day.disk, func(b []byte, _, _ int) []byte { return appendSeals(b, seals) })[0]
		fast := opsAsWritten(frame)
		var slow message
		if err := json.Unmarshal(frame, &slow); err != nil {
			t.Fatal(err)
		}
		if fast == nil || !slices.Equal(fast.Seals, slow.Seals) || len(fast.Ops) != 4 || !slices.Equal(fast.Seals, seals) {
			t.Errorf("%s reads as %+v", frame, fast)
		}
	}
	for _, tail := range []string{``, `,`, `,"seals":[]}`, `,"seals":["a]}`, `,"seals":["a""b"]}`, `,"seals":["a","]}`, `,"seals":["a\"b"]}`, `,"seals":["a",]}`, `}}`, `,"seals":["a"]} `} {
		if m := opsAsWritten([]byte(`{"m":"ops","ops":[{"d":1}]` + tail)); m != nil {
			t.Errorf("%q reads as %+v", tail, m)
		}
	}
}
