package main

import (
	"cmp"
	"errors"
	"fmt"
	"sort"
	"time"

	opsync "batterboard/sync"
)

// seat is one device's place on one site.
type seat struct {
	Site   string
	Device string
	seatRecord
}

var (
	errCode   = errors.New("this code is not right, was used already, or is older than ten minutes: ask for a new one")
	errNoSeat = errors.New("this device is not on that site")
	errSeats  = fmt.Errorf("this site has had %d devices, which is as many as one can have: nobody can be added", maxSeats)
	errCodes  = fmt.Errorf("%d invitations to this site are open already: use one of them, or wait ten minutes", maxCodes)
	errSites  = errors.New("this server has as many sites as it keeps: begin the new one on another server; what is on this phone is safe")
	errBegun  = errors.New("this device has begun as many sites as one device may")
)

const (
	spareCount = opsync.SparesInHand
	maxBegun   = opsync.MaxBegun
	maxSeats   = opsync.MaxSeats
	maxCodes   = opsync.MaxInvitations
)

// roomForSite refuses one site more than a server keeps.
func (s *store) roomForSite() error {
	n := 0
	err := s.each("site/", func(string, []byte) error { n++; return nil })
	if err == nil && n >= s.mostSites() {
		err = errSites
	}
	return err
}

// mostSites is opsync.MaxSites; tests have fewer.
func (s *store) mostSites() int { return cmp.Or(s.sitesAtMost, opsync.MaxSites) }

// known finds the device that a token belongs to; errStranger when it belongs to none.
func (s *store) known(token string) (id string, d deviceRecord, err error) {
	id, secret, ok := splitToken(token)
	if !ok {
		return "", d, errStranger
	}
	err = s.read(deviceKey(id), &d)
	if errors.Is(err, errMissing) || err == nil && !secretFits(d.Hash, secret) {
		err = errStranger
	}
	if err != nil {
		return "", deviceRecord{}, err
	}
	return id, d, nil
}

// seatOf finds a device's place on a site, errNoSeat when it has none or was revoked.
func (s *store) seatOf(site, device string) (seat, error) {
	x := seat{Site: site, Device: device}
	err := s.read(seatKey(site, device), &x.seatRecord)
	if errors.Is(err, errMissing) || err == nil && x.Gone {
		return x, errNoSeat
	}
	return x, err
}

// seats lists who is, or was, on a site, by number.
func (s *store) seats(site string) (all []seat, err error) {
	err = s.each("seat/"+site+"/", func(device string, v []byte) error {
		x := seat{Site: site, Device: device}
		all = append(all, x)
		return decode(v, &all[len(all)-1].seatRecord)
	})
	sort.Slice(all, func(i, k int) bool { return all[i].Num < all[k].Num })
	return all, err
}

// seatsOf lists the sites a device is on, in the order they were minted.
func (s *store) seatsOf(device string) (all []seat, err error) {
	err = s.each("held/"+device+"/", func(site string, _ []byte) error {
		x, err := s.seatOf(site, device)
		if errors.Is(err, errNoSeat) {
			return nil
		}
		all = append(all, x)
		return err
	})
	return all, err
}

// change runs one read-change-write of access records. Only one runs at a time, and its writes are
// on the disk when it returns.
func (s *store) change(f func(t records) ([]pair, error)) error {
	s.access.Lock()
	defer s.access.Unlock()
	var pairs []pair
	err := s.shelf.view(func(t records) (err error) {
		pairs, err = f(t)
		return err
	})
	if err != nil || len(pairs) == 0 {
		return err
	}
	return s.write(pairs...)
}

// addCode keeps a one-time code, and forgets those whose time is over. Of the owner links of a store
// without owner only the last one opens.
func (s *store) addCode(code string, c codeRecord, now time.Time) error {
	return s.change(func(records) ([]pair, error) {
		pairs, open := []pair{record(codeKey(code), c)}, 0
		err := s.each("code/", func(hash string, v []byte) error {
			var o codeRecord
			if err := decode(v, &o); err != nil {
				return err
			}
			if now.Unix() >= o.Until || o.Site == "" && c.Site == "" {
				pairs = append(pairs, pair{key: []byte("code/" + hash)})
			} else if o.Site == c.Site {
				open++
			}
			return nil
		})
		if err == nil && open >= maxCodes {
			err = errCodes
		}
		return pairs, err
	})
}

var errLastOwner = errors.New("a site needs an owner: invite another one first")

// revoke takes a device's seat away. The record stays, so that the log can still name its author.
// The last owner stays, unless anyway says otherwise: the shell can make another one.
func (s *store) revoke(site, device string, anyway bool) error {
	return s.change(func(t records) ([]pair, error) {
		var x seatRecord
		if err := get(t, seatKey(site, device), &x); errors.Is(err, errMissing) || err == nil && x.Gone {
			return nil, errNoSeat
		} else if err != nil {
			return nil, err
		}
		if x.Role == opsync.Owner && !anyway {
			if n, err := s.owners(site); err != nil || n < 2 {
				return nil, errors.Join(err, errLastOwner)
			}
		}
		x.Gone = true
		return []pair{record(seatKey(site, device), x), {key: heldKey(device, site)}}, nil
	})
}

// name gives a device another name: on one site, and wherever it goes next.
func (s *store) name(site, device, name string) error {
	return s.change(func(t records) ([]pair, error) {
		var d deviceRecord
		var x seatRecord
		if err := errors.Join(get(t, deviceKey(device), &d), get(t, seatKey(site, device), &x)); err != nil {
			return nil, fmt.Errorf("name a device of site %s: %w", site, err)
		}
		d.Name = cleanName(name)
		x.Name = d.Name
		return []pair{record(deviceKey(device), d), record(seatKey(site, device), x)}, nil
	})
}

func (s *store) owners(site string) (n int, err error) {
	all, err := s.seats(site)
	for _, x := range all {
		if x.Role == opsync.Owner && !x.Gone {
			n++
		}
	}
	return n, err
}

// noOwner says whether nobody has paired as an owner yet: then serve prints an owner link.
func (s *store) noOwner() (bool, error) {
	none := true
	err := s.each("seat/", func(_ string, v []byte) error {
		var x seatRecord
		if err := decode(v, &x); err != nil {
			return err
		}
		none = none && (x.Role != opsync.Owner || x.Gone)
		return nil
	})
	return none, err
}
