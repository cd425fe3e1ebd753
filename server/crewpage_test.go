package main

import (
	"encoding/json"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"reflect"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"batterboard/client/engine/demo"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// crewSite puts two crews and their work on a site: electric Tuesday and Wednesday, board after it.
func crewSite(b *browser, site string) *phone {
	b.t.Helper()
	p := b.phone(site).connect()
	p.put("site", "site", map[string]any{"name": "Old Laundry", "address": "14 Wash House Lane", "wayIn": "Key box, code on site",
		"contact": "Marit", "phone": "+1 555-0100", "zone": "America/Los_Angeles", "lang": "en"})
	p.put("crew", "elec", map[string]any{"name": "Electric", "trade": "electric", "phone": "+15550110"})
	p.put("crew", "board", map[string]any{"name": "Tableros", "trade": "board", "lang": "es"})
	p.put("crew", "other", map[string]any{"name": "Paint", "trade": "paint"})
	p.put("crew", "me", map[string]any{"name": "Marit", "trade": "owner", "own": true})
	p.put("activity", "rough", map[string]any{"name": "Rough-in", "scope": "Boxes and cable in all walls", "cautions": []string{"lockoff"}, "crew": "elec",
		"labour": map[string]int{"typical": 960}, "bring": "Bits", "ready": "Walls open", "laid": "2027-03-02T08:00"})
	p.put("activity", "hang", map[string]any{"name": "Hang board", "crew": "board", "labour": map[string]int{"typical": 480}})
	p.put("link", "l1", map[string]any{"from": "rough", "to": "hang"})
	p.untilSent()
	return p
}

// put writes one thing as one change.
func (p *phone) put(thing, id string, fields map[string]any) {
	p.t.Helper()
	set := map[string]json.RawMessage{}
	for k, v := range fields {
		raw, err := json.Marshal(v)
		if err != nil {
			p.t.Fatal(err)
		}
		set[k] = raw
	}
	p.wall++
	op, err := p.in.Log.Write(p.dev, p.wall, opsync.KindEdit, "put "+id, []opsync.Edit{{Thing: thing, ID: id, Set: set}})
	if err != nil {
		p.t.Fatal(err)
	}
	p.raws = append(p.raws, op)
	if p.ws != nil {
		p.say(p.in.Push())
	}
}

// crewLinkOf asks for the address of a crew's page and returns its code.
func (b *browser) crewLinkOf(site, crew string, anew bool) string {
	b.t.Helper()
	u := b.must("POST", "/api/crewlink", map[string]any{"site": site, "crew": crew, "anew": anew})["url"].(string)
	code, ok := strings.CutPrefix(u, b.base+"/c/")
	if !ok || !crewCode(code) {
		b.t.Fatalf("address %s", u)
	}
	return code
}

// crewCodeFor mints the address that c comes with in the table of access_test.go.
func (w *world) crewCodeFor(c credential, site string) string {
	w.t.Helper()
	now := w.now()
	if c == expired {
		now = now.Add(-crewLinkLife)
	}
	code, _, err := w.srv.store.addCrewLink(site, "elec", false, now)
	if c == usedCode { // taken back
		code, _, err = w.srv.store.addCrewLink(site, "other", false, now)
		if err == nil {
			err = w.srv.store.dropCrewLinks(site, "other")
		}
	}
	if err != nil {
		w.t.Fatal(err)
	}
	if c == wrongCode {
		return newCrewCode()
	}
	return code
}

// stranger's visit: no cookie, no script, whatever phone.
type crewPhone struct {
	*world
	code string
}

func (c crewPhone) get(path string) (int, string, http.Header) {
	c.t.Helper()
	return fetch(c.t, c.base+"/c/"+c.code+path)
}

func (c crewPhone) post(f url.Values) (int, string) {
	c.t.Helper()
	q, err := http.NewRequest("POST", c.base+"/c/"+c.code, strings.NewReader(f.Encode()))
	if err != nil {
		c.t.Fatal(err)
	}
	q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	q.Header.Set("Origin", "null") // what a browser sends from a page without referrers
	r, err := http.DefaultClient.Do(q)
	b := readAll(c.t, r, err)
	return r.StatusCode, string(b)
}

var hidden = regexp.MustCompile(`<input type="hidden" name="(\w+)" value="([^"]*)">`)

// form reads the hidden fields of the first form, as a browser would send them back.
func form(page string) url.Values {
	f := url.Values{}
	body, _, _ := strings.Cut(page, "</form>")
	for _, m := range hidden.FindAllStringSubmatch(body, -1) {
		f.Set(m[1], html.UnescapeString(m[2]))
	}
	return f
}

// says answers as a person does: press, read, confirm.
func (c crewPhone) says(do string, more url.Values) (int, string) {
	c.t.Helper()
	_, page, _ := c.get("")
	f := form(page)
	f.Set("do", do)
	for k, v := range more {
		f[k] = v
	}
	status, sure := c.post(f)
	if status != 200 || !strings.Contains(sure, `name="sure"`) {
		return status, sure
	}
	g := form(sure)
	g.Set("sure", "1")
	return c.post(g)
}

func (w *world) opsOf(site string) (n int) {
	w.t.Helper()
	if _, err := w.srv.store.ops(site, func([]byte) error { n++; return nil }); err != nil {
		w.t.Fatal(err)
	}
	return n
}

func newCrewWorld(t testing.TB) (w *world, anna *browser, site string, p *phone, c crewPhone) {
	t.Helper()
	w = newWorld(t)
	anna, site = w.owner("Anna")
	p = crewSite(anna, site)
	return w, anna, site, p, crewPhone{w, anna.crewLinkOf(site, "elec", false)}
}

func TestACrewsPageSaysAllTheyNeed(t *testing.T) {
	_, anna, site, _, c := newCrewWorld(t)
	status, page, head := c.get("")
	if status != 200 {
		t.Fatal(status, page)
	}
	for _, want := range []string{"Electric", "Old Laundry", "14 Wash House Lane", "Key box", "Boxes and cable in all walls", "Bits", "Walls open", "Before you start", "lock off", "a licensed electrician",
		"Tue 2 – Wed 3 Mar", "Tuesday 2 March: 8:00 am – 4:30 pm", "Pencilled in", `href="tel:+15550100"`, "Tableros (Hang board", "webcal://"} {
		if !strings.Contains(html.UnescapeString(page), want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	for k, want := range map[string]string{"Cache-Control": "no-store", "Referrer-Policy": "no-referrer", "X-Robots-Tag": "noindex, nofollow, noarchive",
		"Content-Security-Policy": crewPolicy, "X-Content-Type-Options": "nosniff"} {
		if got := head.Get(k); got != want {
			t.Errorf("%s: %q, want %q", k, got, want)
		}
	}
	if len(head["Set-Cookie"]) > 0 {
		t.Error("the page sets a cookie")
	}
	_, spanish, _ := crewPhone{c.world, anna.crewLinkOf(site, "board", false)}.get("")
	for _, want := range []string{`<html lang="es">`, "Sí, voy", "No puedo ir", "Electricidad (Rough-in, mar 2 – mié 3 mar)", "jueves 4 de marzo"} {
		if !strings.Contains(html.UnescapeString(spanish), want) {
			t.Errorf("the Spanish page does not say %q", want)
		}
	}
	if strings.Contains(spanish, "Boxes and cable") || strings.Contains(page, "Paint") {
		t.Error("a crew sees another crew's booking")
	}
	if n := len(page); n > 30_000 {
		t.Errorf("%d bytes", n)
	}
}

func TestAnAnswerReachesThePhoneOfTheOwner(t *testing.T) {
	w, anna, site, p, c := newCrewWorld(t)
	status, page := c.says("yes", nil)
	if status != 200 || !strings.Contains(page, "Thank you. You are booked.") || !strings.Contains(page, "Booked: you said yes") {
		t.Fatal(status, page)
	}
	p.until("the answer", func() bool { return strings.Contains(p.doc(), `"booking":"firm"`) })
	for _, want := range []string{`"toldStart":"2027-03-02T08:00"`, `"toldFinish":"2027-03-03T16:30"`, `"id":"ask/elec/2027-03-02"`, `"answer":"yes"`} {
		if !strings.Contains(p.doc(), want) {
			t.Errorf("no %s in %s", want, p.doc())
		}
	}
	// The log names the crew, the list of phones does not: it is none.
	last := p.in.Log.Ops()[len(p.in.Log.Ops())-1]
	if last.Label != "answer.yes|Electric|2027-03-02" {
		t.Errorf("label %q", last.Label)
	}
	names, err := w.srv.sites.open[site].names()
	if err != nil || names[last.ID.Device] != "Electric" {
		t.Errorf("written by %q (%v)", names[last.ID.Device], err)
	}
	if got := anna.must("GET", "/api/devices?site="+site, nil)["devices"].([]any); len(got) != 1 {
		t.Errorf("devices: %v", got)
	}
	// It is on the disk: the plug is pulled and the page still knows.
	w.stop()
	w.start()
	if _, page, _ := (crewPhone{w, c.code}).get(""); !strings.Contains(page, "Booked: you said yes") {
		t.Error("after a restart the yes is gone")
	}
	w.until(func() bool { return true })
}

func TestANoMovesNothing(t *testing.T) {
	_, _, _, p, c := newCrewWorld(t)
	if status, page := c.says("other", url.Values{"day": {"2027-03-04"}}); status != 200 || !strings.Contains(page, "Until then nothing is changed") {
		t.Fatal(status, page)
	}
	p.until("the answer", func() bool { return strings.Contains(p.doc(), `"wish":"2027-03-04"`) })
	if strings.Contains(p.doc(), `"booking"`) || !strings.Contains(p.doc(), `"laid":"2027-03-02T08:00"`) {
		t.Error("the plan was touched:", p.doc())
	}
	if status, page := c.says("no", nil); status != 200 || !strings.Contains(page, "You said you can&#39;t come") {
		t.Fatal(status, page)
	}
	p.until("the no", func() bool { return strings.Contains(p.doc(), `"answer":"no"`) })
	if strings.Contains(p.doc(), `"wish"`) {
		t.Error("the wish outlived the no")
	}
}

func TestLateDoneAndAQuestionGoIntoTheDiary(t *testing.T) {
	_, _, _, p, c := newCrewWorld(t)
	p.put("activity", "rough", map[string]any{"started": "2027-03-01T06:30"})
	p.untilSent()
	for _, x := range []struct {
		do   string
		more url.Values
		want string
	}{
		{"late", url.Values{"count": {"20"}}, "20 minutes late for Rough-in"},
		{"done", url.Values{"count": {"60"}}, "Rough-in: 60 % done for today"},
		{"ask", url.Values{"said": {strings.Repeat("😀", 300)}}, strings.Repeat("😀", 300)}, // as long as the page allows
		{"ask", url.Values{"said": {"Where is the\r\nstop valve? \u202e"}}, `Where is the\nstop valve?`},
	} {
		if status, page := c.says(x.do, x.more); status != 200 || !strings.Contains(page, "it was passed on") {
			t.Fatal(x.do, status, page)
		}
		p.until(x.do, func() bool { return strings.Contains(p.doc(), `"said":"`+x.want+`"`) })
	}
	if !strings.Contains(p.doc(), `"done":60`) {
		t.Error("the share done is not on the work")
	}
	// And the phone goes on writing, on top of what it heard.
	var site struct{ Notes []struct{ ID string } }
	if err := json.Unmarshal([]byte(p.doc()), &site); err != nil || len(site.Notes) != 4 {
		t.Fatal(site, err)
	}
	p.put("note", site.Notes[0].ID, map[string]any{"seen": true})
	p.untilSent()
}

// ownOps counts what this phone wrote itself.
func (p *phone) ownOps() uint32 { n, _ := p.in.Log.Head(p.dev); return n }

// What a crew's page may write, by kind of thing: nothing else may ever appear in one of its operations.
var crewRights = map[string][]string{"activity": {"booking", "toldStart", "toldFinish", "done", "doneAt"},
	"text": {"kind", "crew", "day", "answer", "wish"}, "photo": {"at", "by", "on", "said", "file", "small", "wide", "high"}, "note": {"day", "on", "said", "by", "crew", "word", "count", "seen"}}

func TestACrewWritesOnlyWhatIsItsOwn(t *testing.T) {
	_, _, _, p, c := newCrewWorld(t)
	for _, do := range []string{"yes", "no", "other", "late", "done", "ask"} {
		c.says(do, url.Values{"day": {"2027-03-05"}, "count": {"10"}, "said": {"x"}, "booking": {"firm"}, "crew": {"board"}})
	}
	p.until("all answers", func() bool {
		return strings.Contains(p.doc(), `"said":"10 minutes`) && len(p.in.Log.Ops()) == int(p.ownOps())+6
	})
	n := 0
	for _, op := range p.in.Log.Ops() {
		if op.ID.Device == p.dev {
			continue
		}
		n++
		for _, e := range op.Edits() {
			if e.Gone != nil {
				t.Error("a crew removed something")
			}
			for name := range e.Set {
				if !strings.Contains(" "+strings.Join(crewRights[e.Thing], " ")+" ", " "+name+" ") {
					t.Errorf("a crew wrote %s %s, %s", e.Thing, e.ID, name)
				}
			}
		}
	}
	if n != 6 {
		t.Errorf("%d operations, want 6", n)
	}
	// Another crew's work is out of reach.
	if status, _ := c.says("yes", url.Values{"visit": {"hang"}}); status != 409 {
		t.Errorf("yes for another crew's work: %d", status)
	}
}

func TestGetNeverAnswers(t *testing.T) {
	w, _, site, _, c := newCrewWorld(t)
	before := w.opsOf(site)
	_, page, _ := c.get("")
	f := form(page)
	for _, do := range []string{"yes", "no", "other", "late", "done", "ask"} {
		f.Set("do", do)
		f.Set("sure", "1")
		f.Set("day", "2027-03-04")
		f.Set("count", "10")
		if status, _, _ := c.get("?" + f.Encode()); status != 200 {
			t.Errorf("%s: %d", do, status)
		}
		c.get("/days.ics?" + f.Encode())
		r, err := http.Head(w.base + "/c/" + c.code + "?" + f.Encode())
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		f.Del("sure")
		c.post(f) // the question whether it is right has not been answered yet
	}
	if after := w.opsOf(site); after != before {
		t.Errorf("%d operations more", after-before)
	}
}

func TestAnAnswerFromAnOldPageGetsTheNewDates(t *testing.T) {
	w, _, site, p, c := newCrewWorld(t)
	_, page, _ := c.get("")
	old := form(page)
	old.Set("do", "yes")
	_, sure := c.post(old)
	p.put("activity", "rough", map[string]any{"laid": "2027-03-09T08:00"})
	p.untilSent()
	before := w.opsOf(site)
	confirmed := form(sure)
	confirmed.Set("sure", "1")
	for name, f := range map[string]url.Values{"the old page": old, "the old question": confirmed} {
		status, got := c.post(f)
		if status != 409 || !strings.Contains(got, "The dates have changed") || !strings.Contains(got, "Tuesday 9 March") {
			t.Errorf("%s: %d %s", name, status, got)
		}
	}
	if w.opsOf(site) != before {
		t.Error("an old answer was taken")
	}
}

func TestTwiceSentIsOnceTaken(t *testing.T) {
	w, _, site, _, c := newCrewWorld(t)
	_, page, _ := c.get("")
	f := form(page)
	f.Set("do", "ask")
	f.Set("said", "Where do I park?")
	_, sure := c.post(f)
	g := form(sure)
	g.Set("sure", "1")
	before := w.opsOf(site)
	var all sync.WaitGroup
	status := make([]int, 8)
	for i := range status {
		all.Go(func() { status[i], _ = c.post(g) })
	}
	all.Wait()
	taken := 0
	for _, s := range status {
		if s == 200 {
			taken++
		} else if s != 409 {
			t.Errorf("status %d", s)
		}
	}
	if taken != 1 || w.opsOf(site) != before+1 {
		t.Errorf("taken %d times, %d operations", taken, w.opsOf(site)-before)
	}
}

func TestLinksEnd(t *testing.T) {
	w, anna, site, _, c := newCrewWorld(t)
	opens := func(code string) bool {
		t.Helper()
		status, page, head := crewPhone{w, code}.get("")
		if status == 404 && (!strings.Contains(page, "ask whoever sent it") || !strings.Contains(page, "Pida uno nuevo") || head.Get("X-Robots-Tag") == "") {
			t.Errorf("a dead link says %s", page)
		}
		return status == 200
	}
	second := anna.crewLinkOf(site, "elec", false)
	if !opens(c.code) || !opens(second) {
		t.Error("a second link shut the first")
	}
	third := anna.crewLinkOf(site, "elec", true)
	if opens(c.code) || opens(second) || !opens(third) {
		t.Error("a new link in place of the old ones: the old ones open, or the new one does not")
	}
	anna.must("POST", "/api/crewlink/revoke", map[string]any{"site": site, "crew": "elec"})
	if opens(third) {
		t.Error("a revoked link opens")
	}
	fourth := anna.crewLinkOf(site, "elec", false)
	for range maxCrewLinks {
		anna.crewLinkOf(site, "elec", false)
	}
	if opens(fourth) {
		t.Errorf("more than %d links open", maxCrewLinks)
	}
	last := anna.crewLinkOf(site, "elec", false)
	w.later(crewLinkLife)
	if opens(last) {
		t.Error("an expired link opens")
	}
	for crew, want := range map[string]int{"nobody": 404, "me": 404, "": 404, "elec": 200} {
		if got, _ := anna.ask("POST", "/api/crewlink", map[string]any{"site": site, "crew": crew}); got != want {
			t.Errorf("a link for %q: %d, want %d", crew, got, want)
		}
	}
}

func TestCodesOfAllShapes(t *testing.T) {
	_, _, _, _, c := newCrewWorld(t)
	seen := map[string]bool{}
	for range 1000 {
		code := newCrewCode()
		if len(code) != crewCodeLen || !crewCode(code) || seen[code] {
			t.Fatal(code)
		}
		seen[code] = true
	}
	for i := range len(c.code) {
		b := []byte(c.code)
		b[i] = 'a'
		if c.code[i] == 'a' {
			b[i] = 'b'
		}
		// The last letter carries three bits of the sixteen bytes; the others must not open either.
		if _, err := c.srv.store.crewOf(string(b), c.now()); err == nil {
			t.Errorf("opens with letter %d changed", i)
		}
		if _, err := c.srv.store.crewOf(c.code[:i], c.now()); err == nil {
			t.Errorf("opens after %d letters", i)
		}
	}
}

func TestTheStoreAndTheLogHoldNoLink(t *testing.T) {
	w, _, site, p, c := newCrewWorld(t)
	c.says("yes", nil)
	err := w.srv.store.each("", func(key string, value []byte) error {
		if strings.Contains(key+string(value), c.code) {
			t.Errorf("%s holds the link", key)
		}
		return nil
	})
	if err != nil || w.opsOf(site) == 0 || strings.Contains(p.doc(), c.code) {
		t.Error(err)
	}
}

// Every field that somebody can write, with what would be markup: on the page it is text.
func TestNothingOnThePageIsMarkup(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	p := crewSite(anna, site)
	evil := `"><script>alert(1)</script><img src=x onerror=alert(2)>'{{.}}` + "`"
	p.put("site", "site", map[string]any{"name": evil, "address": evil, "wayIn": evil, "contact": evil, "phone": "javascript:alert(3)", "zone": evil, "lang": evil})
	p.put("place", "pl", map[string]any{"name": evil})
	p.put("crew", "elec", map[string]any{"name": evil, "phone": evil, "lang": "en"})
	p.put("crew", "board", map[string]any{"name": evil})
	p.put("activity", "rough", map[string]any{"name": evil, "scope": evil, "place": "pl", "bring": evil, "ready": evil})
	p.put("activity", "hang", map[string]any{"name": evil})
	p.untilSent()
	c := crewPhone{w, anna.crewLinkOf(site, "elec", false)}
	_, page, _ := c.get("")
	f := form(page)
	f.Set("do", "ask")
	f.Set("said", evil)
	_, sure := c.post(f)
	_, done := c.says("ask", url.Values{"said": {evil}})
	for name, got := range map[string]string{"page": page, "question": sure, "thanks": done} {
		for _, bad := range []string{"<script", "<img", `"javascript:`, "<style", " style=", " onerror=\"", "<iframe"} {
			if strings.Contains(strings.ToLower(got), bad) {
				t.Errorf("%s: %q in %s", name, bad, got)
			}
		}
		if !strings.Contains(got, "&lt;script&gt;") {
			t.Errorf("%s does not show the text at all", name)
		}
		tags := regexp.MustCompile(`<[a-zA-Z!/][^>]*>`).FindAllString(got, -1)
		for _, tag := range tags {
			if regexp.MustCompile(`(?i)\son\w+\s*=\s*[^"]*$`).MatchString(strings.Split(tag, `"`)[0]) {
				t.Errorf("%s: %s", name, tag)
			}
		}
	}
	if _, days, _ := c.get("/days.ics"); strings.Count(days, "BEGIN:VEVENT") != 2 {
		t.Errorf("calendar: %s", days)
	}
}

func TestBadFormsChangeNothing(t *testing.T) {
	w, _, site, _, c := newCrewWorld(t)
	_, page, _ := c.get("")
	good := form(page)
	before := w.opsOf(site)
	for name, change := range map[string]url.Values{
		"no act": {"do": {""}}, "unknown act": {"do": {"burn"}}, "no day": {"do": {"other"}}, "no such day": {"do": {"other"}, "day": {"2027-02-30"}},
		"a day gone by": {"do": {"other"}, "day": {"2027-02-01"}}, "years ahead": {"do": {"other"}, "day": {"2099-01-01"}},
		"no minutes": {"do": {"late"}}, "minus": {"do": {"late"}, "count": {"-5"}}, "too late": {"do": {"late"}, "count": {"99999"}},
		"no number": {"do": {"late"}, "count": {"x"}}, "over done": {"do": {"done"}, "count": {"101"}}, "no question": {"do": {"ask"}, "said": {" \n"}},
		"long": {"do": {"ask"}, "said": {strings.Repeat("x", 1501)}}, "huge": {"do": {"ask"}, "said": {strings.Repeat("x", maxBody)}},
		"no visit": {"do": {"yes"}, "visit": {""}}, "a stranger's visit": {"do": {"yes"}, "visit": {"../../x"}}, "no dates": {"do": {"yes"}, "shown": {""}},
		"a wrong count": {"do": {"yes"}, "last": {"-1"}},
	} {
		f := url.Values{"sure": {"1"}}
		for k, v := range good {
			f[k] = v
		}
		for k, v := range change {
			f[k] = v
		}
		if status, got := c.post(f); status != 400 && status != 409 || !strings.Contains(got, "nothing was sent") {
			t.Errorf("%s: %d %.300s", name, status, got)
		}
	}
	if w.opsOf(site) != before {
		t.Error("something was written")
	}
}

func TestAnotherPageCannotAnswer(t *testing.T) {
	w, _, site, _, c := newCrewWorld(t)
	_, page, _ := c.get("")
	f := form(page)
	f.Set("do", "yes")
	f.Set("sure", "1")
	before := w.opsOf(site)
	for name, value := range map[string][2]string{"origin": {"Origin", "http://elsewhere.example"}, "fetch": {"Sec-Fetch-Site", "cross-site"}} {
		q, err := http.NewRequest("POST", w.base+"/c/"+c.code, strings.NewReader(f.Encode()))
		if err != nil {
			t.Fatal(err)
		}
		q.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		q.Header.Set(value[0], value[1])
		r, err := http.DefaultClient.Do(q)
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		if r.StatusCode != 403 {
			t.Errorf("%s: %d", name, r.StatusCode)
		}
	}
	if w.opsOf(site) != before {
		t.Error("another page answered")
	}
}

func TestCrewPagesAreLimitedPerAddress(t *testing.T) {
	w, _, site, _, c := newCrewWorld(t)
	before := w.opsOf(site)
	got := map[int]int{}
	for range 25 {
		status, _ := c.says("ask", url.Values{"said": {"?"}})
		got[status]++
	}
	if got[200] != 20 || w.opsOf(site) != before+20 {
		t.Errorf("answers: %v, %d operations", got, w.opsOf(site)-before)
	}
	for range 121 {
		if status, _, _ := c.get(""); status == 429 {
			w.later(time.Minute)
			if status, _, _ := c.get(""); status != 200 {
				t.Errorf("a minute later: %d", status)
			}
			return
		}
	}
	t.Error("pages without end")
}

func TestAFullDiskThanksNobody(t *testing.T) {
	w, _, site, _, c := newCrewWorld(t)
	if status, _ := c.says("ask", url.Values{"said": {"one"}}); status != 200 {
		t.Fatal(status)
	}
	space := w.srv.store.space
	w.srv.store.space = func() error { return errFull }
	status, page := c.says("yes", nil)
	if status != 503 || !strings.Contains(page, "could not be stored") || strings.Contains(page, "Thank you") {
		t.Errorf("%d %s", status, page)
	}
	w.srv.store.space = space
	if status, page := c.says("yes", nil); status != 200 || !strings.Contains(page, "You are booked") {
		t.Errorf("with room again: %d %s", status, page)
	}
	_ = site
}

// After a restore from a backup the answers go on under another number, for phones may hold answers
// under the old one that the store has lost.
func TestARestoredStoreGivesCrewsAnotherNumber(t *testing.T) {
	w, _, site, p, _ := newCrewWorld(t)
	a, given, err := w.srv.store.crewSeat(site, "elec", "Electric", "one")
	if err != nil || !given {
		t.Fatal(err)
	}
	b, given, err := w.srv.store.crewSeat(site, "elec", "Electric", "one")
	if err != nil || given || a != b {
		t.Errorf("%d then %d %v", a, b, err)
	}
	if d, given, err := w.srv.store.crewSeat(site, "elec", "Electric", "two"); err != nil || !given || d == a || opsync.Device(d) == p.dev {
		t.Errorf("after the restore: %d %v", d, err)
	}
}

func TestCrewWordsAreWholeInEveryLanguage(t *testing.T) {
	for code, w := range crewLanguages {
		v := reflect.ValueOf(*w)
		for i := range v.NumField() {
			if v.Field(i).String() == "" {
				t.Errorf("%s: %s is empty", code, v.Type().Field(i).Name)
			}
		}
	}
}

func TestTelLinks(t *testing.T) {
	for in, want := range map[string]string{"+1 555-0100": "tel:+15550100", "(555) 01.00": "tel:5550100", "": "", "call me": "", "javascript:1": "",
		"12": "", "+1234567890123456": "", "5+5": ""} {
		if got := string(telHref(in)); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

// Every crew of the demo, the busiest has seven visits.
func TestEveryPageOfTheDemoIsSmall(t *testing.T) {
	w := newWorld(t)
	site, err := w.srv.store.freshDemo(demo.Told, w.now())
	if err != nil {
		t.Fatal(err)
	}
	w.srv.today = func() schedule.Minute { return demo.Told }
	for _, crew := range []string{"electric", "carpentry", "insulate", "board", "taping", "floors", "paint", "mechanical", "plumbing", "stucco"} {
		code, _, err := w.srv.store.addCrewLink(site, crew, false, w.now())
		if err != nil {
			t.Fatal(err)
		}
		status, page, _ := crewPhone{w, code}.get("")
		if status != 200 || len(page) > 30_000 {
			t.Errorf("%s: %d, %d bytes", crew, status, len(page))
		}
	}
}

// BenchmarkCrewPage is one page out of the handler, plan laid and cached as it is in a minute's use.
func BenchmarkCrewPage(b *testing.B) {
	w := newWorld(b)
	site, err := w.srv.store.freshDemo(demo.Told, w.now())
	if err != nil {
		b.Fatal(err)
	}
	w.srv.today = func() schedule.Minute { return demo.Told }
	code, _, err := w.srv.store.addCrewLink(site, "electric", false, w.now())
	if err != nil {
		b.Fatal(err)
	}
	w.srv.pages = newLimiter(1<<30, time.Hour, w.now)
	h := w.srv.handler()
	size := 0
	for b.Loop() {
		r := httptest.NewRecorder()
		h.ServeHTTP(r, httptest.NewRequest("GET", "/c/"+code, nil))
		if size = r.Body.Len(); r.Code != 200 {
			b.Fatal(r.Code, r.Body)
		}
	}
	b.ReportMetric(float64(size), "page-bytes")
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "pages/s")
}
