package main

import (
	"crypto/sha256"
	"encoding/base32"
	"encoding/hex"
	"errors"
	"net/http"
	"time"

	opsync "batterboard/sync"

	"github.com/rs/xid"
)

// A crew's page is opened by an address that cannot be guessed: 128 bits, of which the store keeps
// only the hash. The address is never written into the site's log: the log is on every phone of the
// site, in every backup and export, and forgets nothing, so it would hand the key to whoever may only
// look, and to whoever is given a copy of the site. The phone that asked for the address keeps it.
//
// Several addresses of one crew may be good at once, one for each phone that asked: only a hash being
// kept, the first cannot be told to the second.
const (
	crewCodeBytes = 16
	crewCodeLen   = 26 // letters of 16 bytes in base32
	crewLinkLife  = 120 * 24 * time.Hour
	maxCrewLinks  = 8  // good at once for one crew; the oldest goes
	maxSentLinks  = 40 // the same of those in texts that the server sent
)

// crewLetters are such that no message program ends the link early, and nobody mistakes one for another.
var crewLetters = base32.NewEncoding("abcdefghijkmnpqrstuvwxyz23456789").WithPadding(base32.NoPadding)

// ownCalendar stands where a crew's ID stands in the record of an address that opens the owner's
// calendar of the whole site, and nothing else. No crew has an empty ID.
const (
	ownCalendar = ""
	ownLinkLife = 400 * 24 * time.Hour
)

// linkRecord says what an address opens, by its hash.
type linkRecord struct {
	Site  string `json:"site"`
	Crew  string `json:"crew"`
	Until int64  `json:"until"`
}

// crewRecord is what the server keeps of one crew of one site.
type crewRecord struct {
	Links []crewLink `json:"links,omitempty"` // oldest first
	Sent  []crewLink `json:"sent,omitempty"`  // those the server put into texts: they push none of the phones' out
	Num   uint32     `json:"num,omitempty"`   // the number its answers are written under; 0: none yet
	Epoch string     `json:"epoch,omitempty"` // the store's epoch when that number was given
}

type crewLink struct {
	Hash  string `json:"hash"`
	Until int64  `json:"until"`
}

func crewKey(site, crew string) []byte { return []byte("crew/" + site + "/" + crew) }
func linkKey(hash string) []byte       { return []byte("link/" + hash) }

var (
	errNoCrew      = &refusal{http.StatusNotFound, "The server does not know this crew yet, or it is your own. Connect this phone, then try again."}
	errNoCrewNamed = &refusal{http.StatusNotFound, "No crew was named, so nothing was taken back."}
)

var errLink = errors.New("this link is not good any more: ask for a new one")

func newCrewCode() string {
	return crewLetters.EncodeToString(drawn(crewCodeBytes))
}

func crewHash(code string) string {
	sum := sha256.Sum256([]byte("crew/" + code))
	return hex.EncodeToString(sum[:])
}

// crewCode says whether code has the shape of ours; anything else is not even looked up.
func crewCode(code string) bool {
	b, err := crewLetters.DecodeString(code)
	return len(code) == crewCodeLen && err == nil && len(b) == crewCodeBytes
}

// crewOf finds what an address opens.
func (s *store) crewOf(code string, now time.Time) (l linkRecord, err error) {
	if !crewCode(code) {
		return l, errLink
	}
	err = s.read(linkKey(crewHash(code)), &l)
	if errors.Is(err, errMissing) || err == nil && now.Unix() >= l.Until {
		return linkRecord{}, errLink
	}
	return l, err
}

// addCrewLink mints an address for a crew. anew: those it had before open nothing any more.
func (s *store) addCrewLink(site, crew string, anew bool, now time.Time) (code string, until time.Time, err error) {
	life := crewLinkLife
	if crew == ownCalendar {
		life = ownLinkLife
	}
	code, until = newCrewCode(), now.Add(life)
	err = s.changeCrew(site, crew, func(c *crewRecord) (gone []crewLink, err error) {
		if anew {
			gone, c.Links, c.Sent = append(c.Links, c.Sent...), nil, nil
		}
		var over []crewLink
		c.Links, over = addLink(c.Links, crewLink{crewHash(code), until.Unix()}, maxCrewLinks, now)
		return append(gone, over...), nil
	})
	return code, until, err
}

// addSentLink mints an address for a text that the server sends. Only hashes being kept, each text has
// its own.
func (s *store) addSentLink(site, crew string, now time.Time) (code string, until time.Time, err error) {
	code, until = newCrewCode(), now.Add(crewLinkLife)
	err = s.changeCrew(site, crew, func(c *crewRecord) (gone []crewLink, err error) {
		c.Sent, gone = addLink(c.Sent, crewLink{crewHash(code), until.Unix()}, maxSentLinks, now)
		return gone, nil
	})
	return code, until, err
}

// addLink adds to a list that holds so many; what is over, or too many, goes.
func addLink(all []crewLink, one crewLink, most int, now time.Time) (keep, gone []crewLink) {
	for i, l := range all {
		if now.Unix() >= l.Until || len(all)-i >= most {
			gone = append(gone, l)
		} else {
			keep = append(keep, l)
		}
	}
	return append(keep, one), gone
}

// changeCrew changes what is kept of a crew, and what its addresses open: those that are in its lists
// afterwards do, those handed back do not.
func (s *store) changeCrew(site, crew string, f func(*crewRecord) (gone []crewLink, err error)) error {
	return s.change(func(t records) ([]pair, error) {
		var c crewRecord
		if err := get(t, crewKey(site, crew), &c); err != nil && !errors.Is(err, errMissing) {
			return nil, err
		}
		gone, err := f(&c)
		if err != nil {
			return nil, err
		}
		if len(gone)+len(c.Links)+len(c.Sent) == 0 {
			return nil, nil // nothing was and nothing is
		}
		pairs := []pair{record(crewKey(site, crew), c)}
		for _, l := range gone {
			pairs = append(pairs, pair{key: linkKey(l.Hash)})
		}
		for _, l := range append(c.Links[:len(c.Links):len(c.Links)], c.Sent...) {
			pairs = append(pairs, record(linkKey(l.Hash), linkRecord{site, crew, l.Until}))
		}
		return pairs, nil
	})
}

// dropCrewLinks makes all addresses of a crew open nothing.
func (s *store) dropCrewLinks(site, crew string) error {
	return s.changeCrew(site, crew, func(c *crewRecord) (gone []crewLink, err error) {
		gone, c.Links, c.Sent = append(c.Links, c.Sent...), nil, nil
		return gone, nil
	})
}

// crewSeat returns the number that a crew's answers are written under, giving it one with its first
// answer. After a restore from a backup it gets another: phones may hold answers under the old one
// that this store has lost. given says that the seat is new.
func (s *store) crewSeat(site, crew, name, epoch string) (num uint32, given bool, err error) {
	err = s.change(func(t records) ([]pair, error) {
		var c crewRecord
		if err := get(t, crewKey(site, crew), &c); err != nil && !errors.Is(err, errMissing) {
			return nil, err
		}
		if num = c.Num; num != 0 && c.Epoch == epoch {
			return nil, nil
		}
		var r siteRecord
		if err := get(t, siteKey(site), &r); err != nil {
			return nil, err
		}
		if r.full() {
			return nil, errSeats
		}
		num, given = r.Next, true
		r.Next++
		c.Num, c.Epoch = num, epoch
		author := xid.New().String() // a device without a token: nobody can be it
		return []pair{record(siteKey(site), r), record(crewKey(site, crew), c),
			record(seatKey(site, author), seatRecord{Num: num, Role: opsync.Viewer, Name: cleanName(name), Crew: crew})}, nil
	})
	return num, given, err
}

// crewNum is the number a crew's answers are written under, 0 while there are none.
func (s *store) crewNum(site, crew string) (uint32, error) {
	var c crewRecord
	err := s.read(crewKey(site, crew), &c)
	if errors.Is(err, errMissing) {
		err = nil
	}
	return c.Num, err
}

// epoch names the store as the phones of a site know it.
func (s *store) epoch(site string) (string, error) {
	var e epochRecord
	err := s.read(epochKey(site), &e)
	return e.Epoch, err
}

// crewLinkAsk is the body of both requests about a crew's address.
type crewLinkAsk struct {
	Site, Crew string
	Anew       bool // the addresses there were open nothing any more
}

// linkWriter reads such a request of somebody who may change the site.
func (s *server) linkWriter(q *http.Request) (in crewLinkAsk, err error) {
	if err = readJSON(q, &in); err != nil {
		return in, err
	}
	x, err := s.seated(q, in.Site)
	if err == nil && !x.Role.Writes() {
		err = errRole
	}
	return in, err
}

// crewLink makes the address of a crew's page.
func (s *server) crewLink(w http.ResponseWriter, q *http.Request) error {
	in, err := s.linkWriter(q)
	if err != nil {
		return err
	}
	x, err := s.sites.at(in.Site)
	if err != nil {
		return err
	}
	if _, ok := x.crewBoard(s.siteNow).Has(in.Crew); !ok {
		return errNoCrew
	}
	code, until, err := s.store.addCrewLink(in.Site, in.Crew, in.Anew, s.now())
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]any{"url": s.base(q) + "/c/" + code, "until": until.UnixMilli()})
	return nil
}

// crewUnlink takes a crew's addresses back.
func (s *server) crewUnlink(w http.ResponseWriter, q *http.Request) error {
	in, err := s.linkWriter(q)
	if err != nil {
		return err
	}
	if in.Crew == ownCalendar {
		return errNoCrewNamed
	}
	if err := s.store.dropCrewLinks(in.Site, in.Crew); err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]any{"ok": true})
	return nil
}
