package opsync

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"batterboard/schedule"
)

// The fuzz targets hold every decoder against bytes of strangers: nothing panics, nothing is read that
// would be written another way, and no site becomes unreadable.

func corpus(f *testing.F, name string, each func(line string)) {
	b, err := os.ReadFile(goldenDir + "/" + name)
	if err != nil {
		f.Fatal(err)
	}
	for _, line := range strings.Split(strings.TrimSpace(string(b)), "\n") {
		each(line)
	}
}

func FuzzDecode(f *testing.F) {
	corpus(f, "ops.txt", func(line string) { f.Add([]byte(line)) })
	corpus(f, "refused.txt", func(line string) { _, raw, _ := strings.Cut(line, "\t"); f.Add([]byte(raw)) })
	f.Fuzz(func(t *testing.T, raw []byte) {
		o, err := Decode(raw)
		if err != nil {
			return
		}
		if !json.Valid(raw) {
			t.Fatalf("taken and not JSON: %q", raw)
		}
		if o.Needs > Schema || !bytes.HasPrefix(raw, o.appendPrefix(nil)) {
			if o.Needs <= Schema {
				t.Fatalf("the head is written another way: %q", raw)
			}
			return
		}
		known := *o
		if again := known.encode(); len(again) == len(raw) && string(again) != string(raw) {
			t.Fatalf("read and written another way:\n%s\n%s", raw, again)
		}
	})
}

// FuzzSite puts a body of a stranger into a log of ours: the document stays one that opens.
func FuzzSite(f *testing.F) {
	corpus(f, "ops.txt", func(line string) {
		if i := strings.Index(line, `"b":`); i >= 0 {
			f.Add([]byte(line[i+4 : len(line)-1]))
		}
	})
	f.Add([]byte(`[{"thing":"activity","id":"a","set":{"NAME":1,"labour":{"typical":"x"}}}]`))
	f.Add([]byte(`[{"thing":"crews","id":"a","set":{"name":1}},{"thing":"hold","id":"board","set":{"name":"twice"}}]`))
	f.Fuzz(func(t *testing.T, body []byte) {
		l := NewLog()
		l.Write(1, t0, KindEdit, "", []Edit{set("activity", "board", `name="Board"`), set("link", "l", `from="board"`, `to="x"`)})
		raw := append([]byte(`{"d":2,"s":1,"t":[1806991300000,0],"p":"","v":[[1,1]],"k":"way","b":`), body...)
		if _, err := l.Add(append(raw, '}')); err != nil {
			return
		}
		s := l.State()
		if _, err := schedule.ParseSite(s.Document()); err != nil {
			t.Fatalf("%v\n%s\nmade by %s", err, s.Document(), body)
		}
		s.Clashes()
		s.Aside()
		s.Gone()
		if _, err := l.Undo(2, t0+200_000, "", OpID{2, 1}); err == nil {
			l.State().Document()
		}
	})
}

func FuzzFrame(f *testing.F) {
	corpus(f, "dialogue.txt", func(line string) { f.Add(line[10:]) })
	corpus(f, "seals.txt", func(line string) { f.Add(line[10:]) })
	corpus(f, "snapshot.json", func(line string) { f.Add(line) })
	var ops [][]byte
	corpus(f, "ops.txt", func(line string) { ops = append(ops, []byte(line)) })
	f.Fuzz(func(t *testing.T, frame string) {
		p, err := OpenPhone("laundry", 1, Owner, nil, ops)
		if err != nil {
			t.Fatal(err)
		}
		p.Connected()
		r, _ := p.Receive(frame)
		if r.Meta != nil {
			if _, err := OpenPhone("laundry", 1, "", r.Meta, append(ops, r.Store...)); err != nil {
				t.Fatalf("its notes do not open: %v", err)
			}
		}
		h := NewHub(sealedStart("e1", false))
		for _, raw := range ops {
			if err := h.Load(raw); err != nil {
				t.Fatal(err)
			}
		}
		h.Join(1, 1, Owner)
		h.Receive(1, []byte(frame), t0)
		h.Receive(1, []byte(`{"m":"hello","proto":1,"site":"laundry"}`), t0)
		w := h.Receive(1, []byte(frame), t0)
		for _, o := range w.Store {
			if o.ID.Device != 1 {
				t.Fatalf("taken as another's: %s", o.Raw)
			}
		}
		h.Stored(len(w.Store))
	})
}

func FuzzPacked(f *testing.F) {
	var ops []*Op
	corpus(f, "ops.txt", func(line string) { o, _ := Decode([]byte(line)); ops = append(ops, o) })
	p := packer{progress: newProgress()}
	for _, o := range ops {
		p.op(o)
	}
	f.Add(packedBytes(&p))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, b []byte) {
		ops, err := unpack(b, nil)
		if err != nil {
			return
		}
		for _, o := range ops {
			if again, err := Decode(o.Raw); err != nil || again.Hash != o.Hash {
				t.Fatalf("unpacked to what is no operation: %q", o.Raw)
			}
		}
	})
}

// packedBytes is a snapshot before deflating.
func packedBytes(p *packer) []byte {
	b := []byte{byte(p.n)}
	for _, c := range p.cols {
		n := len(c)
		for ; n >= 0x80; n >>= 7 {
			b = append(b, byte(n)|0x80)
		}
		b = append(append(b, byte(n)), c...)
	}
	return b
}

func FuzzDocument(f *testing.F) {
	corpus(f, "ops.site.json", func(line string) { f.Add([]byte(line)) })
	f.Add([]byte(`{"format":1,"crews":[{"id":"z","x":1e3},{"id":"y"}],"sketch":[{"id":"s"}]}`))
	f.Fuzz(func(t *testing.T, doc []byte) {
		edits, err := EditsFromDocument(doc)
		if err != nil || len(edits) == 0 {
			return
		}
		l := NewLog()
		for _, part := range SplitEdits(edits) {
			if _, err := l.Write(1, t0, KindEdit, "", part); err != nil {
				return // too large for one operation, say: refused with a sentence
			}
		}
		if _, err := schedule.ParseSite(l.State().Document()); err != nil {
			t.Fatalf("%v\n%s", err, l.State().Document())
		}
	})
}

func FuzzCanonical(f *testing.F) {
	for _, s := range []string{`1e5`, `-0.0010e+2`, `"\u2028\ud83d\ude00"`, `{"b":[{}],"a":null}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		c, err := Canonical(raw)
		if err != nil {
			return
		}
		s := &scan{b: c}
		if _, err := s.value(0); err != nil && len(c) <= MaxValueBytes || err == nil && s.end() != nil {
			t.Fatalf("written and not read: %s: %v", c, err)
		}
		if again, err := Canonical(c); err != nil || string(again) != string(c) {
			t.Fatalf("%s becomes %s, %v", c, again, err)
		}
	})
}
