package opsync

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"
)

// A crew's answer goes through the server's own door: stored first, then on every phone, and no phone
// can speak for the crew.
func TestTheServerWritesForACrew(t *testing.T) { // SPEC H7, H4
	d := newDesk(t, HubStart{Site: "laundry", Epoch: "e"})
	d.join(1, open(t, 1, Owner), Owner)
	d.write(1, Edit{Thing: "activity", ID: "rough", Set: map[string]json.RawMessage{"name": json.RawMessage(`"Rough-in"`)}})

	crew := NewLog()
	for _, raw := range d.hub.StoredSince(0) {
		if _, err := crew.Add(raw); err != nil {
			t.Fatal(err)
		}
	}
	firm := []Edit{{Thing: "activity", ID: "rough", Set: map[string]json.RawMessage{"booking": json.RawMessage(`"firm"`)}}}
	raw, err := crew.Write(7, d.wall, KindEdit, "yes", firm)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.hub.Admit(raw); err != nil {
		t.Fatal(err)
	}
	if d.phones[1].Log.Op(OpID{7, 1}) != nil || len(d.hub.StoredSince(1)) != 0 || d.hub.Seen()[7] != 0 {
		t.Error("told before it was stored")
	}
	d.down(d.hub.Stored(1))
	if doc := string(d.phones[1].Log.State().Document()); !strings.Contains(doc, `"booking":"firm"`) {
		t.Errorf("the phone has %s", doc)
	}
	if got := d.hub.StoredSince(1); len(got) != 1 || string(got[0]) != string(raw) {
		t.Errorf("stored since: %d", len(got))
	}
	if _, err := d.hub.Admit(raw); !errors.Is(err, ErrFork) {
		t.Errorf("the same again: %v", err)
	}
	if len(d.hub.StoredSince(99)) != 0 {
		t.Error("more is stored than was")
	}

	// A phone goes on writing on top of it, but not in the crew's name.
	d.write(1, Edit{Thing: "activity", ID: "rough", Set: map[string]json.RawMessage{"done": json.RawMessage(`20`)}})
	if d.phones[1].Unsent() != 0 {
		t.Error("the phone's next change was not taken")
	}
	forged, err := d.phones[1].Log.Write(7, d.wall, KindEdit, "no", []Edit{{Thing: "activity", ID: "rough", Set: map[string]json.RawMessage{"booking": json.RawMessage(`null`)}}})
	if err != nil {
		t.Fatal(err)
	}
	w := d.hub.Receive(1, []byte(`{"m":"push","ops":[`+string(forged)+`]}`), d.wall)
	if len(w.Store) != 0 || len(w.Now) != 1 || !strings.Contains(string(w.Now[0].Frame), WhyDevice) {
		t.Errorf("a phone spoke for the crew: %+v", w)
	}
}

func TestTheServersDoorIsAsNarrowAsAPhones(t *testing.T) { // SPEC H7, H3
	h := NewHub(HubStart{Site: "laundry", Epoch: "e"})
	l := NewLog()
	write := func(wall int64, thing, field, value string) []byte {
		t.Helper()
		raw, err := l.Write(7, wall, KindEdit, "", []Edit{{Thing: thing, ID: "x", Set: map[string]json.RawMessage{field: json.RawMessage(value)}}})
		if err != nil {
			t.Fatal(err)
		}
		return raw
	}
	if _, err := h.Admit(write(t0, "activity", "done", `"much"`)); codeOf(err) != WhyForm {
		t.Errorf("a value of the wrong shape: %v", err)
	}
	if _, err := h.Admit(write(t0+1, "activity", "done", `50`)); err == nil {
		t.Error("the second of a chain without the first was taken")
	}
	if _, err := h.Admit([]byte(`{}`)); err == nil {
		t.Error("no operation at all was taken")
	}
}
