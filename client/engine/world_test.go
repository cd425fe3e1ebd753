package engine

import (
	"bytes"
	"encoding/json"
	"testing"

	"batterboard/client/engine/demo"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// The morning the demo is about: Tuesday 6 April 2027, 06:40.
var demoNow = at("2027-04-06T06:40")

func at(s string) schedule.Minute {
	m, err := schedule.ParseMinute(s)
	if err != nil {
		panic(err)
	}
	return m
}

func day(s string) schedule.Day {
	d, err := schedule.ParseDay(s)
	if err != nil {
		panic(err)
	}
	return d
}

// wall turns a site moment into a stamp; the tests' sites lie in UTC.
func wall(m schedule.Minute) int64 { return int64(m) * 60000 }

// opsOf makes the operations that bring a document in, as the server's first device writes them.
func opsOf(t testing.TB, doc []byte, dev opsync.Device, at schedule.Minute) (ops []json.RawMessage) {
	t.Helper()
	edits, err := opsync.EditsFromDocument(doc)
	if err != nil {
		t.Fatal(err)
	}
	log := opsync.NewLog()
	for _, part := range opsync.SplitEdits(edits) {
		raw, err := log.Write(dev, wall(at), opsync.KindEdit, "import|demo", part)
		if err != nil {
			t.Fatal(err)
		}
		ops = append(ops, raw)
	}
	return ops
}

// demoDoc is the Old Laundry on its morning.
func demoDoc(t testing.TB) []byte {
	t.Helper()
	return demo.Document()
}

// openDemo is a phone with the Old Laundry, device 2, and a helper to ask it things.
func openDemo(t testing.TB, lang string) *Engine {
	t.Helper()
	e := New()
	r := e.Do(Request{Do: "open", Site: "old-laundry", Device: 2, Role: "owner", Lang: lang, Now: demoNow, Wall: wall(demoNow),
		Ops: opsOf(t, demoDoc(t), 1, demoNow-1440), Names: map[string]string{"1": "Demo", "2": "Anna"}})
	if r.Failed != "" {
		t.Fatal(r.Failed)
	}
	return e
}

// do asks and fails the test when the request was broken.
func do(t testing.TB, e *Engine, r Request) Reply {
	t.Helper()
	if r.Now == 0 {
		r.Now = demoNow
	}
	if r.Wall == 0 {
		r.Wall = wall(r.Now)
	}
	out := e.Do(r)
	if out.Failed != "" {
		t.Fatalf("%s: %s", r.Do, out.Failed)
	}
	return out
}

func show(t testing.TB, e *Engine, screen, id string) *View {
	t.Helper()
	return do(t, e, Request{Do: "show", Screen: screen, For: id}).View
}

// plainJSON writes a request as the worker does: operations keep their very bytes.
func plainJSON(r Request) []byte {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(r); err != nil {
		panic(err)
	}
	return b.Bytes()
}
