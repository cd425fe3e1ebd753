package opsync

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"
)

// season is what a long job leaves behind: n operations by four phones on a site of 200 activities,
// most of them one or two fields, now and then a way that lays 30 lines anew.
func season(n int) [][]byte {
	rng := rand.New(rand.NewPCG(10, 10))
	logs := []*Log{NewLog(), NewLog(), NewLog(), NewLog()}
	var raws [][]byte
	wall := t0
	for len(raws) < n {
		i := rng.IntN(len(logs))
		l := logs[i]
		wall += rng.Int64N(120_000)
		kind, label, edits := KindEdit, "Rough-in: finished", []Edit{set("activity", "activity-"+count(rng.IntN(200)), fmt.Sprintf(`done=%d`, rng.IntN(101)), `finished="2027-04-06T16:30"`)}
		switch rng.IntN(20) {
		case 0:
			kind, label, edits = KindWay, "Electric away Tue 6", nil
			for range 30 {
				edits = append(edits, set("activity", "activity-"+count(rng.IntN(200)), fmt.Sprintf(`laid="2027-%02d-%02dT08:00"`, 4+rng.IntN(4), 1+rng.IntN(28))))
			}
		case 1, 2, 3:
			label, edits = "", []Edit{set("text", fmt.Sprintf("tomorrow/crew-%d/2027-04-%02d", rng.IntN(12), 1+rng.IntN(28)), `answer="yes"`, `kind="tomorrow"`, `crew="crew-7"`)}
		case 4:
			label, edits = "Note", []Edit{set("note", l.NextID(Device(i+1)), `said="Found the old drain under the slab, patched and photographed."`, `day="2027-04-06"`)}
		}
		raw, err := l.Write(Device(i+1), wall, kind, label, edits)
		if err != nil {
			panic(err)
		}
		raws = append(raws, raw)
		for _, other := range logs {
			other.Add(raw)
		}
	}
	return raws
}

func BenchmarkFold10000(b *testing.B) {
	raws := season(10_000)
	for b.Loop() {
		l := NewLog()
		if n, err := l.AddAll(raws); n != len(raws) || err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(len(l.State().Document())), "document-bytes")
	}
}

func BenchmarkPack10000(b *testing.B) {
	raws := season(10_000)
	l := NewLog()
	l.AddAll(raws)
	for b.Loop() {
		size, plain := 0, 0
		for _, m := range snapshotMessages(l.Ops(), 9, nil) {
			size += len(m)
		}
		for _, raw := range raws {
			plain += len(raw)
		}
		b.ReportMetric(float64(size), "wire-bytes")
		b.ReportMetric(float64(plain), "plain-bytes")
	}
}

func BenchmarkCatchUp10000(b *testing.B) {
	raws := season(10_000)
	l := NewLog()
	l.AddAll(raws)
	frames := snapshotMessages(l.Ops(), 9, nil)
	for b.Loop() {
		p, _ := OpenPhone("laundry", 9, Viewer, nil, nil)
		for _, f := range frames {
			if _, err := p.Receive(string(f)); err != nil {
				b.Fatal(err)
			}
		}
		p.Log.State().Document()
	}
}

func BenchmarkHubPush(b *testing.B) {
	raws := season(10_000)
	for b.Loop() {
		h := NewHub(HubStart{Site: "laundry", Epoch: "e1", Restored: true})
		h.Join(1, 9, Owner)
		h.Receive(1, []byte(`{"m":"hello","proto":1,"site":"laundry"}`), t0)
		for _, raw := range raws {
			w := h.Receive(1, append(append([]byte(`{"m":"push","ops":[`), raw...), "]}"...), t0)
			h.Stored(len(w.Store))
		}
	}
}

func BenchmarkUndoHead(b *testing.B) {
	l := NewLog()
	l.AddAll(season(10_000))
	for b.Loop() {
		l.LastAct(1)
	}
}

var _ json.RawMessage
