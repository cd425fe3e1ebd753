package main

import (
	"encoding/binary"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"

	badger "github.com/dgraph-io/badger/v4"
	"github.com/dgraph-io/badger/v4/options"
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
	db  *badger.DB
	dir string

	access sync.Mutex // held over read-change-write of access records

	queue   chan struct{} // wakes the committer
	mu      sync.Mutex
	waiting []write
	closed  bool
	stopped chan struct{}

	space func() error // says when the disk is nearly full
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
	db, err := badger.Open(storeOptions(dir))
	if err != nil {
		if strings.Contains(err.Error(), "lock") {
			return nil, fmt.Errorf("open %s: %w", dir, errInUse)
		}
		return nil, fmt.Errorf("open the store in %s: %w", dir, err)
	}
	s := &store{db: db, dir: dir, space: func() error { return checkSpace(dir) }, queue: make(chan struct{}, 1), stopped: make(chan struct{})}
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

func storeOptions(dir string) badger.Options {
	o := badger.DefaultOptions(dir)
	o.SyncWrites = true // acked means stored
	o.VerifyValueChecksum = true
	o.MemTableSize = memTable
	o.NumMemtables = 2
	o.NumLevelZeroTables = 3
	o.NumLevelZeroTablesStall = 8
	o.NumCompactors = 2
	o.ValueLogFileSize = 16 << 20 // unused: no value of ours reaches the value log's threshold
	o.Compression = options.None  // operations are small; without it no block cache is needed
	o.BlockCacheSize = 0
	o.MetricsEnabled = false
	o.DetectConflicts = false // store.access and the one committer already keep writers apart
	o.Logger = storeLog{}
	return o
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
	err = s.db.View(func(t *badger.Txn) error {
		item, err := t.Get([]byte(key))
		if errors.Is(err, badger.ErrKeyNotFound) {
			return nil
		}
		if err != nil {
			return err
		}
		b, err := item.ValueCopy(nil)
		text = string(b)
		return err
	})
	return text, err
}

// read fetches one record; errMissing when there is none.
func (s *store) read(key []byte, into any) error {
	return s.db.View(func(t *badger.Txn) error { return get(t, key, into) })
}

// ops hands every operation of a site to yield, in order of arrival, and returns the number that the
// next one gets. The bytes are the callee's to keep. One that the disk has spoilt is named and passed over.
func (s *store) ops(site string, yield func(raw []byte) error) (next uint64, err error) {
	err = s.db.View(func(t *badger.Txn) error {
		o := badger.DefaultIteratorOptions
		o.Prefix = opPrefix(site)
		o.PrefetchSize = 256
		it := t.NewIterator(o)
		defer it.Close()
		for it.Rewind(); it.Valid(); it.Next() {
			n := binary.BigEndian.Uint64(it.Item().Key()[len(o.Prefix):])
			next = n + 1
			raw, err := it.Item().ValueCopy(nil)
			if err != nil {
				slog.Error("operation cannot be read", "site", site, "number", n, "err", err)
				continue
			}
			if err := yield(raw); err != nil {
				return fmt.Errorf("operation %d of site %s: %w", n, site, err)
			}
		}
		return nil
	})
	return next, err
}

// each hands every key with the prefix, without it, and its value to yield.
func (s *store) each(prefix string, yield func(rest string, value []byte) error) error {
	return s.db.View(func(t *badger.Txn) error {
		o := badger.DefaultIteratorOptions
		o.Prefix = []byte(prefix)
		it := t.NewIterator(o)
		defer it.Close()
		for it.Rewind(); it.Valid(); it.Next() {
			key := string(it.Item().Key()[len(prefix):])
			if err := it.Item().Value(func(v []byte) error { return yield(key, v) }); err != nil {
				return err
			}
		}
		return nil
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
