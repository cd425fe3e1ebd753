package engine

import (
	"encoding/json"
	"strings"
	"testing"

	"batterboard/client/engine/words"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// board is the server's look at what a phone holds.
func board(e *Engine, now schedule.Minute) *CrewBoard {
	out := e.Do(Request{Do: "export", Now: now, Wall: wall(now)})
	return NewCrewBoard(out.Document, now)
}

func cardOf(t *testing.T, v *TextsView, id string) TextCard {
	t.Helper()
	for _, c := range allCards(v) {
		if c.ID == id {
			return c
		}
	}
	t.Fatalf("no text %s", id)
	return TextCard{}
}

func told(c TextCard) map[string]json.RawMessage {
	on, _ := json.Marshal(c.On)
	days, _ := json.Marshal(c.Told)
	return map[string]json.RawMessage{"on": on, "told": days}
}

// Given to the server, changed before it left: the server leaves it, the phone drafts it anew and says so.
func TestATextGivenToTheServer(t *testing.T) {
	e := openDemo(t, "en")
	q := func(r Request) *View {
		r.Screen = "texts"
		return do(t, e, r).View
	}
	const id = "ask/carpentry/2027-04-09"
	c := cardOf(t, q(Request{Do: "show"}).Texts, id)
	if v := q(Request{Do: "queue", ID: id, Op: "email", Fields: told(c)}); !strings.Contains(v.Refused, "no e-mail address") {
		t.Fatalf("mailed to nobody: %q", v.Refused)
	}
	if v := q(Request{Do: "queue", ID: id, Op: "pigeon", Fields: told(c)}); v.Refused == "" {
		t.Fatal("sent by pigeon")
	}
	v := q(Request{Do: "queue", ID: id, Op: "hook", Fields: told(c)})
	if c = cardOf(t, v.Texts, id); !c.Queued || c.Sent || v.Refused != "" {
		t.Fatalf("not queued: %q", v.Refused)
	}
	out := board(e, demoNow).Queued()
	if len(out) != 1 || out[0].ID != id || out[0].Phone != "+15555550111" || out[0].Via != "hook" || out[0].Crew != "carpentry" {
		t.Fatalf("the server has %+v", out)
	}
	// The body leaves room for the address, which the server makes; without one the line goes.
	if !strings.Contains(out[0].Body, "\nDetails: {page}\n") {
		t.Fatalf("no room for a link:\n%s", out[0].Body)
	}
	if got := WithPage(out[0].Body, "https://x.example/c/1"); !strings.Contains(got, "Details: https://x.example/c/1\n") {
		t.Fatal(got)
	}
	if got := WithPage(out[0].Body, ""); strings.Contains(got, "Details") {
		t.Fatal(got)
	}
	// The plan changes first.
	q(Request{Do: "move", ID: "fireblock", At: at("2027-04-12T08:00")})
	if out = board(e, demoNow).Queued(); len(out) != 0 {
		t.Fatalf("the server would still tell the old day: %+v", out)
	}
	fresh := q(Request{Do: "show"}).Texts.Ask[0]
	if fresh.Crew != "carpentry" || fresh.Queued || fresh.Sent {
		t.Fatalf("not drafted anew: %+v", fresh)
	}
	// Back as it was: it may leave again, and once it has, nothing is left to do.
	q(Request{Do: "move", ID: "fireblock", At: at("2027-04-09T08:00")})
	b := board(e, demoNow+5)
	if out = b.Queued(); len(out) != 1 {
		t.Fatalf("%d texts to send", len(out))
	}
	label, edits := b.Delivered(id)
	if label == "" {
		t.Fatal("no label")
	}
	writeServer(t, e, label, edits, demoNow+5)
	if c = cardOf(t, q(Request{Do: "show", Now: demoNow + 6}).Texts, id); !c.Sent || c.Queued || c.Booking != schedule.Asked {
		t.Fatalf("sent %v, queued %v, %s", c.Sent, c.Queued, c.Booking)
	}
	if out = board(e, demoNow+6).Queued(); len(out) != 0 {
		t.Fatal("sent twice")
	}
	if v := q(Request{Do: "queue", ID: id, Op: "hook", Fields: told(c), Now: demoNow + 6}); v.Refused == "" {
		t.Fatal("given to the server after it was sent")
	}
}

// Every reason the server writes has its sentence in every language, and the text is the phone's again.
func TestATextTheServerCouldNotSend(t *testing.T) {
	for _, why := range []string{"refused", "unreachable", "address", "size", "unsure", "late", "something new"} {
		e := openDemo(t, "en")
		const id = "ask/carpentry/2027-04-09"
		c := cardOf(t, do(t, e, Request{Do: "show", Screen: "texts"}).View.Texts, id)
		do(t, e, Request{Do: "queue", ID: id, Op: "hook", Fields: told(c), Screen: "texts"})
		label, edits := board(e, demoNow).Undelivered(id, why)
		writeServer(t, e, label, edits, demoNow+1)
		c = cardOf(t, do(t, e, Request{Do: "show", Screen: "texts", Now: demoNow + 2}).View.Texts, id)
		if c.Failed == "" || strings.Contains(c.Failed, "[") || c.Queued || c.Sent {
			t.Errorf("%s: %q", why, c.Failed)
		}
		if len(board(e, demoNow+2).Queued()) != 0 {
			t.Errorf("%s: the server tries for ever", why)
		}
		for _, code := range words.Codes {
			if why != "something new" && !words.In(code).Has("failed."+why) {
				t.Errorf("%s has no sentence for %s", code, why)
			}
		}
	}
}

// writeServer writes what the server writes, under a device of its own.
func writeServer(t *testing.T, e *Engine, text string, edits []opsync.Edit, now schedule.Minute) {
	t.Helper()
	if _, err := e.phone.Log.Write(9, wall(now), opsync.KindEdit, text, edits); err != nil {
		t.Fatal(err)
	}
	e.forget()
}

// Changed between the opening of the message and "I sent it": the crew knows the days it was sent, and
// must hear of the others.
func TestSentIsWhatWasSent(t *testing.T) {
	e := openDemo(t, "en")
	q := func(r Request) *View {
		r.Screen = "texts"
		return do(t, e, r).View
	}
	const id = "ask/carpentry/2027-04-09"
	opened := cardOf(t, q(Request{Do: "show"}).Texts, id)
	q(Request{Do: "move", ID: "fireblock", At: at("2027-04-12T08:00")}) // by another hand, meanwhile
	v := q(Request{Do: "sent", ID: id, Fields: told(opened)})
	a := e.site.Activity("fireblock")
	if a.Booking != schedule.Asked || a.ToldStart.Day() != day("2027-04-09") {
		t.Fatalf("%s, told %s", a.Booking, a.ToldStart)
	}
	if len(v.Texts.Moved) == 0 || v.Texts.Moved[0].Crew != "carpentry" || !strings.Contains(v.Texts.Moved[0].Body, "now Mon 12 Apr, 8:00 am (was Fri 9 Apr)") {
		t.Fatalf("nobody tells them of the 12th: %+v", v.Texts.Moved)
	}
	// A stranger's days are refused, whatever they are.
	for _, bad := range []string{`"x"`, `["fireblock","batts"]`, `[1]`, `["yesterday"]`, `["2027-04-09T08:00/2027-04-01T08:00"]`} {
		v := q(Request{Do: "sent", ID: "ask/board/2027-04-15", Fields: map[string]json.RawMessage{"on": json.RawMessage(`["board-ceiling-1"]`), "told": json.RawMessage(bad)}})
		if v.Refused == "" {
			t.Errorf("told %s was taken", bad)
		}
	}
}

// A promised delivery that moves with a way: the supplier is on the list with the day it still has, until told.
func TestASupplierHearsOfAnotherDay(t *testing.T) {
	e := openDemo(t, "en")
	q := func(r Request) *View {
		r.Screen = "texts"
		return do(t, e, r).View
	}
	q(Request{Do: "edit", Kind: "order", ID: "door-inner", Fields: map[string]json.RawMessage{"due": json.RawMessage(`"2027-04-26"`)}})
	v := q(Request{Do: "edit", Kind: "order", ID: "door-inner", Fields: map[string]json.RawMessage{"due": json.RawMessage(`"2027-04-28"`)}})
	var c *TextCard
	for i := range v.Texts.Order {
		if v.Texts.Order[i].Kind == "reorder" {
			if c != nil {
				t.Fatalf("two texts to one supplier: %s and %s", c.ID, v.Texts.Order[i].ID)
			}
			c = &v.Texts.Order[i]
		}
	}
	if c == nil || !strings.Contains(c.Body, "New day: Wednesday 28 April, not Friday 23 April.") {
		t.Fatalf("%+v", c)
	}
	v = q(Request{Do: "edit", Kind: "order", ID: "door-inner", Fields: map[string]json.RawMessage{"due": json.RawMessage(`"2027-04-23"`)}})
	for _, c := range v.Texts.Order {
		if c.Kind == "reorder" {
			t.Fatalf("back on the promised day, and still to be told: %s", c.Body)
		}
	}
}

// The chance of not coming, by hand: ten days of the owner's figure and the days there were.
func TestTrustChance(t *testing.T) {
	for _, c := range []struct {
		t    trust
		want int32
	}{
		{trust{noShow: 8}, 8}, {trust{noShow: 8, came: 10}, 4}, {trust{noShow: 0, came: 9, missed: 1}, 5}, {trust{noShow: 0, missed: 10}, 50},
		{trust{noShow: 100, came: 90}, 10}, {trust{noShow: 8, came: 2, missed: 1}, 14}, {trust{noShow: 100, missed: 5}, 100},
	} {
		if got := c.t.chance(); got != c.want {
			t.Errorf("%+v: %d %%, want %d", c.t, got, c.want)
		}
	}
}
