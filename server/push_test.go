package main

import (
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	opsync "batterboard/sync"
)

// pushService is a push service on loopback, and the browser behind it that reads what comes.
type pushService struct {
	t       testing.TB
	browser pushBrowser
	web     *httptest.Server

	mu     sync.Mutex
	status []int // one answer each, then 201
	asked  int
	words  []pushWord
	plain  []string
	keys   map[string]bool
}

func newPushService(t testing.TB) *pushService {
	p := &pushService{t: t, browser: newPushBrowser(t), keys: map[string]bool{}}
	p.web = httptest.NewServer(http.HandlerFunc(p.take))
	t.Cleanup(p.web.Close)
	return p
}

func (p *pushService) take(w http.ResponseWriter, q *http.Request) {
	body, err := io.ReadAll(q.Body)
	if err != nil {
		p.t.Error(err)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.asked++
	if len(p.status) > 0 {
		status := p.status[0]
		if p.status = p.status[1:]; status != 201 {
			w.Header().Set("Location", "http://10.0.0.1/")
			w.WriteHeader(status)
			return
		}
	}
	// RFC 8030, section 5: TTL is a must; RFC 8291, section 4: the coding.
	if q.Method != "POST" || q.Header.Get("TTL") == "" || q.Header.Get("Content-Encoding") != "aes128gcm" {
		p.t.Errorf("%s %v", q.Method, q.Header)
	}
	aud, sub, _, key := checkVapid(p.t, q.Header.Get("Authorization"))
	if aud != p.web.URL || !strings.HasPrefix(sub, "mailto:") && !strings.HasPrefix(sub, "https:") {
		p.t.Errorf("token for %s from %s", aud, sub)
	}
	p.keys[key] = true
	plain, err := p.browser.read(body)
	if err != nil {
		p.t.Errorf("the browser cannot read it: %v", err)
	}
	var word pushWord
	if err := json.Unmarshal(plain, &word); err != nil {
		p.t.Error(err)
	}
	p.words, p.plain = append(p.words, word), append(p.plain, string(plain))
	w.WriteHeader(http.StatusCreated)
}

func (p *pushService) heard() []pushWord {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]pushWord{}, p.words...)
}

// pushWorld is a crew world in which the owner's phone wants to hear.
func pushWorld(t *testing.T) (w *world, anna *browser, site string, p *phone, c crewPhone, push *pushService) {
	t.Helper()
	w, anna, site, p, c = newCrewWorld(t)
	push = newPushService(t)
	w.localPush()
	anna.wantsPush(site, push, "en")
	return w, anna, site, p, c, push
}

// localPush lets the server talk to this machine, and try again at once.
func (w *world) localPush() {
	w.srv.push.local, w.srv.push.web = true, outside(true)
	w.srv.push.wait = func(time.Duration) <-chan time.Time { c := make(chan time.Time, 1); c <- time.Time{}; return c }
}

func (b *browser) wantsPush(site string, p *pushService, lang string) {
	b.t.Helper()
	to := p.browser.to(p.web.URL + "/to/" + lang)
	b.must("POST", "/api/push", map[string]any{"site": site, "lang": lang, "endpoint": to.Endpoint, "p256dh": to.P256dh, "auth": to.Auth})
}

func TestAnAnswerReachesAPhoneThatIsNotLooking(t *testing.T) {
	w, anna, site, p, c, push := pushWorld(t)
	p.cut() // the app is closed
	for _, do := range []string{"no", "late", "ask"} {
		if status, page := c.says(do, map[string][]string{"count": {"20"}, "said": {"My number is 555-0123"}}); status != 200 {
			t.Fatal(status, page)
		}
		w.srv.push.going.Wait()
	}
	got := push.heard()
	if len(got) != 3 || got[0].Text != "Electric can't come, Tuesday 2 March." || got[0].Title != "Old Laundry" || got[0].Site != site || got[0].V != 1 ||
		got[1].Text != "Electric is running late: 20 minutes." || got[2].Text != "Electric has a question." {
		t.Fatalf("%+v", got)
	}
	for _, plain := range push.plain { // no more about people than it takes
		for _, no := range []string{"555", "Wash House", "Key box", "Marit", c.code} {
			if strings.Contains(plain, no) {
				t.Errorf("%s tells %q", plain, no)
			}
		}
	}
	key := anna.must("GET", "/api/push?site="+site, nil)
	if len(push.keys) != 1 || !push.keys[key["key"].(string)] || key["on"] != true {
		t.Errorf("keys %v, told %v", push.keys, key)
	}
	// The key outlives the server.
	w.stop()
	w.start()
	if again := anna.must("GET", "/api/push?site="+site, nil); again["key"] != key["key"] || again["on"] != true {
		t.Errorf("after a restart: %v", again)
	}
	anna.must("POST", "/api/push/off", map[string]any{"site": site})
	w.localPush()
	crewPhone{w, c.code}.says("yes", nil)
	w.srv.push.going.Wait()
	if len(push.heard()) != 3 {
		t.Error("a phone that wants no more words got one")
	}
}

func TestEveryPhoneHearsInItsOwnLanguage(t *testing.T) {
	w, anna, site, _, c, push := pushWorld(t)
	ben := anna.invited(site, opsync.Second, "Ben")
	gus := anna.invited(site, opsync.Second, "Gus")
	other := newPushService(t)
	ben.wantsPush(site, other, "es")
	gone := newPushService(t)
	gus.wantsPush(site, gone, "en")
	anna.must("POST", "/api/revoke", map[string]any{"site": site, "device": gus.must("GET", "/api/me", nil)["device"]})
	c.says("other", map[string][]string{"day": {"2027-03-04"}})
	w.srv.push.going.Wait()
	if a, b := push.heard(), other.heard(); len(a) != 1 || len(b) != 1 || a[0].Text != "Electric asks for Thursday 4 March instead of Tuesday 2 March." ||
		b[0].Text != "Electric pide el jueves 4 de marzo en lugar del martes 2 de marzo." {
		t.Errorf("%v %v", a, b)
	}
	if len(gone.heard()) != 0 {
		t.Error("a phone that was taken off the site hears of it")
	}
}

func TestPushServicesThatSayNo(t *testing.T) {
	for name, c := range map[string]struct {
		status      []int
		asked, read int
		on          bool
	}{
		"gone": {[]int{410}, 1, 0, false}, "not found": {[]int{404}, 1, 0, false}, "busy once": {[]int{429}, 2, 1, true},
		"down twice": {[]int{503, 500}, 3, 1, true}, "down": {[]int{503, 503, 503, 503}, 3, 0, true}, "refused": {[]int{403}, 1, 0, true}, "sends on": {[]int{307}, 1, 0, true},
	} {
		t.Run(name, func(t *testing.T) {
			w, anna, site, _, crew, push := pushWorld(t)
			push.status = c.status
			crew.says("yes", nil)
			w.srv.push.going.Wait()
			if push.asked != c.asked || len(push.heard()) != c.read {
				t.Errorf("asked %d times, want %d; read %d, want %d", push.asked, c.asked, len(push.heard()), c.read)
			}
			if on := anna.must("GET", "/api/push?site="+site, nil)["on"]; on != c.on {
				t.Errorf("afterwards on is %v", on)
			}
		})
	}
}

func TestAStrangersEndpointIsNotAsked(t *testing.T) {
	w := newWorld(t)
	anna, site := w.owner("Anna")
	good := newPushBrowser(t).to("https://push.example.net/1")
	for _, endpoint := range []string{"http://push.example.net/1", "https://127.0.0.1/1", "https://localhost/", "https://10.0.0.1/", "https://169.254.169.254/latest/", "https://[::1]/", "file:///etc/passwd", "",
		"https://push.example.net/" + strings.Repeat("x", 2000)} {
		if status, _ := anna.ask("POST", "/api/push", map[string]any{"site": site, "endpoint": endpoint, "p256dh": good.P256dh, "auth": good.Auth}); status != 400 {
			t.Errorf("%.40s: %d", endpoint, status)
		}
	}
	for _, key := range []string{"", "AAAA", strings.Repeat("A", 87), good.P256dh + "=="} {
		if status, _ := anna.ask("POST", "/api/push", map[string]any{"site": site, "endpoint": good.Endpoint, "p256dh": key, "auth": good.Auth}); status != 400 {
			t.Errorf("key %q: %d", key, status)
		}
	}
}

func TestSilenceIsSaidOnceAtItsHour(t *testing.T) {
	w, _, _, p, _, push := pushWorld(t)
	look := func(what string, want int) {
		t.Helper()
		w.srv.silence.look()
		w.srv.push.going.Wait()
		if n := len(push.heard()); n != want {
			t.Errorf("%s: %d words, want %d", what, n, want)
		}
	}
	// Monday 1 March 2027, 17:40 in Los Angeles; the electricians come tomorrow.
	w.later(time.Date(2027, 3, 2, 1, 40, 0, 0, time.UTC).Sub(w.now()))
	look("nobody was told", 0)
	p.put("text", "tomorrow/elec/2027-03-02", map[string]any{"kind": "tomorrow", "crew": "elec", "day": "2027-03-02", "sent": "2027-03-01T16:00"})
	p.untilSent()
	w.later(19 * time.Minute)
	look("17:59", 0)
	w.later(time.Minute)
	look("18:00", 1)
	if got := push.heard(); len(got) == 1 && got[0].Text != "No answer yet from Electric, who is to come on Tuesday 2 March." {
		t.Error(got[0].Text)
	}
	w.later(20 * time.Minute)
	look("again", 1)
	w.stop()
	w.start()
	w.localPush()
	w.later(time.Hour)
	look("after a restart", 1)
	// The next eve they have answered.
	w.later(20 * time.Hour)
	p.open()
	p.connect()
	p.put("text", "tomorrow/elec/2027-03-03", map[string]any{"kind": "tomorrow", "crew": "elec", "day": "2027-03-03", "sent": "2027-03-02T16:00", "answer": "yes"})
	p.untilSent()
	w.later(4 * time.Hour)
	look("answered", 1)
}

func TestTheHourOfSilenceIsTheOwners(t *testing.T) {
	w, _, _, p, _, push := pushWorld(t)
	p.put("site", "site", map[string]any{"answerBy": 20 * 60})
	p.put("text", "tomorrow/elec/2027-03-02", map[string]any{"kind": "tomorrow", "crew": "elec", "day": "2027-03-02", "sent": "2027-03-01T16:00"})
	p.untilSent()
	w.later(time.Date(2027, 3, 2, 2, 30, 0, 0, time.UTC).Sub(w.now())) // 18:30
	for range 8 {
		w.srv.silence.look()
		w.srv.push.going.Wait()
		hour := w.now().Add(-8 * time.Hour).Format("15:04")
		if got, due := len(push.heard()), hour >= "20:00"; (got == 1) != due {
			t.Errorf("at %s: %d words", hour, got)
		}
		w.later(lookAgain)
	}
}

// keptWords counts what is still to be said.
func (w *world) keptWords() (n int) {
	w.t.Helper()
	if err := w.srv.store.each("word/", func(string, []byte) error { n++; return nil }); err != nil {
		w.t.Fatal(err)
	}
	return n
}

// again is a restart of the server at a later hour.
func (w *world) again(later time.Duration) {
	w.stop()
	w.later(later)
	w.start()
	w.localPush()
}

// looks lets the server see to what is due.
func (w *world) looks() {
	w.srv.push.look()
	w.srv.push.going.Wait()
}

func TestAWordThatFailedIsSaidAfterARestart(t *testing.T) {
	w, _, _, _, c, push := pushWorld(t)
	push.status = []int{503, 503, 503} // at once, after 5 and after 30 seconds
	c.says("yes", nil)
	w.srv.push.going.Wait()
	if push.asked != 3 || w.keptWords() != 1 {
		t.Fatalf("asked %d times, %d kept", push.asked, w.keptWords())
	}
	w.again(time.Minute)
	w.looks()
	if push.asked != 3 {
		t.Error("asked again within three minutes")
	}
	w.later(2 * time.Minute)
	w.looks()
	if got := push.heard(); len(got) != 1 || got[0].Text != "Electric is coming, Tuesday 2 March." || w.keptWords() != 0 {
		t.Errorf("heard %+v, %d kept", got, w.keptWords())
	}
	w.later(time.Hour)
	w.looks()
	if len(push.heard()) != 1 {
		t.Error("said twice")
	}
}

// The server stops after it kept the word, before it could say it.
func TestAWordIsKeptBeforeItIsSaid(t *testing.T) {
	w, _, _, _, c, push := pushWorld(t)
	w.srv.push.stop()
	c.says("no", nil)
	w.srv.push.going.Wait()
	if push.asked != 0 || w.keptWords() != 1 {
		t.Fatalf("asked %d times, %d kept", push.asked, w.keptWords())
	}
	w.again(time.Second)
	w.looks()
	if got := push.heard(); len(got) != 1 || got[0].Text != "Electric can't come, Tuesday 2 March." || w.keptWords() != 0 {
		t.Errorf("heard %+v, %d kept", got, w.keptWords())
	}
}

func TestWordsThatAreNoNewsAnyMore(t *testing.T) {
	for name, c := range map[string]struct {
		then func(w *world, anna *browser, site string, c crewPhone)
		said string
	}{
		"half a day later": {func(w *world, _ *browser, _ string, _ crewPhone) { w.later(pushTTL) }, ""},
		"overtaken": {func(w *world, _ *browser, _ string, c crewPhone) {
			c.says("ask", map[string][]string{"said": {"Is the key there?"}})
		}, "Electric has a question."},
		"not wanted": {func(w *world, anna *browser, site string, _ crewPhone) {
			anna.must("POST", "/api/push/off", map[string]any{"site": site})
		}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			w, anna, site, _, crew, push := pushWorld(t)
			w.srv.push.stop()
			crew.says("no", nil)
			c.then(w, anna, site, crew)
			w.srv.push.going.Wait()
			w.again(time.Minute)
			w.looks()
			got := ""
			for _, word := range push.heard() {
				got += word.Text
			}
			if got != c.said || w.keptWords() != 0 {
				t.Errorf("heard %q, %d kept", got, w.keptWords())
			}
		})
	}
}

// A word that was said while the disk was full is taken off when there is room, and not said again until then.
func TestAFullDiskHasNoWordSaidTwice(t *testing.T) {
	w, _, _, _, c, push := pushWorld(t)
	w.srv.push.stop()
	c.says("no", nil)
	w.srv.push.going.Wait()
	w.again(time.Second)
	var full atomic.Int32 // so many looks at the disk, from when the word was said
	full.Store(3)
	w.srv.store.space = func() error {
		if len(push.heard()) > 0 && full.Add(-1) >= 0 {
			return errFull
		}
		return nil
	}
	w.looks()
	w.looks()
	if got := push.heard(); len(got) != 1 || w.keptWords() != 0 || full.Load() >= 0 {
		t.Errorf("heard %+v, %d kept, %d", got, w.keptWords(), full.Load())
	}
}

// A push service that never comes back is asked less and less often, and not for ever.
func TestAPushServiceThatStaysDown(t *testing.T) {
	w, _, _, _, c, push := pushWorld(t)
	for range 100 {
		push.status = append(push.status, 500)
	}
	c.says("yes", nil)
	w.srv.push.going.Wait()
	for range 24 * 60 {
		w.later(time.Minute)
		w.looks()
	}
	if push.asked != 1+len(pushPauses) || w.keptWords() != 0 {
		t.Errorf("asked %d times in a day, %d kept", push.asked, w.keptWords())
	}
}

// Words that are said while others are under way, from all sides: each is said, none twice.
func TestWordsFromAllSides(t *testing.T) {
	w, _, site, _, _, push := pushWorld(t)
	var all sync.WaitGroup
	for i := range 40 {
		all.Go(func() {
			w.srv.push.tell(site, "test/"+string(rune('a'+i)), func(string) string { return "word " + string(rune('a'+i)) })
			w.srv.push.look()
		})
	}
	all.Wait()
	w.srv.push.going.Wait()
	said := map[string]int{}
	for _, word := range push.heard() {
		said[word.Text]++
	}
	if len(said) != 40 || len(push.heard()) != 40 || w.keptWords() != 0 {
		t.Errorf("%d words, %d times, %d kept", len(said), len(push.heard()), w.keptWords())
	}
}
