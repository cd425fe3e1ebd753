package main

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"

	opsync "batterboard/sync"
)

// The store's keys. Values are JSON records, except an operation, which is kept in the very bytes its
// author made.
//
//	meta/format            1
//	meta/demo              the demo site's ID
//	meta/store             what tells this store from another, for backups
//	meta/recovery          the SHA-256 of the recovery code
//	meta/last              the number of the last commit: see tally.go
//	site/SITE              siteRecord
//	name/SITE              the site's name as last written in its operations; only for lists
//	epoch/SITE             epochRecord: tells phones that this is still the store they know
//	device/DEVICE          deviceRecord
//	seat/SITE/DEVICE       seatRecord: who may do what on which site
//	held/DEVICE/SITE       empty: the same the other way round, to list a device's sites
//	code/HASH              codeRecord: a one-time code, by the SHA-256 of what is typed
//	crew/SITE/CREW         crewRecord: the addresses of a crew's page, and its number in the log
//	link/HASH              linkRecord: what such an address opens, by its SHA-256
//	feed/SITE/CREW         feedRecord: what a crew's calendar was last told, so that SEQUENCE never falls
//	                       In these three an empty CREW is the owner's own calendar.
//	asked/SITE             empty: an operation that may ask for a text to be sent came in
//	post/SITE/KEY          postRecord: a text that is on its way, or was sent
//	push/SITE/DEVICE       pushPhone: a phone that wants to hear what crews answer
//	word/SITE/DEVICE/TAG   keptWord: what such a phone is to hear, until it has; in no backup
//	silent/SITE            the day whose silent crews were last spoken of
//	meta/push              the server's own key towards push services
//	meta/seal              sealRecord: the key under which operations are sealed when they are handed out
//	op/SITE/N              operation N of the site in order of arrival, N eight bytes big-endian
//
// DEVICE and SITE are xids: 20 letters and digits, so no key can run into another. CREW is an ID of
// the site's own, always last.
const storeFormat = "1"

func siteKey(site string) []byte         { return []byte("site/" + site) }
func deviceKey(device string) []byte     { return []byte("device/" + device) }
func nameKey(site string) []byte         { return []byte("name/" + site) }
func epochKey(site string) []byte        { return []byte("epoch/" + site) }
func seatKey(site, device string) []byte { return []byte("seat/" + site + "/" + device) }
func heldKey(device, site string) []byte { return []byte("held/" + device + "/" + site) }
func opPrefix(site string) []byte        { return []byte("op/" + site + "/") }

func opKey(site string, n uint64) []byte {
	return binary.BigEndian.AppendUint64(opPrefix(site), n)
}

// mayInvite says whether a device of role r may invite one of role to.
func mayInvite(r, to opsync.Role) bool {
	switch r {
	case opsync.Owner:
		return to == opsync.Owner || to == opsync.Second || to == opsync.Viewer
	case opsync.Second:
		return to == opsync.Second || to == opsync.Viewer
	}
	return false
}

type siteRecord struct {
	Made int64  `json:"made"` // seconds since 1970
	Next uint32 `json:"next"` // the device number the next seat gets
	// Skipped are numbers that were passed over because a store that lost its end may have given them.
	Skipped uint32 `json:"skipped,omitempty"`
}

// full says whether the site has had as many devices as one can have.
func (r siteRecord) full() bool { return r.Next > maxSeats+r.Skipped }

type epochRecord struct {
	Epoch string `json:"epoch"`
	// Restored says that phones were found to have operations that this store had lost: they may be
	// handed in again by any phone that has them.
	Restored bool `json:"restored,omitempty"`
	// Seal is the key under which everything was sealed that phones were told (meta/seal). Another one than
	// the store's: some was not, and until Until (seconds since 1970) that is taken unsealed.
	Seal  string `json:"seal,omitempty"`
	Until int64  `json:"until,omitempty"`
}

type deviceRecord struct {
	Name   string   `json:"name"`
	Hash   []byte   `json:"hash"` // SHA-256 of the token's secret
	Made   int64    `json:"made"`
	Spares []string `json:"spares,omitempty"` // site IDs minted ahead for sites born offline
	Begun  int      `json:"begun,omitempty"`  // sites this device began, against maxBegun
}

type seatRecord struct {
	Num  uint32      `json:"num"` // the device's number in the site's operations; never given twice
	Role opsync.Role `json:"role"`
	Name string      `json:"name,omitempty"`
	Crew string      `json:"crew,omitempty"` // no device: the number that answers from this crew's page are written under
	Gone bool        `json:"gone,omitempty"` // revoked: kept, so that the log can still say who wrote what
}

type codeRecord struct {
	Site  string      `json:"site,omitempty"` // empty: begin a site of one's own
	Role  opsync.Role `json:"role"`
	Until int64       `json:"until"`
}

var errMissing = errors.New("not in the store")

// get reads one record inside a transaction.
func get(t records, key []byte, into any) error {
	v, err := t.value(key)
	if err != nil {
		return err
	}
	if err := decode(v, into); err != nil {
		return fmt.Errorf("read %q: %w", key, err)
	}
	return nil
}

func decode(v []byte, into any) error { return json.Unmarshal(v, into) }

// pair is one key to be written; a nil value deletes it.
type pair struct{ key, value []byte }

func record(key []byte, v any) pair {
	b, err := json.Marshal(v)
	if err != nil {
		panic("this cannot be: a record of ours is not JSON: " + err.Error())
	}
	return pair{key, b}
}
