package main

import (
	"context"
	"encoding/json"
	"errors"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	opsync "batterboard/sync"
)

// outbox is a way out that keeps what it was given, and says no as it is told.
type outbox struct {
	mu  sync.Mutex
	no  []error // one each, then none
	got []outText
}

func (o *outbox) send(_ context.Context, t outText) error {
	o.mu.Lock()
	defer o.mu.Unlock()
	if len(o.no) > 0 {
		err := o.no[0]
		if o.no = o.no[1:]; err != nil {
			return err
		}
	}
	o.got = append(o.got, t)
	return nil
}

// postWorld is a site whose crew can be written to, and a phone that asks the server to.
func postWorld(t *testing.T) (w *world, p *phone, out *outbox) {
	t.Helper()
	w, _, _, p, _ = newCrewWorld(t)
	out = &outbox{}
	w.srv.senders = map[string]sender{byEmail: out, byHook: out}
	p.put("crew", "elec", map[string]any{"name": "Electric", "trade": "electric", "phone": "+15550110", "email": "elec@example.net", "lang": "es"})
	p.untilSent()
	return w, p, out
}

// asks has the phone ask for the text that the engine drafts for the electricians.
func (p *phone) asks(via string, at string) (id string) {
	p.t.Helper()
	id = "ask/elec/2027-03-02"
	p.put("text", id, map[string]any{"kind": "ask", "crew": "elec", "day": "2027-03-02", "on": []string{"rough"},
		"told": []string{"2027-03-02T08:00/2027-03-03T16:30"}, "body": "Old Laundry: ¿martes 2 de marzo?\nConteste aquí: {page}", "queued": at, "via": via})
	return id
}

// rounds lets the postbox go several rounds, each after a while.
func (w *world) rounds(n int, each time.Duration) {
	for range n {
		w.later(each)
		w.srv.post.round()
	}
	w.srv.push.going.Wait()
}

// textField is a field of a text in the phone's copy of the site.
func (p *phone) textField(id, name string) string {
	p.t.Helper()
	var site struct{ Texts []map[string]any }
	if err := json.Unmarshal([]byte(p.doc()), &site); err != nil {
		p.t.Fatal(err)
	}
	for _, x := range site.Texts {
		if x["id"] == id {
			s, _ := x[name].(string)
			return s
		}
	}
	return ""
}

func TestATextIsSentOnceAndTheOwnerSeesIt(t *testing.T) {
	w, p, out := postWorld(t)
	w.srv.public = mustURL("https://board.example.net")
	p.cut() // no signal
	id := p.asks(byEmail, "2027-02-28T22:40")
	w.rounds(3, time.Minute)
	if len(out.got) != 0 {
		t.Fatal("sent before it was asked for")
	}
	p.connect()
	p.untilSent()
	w.srv.post.round()
	if len(out.got) != 0 {
		t.Error("no moment was left for the rest of what the phone has to say")
	}
	w.rounds(5, postGrace)
	if len(out.got) != 1 {
		t.Fatalf("sent %d times", len(out.got))
	}
	got := out.got[0]
	if got.Email != "elec@example.net" || got.Phone != "+15550110" || got.Lang != "es" || got.Name != "Electric" || got.Subject != "Old Laundry: ¿martes 2 de marzo?" || got.Site != "Old Laundry" {
		t.Errorf("%+v", got)
	}
	_, link, ok := strings.Cut(got.Body, "https://board.example.net/c/")
	if status, page, _ := (crewPhone{w, link}).get(""); !ok || status != 200 || !strings.Contains(page, "Electric") {
		t.Errorf("the address in the text opens nothing: %q", got.Body)
	}
	p.until("the word of it", func() bool { return p.textField(id, "sent") != "" })
	if !strings.Contains(p.doc(), `"booking":"asked"`) {
		t.Error("the crew is not asked:", p.doc())
	}
	if strings.Contains(p.doc(), link) {
		t.Error("the address is in the log")
	}
	// Nothing more goes, whatever is handed in again.
	w.rounds(5, time.Hour)
	w.stop()
	w.start()
	w.srv.senders = map[string]sender{byEmail: out}
	w.rounds(5, time.Hour)
	if len(out.got) != 1 {
		t.Errorf("sent %d times in the end", len(out.got))
	}
	if n := countKeys(t, w, "asked/"); n != 0 {
		t.Errorf("%d sites are still looked at", n)
	}
}

func mustNot(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func countKeys(t *testing.T, w *world, prefix string) (n int) {
	t.Helper()
	mustNot(t, w.srv.store.each(prefix, func(string, []byte) error { n++; return nil }))
	return n
}

func TestWhatIsTakenBackOrOverTakenIsNotSent(t *testing.T) {
	w, p, out := postWorld(t)
	p.cut()
	p.asks(byEmail, "2027-02-28T22:40")
	p.put("text", "ask/elec/2027-03-02", map[string]any{"queued": nil, "via": nil}) // thought better of it
	p.connect()
	p.untilSent()
	w.rounds(3, time.Minute)
	if len(out.got) != 0 {
		t.Error("a text that was taken back was sent")
	}
	// Asked for, then the days moved: the old days reach nobody.
	p.cut()
	p.asks(byEmail, "2027-02-28T22:50")
	p.put("activity", "rough", map[string]any{"laid": "2027-03-09T08:00"})
	p.connect()
	p.untilSent()
	w.rounds(3, time.Minute)
	if len(out.got) != 0 {
		t.Error("a text with days that do not hold was sent")
	}
	// They move back: the text is true again, and goes.
	p.put("activity", "rough", map[string]any{"laid": "2027-03-02T08:00"})
	p.untilSent()
	w.rounds(3, time.Minute)
	if len(out.got) != 1 {
		t.Errorf("sent %d times", len(out.got))
	}
}

var errDown = &notSent{why: "unreachable", again: true, down: true, err: errors.New("no answer")}

func TestATextIsTriedLessAndLessOften(t *testing.T) {
	w, p, out := postWorld(t)
	for range 100 {
		out.no = append(out.no, errDown)
	}
	id := p.asks(byHook, "2027-02-28T22:40")
	p.untilSent()
	var tries []time.Duration
	start, left := w.now(), 100
	for w.now().Sub(start) < 30*time.Hour {
		w.later(10 * time.Second)
		w.srv.post.round()
		if len(out.no) < left {
			left = len(out.no)
			tries = append(tries, w.now().Sub(start))
		}
	}
	if len(tries) != len(postPauses)+1 {
		t.Fatalf("%d tries: %v", len(tries), tries)
	}
	for i := range postPauses {
		if gap := tries[i+1] - tries[i]; gap < postPauses[i] || gap > postPauses[i]+20*time.Second {
			t.Errorf("after try %d: %v, want %v", i+1, gap, postPauses[i])
		}
	}
	p.until("the word of it", func() bool { return p.textField(id, "failed") != "" })
	if why := p.textField(id, "failed"); why != "late" && why != "unreachable" {
		t.Errorf("failed: %q", why)
	}
	if strings.Contains(p.doc(), `"booking":"asked"`) {
		t.Error("a crew that heard nothing counts as asked")
	}
	// The owner asks again, and it gets through.
	out.no = nil
	p.put("activity", "rough", map[string]any{"laid": "2027-03-09T08:00"})
	p.put("text", "ask/elec/2027-03-09", map[string]any{"kind": "ask", "crew": "elec", "day": "2027-03-09", "on": []string{"rough"},
		"told": []string{"2027-03-09T08:00/2027-03-10T16:30"}, "body": "x", "queued": "2027-03-02T06:00", "via": byHook})
	p.untilSent()
	w.rounds(3, time.Minute)
	if len(out.got) != 1 {
		t.Errorf("asked again: sent %d times", len(out.got))
	}
}

func TestWhyATextDidNotGo(t *testing.T) {
	for name, c := range map[string]struct {
		no    error
		via   string
		want  string
		known bool
	}{
		"refused": {&notSent{why: "refused", err: errors.New("x")}, byEmail, "refused", true}, "no such box": {&notSent{why: "address", err: errors.New("x")}, byEmail, "address", true},
		"line broke": {&notSent{why: "unsure", err: errors.New("x")}, byEmail, "unsure", true}, "anything": {errors.New("x"), byHook, "refused", true},
		"a way it has not": {nil, "pigeon", "unreachable", false},
	} {
		t.Run(name, func(t *testing.T) {
			w, p, out := postWorld(t)
			out.no = []error{c.no}
			id := p.asks(c.via, "2027-02-28T22:40")
			p.untilSent()
			w.rounds(4, time.Minute)
			p.until("the word of it", func() bool { return p.textField(id, "failed") != "" })
			if got := p.textField(id, "failed"); got != c.want || len(out.got) != 0 || p.textField(id, "sent") != "" {
				t.Errorf("failed %q, sent %d times", got, len(out.got))
			}
		})
	}
}

// The plug is pulled at every point: while a text is handed over, after it was, and before the log heard.
func TestAPulledPlugSendsNothingTwice(t *testing.T) {
	for name, c := range map[string]struct {
		via  string
		at   postRecord
		sent int
		want string // field that tells
	}{
		"a mail being handed over": {byEmail, postRecord{Trying: true, Tries: 1}, 0, "failed"}, "a hook being called": {byHook, postRecord{Trying: true, Tries: 1}, 1, "sent"},
		"a mail that went": {byEmail, postRecord{Done: "sent", Tries: 1}, 0, "sent"}, "a refusal": {byHook, postRecord{Done: "refused", Tries: 1}, 0, "failed"},
	} {
		t.Run(name, func(t *testing.T) {
			w, p, out := postWorld(t)
			id := p.asks(c.via, "2027-02-28T22:40")
			p.untilSent()
			w.srv.post.round()
			var key string
			mustNot(t, w.srv.store.each("post/", func(rest string, _ []byte) error { key = rest; return nil }))
			site, name, _ := strings.Cut(key, "/")
			c.at.At = w.now().Unix()
			mustNot(t, w.srv.post.keep(site, name, c.at))
			w.stop()
			w.start()
			w.srv.senders = map[string]sender{byEmail: out, byHook: out}
			p.open()
			p.connect()
			w.rounds(4, time.Minute)
			p.until("the word of it", func() bool { return p.textField(id, c.want) != "" })
			if len(out.got) != c.sent || len(out.got) == 1 && out.got[0].Key != name {
				t.Errorf("sent %d times: %+v", len(out.got), out.got)
			}
		})
	}
}

func TestASiteSendsOnlySoManyADay(t *testing.T) {
	w, p, out := postWorld(t)
	site := p.site
	for i := range postDay {
		mustNot(t, w.srv.post.keep(site, "old"+strings.Repeat("x", i+1), postRecord{At: w.now().Unix(), Tries: 1, Done: "sent", Told: true}))
	}
	p.asks(byEmail, "2027-02-28T22:40")
	p.untilSent()
	w.rounds(3, time.Minute)
	if len(out.got) != 0 {
		t.Error("one more than a day has")
	}
	w.rounds(2, 12*time.Hour)
	if len(out.got) != 1 {
		t.Errorf("the day after: %d", len(out.got))
	}
}

// A phone that was off for days asks for a text about a day that is over.
func TestATextThatComesTooLateIsSaidToBeSo(t *testing.T) {
	w, p, out := postWorld(t)
	p.cut()
	p.put("activity", "rough", map[string]any{"started": "2027-03-02T08:00"})
	id := p.asks(byEmail, "2027-02-28T22:40")
	w.later(72 * time.Hour)
	p.connect()
	p.untilSent()
	w.rounds(3, time.Minute)
	p.until("the word of it", func() bool { return p.textField(id, "failed") != "" })
	if why := p.textField(id, "failed"); why != "late" || len(out.got) != 0 {
		t.Errorf("%q, sent %d times", why, len(out.got))
	}
}

// Only phones that may write reach the log at all; a crew's page cannot ask for a text.
func TestACrewCannotHaveTextsSent(t *testing.T) {
	w, p, out := postWorld(t)
	anna := p.browser
	c := crewPhone{w, anna.crewLinkOf(p.site, "elec", false)}
	c.says("ask", url.Values{"said": {`{"queued":"2027-02-28T22:40","via":"email"}`}, "queued": {"2027-02-28T22:40"}, "via": {"email"}})
	w.rounds(3, time.Minute)
	if len(out.got) != 0 {
		t.Error("a crew had a text sent")
	}
	viewer := anna.invited(p.site, opsync.Viewer, "Vic").phone(p.site).connect()
	viewer.asks(byEmail, "2027-02-28T22:40")
	viewer.until("the no", func() bool { return viewer.in.Unsent() == 0 })
	w.rounds(3, time.Minute)
	if len(out.got) != 0 {
		t.Error("somebody who may only look had a text sent")
	}
}
