package opsync

import (
	"strings"
	"testing"
)

// TestServerAsksForPictures: the question reaches every phone that said hello, and only proper names.
func TestServerAsksForPictures(t *testing.T) { // SPEC K1, K4
	name := strings.Repeat("0123456789abcdef", 4)
	h := NewHub(HubStart{Site: "laundry", Epoch: "e0"})
	p, err := OpenPhone("laundry", 1, Owner, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	h.Join(7, 1, Owner)
	if got := h.Want([]string{name}); got != nil {
		t.Errorf("asked a phone that has not said hello: %s", got[0].Frame)
	}
	for _, f := range p.Connected() {
		for _, s := range h.Receive(7, []byte(f), 0).Now {
			if _, err := p.Receive(string(s.Frame)); err != nil {
				t.Fatal(err)
			}
		}
	}
	if got := h.Want([]string{"../../etc/passwd", strings.ToUpper(name), ""}); got != nil {
		t.Errorf("asked for what is no picture: %s", got[0].Frame)
	}
	sends := h.Want([]string{name, "x"})
	if len(sends) != 1 || len(sends[0].To) != 1 || sends[0].To[0] != 7 {
		t.Fatalf("sent %v", sends)
	}
	golden(t, "want.json", string(sends[0].Frame)+"\n")
	for _, frame := range lines(t, "want.json") {
		r, err := p.Receive(frame)
		if err != nil || len(r.Want) != 1 || r.Want[0] != name || r.Changed || r.Meta != nil {
			t.Errorf("%s: %+v, %v", frame, r, err)
		}
		for n := range frame { // SPEC G4
			if r, err := p.Receive(frame[:n]); err == nil && len(r.Want) > 0 {
				t.Errorf("cut off at %d it still asks for %v", n, r.Want)
			}
		}
	}
	many := make([]string, MaxWanted+5)
	for i := range many {
		many[i] = name
	}
	if r, err := p.Receive(string(h.Want(many)[0].Frame)); err != nil || len(r.Want) != MaxWanted {
		t.Errorf("asked for %d at once, %v", len(r.Want), err)
	}
}
