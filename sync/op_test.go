package opsync

import (
	"encoding/json"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write golden files that do not exist yet")

const goldenDir = "../testdata/wire/v1"

// golden compares got with a golden file. A file that is there is never written again.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join(goldenDir, name)
	had, err := os.ReadFile(file)
	if errors.Is(err, os.ErrNotExist) && *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if err != nil {
		t.Fatalf("%v (a new golden file is written with -update)", err)
	}
	if string(had) != got {
		t.Errorf("%s is a promise to every phone and server out there, and this is something else:\n%s\nwant\n%s", file, got, had)
	}
}

func lines(t *testing.T, name string) []string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(goldenDir, name))
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSuffix(string(b), "\n"), "\n")
}

// story is a short history with everything version 1 has in it.
func story(t *testing.T) *Log {
	hs := hands(t, 3)
	anna, ben, cleo := hs[0], hs[1], hs[2]
	anna.write(KindEdit, "New site", set("site", "site", `name="Old Laundry"`, `hours=[["08:00-12:00","12:30-16:30"]]`, `start="2027-04-01"`),
		set("crew", "electric", `name="Ruiz Electric"`, `trade="electric"`, `phone="+15035550101"`),
		set("activity", "rough-electric", `name="Rough-in"`, `crew="electric"`, `labour={"low":600,"typical":960,"high":1440}`),
		set("activity", "board", `name="Board \"1\"\tceiling & walls"`, `pos=2`), set("hold", "electrical", `name="Rough electrical"`, `notice=1`),
		set("link", "1.1", `from="rough-electric"`, `to="electrical"`), set("link", "1.1.1", `from="electrical"`, `to="board"`, `lag=-60`))
	meet(hs...)
	anna.write(KindEdit, "", set("crew", "electric", `phone="+15035550102"`, `email=null`))
	ben.off = -86_400_000 // Ben's clock is a day late
	ben.write(KindEdit, "Teléfono", set("crew", "electric", `phone="+15035550103"`))
	ben.write(KindWay, "Electric away Tue 6", fact(set("away", "2.2", `crew="electric"`, `from="2027-04-06"`, `to="2027-04-06"`)),
		set("activity", "rough-electric", `laid="2027-04-07T08:00"`))
	cleo.write(KindWay, "Board longer", fact(set("activity", "board", `labour={"typical":1920}`)), set("activity", "board", `laid="2027-04-15T08:00"`))
	meet(hs...)
	if _, err := anna.log.Again(1, t0+60_000, "Again: Electric away Tue 6", anna.log.State().StoodBack()[0]); err != nil {
		t.Fatal(err)
	}
	if _, err := anna.log.Choose(1, t0+61_000, "", "crew", "electric", "phone", OpID{2, 1}); err != nil {
		t.Fatal(err)
	}
	meet(hs...)
	last, _ := anna.log.LastAct(1)
	if _, err := anna.log.Undo(1, t0+62_000, "Undo", last.ID); err != nil {
		t.Fatal(err)
	}
	cleo.write("later", "A kind of act nobody knows yet", gone("activity", "board", true), set("sketch", "3.2", `by="Cleo"`, `scale=0.5`, `strokes=[[1,2],[3,4]]`))
	meet(hs...)
	return anna.log
}

func TestGoldenOperations(t *testing.T) { // SPEC O1-O3, O5, O6, G3
	log := story(t)
	var ops strings.Builder
	for _, o := range log.Ops() {
		ops.Write(o.Raw)
		ops.WriteByte('\n')
	}
	golden(t, "ops.txt", ops.String())
	golden(t, "ops.site.json", string(log.State().Document())+"\n")
	// And the old file opens, whatever is written today.
	old := NewLog()
	for _, raw := range lines(t, "ops.txt") {
		if _, err := old.Add([]byte(raw)); err != nil {
			t.Fatalf("%s: %v", raw, err)
		}
	}
	want(t, "site", string(old.State().Document())+"\n", strings.Join(lines(t, "ops.site.json"), "\n")+"\n")
}

// TestOneWayToWrite: each line of refused.txt is a code and what is refused with it.
func TestOneWayToWrite(t *testing.T) { // SPEC O1, O3, O4
	for _, line := range lines(t, "refused.txt") {
		code, raw, _ := strings.Cut(line, "\t")
		_, err := Decode([]byte(raw))
		if err == nil {
			t.Errorf("taken: %s", raw)
		} else if got := codeOf(err); got != code {
			t.Errorf("%s: %s (%v), want %s", raw, got, err, code)
		}
	}
}

func TestWhatIsReadIsWhatWasWritten(t *testing.T) { // SPEC O2
	for _, o := range story(t).Ops() {
		again := *o
		want(t, o.ID.String(), string(again.encode()), string(o.Raw))
	}
}

func TestCanonicalValues(t *testing.T) { // SPEC O1
	for in, out := range map[string]string{
		` { "b" : 1.50, "a" : [ true , null ] } `: `{"a":[true,null],"b":1.5}`,
		`"\u00e9\u0001\/\n\u2028"`:                `"é\u0001/\n` + "\u2028" + `"`,
		`1e3`:                                     `1000`, `-0`: `0`, `-0.0`: `0`, `12.5e-3`: `0.0125`, `0.10`: `0.1`, `1E+2`: `100`, `120e-1`: `12`, `-1.5e1`: `-15`,
		`"\ud800"`: "\"\uFFFD\"",
	} {
		got, err := Canonical([]byte(in))
		if err != nil {
			t.Errorf("%s: %v", in, err)
		}
		want(t, in, string(got), out)
		s := &scan{b: got}
		if _, err := s.value(0); err != nil || s.end() != nil {
			t.Errorf("%s is written and not read: %v", got, err)
		}
	}
	for _, in := range []string{``, `{`, `1 2`, `1e999`, `1e-99`, `[[[[[[[[[[1]]]]]]]]]]`, strings.Repeat("9", 60)} {
		if got, err := Canonical([]byte(in)); err == nil {
			t.Errorf("%s: taken as %s", in, got)
		}
	}
}

func TestLimitsAreSaidInASentence(t *testing.T) { // SPEC O4
	l := NewLog()
	many := make([]Edit, MaxEdits+1)
	for i := range many {
		many[i] = set("note", "n"+count(i), `said="x"`)
	}
	wide := Edit{Thing: "note", ID: "n", Set: map[string]json.RawMessage{}}
	for i := range MaxFields + 1 {
		wide.Set["f"+count(i)] = json.RawMessage("1")
	}
	for name, edits := range map[string][]Edit{
		"edits": many, "fields": {wide}, "value": {set("note", "n", `said="`+strings.Repeat("x", MaxValueBytes)+`"`)},
		"id": {set("note", strings.Repeat("n", MaxID+1), `said="x"`)}, "word": {set(strings.Repeat("n", MaxWord+1), "n", `said="x"`)},
		"depth": {set("note", "n", `said=[[[[[[[[[[1]]]]]]]]]]`)},
	} {
		_, err := l.Write(1, t0, KindEdit, "", edits)
		var r *Refusal
		if !errors.As(err, &r) || !strings.Contains(r.Say, " ") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if len(l.Ops()) != 0 {
		t.Error("something was written all the same")
	}
	raw, err := l.Write(1, t0, KindEdit, strings.Repeat("é", MaxLabel), []Edit{set("note", "n", `said="x"`)})
	if o, _ := Decode(raw); err != nil || len(o.Label) != MaxLabel {
		t.Errorf("a label is cut at a whole letter: %v", err)
	}
}

func TestALaterSchemaIsKeptAndPassedOn(t *testing.T) { // SPEC O7
	anna := NewLog()
	first, _ := anna.Write(1, t0, KindEdit, "", []Edit{set("site", "site", `name="Old Laundry"`)})
	later := `{"n":2,"d":1,"s":2,"t":[1806991260000,0],"p":"` + HashOf(first) + `","shape":{"new":[1,2,{"x":true}]}}`
	if _, err := anna.Add([]byte(later)); err != nil {
		t.Fatal(err)
	}
	if !anna.State().NeedsNewer() {
		t.Error("not noticed")
	}
	want(t, "the rest is there", string(anna.State().Document()), `{"format":1,"name":"Old Laundry"}`)
	want(t, "passed on", string(anna.Since(Vector{1: 1})[0]), later)
	p, err := OpenPhone("laundry", 1, Owner, nil, [][]byte{first, []byte(later)})
	if err != nil || p.ReadOnly() != WhySchema || p.Unsent() != 2 {
		t.Errorf("read-only %q, unsent %d, %v", p.ReadOnly(), p.Unsent(), err)
	}
	h := NewHub(HubStart{Site: "laundry", Epoch: "e"})
	join(h, 1, p, Owner)
	if p.Unsent() != 0 {
		t.Error("it does not hand in its log")
	}
}

func TestChainAndCause(t *testing.T) { // SPEC C1-C3, T2, T3
	hs := hands(t, 2)
	anna, ben := hs[0], hs[1]
	anna.edit(set("site", "site", `name="A"`))
	anna.edit(set("site", "site", `name="B"`))
	meet(anna, ben)
	ben.edit(set("site", "site", `name="C"`))
	ops := ben.log.Ops()
	l := NewLog()
	if _, err := l.Add(ops[1].Raw); !errors.Is(err, ErrGap) {
		t.Errorf("the second without the first: %v", err)
	}
	if _, err := l.Add(ops[2].Raw); !errors.Is(err, ErrGap) {
		t.Errorf("an effect without its cause: %v", err)
	}
	if added, err := l.Add(ops[0].Raw); !added || err != nil {
		t.Errorf("%v %v", added, err)
	}
	if added, err := l.Add(ops[0].Raw); added || err != nil {
		t.Errorf("the same again: %v %v", added, err)
	}
	for what, raw := range map[string]string{
		"another under the same number": strings.Replace(string(ops[0].Raw), `"A"`, `"X"`, 1),
		"another hash before":           strings.Replace(string(ops[1].Raw), ops[0].Hash, strings.Repeat("0", 32), 1),
	} {
		if _, err := l.Add([]byte(raw)); !errors.Is(err, ErrFork) {
			t.Errorf("%s: %v", what, err)
		}
	}
	stamp := ops[1].Stamp
	for _, bad := range []string{"[1806991200000,0]", "[" + count(int(stamp.Wall)) + ",1]", "[" + count(int(MaxWall)) + ",7]"} {
		raw := strings.Replace(string(ops[1].Raw), "["+count(int(stamp.Wall))+",0]", bad, 1)
		var r *Refusal
		if _, err := l.Add([]byte(raw)); !errors.As(err, &r) || r.Code != WhyStamp {
			t.Errorf("stamp %s after %v: %v", bad, ops[0].Stamp, err)
		}
	}
}

// TestTheQuickReaderReadsWhatTheSlowOneReads, or leaves it to that.
func TestTheQuickReaderReadsWhatTheSlowOneReads(t *testing.T) { // SPEC G4
	frames := []string{`{"m":"push","ops":[{}]}`, `{"m":"push","ops":[{},{}]}`, `{"m":"push","ops":[{"a":"}]\"{"},{"b":{"c":[{}]}}]}`,
		`{"m":"push","ops":[]}`, `{"m":"push","ops":[{}],"x":1}`, `{"m":"push","ops":[{},]}`, `{"m":"push","ops":[{} ]}`, `{"m":"push","ops":[1]}`,
		`{"m":"ops","ops":[}{]}`, `{"m":"ops","ops":["{}"]}`, `{"m":"ops","ops":[{"a":"\\"}]}`, `{"m":"ops","ops":[{"a":"\]}`}
	for _, line := range lines(t, "dialogue.txt") {
		frames = append(frames, line[10:])
	}
	for _, f := range frames {
		quick := opsAsWritten([]byte(f))
		if quick == nil {
			continue
		}
		slow := new(message)
		if err := json.Unmarshal([]byte(f), slow); err != nil {
			for _, raw := range quick.Ops { // then what it found are no operations
				if _, err := Decode(raw); err == nil {
					t.Errorf("%s: %s", f, raw)
				}
			}
			continue
		}
		if len(quick.Ops) != len(slow.Ops) || quick.M != slow.M {
			t.Errorf("%s: %d operations, not %d", f, len(quick.Ops), len(slow.Ops))
			continue
		}
		for i := range slow.Ops {
			want(t, f, string(quick.Ops[i]), string(slow.Ops[i]))
		}
	}
	if opsAsWritten([]byte(frames[2])) == nil {
		t.Error("the quick reader does not read the usual message")
	}
}
