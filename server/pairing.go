package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	opsync "batterboard/sync"

	"github.com/rs/xid"
)

// newcomer is what pairing needs to know of the one who pairs.
type newcomer struct {
	device string // set when the browser is a known device already
	name   string // "" from a known device: the name it has
}

// paired is what pairing gives back.
type paired struct {
	seat
	Token    string // set when a device was made
	Recovery string // set when a recovery code was used: the next one
}

// useCode turns a one-time code into a seat, making the device when it is new.
func (s *store) useCode(code string, who newcomer, now time.Time) (p paired, err error) {
	err = s.change(func(t records) ([]pair, error) {
		var c codeRecord
		if err := get(t, codeKey(code), &c); errors.Is(err, errMissing) {
			return nil, errCode
		} else if err != nil {
			return nil, err
		}
		if now.Unix() >= c.Until {
			return nil, errCode
		}
		pairs := []pair{{key: codeKey(code)}} // used: gone
		if c.Site == "" {
			if err := s.roomForSite(); err != nil {
				return nil, err
			}
			c.Site = xid.New().String()
			pairs = append(pairs, record(siteKey(c.Site), siteRecord{Made: now.Unix(), Next: 1}))
		}
		more, err := s.sit(t, c.Site, c.Role, who, now, &p, pairs)
		return more, err
	})
	return p, err
}

// join seats a device on a site without a code: the demo lets everybody in.
func (s *store) join(site string, role opsync.Role, who newcomer, now time.Time) (p paired, err error) {
	err = s.change(func(t records) (pairs []pair, err error) {
		return s.sit(t, site, role, who, now, &p, nil)
	})
	return p, err
}

// sit adds what must be written so that who has a seat on the site. A device that sits there already
// keeps its number and the better of both roles.
func (s *store) sit(t records, site string, role opsync.Role, who newcomer, now time.Time, p *paired, pairs []pair) ([]pair, error) {
	var r siteRecord
	if err := get(t, siteKey(site), &r); err != nil && !pending(pairs, siteKey(site), &r) {
		return nil, fmt.Errorf("look up site %s: %w", site, err)
	}
	if r.full() {
		return nil, errSeats
	}
	device, d, err := s.deviceFor(t, who, now, p)
	if err != nil {
		return nil, err
	}
	return append(pairs, seatPairs(t, site, r, role, device, d, p)...), nil
}

// seatPairs are the records that give a device its seat on a site whose record is r.
func seatPairs(t records, site string, r siteRecord, role opsync.Role, device string, d deviceRecord, p *paired) []pair {
	x := seatRecord{Role: role, Name: d.Name}
	var old seatRecord
	if err := get(t, seatKey(site, device), &old); err == nil && !old.Gone {
		x.Num, x.Role = old.Num, better(old.Role, role)
	} else {
		// A number is never given twice: a device that was revoked and comes back has lost its chain.
		x.Num = r.Next
		r.Next++
	}
	if x.Name == nameless {
		x.Name = fmt.Sprint(nameless, " ", x.Num)
	}
	p.seat = seat{site, device, x}
	return []pair{record(siteKey(site), r), record(deviceKey(device), d),
		record(seatKey(site, device), x), {heldKey(device, site), []byte{}}}
}

// pending finds a record that is among the pairs about to be written.
func pending(pairs []pair, key []byte, into *siteRecord) bool {
	for _, p := range pairs {
		if string(p.key) == string(key) {
			return decode(p.value, into) == nil
		}
	}
	return false
}

func better(a, b opsync.Role) opsync.Role {
	rank := map[opsync.Role]int{opsync.Owner: 2, opsync.Second: 1, opsync.Viewer: 0}
	if rank[b] > rank[a] {
		return b
	}
	return a
}

// deviceFor returns the known device, or a new one with its token in p. A known one has the name it gives
// from here on: a phone that first looked around in the demo had none.
func (s *store) deviceFor(t records, who newcomer, now time.Time, p *paired) (string, deviceRecord, error) {
	var d deviceRecord
	if who.device != "" {
		err := get(t, deviceKey(who.device), &d)
		if strings.TrimSpace(who.name) != "" {
			d.Name = cleanName(who.name)
		}
		return who.device, d, err
	}
	id := xid.New().String()
	d = deviceRecord{Name: cleanName(who.name), Made: now.Unix(), Spares: fillSpares(nil)}
	p.Token, d.Hash = newToken(id)
	return id, d, nil
}

func fillSpares(have []string) []string {
	for len(have) < spareCount {
		have = append(have, xid.New().String())
	}
	return have
}

// beginSpare makes the site whose ID was minted ahead for this device, when it first says hello for
// it, and gives the device the owner's seat.
func (s *store) beginSpare(site, device string, now time.Time) (x seat, err error) {
	err = s.change(func(t records) ([]pair, error) {
		var d deviceRecord
		if err := get(t, deviceKey(device), &d); err != nil {
			return nil, err
		}
		left := without(d.Spares, site)
		if len(left) == len(d.Spares) {
			return nil, errNoSeat
		}
		if d.Begun >= maxBegun {
			return nil, errBegun
		}
		if err := s.roomForSite(); err != nil {
			return nil, err
		}
		d.Begun++
		d.Spares = fillSpares(left)
		// Number 1 is what the phone has written its operations with while it was offline.
		x = seat{site, device, seatRecord{Num: 1, Role: opsync.Owner, Name: d.Name}}
		return []pair{record(deviceKey(device), d), record(siteKey(site), siteRecord{Made: now.Unix(), Next: 2}),
			record(seatKey(site, device), x.seatRecord), {heldKey(device, site), []byte{}}}, nil
	})
	return x, err
}

func without(all []string, one string) (rest []string) {
	for _, s := range all {
		if s != one {
			rest = append(rest, s)
		}
	}
	return rest
}
