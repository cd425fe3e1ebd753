package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	badger "github.com/dgraph-io/badger/v4"
)

// Sizes of the store in memory. A site is a few thousand operations of some hundred bytes, so small
// tables are enough; they keep the server under 30 MB at rest. Badger refuses a transaction above
// 15 % of a memory table, so the table must be several times maxCommit.
const (
	memTable  = 16 << 20
	maxCommit = 2 << 20
)

// store is everything that must outlive the process. Writes go through one committer, so that an
// fsync is shared by all that wait for one.
type store struct {
	shelf shelf
	dir   string

	access sync.Mutex // held over read-change-write of access records

	queue   chan struct{} // wakes the committer
	mu      sync.Mutex
	waiting []write
	closed  bool
	stopped chan struct{}

	sitesAtMost int // for tests; 0: opsync.MaxSites

	space func() error // says when the disk is nearly full
	found []string     // damage that was found when the store was opened, a line each
	free  func() error // lets another process have the folder
}

var errInUse = errors.New("the store is in use by another batterboard: stop that one first")

var errFull = errors.New("the server's disk is nearly full: what is stored is safe, nothing new is taken")

// openStore opens the store in dir, making it when there is none.
func openStore(dir string) (*store, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make the data folder: %w", err)
	}
	if err := checkSpace(dir); err != nil {
		return nil, err
	}
	free, alone, err := lockStore(dir)
	if err != nil {
		return nil, err
	}
	s, err := openLocked(dir, alone)
	if err != nil {
		return nil, errors.Join(err, free())
	}
	s.free = free
	return s, nil
}

// openLocked opens the store; alone says that nobody else can have its files open.
func openLocked(dir string, alone bool) (s *store, err error) {
	if !hasStore(dir) && isDir(filepath.Join(dir, rebuilding)) {
		return nil, fmt.Errorf("a restore into %s was broken off: run it again", dir)
	}
	var found []string
	if alone {
		if found, err = heal(dir, time.Now()); err != nil {
			return nil, err
		}
	}
	b, err := openShelf(dir)
	if err != nil {
		if strings.Contains(err.Error(), "lock") {
			err = errInUse
		}
		return nil, fmt.Errorf("open the store in %s: %w", dir, err)
	}
	var last []byte
	err = b.view(func(t records) (err error) {
		last, err = t.value([]byte(lastCommit))
		return err
	})
	if err != nil && !errors.Is(err, errMissing) {
		return nil, errors.Join(fmt.Errorf("open the store in %s: %w", dir, err), b.close())
	}
	var n uint64
	if len(last) == 8 {
		n = binary.BigEndian.Uint64(last)
	}
	if b.tally, err = openTally(dir, n); err != nil {
		return nil, errors.Join(err, b.close())
	}
	if s, err = startStore(b, dir, func() error { return checkSpace(dir) }); err != nil {
		return nil, err
	}
	s.found = found
	return s, nil
}

// startStore sets a store up on a shelf, and closes it when that fails.
func startStore(on shelf, dir string, space func() error) (*store, error) {
	s := &store{shelf: on, dir: dir, space: space, free: func() error { return nil }, queue: make(chan struct{}, 1), stopped: make(chan struct{})}
	go s.commitAll()
	if err := s.begin(); err != nil {
		s.close()
		return nil, err
	}
	return s, nil
}

// hasStore says whether dir holds a store already; export must not make an empty one.
func hasStore(dir string) bool {
	_, err := os.Stat(filepath.Join(dir, badger.ManifestFilename))
	return err == nil
}

// begin writes what every store has, once, and refuses a store of a later format.
func (s *store) begin() error {
	format, err := s.text("meta/format")
	if err != nil {
		return err
	}
	if format != "" && format != storeFormat {
		return fmt.Errorf("the store in %s has format %s and this program knows %s: nothing was touched, use a newer program",
			s.dir, format, storeFormat)
	}
	if format == storeFormat {
		return nil
	}
	return s.write(pair{[]byte("meta/format"), []byte(storeFormat)})
}

// text reads a value that is plain text, empty when there is none.
func (s *store) text(key string) (text string, err error) {
	err = s.shelf.view(func(t records) error {
		b, err := t.value([]byte(key))
		if errors.Is(err, errMissing) {
			return nil
		}
		text = string(b)
		return err
	})
	return text, err
}

// read fetches one record; errMissing when there is none.
func (s *store) read(key []byte, into any) error {
	return s.shelf.view(func(t records) error { return get(t, key, into) })
}

// ops hands every operation of a site to yield, in order of arrival, and returns the number that the
// next one gets. The bytes are the callee's to keep. One that the disk has spoilt is named and passed over.
func (s *store) ops(site string, yield func(raw []byte) error) (next uint64, err error) {
	prefix := opPrefix(site)
	err = s.shelf.view(func(t records) error {
		return t.scan(prefix, nil, func(key, value []byte, err error) error {
			n := binary.BigEndian.Uint64(key[len(prefix):])
			next = n + 1
			if err != nil {
				slog.Error("operation cannot be read", "site", site, "number", n, "err", err)
				return nil
			}
			if err := yield(bytes.Clone(value)); err != nil {
				return fmt.Errorf("operation %d of site %s: %w", n, site, err)
			}
			return nil
		})
	})
	return next, err
}

// each hands every key with the prefix, without it, and its value to yield.
func (s *store) each(prefix string, yield func(rest string, value []byte) error) error {
	return s.shelf.view(func(t records) error {
		return t.scan([]byte(prefix), nil, func(key, value []byte, err error) error {
			if err != nil {
				return err
			}
			return yield(string(key[len(prefix):]), value)
		})
	})
}

// storeLog passes Badger's warnings on; its running commentary is left out.
type storeLog struct{}

func (storeLog) Errorf(f string, a ...any) {
	slog.Error("store", "says", strings.TrimSpace(fmt.Sprintf(f, a...)))
}
func (storeLog) Warningf(f string, a ...any) {
	slog.Warn("store", "says", strings.TrimSpace(fmt.Sprintf(f, a...)))
}
func (storeLog) Infof(string, ...any)  {}
func (storeLog) Debugf(string, ...any) {}
