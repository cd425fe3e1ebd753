package main

import (
	"errors"
	"fmt"
	"log/slog"

	badger "github.com/dgraph-io/badger/v4"
	"github.com/dgraph-io/badger/v4/options"
)

// shelf is what the store lies on: keys in order, values, and writes that are on the disk as a whole or
// not at all. Badger is the one that serves; another one in the tests is plain memory. Both pass the
// same contract (shelf_test.go).
type shelf interface {
	// view runs f over the shelf as it is at one moment, whatever is written meanwhile.
	view(f func(records) error) error
	// put writes all pairs or none, and returns when they would survive a power cut. A nil value deletes.
	// Of two pairs with one key the later counts.
	put(pairs []pair) error
	close() error
}

// records are what lies on a shelf at one moment.
type records interface {
	// value returns a copy of a key's value, errMissing when there is none.
	value(key []byte) ([]byte, error)
	// scan hands every pair whose key begins with prefix and is not before from (nil: all) to yield, in the
	// order of the keys. A value that cannot be read comes as an error in its place. The bytes are the callee's
	// until it returns. What yield returns ends the scan.
	scan(prefix, from []byte, yield func(key, value []byte, err error) error) error
}

// badgerShelf is the one on the disk.
type badgerShelf struct {
	db    *badger.DB
	log   *commitLog // nil where Badger flushes
	tally *tally     // nil for one that is only being made
}

// openShelf opens Badger in dir, and what flushes its commits.
func openShelf(dir string) (b badgerShelf, err error) {
	if b.db, err = openBadger(dir); err != nil {
		return b, err
	}
	if ownFlush {
		if b.log, err = openCommitLog(dir, flushMapped); err != nil {
			return b, errors.Join(err, b.db.Close())
		}
	}
	return b, nil
}

func storeOptions(dir string) badger.Options {
	o := badger.DefaultOptions(dir)
	o.SyncWrites = !ownFlush // acked means stored: commitLog
	o.VerifyValueChecksum = true
	o.ChecksumVerificationMode = options.OnTableAndBlockRead
	o.MemTableSize = memTable
	o.NumMemtables = 2
	o.NumLevelZeroTables = 3
	o.NumLevelZeroTablesStall = 8
	o.NumCompactors = 2
	o.ValueThreshold = maxValue
	o.ValueLogFileSize = 16 << 20 // unused: put takes no value of that size
	o.Compression = options.None  // operations are small; without it no block cache is needed
	o.BlockCacheSize = 0
	o.MetricsEnabled = false
	o.DetectConflicts = false // store.access and the one committer already keep writers apart
	o.Logger = storeLog{}
	return o
}

func (b badgerShelf) view(f func(records) error) error {
	if b.log != nil && b.log.failed.Load() {
		return errFlush
	}
	return b.db.View(func(t *badger.Txn) error { return f(badgerReader{t}) })
}

func (b badgerShelf) put(pairs []pair) error {
	t := b.db.NewTransaction(true)
	defer t.Discard()
	for _, p := range pairs {
		if err := put(t, p); err != nil {
			return err
		}
	}
	if b.tally != nil {
		if err := put(t, b.tally.next()); err != nil {
			return err
		}
	}
	if err := t.Commit(); err != nil {
		return err
	}
	if b.log != nil {
		if err := b.log.stored(); err != nil {
			return err
		}
	}
	if b.tally == nil {
		return nil
	}
	if err := b.tally.stored(); err != nil {
		slog.Warn("the tally was not written", "err", err) // it only helps to find damage
	}
	return nil
}

func put(t *badger.Txn, p pair) error {
	if p.value == nil {
		return t.Delete(p.key)
	}
	if len(p.value) >= maxValue { // it would go into the value log, which nobody flushes
		return fmt.Errorf("a record of %d bytes: %d is the most", len(p.value), maxValue-1)
	}
	return t.Set(p.key, p.value)
}

func (b badgerShelf) close() error {
	err := b.db.Close()
	if b.log != nil {
		err = errors.Join(err, b.log.close())
	}
	if b.tally != nil {
		err = errors.Join(err, b.tally.file.Close())
	}
	return err
}

type badgerReader struct{ t *badger.Txn }

func (r badgerReader) value(key []byte) ([]byte, error) {
	item, err := r.t.Get(key)
	if errors.Is(err, badger.ErrKeyNotFound) {
		return nil, errMissing
	}
	if err != nil {
		return nil, fmt.Errorf("read %q: %w", key, err)
	}
	return item.ValueCopy(nil)
}

func (r badgerReader) scan(prefix, from []byte, yield func(key, value []byte, err error) error) error {
	o := badger.DefaultIteratorOptions
	o.Prefix = prefix
	o.PrefetchSize = 256
	it := r.t.NewIterator(o)
	defer it.Close()
	if from == nil {
		it.Rewind()
	} else {
		it.Seek(from)
	}
	for ; it.Valid(); it.Next() {
		item := it.Item()
		var value []byte
		err := item.Value(func(v []byte) error { value = v; return nil })
		if err := yield(item.Key(), value, err); err != nil {
			return err
		}
	}
	return nil
}
