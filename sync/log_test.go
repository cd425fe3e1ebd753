package opsync

import (
	"encoding/json"
	"strings"
	"testing"

	"batterboard/schedule"
)

// t0 is the morning of 2027-04-06 in milliseconds.
const t0 int64 = 1806991200000

// set makes an edit from "field=value" pairs; the values are JSON.
func set(thing, id string, pairs ...string) Edit {
	e := Edit{Thing: thing, ID: id, Set: map[string]json.RawMessage{}}
	for _, p := range pairs {
		name, value, _ := strings.Cut(p, "=")
		e.Set[name] = json.RawMessage(value)
	}
	return e
}

func gone(thing, id string, gone bool) Edit { return Edit{Thing: thing, ID: id, Gone: &gone} }

func fact(e Edit) Edit { e.Fact = true; return e }

// hand is one person's phone in these stories: a log, and a clock that may be off.
type hand struct {
	t     *testing.T
	log   *Log
	dev   Device
	clock *int64 // everybody's
	off   int64
}

func hands(t *testing.T, n int) []*hand {
	var list []*hand
	clock := t0
	for i := range n {
		list = append(list, &hand{t, NewLog(), Device(i + 1), &clock, 0})
	}
	return list
}

func (h *hand) write(kind, label string, edits ...Edit) OpID {
	h.t.Helper()
	*h.clock += 1000
	raw, err := h.log.Write(h.dev, *h.clock+h.off, kind, label, edits)
	if err != nil {
		h.t.Fatalf("%s: %v", label, err)
	}
	o, _ := Decode(raw)
	return o.ID
}

func (h *hand) edit(edits ...Edit) OpID { h.t.Helper(); return h.write(KindEdit, "", edits...) }

// meet lets hands tell each other everything.
func meet(hs ...*hand) {
	for range 2 {
		for _, a := range hs {
			for _, b := range hs {
				for _, raw := range a.log.Since(b.log.Seen()) {
					if _, err := b.log.Add(raw); err != nil {
						a.t.Helper()
						a.t.Fatalf("device %d takes from %d: %v", b.dev, a.dev, err)
					}
				}
			}
		}
	}
}

func (h *hand) field(thing, id, name string) string {
	return string(h.log.State().Fields(thing, id)[name])
}

func want(t *testing.T, what, got, want string) {
	t.Helper()
	if got != want {
		t.Errorf("%s:\n got %s\nwant %s", what, got, want)
	}
}

func same(t *testing.T, hs ...*hand) {
	t.Helper()
	for _, h := range hs[1:] {
		want(t, "documents differ", string(h.log.State().Document()), string(hs[0].log.State().Document()))
	}
}

func TestTwoPhonesChangeDifferentFieldsAndBothStand(t *testing.T) { // SPEC M1
	hs := hands(t, 2)
	anna, ben := hs[0], hs[1]
	anna.edit(set("activity", "board", `name="Board"`, `labour={"typical":960}`))
	meet(anna, ben)
	anna.edit(set("activity", "board", `place="room"`))
	ben.edit(set("activity", "board", `labour={"typical":1200}`))
	meet(anna, ben)
	same(t, anna, ben)
	want(t, "document", string(anna.log.State().Document()),
		`{"activities":[{"id":"board","labour":{"typical":1200},"name":"Board","place":"room"}],"format":1}`)
	if c := anna.log.State().Clashes(); len(c) != 0 {
		t.Errorf("clashes: %v", c)
	}
	if _, err := schedule.ParseSite(anna.log.State().Document()); err != nil {
		t.Error(err)
	}
}

func TestBothValuesOfAFieldAreShownUntilOneIsChosen(t *testing.T) { // SPEC M2, M3
	hs := hands(t, 2)
	anna, ben := hs[0], hs[1]
	anna.edit(set("crew", "electric", `name="Ruiz Electric"`))
	meet(anna, ben)
	a := anna.edit(set("crew", "electric", `phone="+15035550101"`))
	b := ben.edit(set("crew", "electric", `phone="+15035550102"`))
	meet(anna, ben)
	same(t, anna, ben)
	want(t, "the later stands", anna.field("crew", "electric", "phone"), `"+15035550102"`)
	c := ben.log.State().Clashes()
	if len(c) != 1 || c[0].Field != "phone" || len(c[0].Values) != 2 || c[0].Values[0].Op != b || c[0].Values[1].Op != a {
		t.Fatalf("clashes: %+v", c)
	}
	if _, err := ben.log.Choose(2, t0+9000, "phone", "crew", "electric", "phone", a); err != nil {
		t.Fatal(err)
	}
	meet(anna, ben)
	same(t, anna, ben)
	want(t, "the chosen stands", anna.field("crew", "electric", "phone"), `"+15035550101"`)
	if c := anna.log.State().Clashes(); len(c) != 0 {
		t.Errorf("clashes: %v", c)
	}
}

func TestAnAnswerIsAboutTheActsItWasAskedAbout(t *testing.T) {
	hs := hands(t, 3)
	anna, ben, carl := hs[0], hs[1], hs[2]
	anna.edit(set("activity", "paint", `name="Paint"`))
	meet(anna, ben, carl)
	a := anna.edit(set("activity", "paint", `place="hall"`, `hands=1`, `scope="one coat"`))
	ben.edit(set("activity", "paint", `place="room"`, `hands=2`))
	c := carl.edit(set("activity", "paint", `scope="two coats"`))
	meet(anna, ben, carl)
	if _, err := ben.log.Choose(2, t0+9000, "", "activity", "paint", "place", c); err != ErrNothing {
		t.Errorf("carl said nothing about the place: %v", err)
	}
	if _, err := ben.log.Choose(2, t0+9000, "", "activity", "paint", "place", a); err != nil {
		t.Fatal(err)
	}
	meet(anna, ben, carl)
	same(t, anna, ben, carl)
	want(t, "the place is chosen", anna.field("activity", "paint", "place"), `"hall"`)
	want(t, "so are the hands, of the same two acts", anna.field("activity", "paint", "hands"), `1`)
	want(t, "nobody was asked about the scope", anna.field("activity", "paint", "scope"), `"two coats"`)
	if c := anna.log.State().Clashes(); len(c) != 1 || c[0].Field != "scope" {
		t.Errorf("clashes: %+v", c)
	}
}

func TestAChangeBeatsARemovalThatDidNotKnowOfIt(t *testing.T) { // SPEC M4, M5
	hs := hands(t, 2)
	anna, ben := hs[0], hs[1]
	anna.edit(set("activity", "paint", `name="Paint"`), set("activity", "tape", `name="Tape"`))
	meet(anna, ben)
	removal := anna.edit(gone("activity", "paint", true), gone("activity", "tape", true))
	ben.edit(set("activity", "paint", `scope="two coats"`), set("activity", "tape", `laid="2027-04-12T08:00"`))
	meet(anna, ben)
	same(t, anna, ben)
	s := anna.log.State()
	if !s.Has("activity", "paint") || s.Has("activity", "tape") {
		t.Errorf("paint there: %v, tape there: %v", s.Has("activity", "paint"), s.Has("activity", "tape"))
	}
	if g := s.Gone(); len(g) != 1 || g[0].Name != "Tape" || g[0].Op != removal {
		t.Errorf("removed: %+v", g)
	}
	c := s.Clashes()
	if len(c) != 1 || c[0].Field != "gone" || c[0].Values[1].Op != removal {
		t.Fatalf("clashes: %+v", c)
	}
	if _, err := anna.log.Choose(1, t0+9000, "", "activity", "paint", "gone", removal); err != nil {
		t.Fatal(err)
	}
	if anna.log.State().Has("activity", "paint") {
		t.Error("chosen to be removed, and still there")
	}
	meet(anna, ben)
	ben.edit(gone("activity", "paint", false))
	want(t, "restored with all its fields", ben.field("activity", "paint", "scope"), `"two coats"`)
}

func TestOfTwoWaysTakenAtOnceTheLaterStandsAndTheEarlierIsOneTapAway(t *testing.T) { // SPEC W1, W3, W4
	hs := hands(t, 2)
	anna, ben := hs[0], hs[1]
	anna.edit(set("activity", "a", `name="A"`, `laid="2027-04-06T08:00"`), set("activity", "b", `name="B"`, `laid="2027-04-07T08:00"`))
	meet(anna, ben)
	w1 := anna.write(KindWay, "electric away", fact(set("away", "1.2", `crew="electric"`, `from="2027-04-06"`, `to="2027-04-06"`)),
		set("activity", "a", `laid="2027-04-08T08:00"`), set("opening", "1.2.1", `crew="board"`, `day="2027-04-10"`))
	w2 := ben.write(KindWay, "board longer", set("activity", "b", `laid="2027-04-09T08:00"`))
	meet(anna, ben)
	same(t, anna, ben)
	s := anna.log.State()
	want(t, "the earlier way's laid stands back", anna.field("activity", "a", "laid"), `"2027-04-06T08:00"`)
	want(t, "the later way stands", anna.field("activity", "b", "laid"), `"2027-04-09T08:00"`)
	if s.Has("opening", "1.2.1") || !s.Has("away", "1.2") {
		t.Errorf("opening %v, away %v: the fact stays, the answer does not", s.Has("opening", "1.2.1"), s.Has("away", "1.2"))
	}
	if back := s.StoodBack(); len(back) != 1 || back[0] != w1 {
		t.Fatalf("stood back: %v, want %v (not %v)", back, w1, w2)
	}
	if _, err := ben.log.Again(2, t0+9000, "again", w1); err != nil {
		t.Fatal(err)
	}
	meet(anna, ben)
	same(t, anna, ben)
	want(t, "taken again", anna.field("activity", "a", "laid"), `"2027-04-08T08:00"`)
	want(t, "the other still stands", anna.field("activity", "b", "laid"), `"2027-04-09T08:00"`)
	if back := anna.log.State().StoodBack(); len(back) != 0 {
		t.Errorf("stood back: %v", back)
	}
}

func TestAWayTakenKnowingAnotherDoesNotStandBackWithAThird(t *testing.T) { // SPEC W2
	hs := hands(t, 3)
	anna, ben, cleo := hs[0], hs[1], hs[2]
	anna.edit(set("activity", "a", `name="A"`))
	meet(hs...)
	anna.write(KindWay, "first", set("activity", "a", `hands=1`))
	meet(anna, cleo)
	w2 := ben.write(KindWay, "second", set("activity", "a", `hands=2`))
	cleo.write(KindWay, "third", set("activity", "a", `whole=true`))
	meet(hs...)
	same(t, hs...)
	want(t, "the first stands, as the third was taken on top of it", anna.field("activity", "a", "hands"), "1")
	if back := anna.log.State().StoodBack(); len(back) != 1 || back[0] != w2 {
		t.Errorf("stood back: %v", back)
	}
}

func TestALinkThatWouldCloseACircleIsSetAsideAndNamed(t *testing.T) { // SPEC L1, L2
	hs := hands(t, 2)
	anna, ben := hs[0], hs[1]
	anna.edit(set("activity", "a", `name="A"`), set("activity", "b", `name="B"`), set("activity", "c", `name="C"`),
		set("link", "ab", `from="a"`, `to="b"`))
	meet(anna, ben)
	anna.edit(set("link", "bc", `from="b"`, `to="c"`))
	ben.edit(set("link", "ca", `from="c"`, `to="a"`))
	meet(anna, ben)
	same(t, anna, ben)
	aside := anna.log.State().Aside()
	if len(aside) != 1 || aside[0].ID != "ca" || strings.Join(aside[0].Circle, " ") != "a b c" {
		t.Fatalf("aside: %+v", aside)
	}
	want(t, "document", string(anna.log.State().Document()), `{"activities":[{"id":"a","name":"A"},{"id":"b","name":"B"},{"id":"c","name":"C"}],"format":1,`+
		`"links":[{"from":"a","id":"ab","to":"b"},{"from":"b","id":"bc","to":"c"}],"linksAside":[{"from":"c","id":"ca","to":"a"}]}`)
	anna.edit(gone("link", "ab", true))
	if len(anna.log.State().Aside()) != 0 {
		t.Error("the circle is open, and the link is still aside")
	}
}

func TestUndoTakesBackOnlyWhatStillStands(t *testing.T) { // SPEC U1, U2
	hs := hands(t, 2)
	anna, ben := hs[0], hs[1]
	anna.edit(set("activity", "a", `name="A"`, `hands=1`, `place="room"`), set("activity", "b", `name="B"`))
	meet(anna, ben)
	act := anna.edit(set("activity", "a", `hands=3`, `place="yard"`), gone("activity", "b", true), set("crew", "new", `name="New"`))
	meet(anna, ben)
	ben.edit(set("activity", "a", `hands=2`))
	meet(anna, ben)
	if o, ok := anna.log.LastAct(1); !ok || o.ID != act {
		t.Fatal("the last act is not the one to undo")
	}
	if _, err := anna.log.Undo(1, t0+20000, "", act); err != nil {
		t.Fatal(err)
	}
	meet(anna, ben)
	same(t, anna, ben)
	want(t, "document", string(ben.log.State().Document()), `{"activities":[{"hands":2,"id":"a","name":"A","place":"room"},{"id":"b","name":"B"}],"format":1}`)
	if !ben.log.Undone(act) {
		t.Error("not marked as undone")
	}
	ops := anna.log.Ops()
	if _, err := anna.log.Undo(1, t0+30000, "", ops[len(ops)-1].ID); err != nil {
		t.Fatal(err)
	}
	want(t, "undo of the undo", string(anna.log.State().Document()), `{"activities":[{"hands":2,"id":"a","name":"A","place":"yard"}],"crews":[{"id":"new","name":"New"}],"format":1}`)
}

func TestOneStepBackAfterAnother(t *testing.T) { // SPEC U1, U2
	const home = `{"activities":[{"hands":%s,"id":"a"}],"format":1}`
	anna := NewLog()
	write := func(dev Device, at int64, n string) {
		t.Helper()
		if _, err := anna.Write(dev, t0+at, KindEdit, "", []Edit{set("activity", "a", "hands="+n)}); err != nil {
			t.Fatal(err)
		}
	}
	for i, n := range []string{"1", "2", "3"} {
		write(1, int64(i), n)
	}
	back := func(at int64, left string) {
		t.Helper()
		o, ok := anna.LastAct(1)
		if !ok {
			t.Fatalf("nothing to take back before %s", left)
		}
		if _, err := anna.Undo(1, t0+at, "", o.ID); err != nil {
			t.Fatal(err)
		}
		want(t, "hands", string(anna.State().Document()), strings.Replace(home, "%s", left, 1))
	}
	back(100, "2")
	back(200, "1")
	// What Ben writes in between is his: nobody steps back over it.
	write(2, 300, "5")
	write(1, 400, "6")
	back(500, "5")
	if o, ok := anna.LastAct(1); ok {
		t.Errorf("still to be taken back: %s, and Ben has written over it", o.ID)
	}
}

func TestUndoOfAnAddLeavesWhatAnotherPhoneHasWorkedOnSince(t *testing.T) { // SPEC U3
	hs := hands(t, 2)
	anna, ben := hs[0], hs[1]
	add := anna.edit(set("crew", "x", `name="X"`), set("crew", "y", `name="Y"`))
	anna.edit(set("crew", "x", `size=2`))
	meet(anna, ben)
	ben.edit(set("crew", "y", `phone="+15035550101"`))
	meet(anna, ben)
	anna.log.Undo(1, t0+9000, "", add)
	want(t, "document", string(anna.log.State().Document()), `{"crews":[{"id":"y","name":"Y","phone":"+15035550101"}],"format":1}`)
}

func TestAClockWrongByYearsLocksNobodyOut(t *testing.T) { // SPEC T1-T4
	hs := hands(t, 3)
	anna, ben, cleo := hs[0], hs[1], hs[2]
	ben.off = 4102444800000 * 3 // in the 24th century
	cleo.off = -t0              // 1970
	anna.edit(set("site", "site", `name="Old Laundry"`))
	meet(hs...)
	ben.edit(set("site", "", `name="Ben was here"`))
	meet(hs...)
	cleo.edit(set("site", "site", `name="Cleo after Ben"`))
	meet(hs...)
	want(t, "knowing it, Cleo writes over it", anna.field("site", "site", "name"), `"Cleo after Ben"`)
	anna.edit(set("site", "site", `name="Anna after Cleo"`))
	meet(hs...)
	same(t, hs...)
	want(t, "and so does Anna", cleo.field("site", "site", "name"), `"Anna after Cleo"`)
	last := anna.log.Ops()[3]
	if last.Stamp.Wall != MaxWall || last.Wall != *anna.clock {
		t.Errorf("stamp %v, own clock %d", last.Stamp, last.Wall)
	}
}
