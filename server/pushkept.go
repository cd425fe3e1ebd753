package main

import (
	"errors"
	"log/slog"
	"net/http"
	"strings"
	"sync"
	"time"
)

// keptWord is a word on its way to one phone. A later one of the same tag takes its place. It goes when
// the push service has it, will not have it, or after pushTTL; a restart in between changes nothing.
type keptWord struct {
	Word  pushWord `json:"word"`
	At    int64    `json:"at"`             // seconds since 1970: when it was said
	Next  int64    `json:"next,omitempty"` // not before
	Tries int      `json:"tries,omitempty"`
}

// pushPauses is how long it waits after each try that failed. The short ones are waited for on the spot,
// the rest is left to look.
var pushPauses = []time.Duration{5 * time.Second, 30 * time.Second, 3 * time.Minute, 15 * time.Minute, time.Hour, 2 * time.Hour, 4 * time.Hour}

const pushOnTheSpot = 30 * time.Second

func wordKey(site, device, tag string) []byte {
	return []byte("word/" + site + "/" + device + "/" + tag)
}

// underWay are the words that somebody sees to right now; true: look came by meanwhile.
type underWay struct {
	wayMu sync.Mutex
	way   map[string]bool
}

func (u *underWay) begin(key string) bool {
	u.wayMu.Lock()
	defer u.wayMu.Unlock()
	if _, busy := u.way[key]; busy {
		u.way[key] = true
		return false
	}
	if u.way == nil {
		u.way = map[string]bool{}
	}
	u.way[key] = false
	return true
}

// end says whether there is nothing more to see to.
func (u *underWay) end(key string) bool {
	u.wayMu.Lock()
	defer u.wayMu.Unlock()
	if u.way[key] {
		u.way[key] = false
		return false
	}
	delete(u.way, key)
	return true
}

// look sees to every word that is due: those just said, those whose pause is over, and at the start those
// of the server before.
func (p *pusher) look() {
	var due []string
	now := p.s.now().Unix()
	err := p.s.store.each("word/", func(rest string, v []byte) error {
		var k keptWord
		if err := decode(v, &k); err != nil {
			return err
		}
		if now >= k.Next {
			due = append(due, rest)
		}
		return nil
	})
	if err != nil {
		slog.Error("push", "err", err)
		return
	}
	for _, rest := range due {
		if p.ctx.Err() == nil && p.begin(rest) {
			p.going.Go(func() {
				for p.see(rest); !p.end(rest); p.see(rest) {
				}
			})
		}
	}
}

// see tries one word until it is settled or its next try is a while off.
func (p *pusher) see(rest string) {
	part := strings.SplitN(rest, "/", 3)
	site, device, tag := part[0], part[1], part[2]
	for {
		var k keptWord
		if err := p.s.store.read(wordKey(site, device, tag), &k); err != nil {
			if !errors.Is(err, errMissing) {
				slog.Error("push", "site", site, "err", err)
			}
			return
		}
		if time.Unix(k.Next, 0).Sub(p.s.now()) > pushOnTheSpot {
			return
		}
		again := p.say(site, device, k)
		if p.ctx.Err() != nil {
			return // nobody knows what became of it: the next server tries again
		}
		if again && k.Tries < len(pushPauses) {
			pause := pushPauses[k.Tries]
			next := k
			next.Tries, next.Next = k.Tries+1, p.s.now().Add(pause).Unix()
			if !p.settle(site, device, k, &next) {
				continue
			}
			if pause > pushOnTheSpot {
				return
			}
			select {
			case <-p.wait(pause):
			case <-p.ctx.Done():
				return
			}
			continue
		}
		if again {
			slog.Info("push given up", "site", site, "device", device)
		}
		if p.settle(site, device, k, nil) {
			return
		}
	}
}

// say tries once, and says whether to try again. It forgets a phone that is gone.
func (p *pusher) say(site, device string, k keptWord) (again bool) {
	left := pushTTL - p.s.now().Sub(time.Unix(k.At, 0))
	if left <= 0 {
		slog.Info("push given up", "site", site, "device", device)
		return false
	}
	var to pushPhone
	if err := p.s.store.read(pushPhoneKey(site, device), &to); err != nil {
		return !errors.Is(err, errMissing) // it wants to hear no more
	}
	if _, err := p.s.store.seatOf(site, device); err != nil {
		p.forget(site, device, to.Endpoint) // taken off the site
		return false
	}
	status, err := p.once(to, k.Word, min(left, pushTTL))
	switch {
	case err == nil && status >= 200 && status < 300:
		return false
	case status == http.StatusNotFound || status == http.StatusGone:
		p.forget(site, device, to.Endpoint)
		return false
	case status != http.StatusTooManyRequests && status < 500 && status != 0, errors.Is(err, errInside), errors.Is(err, errElse):
		slog.Warn("push refused", "site", site, "device", device, "status", status, "err", err)
		return false
	}
	return true
}

// settle puts next, or nothing, in the place of a word. False: another word has taken that place. It goes on trying
// where nothing can be stored, as on a full disk: a word that was said and still lies there would be said again. Where
// the server stops first it is as after a kill.
func (p *pusher) settle(site, device string, k keptWord, next *keptWord) (mine bool) {
	for {
		mine, err := p.settleOnce(wordKey(site, device, k.Word.Tag), k, next)
		if err == nil {
			return mine
		}
		slog.Error("push: not kept yet what became of a word", "site", site, "err", err)
		select {
		case <-p.wait(pushOnTheSpot):
		case <-p.ctx.Done():
			return true
		}
	}
}

func (p *pusher) settleOnce(key []byte, k keptWord, next *keptWord) (mine bool, err error) {
	err = p.s.store.change(func(t records) ([]pair, error) {
		var now keptWord
		if err := get(t, key, &now); err != nil && !errors.Is(err, errMissing) {
			return nil, err
		}
		if mine = now == k; !mine {
			return nil, nil
		}
		if next == nil {
			return []pair{{key: key}}, nil
		}
		return []pair{record(key, *next)}, nil
	})
	return mine, err
}
