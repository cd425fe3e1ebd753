package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"time"
)

// The server's word to phones that are not looking: a crew has answered, or has not by the hour it
// should have. A phone asks for it site by site. A word is kept (pushkept.go) before it is said, and until
// its phone's push service has it or it is no news any more.
//
// What is said is sealed for the phone (webpush.go). It names the site, the crew and the day, for a
// message that says less has to be opened to be of use; never a number, an address, or what a crew wrote.

// pushPhone is a phone that asked for words about a site.
type pushPhone struct {
	pushTo
	Lang string `json:"lang"`
	Base string `json:"base"` // the address the phone knows us by
}

// pushWord is what the service worker shows.
type pushWord struct {
	V     int    `json:"v"` // 1
	Site  string `json:"site"`
	Tag   string `json:"tag"` // a later word of the same tag takes the earlier one's place
	Title string `json:"title"`
	Text  string `json:"text"`
}

// pushTTL is how long a word is news: as long a push service keeps what it cannot deliver, and we try.
const pushTTL = 12 * time.Hour

func pushPhoneKey(site, device string) []byte { return []byte("push/" + site + "/" + device) }

// pusher sends the words, a few at a time.
type pusher struct {
	underWay
	s     *server
	web   *http.Client
	local bool // tests only: push services on this machine
	wait  func(time.Duration) <-chan time.Time

	mu    sync.Mutex
	key   *pushKey
	going sync.WaitGroup
	room  chan struct{}
	ctx   context.Context
	stop  context.CancelFunc
}

func newPusher(s *server) *pusher {
	ctx, stop := context.WithCancel(context.Background())
	return &pusher{s: s, web: outside(false), wait: time.After, room: make(chan struct{}, 8), ctx: ctx, stop: stop}
}

// close gives up on what is still on its way.
func (p *pusher) close() {
	p.stop()
	p.going.Wait()
}

// name is the server's key, made the first time anybody asks for it.
func (p *pusher) name() (pushKey, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.key != nil {
		return *p.key, nil
	}
	var made pushKey
	err := p.s.store.change(func(t records) ([]pair, error) {
		var kept string
		if err := get(t, []byte("meta/push"), &kept); err == nil {
			made, err = readPushKey(kept)
			return nil, err
		} else if !errors.Is(err, errMissing) {
			return nil, err
		}
		k, text, err := newPushKey()
		made = k
		return []pair{record([]byte("meta/push"), text)}, err
	})
	if err == nil {
		p.key = &made
	}
	return made, err
}

// tell sends a word to every phone of a site that asked for such. text says it in a language.
func (p *pusher) tell(site, tag string, text func(lang string) string) {
	title, err := p.s.store.text(string(nameKey(site)))
	if err != nil {
		slog.Error("push", "site", site, "err", err)
		return
	}
	var kept []pair
	err = p.s.store.each("push/"+site+"/", func(device string, v []byte) error {
		var to pushPhone
		if err := decode(v, &to); err != nil {
			return err
		}
		word := pushWord{1, site, tag, title, clipText(text(to.Lang), 300)}
		kept = append(kept, record(wordKey(site, device, tag), keptWord{Word: word, At: p.s.now().Unix()}))
		return nil
	})
	if err == nil && len(kept) > 0 {
		err = p.s.store.write(kept...)
	}
	if err != nil {
		slog.Error("push", "site", site, "err", err)
	}
	p.look()
}

// once is one POST to a push service (RFC 8030, section 5). ttl is how long it should try in turn.
func (p *pusher) once(to pushPhone, word pushWord, ttl time.Duration) (status int, err error) {
	select {
	case p.room <- struct{}{}:
		defer func() { <-p.room }()
	case <-p.ctx.Done():
		return 0, p.ctx.Err()
	}
	plain, err := json.Marshal(word)
	if err != nil {
		return 0, err
	}
	sealed, err := sealPush(plain, to.pushTo)
	if err != nil {
		return http.StatusBadRequest, err
	}
	u, err := destination(to.Endpoint, p.local)
	if err != nil {
		return http.StatusBadRequest, err
	}
	key, err := p.name()
	if err != nil {
		return 0, err
	}
	auth, err := key.vapid(u.Scheme+"://"+u.Host, subject(to.Base), p.s.now())
	if err != nil {
		return 0, err
	}
	q, err := http.NewRequestWithContext(p.ctx, http.MethodPost, u.String(), bytes.NewReader(sealed))
	if err != nil {
		return http.StatusBadRequest, err
	}
	for k, v := range map[string]string{"TTL": fmt.Sprint(int(ttl / time.Second)), "Urgency": "high", "Content-Encoding": "aes128gcm",
		"Content-Type": "application/octet-stream", "Authorization": auth} {
		q.Header.Set(k, v)
	}
	r, err := p.web.Do(q)
	if err != nil {
		return 0, bare(err)
	}
	defer r.Body.Close()
	io.Copy(io.Discard, io.LimitReader(r.Body, 64<<10))
	return r.StatusCode, nil
}

// subject is whom a push service can turn to (RFC 8292, section 2.1): this server, where it has a
// public address.
func subject(base string) string {
	if u, err := url.Parse(base); err == nil && u.Scheme == "https" {
		return base
	}
	return "mailto:nobody@batterboard.invalid"
}

// forget takes a phone out of the list, unless it has signed up anew meanwhile.
func (p *pusher) forget(site, device, endpoint string) {
	err := p.s.store.change(func(t records) ([]pair, error) {
		var now pushPhone
		if err := get(t, pushPhoneKey(site, device), &now); err != nil || now.Endpoint != endpoint {
			return nil, nil
		}
		return []pair{{key: pushPhoneKey(site, device)}}, nil
	})
	if err != nil {
		slog.Error("push: phone not forgotten", "site", site, "err", err)
	}
}

// clipText cuts at a whole character.
func clipText(s string, most int) string {
	if r := []rune(strings.ToValidUTF8(s, "")); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}

// ---- what phones ask

// pushAsk is GET: the key that a browser needs to sign up, and whether this phone has.
func (s *server) pushAsk(w http.ResponseWriter, q *http.Request) error {
	x, err := s.seated(q, q.URL.Query().Get("site"))
	if err != nil {
		return err
	}
	key, err := s.push.name()
	if err != nil {
		return err
	}
	var have pushPhone
	err = s.store.read(pushPhoneKey(x.Site, x.Device), &have)
	if err != nil && !errors.Is(err, errMissing) {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]any{"key": key.public(), "on": err == nil, "endpoint": have.Endpoint})
	return nil
}

// pushOn signs a phone up for a site, pushOff takes it out.
func (s *server) pushOn(w http.ResponseWriter, q *http.Request) error {
	var in struct {
		Site, Lang string
		pushTo
	}
	if err := readJSON(q, &in); err != nil {
		return err
	}
	x, err := s.seated(q, in.Site)
	if err != nil {
		return err
	}
	if _, err := destination(in.Endpoint, s.push.local); err != nil {
		return coded{&refusal{http.StatusBadRequest, "This browser's push service cannot be used: " + err.Error() + "."}, codePushService}
	}
	if _, _, err := in.keys(); err != nil {
		return coded{&refusal{http.StatusBadRequest, sentence(err.Error())}, answerCode(err)}
	}
	to := pushPhone{in.pushTo, crewWordsIn(in.Lang).Code, s.base(q)}
	if err := s.store.write(record(pushPhoneKey(x.Site, x.Device), to)); err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]bool{"on": true})
	return nil
}

func (s *server) pushOff(w http.ResponseWriter, q *http.Request) error {
	var in struct{ Site string }
	if err := readJSON(q, &in); err != nil {
		return err
	}
	x, err := s.seated(q, in.Site)
	if err != nil {
		return err
	}
	if err := s.store.write(pair{key: pushPhoneKey(x.Site, x.Device)}); err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]bool{"on": false})
	return nil
}
