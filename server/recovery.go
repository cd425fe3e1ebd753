package main

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"time"

	opsync "batterboard/sync"
)

// The recovery code is for the day the owner's only phone lies in the mixer. It is printed when the store
// is set up, kept on paper, and typed like any other code: it makes that phone an owner of every site
// here. It works once; the phone that used it is shown the next one. Only its hash is kept.
const (
	recoveryLetters = 20 // 100 bits: it lives for years, and guesses are not counted
	recoveryKey     = "meta/recovery"
)

// newRecovery makes another recovery code. The one before it opens nothing any more.
func (s *store) newRecovery() (code string, err error) {
	code = newCode(recoveryLetters)
	return code, s.write(recoveryPair(code))
}

func recoveryPair(code string) pair {
	sum := sha256.Sum256([]byte(code))
	return pair{[]byte(recoveryKey), sum[:]}
}

// enter lets a phone in that shows a code of either kind.
func (s *store) enter(code string, who newcomer, now time.Time) (paired, error) {
	if len(code) == recoveryLetters {
		return s.recover(code, who, now)
	}
	return s.useCode(code, who, now)
}

// recover makes a phone an owner of all sites but the demo's.
func (s *store) recover(code string, who newcomer, now time.Time) (p paired, err error) {
	err = s.change(func(t records) ([]pair, error) {
		want, err := t.value([]byte(recoveryKey))
		if errors.Is(err, errMissing) {
			return nil, errCode
		}
		if err != nil {
			return nil, err
		}
		if !secretFits(want, []byte(code)) {
			return nil, errCode
		}
		device, d, err := s.deviceFor(t, who, now, &p)
		if err != nil {
			return nil, err
		}
		pairs, err := s.ownEverything(t, device, d, &p)
		if err != nil {
			return nil, err
		}
		p.Recovery = newCode(recoveryLetters)
		slog.Warn("the recovery code was used", "device", device)
		next := recoveryPair(p.Recovery)
		p.Recovery = spaced(p.Recovery)
		return append(pairs, next), nil
	})
	return p, err
}

func (s *store) ownEverything(t records, device string, d deviceRecord, p *paired) (pairs []pair, err error) {
	err = t.scan([]byte("site/"), nil, func(key, value []byte, err error) error {
		if err != nil {
			return err
		}
		site := string(key[len("site/"):])
		var r siteRecord
		if err := decode(value, &r); err != nil {
			return fmt.Errorf("look up site %s: %w", site, err)
		}
		isDemo, err := s.isDemo(site)
		if err != nil || isDemo || r.full() {
			return err
		}
		pairs = append(pairs, seatPairs(t, site, r, opsync.Owner, device, d, p)...)
		return nil
	})
	if err == nil && len(pairs) == 0 {
		err = errNothingToOwn
	}
	return pairs, err
}

var errNothingToOwn = errors.New("there is no site here to be an owner of: use the owner link that the server printed when it was started")

// isDemo says whether a site is a copy of the demo.
func (s *store) isDemo(site string) (bool, error) {
	all, err := s.seats(site)
	return err == nil && len(all) > 0 && all[0].Num == fileDevice && all[0].Name == "demo" && all[0].Role == opsync.Viewer, err
}

// printRecovery prints a recovery code where there is none yet, or nobody has got in yet to whom the
// last one was of use.
func (s *server) printRecovery(out io.Writer) error {
	if s.demo != nil {
		return nil
	}
	have, err := s.store.text(recoveryKey)
	if err != nil {
		return err
	}
	none, err := s.store.noOwner()
	if err != nil || have != "" && !none {
		return err
	}
	code, err := s.store.newRecovery()
	if err == nil {
		_, err = fmt.Fprintln(out, "recovery code", spaced(code), "(keep it on paper: it lets you in when the owner's phone is lost)")
	}
	return err
}
