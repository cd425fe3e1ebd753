package main

import (
	"crypto/hmac"
	"crypto/sha256"
	"errors"
	"time"

	"github.com/rs/xid"
)

// The store has a key under which it seals what it hands out, so that phones can show after a restore
// what was stored here, and nobody can make up what was not (sync/SPEC.md, E5 to E8). It is made before
// the first site is opened and is in every backup made after.

// sealRecord is the key and its name.
type sealRecord struct {
	ID  string `json:"id"`
	Key []byte `json:"key"`
}

var sealKey = []byte("meta/seal")

// unsealedFor is how long a store that may have told what it did not seal takes the unsealed operations
// of others: whoever is on holiday or has the other phone in a drawer is back by then. It is all that
// bounds what a writer with a changed program could make up after such a restore.
const unsealedFor = 30 * 24 * time.Hour

// sealing returns the key, made the first time anybody asks.
func (s *store) sealing() (r sealRecord, err error) {
	err = s.change(func(t records) ([]pair, error) {
		if err := get(t, sealKey, &r); !errors.Is(err, errMissing) {
			return nil, err
		}
		r = sealRecord{xid.New().String(), drawn(32)}
		return []pair{record(sealKey, r)}, nil
	})
	return r, err
}

// mac returns what the hub seals with: HMAC-SHA-256 (RFC 2104). Not for concurrent use.
func (r sealRecord) mac() func(text []byte) []byte {
	m, sum := hmac.New(sha256.New, r.Key), make([]byte, 0, sha256.Size)
	return func(text []byte) []byte {
		m.Reset()
		m.Write(text)
		return m.Sum(sum)
	}
}

// opened is the epoch record of a site from now on, under the key that the store has; fresh says that
// there was none.
func (e epochRecord) opened(key string, fresh bool, now time.Time) epochRecord {
	switch {
	case e.Seal == key:
	case fresh, !e.Restored: // nothing is missing, and from here on all is sealed
		e.Seal, e.Until = key, 0
	case e.Until == 0:
		e.Until = now.Add(unsealedFor).Unix()
	case now.Unix() > e.Until:
		e.Seal, e.Until = key, 0
	}
	return e
}
