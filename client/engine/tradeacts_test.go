package engine

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"batterboard/client/engine/trade"
	"batterboard/schedule"
	"batterboard/schedule/check"
	opsync "batterboard/sync"
)

func raw(v any) json.RawMessage { return value(v) }

// feasible holds the plan on the screen against the independent checker.
func feasible(t *testing.T, e *Engine) {
	t.Helper()
	for _, f := range check.Plan(e.site, e.sheet.plan) {
		t.Errorf("the plan breaks: %v", f)
	}
}

func refused(t *testing.T, e *Engine, r Request, with string) {
	t.Helper()
	if v := do(t, e, r).View; v == nil || !strings.Contains(v.Refused, with) {
		t.Errorf("%s was not refused with %q: %+v", r.Do, with, v)
	}
}

func said(t *testing.T, e *Engine, r Request) *View {
	t.Helper()
	v := do(t, e, r).View
	if v != nil && v.Refused != "" {
		t.Fatalf("%s: refused: %s", r.Do, v.Refused)
	}
	return v
}

func air(tenthsC, humidity int) map[string]json.RawMessage {
	return map[string]json.RawMessage{"of": raw("air"), "place": raw("classroom"), "temp": raw(tenthsC), "humidity": raw(humidity)}
}

// A reading moves nothing by itself. Taken over, it is one act: the waits change, the plan with them, the
// checker agrees, and undo gives the old plan back. Worked case E01: 60 F and 50 % give a day a coat (from
// memory, a board maker's table).
func TestReadingChangesWaitsWhenTaken(t *testing.T) {
	e := openDemo(t, "en")
	do(t, e, Request{Do: "show", Screen: "today"})
	plan, lag := e.sheet.plan.Finish, e.site.Link("tape-1.tape-2").Lag
	v := said(t, e, Request{Do: "reading", Fields: air(156, 50), Screen: "readings"})
	if e.sheet.plan.Finish != plan || e.site.Link("tape-1.tape-2").Lag != lag {
		t.Fatal("a reading moved the plan by itself")
	}
	if v.Readings.Differ != 3 || !strings.Contains(v.Said, "3 waits") || !strings.Contains(v.Readings.Effect, "finish") {
		t.Errorf("%d differ, said %q, effect %q", v.Readings.Differ, v.Said, v.Readings.Effect)
	}
	if acts := show(t, e, "today", "").Today.Acts; !slices.ContainsFunc(acts, func(a Act) bool { return a.Kind == "waits" }) {
		t.Error("Today does not lead to the readings")
	}
	said(t, e, Request{Do: "waits", Screen: "readings"})
	for _, id := range []string{"tape-1.tape-2", "tape-2.tape-3", "tape-3.sand"} {
		if k := e.site.Link(id); k.Lag != 24*60 || !k.Clock {
			t.Errorf("%s waits %d min, want a day", id, k.Lag)
		}
	}
	if e.sheet.plan.Finish < plan {
		t.Error("a colder room finishes sooner")
	}
	feasible(t, e)
	do(t, e, Request{Do: "undo"})
	if e.site.Link("tape-1.tape-2").Lag != lag || e.sheet.plan.Finish != plan {
		t.Error("undo does not bring the old waits back")
	}
	if v := show(t, e, "readings", ""); len(v.Readings.Readings) != 3 {
		t.Error("the reading itself went with the waits")
	}
}

// As a question for ways it is taken like any other change, and the crews that move hear of it.
func TestWaitsAsWays(t *testing.T) {
	e := openDemo(t, "en")
	refused(t, e, Request{Do: "ways", Change: &Change{Kind: "waits"}}, "already waits")
	said(t, e, Request{Do: "reading", Fields: air(100, 80)})
	v := said(t, e, Request{Do: "ways", Change: &Change{Kind: "waits"}, Screen: "ways"})
	if len(v.Ways.Cards) == 0 {
		t.Fatal("no way through")
	}
	said(t, e, Request{Do: "take", Token: v.Ways.Token, Key: v.Ways.Cards[0].Key, Screen: "today"})
	if k := e.site.Link("tape-1.tape-2"); k.Lag <= 870 {
		t.Errorf("the way left the wait at %d min", k.Lag)
	}
	feasible(t, e)
}

// A crew that was told its days hears of it when a reading moves them.
func TestReadingDraftsTexts(t *testing.T) {
	e := openDemo(t, "en")
	said(t, e, Request{Do: "book", ID: "prime", Key: "firm"})
	was := show(t, e, "today", "").Head.TextsDue
	said(t, e, Request{Do: "reading", Fields: air(100, 85)})
	if now := show(t, e, "today", "").Head.TextsDue; now != was {
		t.Errorf("a reading alone drafts %d texts", now-was)
	}
	said(t, e, Request{Do: "waits"})
	if now := show(t, e, "today", "").Head.TextsDue; now <= was {
		t.Errorf("%d texts are due, as before", now)
	}
}

// Whatever the meter says, drier and warmer air never lengthens a wait of the plan, and never moves the
// finish that follows from it later. Sixty pairs of readings.
func TestDrierNeverLater(t *testing.T) {
	finish := func(tenthsC, humidity int) (schedule.Minute, int32) {
		e := openDemo(t, "en")
		said(t, e, Request{Do: "reading", Fields: air(tenthsC, humidity)})
		do(t, e, Request{Do: "waits"})
		return e.sheet.plan.Finish, e.site.Link("tape-1.tape-2").Lag
	}
	for _, c := range []int{60, 150, 220, 300} {
		was, lagWas := finish(c, 25)
		for h := 40; h <= 85; h += 15 {
			now, lag := finish(c, h)
			if lag < lagWas || now < was {
				t.Errorf("at %d tenths C and %d %%: %d min and %v, drier it was %d min and %v", c, h, lag, now, lagWas, was)
			}
			was, lagWas = now, lag
		}
	}
}

func TestReadingsAreChecked(t *testing.T) {
	e := openDemo(t, "en")
	for _, c := range []struct {
		fields map[string]json.RawMessage
		says   string
	}{
		{map[string]json.RawMessage{"of": raw("fog"), "humidity": raw(50)}, "Say what was measured"},
		{map[string]json.RawMessage{"of": raw("wood")}, "no figure"},
		{map[string]json.RawMessage{"of": raw("air"), "temp": raw(200)}, "both its warmth"},
		{air(200, 101), "No meter"}, {air(-500, 50), "No meter"}, {air(700, 50), "No meter"},
		{map[string]json.RawMessage{"of": raw("wood"), "moisture": raw(1001)}, "No meter"},
		{map[string]json.RawMessage{"of": raw("wood"), "moisture": raw(90), "place": raw("nowhere")}, "not on this site"},
		{map[string]json.RawMessage{"of": raw("wood"), "moisture": raw(90), "at": raw("2027-04-07T08:00")}, "has not come yet"},
		{map[string]json.RawMessage{"of": raw("wood"), "moisture": raw("wet")}, "does not fit “moisture”"},
		{map[string]json.RawMessage{"of": raw("wood"), "moisture": raw(90), "kind": raw("x")}, "no field"},
	} {
		refused(t, e, Request{Do: "reading", Fields: c.fields}, c.says)
	}
	if n := len(e.site.Readings); n != 2 {
		t.Errorf("%d readings kept", n)
	}
}

// Limits of readings: 50 F for taping (ASTM C840 as restated), 19 % for framing (ORSC R318.2), 4 and 2 points
// between boards and subfloor (NWFA as restated).
func TestReadingChecks(t *testing.T) {
	e := openDemo(t, "en")
	has := func(want string) {
		t.Helper()
		if got := show(t, e, "readings", "").Readings.Checks; !slices.ContainsFunc(got, func(s string) bool { return strings.Contains(s, want) }) {
			t.Errorf("no check says %q: %q", want, got)
		}
	}
	if got := show(t, e, "readings", "").Readings.Checks; len(got) != 0 {
		t.Errorf("a warm, dry room is questioned: %q", got)
	}
	said(t, e, Request{Do: "reading", Fields: air(70, 50)}) // 45 F
	has("45 °F")
	said(t, e, Request{Do: "reading", Fields: map[string]json.RawMessage{"of": raw("framing"), "moisture": raw(210)}})
	has("21 %")
	said(t, e, Request{Do: "reading", Fields: map[string]json.RawMessage{"of": raw("subfloor"), "moisture": raw(120)}})
	said(t, e, Request{Do: "reading", Fields: map[string]json.RawMessage{"of": raw("wood"), "moisture": raw(70)}})
	has("5 points apart. Strip")
	said(t, e, Request{Do: "reading", Fields: map[string]json.RawMessage{"of": raw("wood"), "moisture": raw(90)}, Now: demoNow + 1})
	has("3 points apart. That is enough for narrow strips")
	said(t, e, Request{Do: "reading", Fields: map[string]json.RawMessage{"of": raw("wood"), "moisture": raw(105)}, Now: demoNow + 2})
	has("settled")
}

// Setting-type compound does not mind the air; a wait that the owner makes his own is not asked about again.
func TestWaitOfOnesOwn(t *testing.T) {
	e := openDemo(t, "en")
	said(t, e, Request{Do: "reading", Fields: air(100, 80)})
	said(t, e, Request{Do: "waits", ID: "tape-1.tape-2", Key: "setting"})
	said(t, e, Request{Do: "waits", ID: "tape-2.tape-3", Key: "own"})
	if k := e.site.Link("tape-1.tape-2"); k.Wait != trade.CoatSetting || k.Lag != 120 {
		t.Errorf("%+v", k)
	}
	if n := show(t, e, "readings", "").Readings.Differ; n != 2 { // the last coat and the primer remain
		t.Errorf("%d waits differ", n)
	}
	refused(t, e, Request{Do: "waits", ID: "no-such-link"}, "not there any more")
	// A link that is given a wait by hand takes its time along.
	said(t, e, Request{Do: "edit", Kind: "link", ID: "tape-2.tape-3", Fields: map[string]json.RawMessage{"wait": raw("plank-settles")}})
	if k := e.site.Link("tape-2.tape-3"); k.Lag != 2880 || !k.Clock {
		t.Errorf("%+v", k)
	}
}

// Goods: the take-off is written on the order, what is ordered stays, a new order comes in front of its work.
func TestTakeOff(t *testing.T) {
	e := openDemo(t, "en")
	v := said(t, e, Request{Do: "takeoff", ID: "board-goods", Screen: "orders"})
	o := e.site.Order("board-goods")
	if !strings.HasPrefix(o.Quantity, "36 sheets 4 × 8 ft, layer 1, 36 sheets") || o.WeightKg < 3400 || o.WeightKg > 3600 {
		t.Errorf("%q, %d kg", o.Quantity, o.WeightKg)
	}
	if len(v.Orders.Needs) < 8 {
		t.Errorf("%d orders in the take-off", len(v.Orders.Needs))
	}
	refused(t, e, Request{Do: "takeoff", ID: "clips"}, "ordered or here")
	refused(t, e, Request{Do: "takeoff", ID: "no-such"}, "needs none")
	said(t, e, Request{Do: "takeoff", ID: "batts"})
	if o := e.site.Order("insulation-goods"); o == nil || o.Gate != "framing" || o.Lead != 3 || !e.sheet.inFront("insulation-goods", "batts") {
		t.Errorf("%+v", o)
	}
	said(t, e, Request{Do: "takeoff", ID: "paint-goods"})
	if o := e.site.Order("paint-goods"); o == nil || len(e.sheet.from["paint-goods"]) != 1 || e.sheet.from["paint-goods"][0].To != "prime" {
		t.Errorf("%+v %+v", o, e.sheet.from["paint-goods"])
	}
	feasible(t, e)
}

// Goods are not firm before the gate that could cancel them: held, then firm when the visit has passed.
func TestGoodsWaitForTheirGate(t *testing.T) {
	e := openDemo(t, "en")
	said(t, e, Request{Do: "edit", Kind: "order", ID: "board-goods", Fields: map[string]json.RawMessage{"gate": raw("framing")}})
	refused(t, e, Request{Do: "order", ID: "board-goods", From: day("2027-04-12")}, "not ordered firm before Framing")
	refused(t, e, Request{Do: "edit", Kind: "order", ID: "board-goods", Fields: map[string]json.RawMessage{"ordered": raw("2027-04-06")}}, "not ordered firm before Framing")
	refused(t, e, Request{Do: "edit", Kind: "order", ID: "board-goods", Fields: map[string]json.RawMessage{"due": raw("2027-04-16")}}, "not ordered firm before Framing")
	refused(t, e, Request{Do: "ways", Change: &Change{Kind: "slip", ID: "board-goods", From: day("2027-04-16")}}, "not ordered firm before Framing")
	said(t, e, Request{Do: "edit", Kind: "order", ID: "board-goods", Fields: map[string]json.RawMessage{"supplier": raw("Another Yard")}})
	line := func() OrderLine {
		for _, o := range show(t, e, "orders", "").Orders.Orders {
			if o.ID == "board-goods" {
				return o
			}
		}
		return OrderLine{}
	}
	if l := line(); l.Next != "reserve" || !strings.Contains(l.Gate, "Framing") {
		t.Errorf("%+v", l)
	}
	said(t, e, Request{Do: "reserve", ID: "board-goods"})
	if l := line(); l.State != "reserved" || e.site.Order("board-goods").Ordered != 0 {
		t.Errorf("%+v", l)
	}
	firm := func() bool {
		return slices.ContainsFunc(show(t, e, "today", "").Today.Acts, func(a Act) bool { return a.Kind == "firm" && a.On == "board-goods" })
	}
	if firm() {
		t.Error("asked to make it firm while the gate is shut")
	}
	said(t, e, Request{Do: "result", ID: "framing", Key: "pass"})
	if !firm() {
		t.Error("the gate is open, and Today does not say so")
	}
	said(t, e, Request{Do: "order", ID: "board-goods", From: day("2027-04-12")})
	if e.site.Order("board-goods").Ordered == 0 || firm() {
		t.Error("not firm")
	}
}

// Big goods come in before the wide opening is closed; one tap ties them to it.
func TestWideGoods(t *testing.T) {
	e := openDemo(t, "en")
	said(t, e, Request{Do: "edit", Kind: "activity", ID: "vent-patch", Fields: map[string]json.RawMessage{"closes": raw(true)}})
	said(t, e, Request{Do: "edit", Kind: "order", ID: "board-goods", Fields: map[string]json.RawMessage{"wide": raw(true)}})
	v := show(t, e, "orders", "board-goods").Orders.Orders[0]
	if v.InBefore != "vent-patch" || !strings.Contains(strings.Join(v.Heeds, " "), "wide opening") {
		t.Errorf("%+v", v)
	}
	said(t, e, Request{Do: "add", Kind: "link", Fields: map[string]json.RawMessage{"from": raw("board-goods"), "to": raw("vent-patch")}})
	if a, o := e.sheet.lines["vent-patch"], e.sheet.lines["board-goods"]; a.Start < o.Start {
		t.Errorf("closed %v, goods %v", a.Start, o.Start)
	}
	feasible(t, e)
}

// E07: 88 sheets of 5/8 in weigh 6,195 lb; on a wood floor of 40 lb a square foot they want 155 sq ft, and no
// flat stack over 18 sheets; a slab on the ground has no such limit.
func TestWhereGoodsStand(t *testing.T) {
	e := openDemo(t, "en")
	said(t, e, Request{Do: "edit", Kind: "order", ID: "board-goods", Fields: map[string]json.RawMessage{"weightKg": raw(2810)}})
	heeds := func() string { return strings.Join(show(t, e, "orders", "board-goods").Orders.Orders[0].Heeds, " ") }
	if strings.Contains(heeds(), "lb a square foot") {
		t.Errorf("a slab has no limit: %s", heeds())
	}
	said(t, e, Request{Do: "edit", Kind: "place", ID: "classroom", Fields: map[string]json.RawMessage{"floor": raw("wood")}})
	if h := heeds(); !strings.Contains(h, "155 sq ft") || !strings.Contains(h, "more than 18 sheets") {
		t.Errorf("%s", h)
	}
	said(t, e, Request{Do: "edit", Kind: "order", ID: "board-goods", Fields: map[string]json.RawMessage{"stands": raw(nil)}})
	if h := heeds(); !strings.Contains(h, "where it stands") {
		t.Errorf("%s", h)
	}
}

// A habit shows what it would change, changes just that, leaves what was signed, and goes back with undo.
func TestHabits(t *testing.T) {
	e := openDemo(t, "en")
	do(t, e, Request{Do: "show", Screen: "today"})
	was := string(e.doc)
	want := map[string]json.RawMessage{"profile": raw("one-visit"), "board": raw("off"), "edition": raw("ibc2021")}
	v := said(t, e, Request{Do: "show", Screen: "rules", Fields: want}).Rules
	if v.Same || len(v.Changes) < 3 || !strings.Contains(strings.Join(v.Changes, " "), "No longer: Board screws") || !strings.Contains(strings.Join(v.Changes, " "), "110.3.4") {
		t.Errorf("%q", v.Changes)
	}
	if string(e.doc) != was {
		t.Fatal("a look changed the site")
	}
	before := map[string]schedule.Hold{}
	for _, h := range e.site.Holds {
		before[h.ID] = h
	}
	said(t, e, Request{Do: "rules", Fields: want, Screen: "rules"})
	for id, h := range before {
		if h.CalledIn == 0 && h.Result == schedule.NoResult {
			continue
		}
		if now := e.site.Hold(id); now == nil || string(raw(now)) != string(raw(h)) {
			t.Errorf("%s was signed or called in, and is another now", id)
		}
	}
	if e.site.Hold("board-screws") != nil || e.site.Hold("rough-electrical") != nil || e.site.Profile != "one-visit" {
		t.Error("the habit was not taken")
	}
	if v := said(t, e, Request{Do: "show", Screen: "rules"}).Rules; !v.Same || v.Chosen.Board != "off" {
		t.Errorf("%+v", v.Chosen)
	}
	feasible(t, e)
	do(t, e, Request{Do: "undo"})
	if string(e.doc) != was {
		t.Errorf("undone, it is another site: %s\n%s", was, e.doc)
	}
	said(t, e, Request{Do: "rules", Fields: want})
	// And to another: the hold points that were gone come back as the same things.
	said(t, e, Request{Do: "rules", Fields: map[string]json.RawMessage{"profile": raw("every-board"), "board": json.RawMessage(`""`)}})
	if e.site.Hold("board-screws") == nil || e.site.Hold("rough-electrical") == nil {
		t.Error("the hold points do not come back")
	}
	feasible(t, e)
	refused(t, e, Request{Do: "rules", Fields: map[string]json.RawMessage{"profile": raw("the-moon")}}, "no habit we know")
	said(t, e, Request{Do: "rules", ID: "base-layer"})
	if h := e.site.Hold("base-layer"); h == nil || !e.sheet.inFront("base-layer", "board-2") {
		t.Errorf("%+v", h)
	}
	refused(t, e, Request{Do: "rules", ID: "base-layer"}, "not there any more")
}

// E18: rough electrical fails on a Tuesday. Framing, insulation, channel, board and tape stay blocked; the
// second visit is one working day after the fix and a new call at the earliest (ADM-2, ADM-3, IRC R109.1.2,
// R109.1.4, R109.4).
func TestFailedOnATuesday(t *testing.T) {
	e := openDemo(t, "en")
	tuesday := at("2027-04-13T10:00")
	for _, id := range []string{"frame-ceiling", "rough-electric", "data-cables", "vent-patch", "fireblock"} {
		said(t, e, Request{Do: "ack", ID: id, Name: "Marit", Now: tuesday})
		said(t, e, Request{Do: "finish", ID: id, At: at("2027-04-12T16:30"), Now: tuesday})
	}
	said(t, e, Request{Do: "callIn", ID: "rough-electrical", At: tuesday, Now: tuesday})
	said(t, e, Request{Do: "result", ID: "rough-electrical", Key: "fail", Said: "two boxes without plates", Now: tuesday})
	s := e.sheet
	visit := s.lines["rough-electrical"].Start
	var fix *schedule.Activity
	for _, k := range s.into["rough-electrical"] {
		if a := s.acts[k.From]; a != nil && strings.HasPrefix(a.Name, "Fix") {
			fix = a
		}
	}
	if fix == nil || visit.Day() < day("2027-04-14") || visit < s.lines[fix.ID].Finish {
		t.Fatalf("second visit %v, fix %+v", visit, fix)
	}
	for _, id := range []string{"framing", "insulation", "channel-ceiling", "board-ceiling-1", "tape-1"} {
		if s.lines[id].Start < s.lines["rough-electrical"].Finish {
			t.Errorf("%s starts %v, before the second visit %v", id, s.lines[id].Start, visit)
		}
	}
	feasible(t, e)
}

// Walls pass one by one: what passed is named, the rest stays shut, and the crew may go ahead where it may.
func TestPartsPass(t *testing.T) {
	e := openDemo(t, "en")
	friday := at("2027-04-16T10:00")
	for _, id := range []string{"frame-ceiling", "rough-electric", "data-cables", "vent-patch", "fireblock", "photos", "dry-check", "batts"} {
		said(t, e, Request{Do: "ack", ID: id, Name: "Marit", Now: friday})
		said(t, e, Request{Do: "finish", ID: id, At: at("2027-04-15T16:30"), Now: friday})
	}
	for _, id := range []string{"rough-electrical", "framing"} {
		said(t, e, Request{Do: "result", ID: id, Key: "pass", Now: friday})
	}
	hours := e.sheet.acts["channel-ceiling"].Labour.Typical
	refused(t, e, Request{Do: "result", ID: "insulation", Key: "partial", Fields: map[string]json.RawMessage{"passed": raw([]string{"Roof"})}, Now: friday}, "which parts")
	v := said(t, e, Request{Do: "result", ID: "insulation", Key: "partial", Said: "gap at the south wall",
		Fields: map[string]json.RawMessage{"passed": raw([]string{"Ceiling", "North wall", "Gables"}), "ahead": raw(true)}, Now: friday})
	if !strings.Contains(v.Said, "Passed: North wall, Gables and Ceiling. Still shut: South wall.") {
		t.Errorf("said %q", v.Said)
	}
	h := e.site.Hold("insulation")
	if strings.Join(h.Passed, ",") != "North wall,Gables,Ceiling" || h.Result != schedule.Partial {
		t.Errorf("%+v", h)
	}
	var line HoldLine
	for _, l := range do(t, e, Request{Do: "show", Screen: "holds", For: "board-ceiling-1", Now: friday}).View.Holds.Holds {
		if l.ID == "insulation" {
			line = l
		}
	}
	if !strings.Contains(line.PartsLine, "Still shut: South wall") || !strings.Contains(line.Fee, "$75") || !strings.HasPrefix(line.Effect, "Passed in part.") {
		t.Errorf("%q, %q", line.PartsLine, line.Fee)
	}
	var piece *schedule.Activity
	for i := range e.site.Activities {
		if a := &e.site.Activities[i]; strings.HasPrefix(a.Name, "Channel, ceiling: ") {
			piece = a
		}
	}
	if piece == nil {
		t.Fatal("the channel does not go ahead anywhere")
	}
	rest := e.sheet.acts["channel-ceiling"]
	if piece.Labour.Typical+rest.Labour.Typical != hours || piece.Labour.Typical != hours*3/4 {
		t.Errorf("%d and %d of %d minutes", piece.Labour.Typical, rest.Labour.Typical, hours)
	}
	if visit := e.sheet.lines["insulation"].Start; inFrontOf(e.sheet, "insulation", piece.ID) || !inFrontOf(e.sheet, "insulation", "channel-ceiling") || e.sheet.lines["channel-ceiling"].Start < visit {
		t.Errorf("piece %v, visit %v, rest %v", e.sheet.lines[piece.ID].Start, visit, e.sheet.lines["channel-ceiling"].Start)
	}
	feasible(t, e)
	// The last wall is a pass, not a part.
	refused(t, e, Request{Do: "result", ID: "insulation", Key: "partial", Fields: map[string]json.RawMessage{"passed": raw([]string{"South wall"})}, Now: friday + 60}, "which parts")
}

// A stop caution holds on every road to "started", and keeps who read it and when.
func TestStopHoldsOnEveryRoad(t *testing.T) {
	for name, road := range map[string]Request{ // any order: each road alone
		"start":         {Do: "start", ID: "rough-electric"},
		"finish":        {Do: "finish", ID: "rough-electric"},
		"share done":    {Do: "done", ID: "rough-electric", Count: 20},
		"edit started":  {Do: "edit", Kind: "activity", ID: "rough-electric", Fields: map[string]json.RawMessage{"started": raw("2027-04-06T06:00")}},
		"edit finished": {Do: "edit", Kind: "activity", ID: "rough-electric", Fields: map[string]json.RawMessage{"finished": raw("2027-04-06T06:30")}},
		"edit done":     {Do: "edit", Kind: "activity", ID: "rough-electric", Fields: map[string]json.RawMessage{"done": raw(50)}},
		"new, started":  {Do: "add", Kind: "activity", Fields: map[string]json.RawMessage{"name": raw("Feed two"), "labour": raw(schedule.Range{Typical: 60}), "cautions": raw([]string{"lockoff"}), "started": raw("2027-04-06T06:00")}},
	} {
		e := openDemo(t, "en")
		if v := do(t, e, road).View; v == nil || !strings.Contains(v.Refused, "lock off") {
			t.Errorf("%s goes around the caution: %+v", name, v)
		}
	}
	e := openDemo(t, "en")
	for _, field := range []string{"acked", "ackedAt"} {
		refused(t, e, Request{Do: "edit", Kind: "activity", ID: "rough-electric", Fields: map[string]json.RawMessage{field: raw("2027-04-06T06:00")}}, "page of the work")
	}
	said(t, e, Request{Do: "ack", ID: "rough-electric", Name: "Wanda"})
	if a := e.sheet.acts["rough-electric"]; a.Acked != "Wanda" || a.AckedAt != demoNow {
		t.Errorf("%+v", a)
	}
	if v := show(t, e, "block", "rough-electric"); v.Block.Acked != "Wanda, Tue 6, 6:40 am" {
		t.Errorf("acked: %q", v.Block.Acked)
	}
	// A new stop caution has not been read by whoever read the old one; a warning is.
	said(t, e, Request{Do: "edit", Kind: "activity", ID: "rough-electric", Fields: map[string]json.RawMessage{"cautions": raw([]string{"lockoff", "ladder"})}})
	if e.sheet.acts["rough-electric"].Acked == "" {
		t.Error("a warning took the name away")
	}
	said(t, e, Request{Do: "edit", Kind: "activity", ID: "rough-electric", Fields: map[string]json.RawMessage{"cautions": raw([]string{"lockoff", "overhead"})}})
	refused(t, e, Request{Do: "start", ID: "rough-electric"}, "lock off")
	// A crew's page writes no start: its share done is a line in the diary as long as nobody said it began.
	b := NewCrewBoard(e.doc, demoNow)
	_, edits, no := b.Answer("electric", CrewAnswer{Visit: "rough-electric", Do: "done", Count: 60}, "9.9")
	if no != "" || slices.ContainsFunc(edits, func(ed opsync.Edit) bool { return ed.Thing == "activity" }) {
		t.Errorf("a crew starts the work from its page: %v %v", edits, no)
	}
	// A way taken lays lines and starts nothing.
	v := said(t, e, Request{Do: "ways", Change: &Change{Kind: "away", Crew: "electric", From: day("2027-04-06"), To: day("2027-04-07")}, Screen: "ways"})
	said(t, e, Request{Do: "take", Token: v.Ways.Token, Key: v.Ways.Cards[0].Key})
	if e.sheet.acts["rough-electric"].Started != 0 {
		t.Error("a way started the work")
	}
}

// inFrontOf says whether one thing is anywhere in front of another.
func inFrontOf(s *sheet, from, to string) bool {
	seen := map[string]bool{from: true}
	for todo := []string{from}; len(todo) > 0; todo = todo[1:] {
		for _, k := range s.from[todo[0]] {
			if !seen[k.To] {
				seen[k.To] = true
				todo = append(todo, k.To)
			}
		}
	}
	return seen[to]
}

// A Spanish phone on an English site writes down nothing in Spanish that everybody reads.
func TestAnotherLanguageWritesNoNames(t *testing.T) {
	e := openDemo(t, "es")
	if v := said(t, e, Request{Do: "show", Screen: "rules"}).Rules; !v.Same || len(v.Changes) != 0 {
		t.Errorf("%q", v.Changes)
	}
	names := map[string]string{}
	for _, h := range e.site.Holds {
		names[h.ID] = h.Name + strings.Join(h.Ready, ";")
	}
	said(t, e, Request{Do: "rules", Fields: map[string]json.RawMessage{"profile": raw("model")}})
	for _, h := range e.site.Holds {
		if names[h.ID] != h.Name+strings.Join(h.Ready, ";") {
			t.Errorf("%s became %s %q", names[h.ID], h.Name, h.Ready)
		}
	}
	said(t, e, Request{Do: "takeoff", ID: "board-goods"})
	if q := e.site.Order("board-goods").Quantity; !strings.HasPrefix(q, "36 sheets") {
		t.Errorf("the order says %q", q)
	}
	said(t, e, Request{Do: "rules", ID: "base-layer"})
	if n := e.site.Hold("base-layer").Name; n != "Base layer of board" {
		t.Errorf("the hold point is called %q", n)
	}
}

// A crew reads on its own page what can hurt it, in its own language, the stops first, and who decides.
func TestCrewsReadTheirCautions(t *testing.T) {
	e := openDemo(t, "en")
	do(t, e, Request{Do: "show", Screen: "today"})
	for crew, want := range map[string]string{"electric": "Switch off, lock off", "board": "Lo que se tapa ya no se ve"} { // any order: a page each
		p, ok := NewCrewBoard(e.doc, demoNow).Page(crew)
		if !ok || len(p.Visits) == 0 || len(p.Visits[0].Cautions) == 0 {
			t.Fatalf("%s: %+v", crew, p)
		}
		if c := p.Visits[0].Cautions[0]; !c.Stop || !strings.HasPrefix(c.Text, want) || c.Defer == "" {
			t.Errorf("%s reads %+v", crew, c)
		}
	}
}

// One office, one telephone: the terms of all open visits in one act, and none of those that were called in.
func TestTermsOfAllVisits(t *testing.T) {
	e := openDemo(t, "en")
	said(t, e, Request{Do: "rules", Key: "all", Fields: map[string]json.RawMessage{"notice": raw(2), "cutoff": raw(15 * 60), "fee": raw(6000), "phone": raw("+15555550177")}})
	for _, h := range e.site.Holds {
		open := h.CalledIn == 0 && h.Result == schedule.NoResult
		if open != (h.Notice == 2 && h.Cutoff == 900 && h.Fee == 6000 && h.Phone == "+15555550177") {
			t.Errorf("%+v", h)
		}
	}
	feasible(t, e)
	refused(t, e, Request{Do: "rules", Key: "all", Fields: map[string]json.RawMessage{"result": raw("pass")}}, "no field")
	refused(t, e, Request{Do: "rules", Key: "all", Fields: map[string]json.RawMessage{"notice": raw(-1)}}, "between 0")
	do(t, e, Request{Do: "undo"})
	if h := e.site.Hold("framing"); h.Notice != 1 || h.Fee != 0 {
		t.Errorf("%+v", h)
	}
}
