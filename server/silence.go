package main

import (
	"errors"
	"log/slog"
	"strconv"
	"strings"
	"sync"
	"time"

	"batterboard/client/engine"
	"batterboard/schedule"
)

// silence watches the hour by which crews should have answered, on sites whose phones want to hear of
// it, and says so once for each day. The day it has spoken of is kept, so that a restart does not
// repeat it.
type silence struct {
	s    *server
	mu   sync.Mutex
	next map[string]time.Time // when to look at a site again
}

// lookAgain is how long a site is left alone at most: its hour can be changed meanwhile.
const lookAgain = 15 * time.Minute

func silentKey(site string) []byte { return []byte("silent/" + site) }

// look goes through the sites that are due.
func (z *silence) look() {
	wanted := map[string]bool{}
	err := z.s.store.each("push/", func(rest string, _ []byte) error {
		site, _, _ := strings.Cut(rest, "/")
		wanted[site] = true
		return nil
	})
	if err != nil {
		slog.Error("silence", "err", err)
		return
	}
	z.mu.Lock()
	defer z.mu.Unlock()
	now := z.s.now()
	for site := range z.next {
		if !wanted[site] {
			delete(z.next, site)
		}
	}
	for site := range wanted {
		if now.Before(z.next[site]) {
			continue
		}
		at, err := z.lookAt(site)
		if err != nil {
			slog.Error("silence", "site", site, "err", err)
			at = lookAgain
		}
		z.next[site] = now.Add(at)
	}
}

// lookAt says what is to be said about one site, and how long to leave it alone.
func (z *silence) lookAt(site string) (again time.Duration, err error) {
	x, err := z.s.sites.at(site)
	if err != nil {
		return 0, err
	}
	b := x.crewBoard(z.s.siteNow)
	day, crews, from := b.Silent()
	if left := from - b.Now(); left > 0 {
		return min(lookAgain, time.Duration(left)*time.Minute), nil
	}
	if len(crews) == 0 {
		return lookAgain, nil
	}
	told, err := z.told(site, day)
	if err != nil || told {
		return lookAgain, err
	}
	z.s.push.tellSilent(site, day, crews)
	return lookAgain, nil
}

// told marks a day as spoken of, and says whether it was so already.
func (z *silence) told(site string, day schedule.Day) (already bool, err error) {
	err = z.s.store.change(func(t records) ([]pair, error) {
		var last string
		if err := get(t, silentKey(site), &last); err != nil && !errors.Is(err, errMissing) {
			return nil, err
		}
		if already = last == day.String(); already {
			return nil, nil
		}
		return []pair{record(silentKey(site), day.String())}, nil
	})
	return already, err
}

func (p *pusher) tellSilent(site string, day schedule.Day, crews []string) {
	p.tell(site, "silent", func(lang string) string {
		key := "silent.many"
		if len(crews) == 1 {
			key = "silent.one"
		}
		return pushSay(lang, key, "who", strings.Join(crews, ", "), "n", strconv.Itoa(len(crews)), "day", engine.LongDay(lang, day))
	})
}
