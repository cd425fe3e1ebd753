package engine

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"batterboard/schedule"
)

// A small site for strangers: two crews, three works, a hold, goods.
const smallDoc = `{"format":1,"name":"Shed","lang":"en","start":"2027-04-05","crews":[{"id":"c","name":"Carpentry","trade":"carpentry","phone":"+15555550101"},{"id":"o","name":"Own","trade":"owner","own":true}],
"places":[{"id":"room","name":"Room"}],"activities":[{"id":"a","name":"Frame","crew":"c","place":"room","labour":{"low":240,"typical":480,"high":960},"booking":"firm","toldStart":"2027-04-07T08:00","toldFinish":"2027-04-07T16:30","cautions":["bearing"]},
{"id":"b","name":"Board","crew":"c","labour":{"typical":480},"cover":true},{"id":"d","name":"Paint","crew":"o","labour":{"typical":120},"outdoor":true}],
"holds":[{"id":"h","name":"Framing seen","notice":1,"cutoff":720,"photos":2}],"orders":[{"id":"g","goods":"Sheets","lead":3}],
"links":[{"id":"l1","from":"a","to":"h"},{"id":"l2","from":"h","to":"b"},{"id":"l3","from":"b","to":"d","lag":600,"clock":true},{"id":"l4","from":"g","to":"b"}]}`

func openSmall(t testing.TB) *Engine {
	e := New()
	if r := e.Do(Request{Do: "open", Site: "shed", Device: 2, Role: "owner", Now: demoNow, Wall: wall(demoNow), Ops: opsOf(t, []byte(smallDoc), 1, demoNow-60)}); r.Failed != "" {
		t.Fatal(r.Failed)
	}
	return e
}

// askings is one of every intent, as the worker sends them.
var askings = []string{
	`{"do":"show","screen":"readings"}`, `{"do":"show","screen":"orders"}`, `{"do":"show","screen":"rules","fields":{"profile":"ask"}}`, `{"do":"show","screen":"review"}`,
	`{"do":"show","screen":"week","day":"2027-04-07"}`, `{"do":"reading","fields":{"of":"air","temp":156,"humidity":50}}`, `{"do":"waits"}`, `{"do":"takeoff","id":"batts"}`,
	`{"do":"reserve","id":"g"}`, `{"do":"rules","fields":{"profile":"model"}}`, `{"do":"settle","id":"cover/b","said":"so"}`,
	`{"do":"show","screen":"today"}`, `{"do":"show","screen":"strings"}`, `{"do":"show","screen":"cant","for":"c"}`, `{"do":"show","screen":"block","for":"a"}`,
	`{"do":"show","screen":"holds","for":"b"}`, `{"do":"show","screen":"holds","for":"h"}`, `{"do":"show","screen":"texts","day":"2027-04-07"}`, `{"do":"show","screen":"setup"}`,
	`{"do":"show","screen":"thing","kind":"link","for":"l3"}`, `{"do":"show","screen":"thing","kind":"order","for":"new"}`, `{"do":"show","screen":"log"}`,
	`{"do":"ways","screen":"ways","change":{"kind":"away","crew":"c","from":"2027-04-06","to":"2027-04-07"}}`, `{"do":"more","token":"TOKEN"}`,
	`{"do":"take","token":"TOKEN","key":"push","screen":"strings"}`, `{"do":"undo"}`, `{"do":"lay"}`,
	`{"do":"ways","change":{"kind":"longer","id":"a","labour":{"typical":900}}}`, `{"do":"ways","change":{"kind":"slip","id":"g","from":"2027-04-20"}}`,
	`{"do":"ways","change":{"kind":"shut","from":"2027-04-07","to":"2027-04-07","outdoor":true}}`, `{"do":"ways","change":{"kind":"tighten"}}`,
	`{"do":"ways","change":{"kind":"fail","id":"h"}}`, `{"do":"ways","change":{"kind":"visit","id":"h","from":"2027-04-12"}}`,
	`{"do":"move","id":"d","at":"2027-04-14T08:00"}`, `{"do":"ack","id":"a","name":"Kit"}`, `{"do":"start","id":"a"}`, `{"do":"done","id":"a","count":50}`, `{"do":"finish","id":"a"}`,
	`{"do":"callIn","id":"h","at":"2027-04-08T08:00"}`, `{"do":"result","id":"h","key":"fail","said":"<two> & \"more\""}`, `{"do":"photos","id":"h","count":2}`,
	`{"do":"photo","id":"h","fields":{"file":"0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef","latitude":45523150,"longitude":-122676500}}`, `{"do":"files"}`,
	`{"do":"paper","name":"../Permit.pdf","fields":{"file":"0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef","type":"application/pdf","size":48000},"screen":"photos"}`,
	`{"do":"order","id":"g","from":"2027-04-10"}`, `{"do":"arrive","id":"g","said":"one short"}`, `{"do":"book","id":"b","key":"asked"}`,
	`{"do":"sent","id":"tomorrow/c/2027-04-07"}`, `{"do":"answer","id":"tomorrow/c/2027-04-07","key":"no","screen":"texts"}`, `{"do":"note","said":"rain"}`,
	`{"do":"add","kind":"activity","fields":{"name":"Shelf","labour":{"typical":60}}}`, `{"do":"edit","kind":"activity","id":"d","fields":{"name":"Paint, twice"}}`,
	`{"do":"remove","kind":"activity","id":"d"}`, `{"do":"restore","id":"activity/d"}`, `{"do":"choose","kind":"activity","id":"d","field":"name","op":"1.1"}`,
	`{"do":"again","op":"2.1"}`, `{"do":"template","key":"one-car"}`, `{"do":"show","screen":"questions","fields":{"layers":"3"}}`, `{"do":"answers","fields":{"length":"22 ft","own":null},"screen":"questions"}`, `{"do":"build","screen":"questions"}`, `{"do":"pace","id":"c/board"}`, `{"do":"looked"}`, `{"do":"export"}`, `{"do":"connected"}`, `{"do":"frame","frame":"{}"}`, `{"do":"cut"}`,
	`{"do":"edit","kind":"site","fields":{"name":"Shed two","hours":[["07:00-11:00"],[],[],[],[],[],[]]}}`,
}

// stamped puts the clock into an asking.
func stamped(ask string) []byte {
	return []byte(strings.TrimSuffix(ask, "}") + `,"now":"2027-04-06T06:40","wall":` + itoa(int(wall(demoNow))) + `}`)
}

// Every intent answers, refused or not, with a reply that reads as JSON and speaks in sentences.
func TestEveryIntentAnswers(t *testing.T) {
	e := openSmall(t)
	shown, token, taken := "push", "", false
	for _, ask := range askings {
		if strings.Contains(ask, `"do":"take"`) {
			ask = strings.Replace(ask, `"push"`, `"`+shown+`"`, 1)
		}
		ask = strings.Replace(ask, "TOKEN", token, 1)
		var r Reply
		if err := json.Unmarshal(e.Serve(stamped(ask)), &r); err != nil {
			t.Fatalf("%s: %v", ask, err)
		}
		if r.Failed != "" && !strings.Contains(ask, `"frame"`) {
			t.Errorf("%s failed: %s", ask, r.Failed)
		}
		if r.View == nil {
			continue
		}
		if v := r.View.Ways; v != nil && len(v.Cards) > 0 {
			shown, token = v.Cards[0].Key, v.Token
		}
		taken = taken || strings.Contains(ask, `"do":"take"`) && r.View.Refused == ""
		for _, s := range []string{r.View.Refused, r.View.Said} {
			if strings.HasPrefix(s, "[") || strings.Contains(s, "{") || s != "" && !strings.ContainsAny(s[len(s)-1:], ".?") {
				t.Errorf("%s says %q", ask, s)
			}
		}
	}
	if !taken {
		t.Error("no way was taken")
	}
}

// The list on the screen may be older than the search: whoever presses "Take this way" gets the card
// under the thumb, not the one that has its name by now.
func TestTheCardShownIsTheWayTaken(t *testing.T) {
	e := openDemo(t, "en")
	v := do(t, e, Request{Do: "ways", Screen: "ways", Change: &Change{Kind: "away", Crew: "electric", From: day("2027-04-06"), To: day("2027-04-07")}}).View
	early := v.Ways.Cards
	for v.Ways.More {
		v = do(t, e, Request{Do: "more", Token: v.Ways.Token, Screen: "ways"}).View
	}
	for i, c := range early {
		if i > 0 { // taken, looked at, taken back, asked again
			v = do(t, e, Request{Do: "ways", Screen: "ways", Change: &Change{Kind: "away", Crew: "electric", From: day("2027-04-06"), To: day("2027-04-07")}}).View
			c = v.Ways.Cards[i]
			for v.Ways.More {
				v = do(t, e, Request{Do: "more", Token: v.Ways.Token, Screen: "ways"}).View
			}
		}
		after := do(t, e, Request{Do: "take", Token: v.Ways.Token, Key: c.Key, Screen: "strings"}).View
		day, _, _ := strings.Cut(strings.TrimPrefix(strings.TrimPrefix(c.Finish, "finish "), "holds "), " (")
		if !strings.Contains(after.Head.FinishLine, day) {
			t.Errorf("the card said %q, taken it is %q", c.Finish, after.Head.FinishLine)
		}
		do(t, e, Request{Do: "undo", Screen: "today"})
	}
}

// A request cut off anywhere is answered with a reply, and nothing is written.
func TestTruncatedRequests(t *testing.T) {
	e := openSmall(t)
	before := e.Do(Request{Do: "export"}).Document
	for _, ask := range askings {
		b := stamped(ask)
		for n := range b {
			var r Reply
			if err := json.Unmarshal(e.Serve(b[:n]), &r); err != nil || r.Failed == "" {
				t.Fatalf("%s cut at %d: %+v %v", ask, n, r, err)
			}
		}
	}
	if after := e.Do(Request{Do: "export"}).Document; !bytes.Equal(before, after) {
		t.Error("a broken request changed the site")
	}
}

// FuzzServe gives the engine a stranger's bytes after an honest opening: it always answers, what it
// keeps can be opened again, and the plan stays.
func FuzzServe(f *testing.F) {
	for _, ask := range askings {
		f.Add(stamped(ask))
	}
	f.Add([]byte(`{"do":"open","site":"shed","device":2,"role":"owner","ops":[{"d":1}],"meta":{"phone":7,"look":{"base":{"a":"x"}}}}`))
	f.Add([]byte(`{"do":"edit","kind":"activity","id":"a","fields":{"labour":{"typical":2147483647},"notBefore":"2199-12-31T23:59","with":["c","c"]},"now":"2199-12-31T23:59"}`))
	ops := opsOf(f, []byte(smallDoc), 1, demoNow-60)
	f.Fuzz(func(t *testing.T, in []byte) {
		e := New()
		kept := ops
		e.Do(Request{Do: "open", Site: "shed", Device: 2, Role: "owner", Now: demoNow, Wall: wall(demoNow), Ops: ops})
		honest := e.phone
		var r Reply
		if err := json.Unmarshal(e.Serve(in), &r); err != nil {
			t.Fatalf("not a reply: %v", err)
		}
		kept = append(kept[:len(kept):len(kept)], r.Ops...)
		if e.phone != honest {
			return // the stranger opened a log of its own
		}
		for _, screen := range []string{"today", "strings", "setup", "log"} {
			if out := e.Do(Request{Do: "show", Screen: screen, Now: demoNow, Wall: wall(demoNow)}); out.View == nil {
				t.Fatalf("%s: %s", screen, out.Failed)
			}
		}
		again := New()
		again.Do(Request{Do: "open", Site: "shed", Device: 2, Role: "owner", Now: demoNow, Ops: kept})
		if a, b := e.Do(Request{Do: "export"}).Document, again.Do(Request{Do: "export"}).Document; !bytes.Equal(a, b) {
			t.Fatal("what was kept opens to another site")
		}
	})
}

// The what-if of a change and the log's own fold agree: applied edits give the site that the
// operation gives.
func TestWhatIfIsWhatWillBe(t *testing.T) {
	e := openDemo(t, "en")
	do(t, e, Request{Do: "ways", Screen: "ways", Change: &Change{Kind: "away", Crew: "electric", From: day("2027-04-06"), To: day("2027-04-07")}})
	a := e.asked
	for i := range a.found.Ways {
		w := a.found.Ways[i]
		edits := e.wayEdits(a, &w)
		site, err := applied(e.site, edits)
		if err != nil {
			t.Fatal(err)
		}
		f := openDemo(t, "en")
		f.refresh(demoNow)
		f.write(Request{Wall: wall(demoNow), Now: demoNow}, "way", label{"lay"}, edits)
		want, _ := json.Marshal(schedule.Lay(f.site, demoNow))
		got, _ := json.Marshal(schedule.Lay(site, demoNow))
		if !bytes.Equal(want, got) {
			t.Errorf("way %s: the what-if plans otherwise than the operation", w.Key)
		}
		if f.sheet.plan.Finish != w.Finish {
			t.Errorf("way %s promised %v and gave %v", w.Key, w.Finish, f.sheet.plan.Finish)
		}
		for _, l := range w.Laid {
			if x := f.sheet.lines[l.ID]; x == nil || x.Start != l.At && !x.Frozen {
				t.Errorf("way %s: %s was promised for %v", w.Key, l.ID, l.At)
			}
		}
	}
}

// How long one tap takes natively: reported, never judged (the machine may be busy).
func TestTapToNewWeek(t *testing.T) {
	e := openDemo(t, "en")
	show(t, e, "today", "")
	t0 := time.Now()
	v := do(t, e, Request{Do: "ways", Screen: "ways", Change: &Change{Kind: "away", Crew: "electric", From: day("2027-04-06"), To: day("2027-04-07")}}).View
	first := time.Since(t0)
	for v.Ways.More {
		v = do(t, e, Request{Do: "more", Token: v.Ways.Token, Screen: "ways"}).View
	}
	all := time.Since(t0)
	t0 = time.Now()
	do(t, e, Request{Do: "take", Token: v.Ways.Token, Key: v.Ways.Cards[0].Key, Screen: "strings"})
	t.Logf("first ways %v, last word %v, taken and drawn %v", first, all, time.Since(t0))
}
