package main

import (
	"encoding/binary"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"time"

	opsync "batterboard/sync"

	badger "github.com/dgraph-io/badger/v4"
	"github.com/rs/xid"
)

// A damaged store is not mended in place. Everything that can still be read is brought into a new one, the
// old files are put aside in the data folder and never deleted by us, and as something may be missing now,
// phones are asked to hand in again what they have, as after a restore.
//
// The steps survive being killed between any two of them: what is made lies in "rebuilding" until it is
// whole and then in "rebuilt"; when the old files are aside it is "moving", and moves up.
const (
	rebuilding = "rebuilding"
	rebuilt    = "rebuilt"
	moving     = "moving"
	asidePart  = "damaged-"
)

// heal looks a store over and rebuilds it when it is damaged. It returns what was found, a line each.
func heal(dir string, now time.Time) (found []string, err error) {
	if err := finishMove(dir, now); err != nil {
		return nil, err
	}
	l, err := lookOver(dir, false)
	if err != nil {
		return nil, err
	}
	if err := l.count(dir); err != nil || len(l.damage) == 0 {
		return nil, err
	}
	found = l.damage
	if l, err = lookOver(dir, true); err != nil {
		return nil, err
	}
	for _, e := range l.cut { // they were acknowledged, or what is damaged is beside them
		l.take(e.key, e.meta, e.value)
	}
	delete(l.records, lastCommit)
	pairs := l.pairs()
	if len(pairs) == 0 {
		return nil, fmt.Errorf("the store in %s is damaged and nothing in it can be read: nothing was touched; put a backup back with batterboard restore:%s",
			dir, names(found))
	}
	if err := build(filepath.Join(dir, rebuilding), wentBack(pairs, now)); err != nil {
		return nil, fmt.Errorf("rebuild the damaged store in %s (nothing was touched): %w", dir, err)
	}
	if err := os.Rename(filepath.Join(dir, rebuilding), filepath.Join(dir, rebuilt)); err != nil {
		return nil, fmt.Errorf("rebuild the store: %w", err)
	}
	if err := finishMove(dir, now); err != nil {
		return nil, err
	}
	slog.Error("the store was damaged", "found", found, "records", len(pairs))
	return found, nil
}

// count compares what the store holds with the tally.
func (l *looked) count(dir string) error {
	n, ok, err := readTally(dir)
	if err != nil || !ok {
		return err
	}
	if has := l.last(); has < n && (has != 0 || len(l.records) != 0 || hasStore(dir)) {
		l.found("store", "the last %d of %d writes are not there any more", n-has, n)
	}
	return nil
}

// last is the number of the last commit that the files hold.
func (l *looked) last() uint64 {
	if v := l.records[lastCommit].value; len(v) == 8 {
		return binary.BigEndian.Uint64(v)
	}
	return 0
}

// pairs are the records that were not deleted.
func (l *looked) pairs() (all []pair) {
	for key, v := range l.records { // any order: they are put into one store
		if v.value != nil {
			all = append(all, pair{[]byte(key), v.value})
		}
	}
	return all
}

// build makes a store of these records.
func build(dir string, pairs []pair) error {
	s, err := freshStore(dir)
	if err != nil {
		return err
	}
	return errors.Join(s.writeMany(pairs), s.close())
}

// freshStore makes an empty store in a folder of its own, and throws away what was in it. It keeps no tally:
// it is moved before it serves.
func freshStore(dir string) (*store, error) {
	if err := errors.Join(os.RemoveAll(dir), os.MkdirAll(dir, 0o700)); err != nil {
		return nil, err
	}
	b, err := openShelf(dir)
	if err != nil {
		return nil, err
	}
	return startStore(b, dir, func() error { return checkSpace(dir) })
}

// finishMove puts a rebuilt store in the place of the damaged one.
func finishMove(dir string, now time.Time) error {
	if err := os.RemoveAll(filepath.Join(dir, rebuilding)); err != nil {
		return fmt.Errorf("tidy the data folder: %w", err)
	}
	if isDir(filepath.Join(dir, rebuilt)) {
		aside := filepath.Join(dir, asidePart+now.UTC().Format("20060102T150405Z"))
		if err := os.MkdirAll(aside, 0o700); err != nil {
			return fmt.Errorf("put the damaged files aside: %w", err)
		}
		if err := moveAll(dir, aside, storeFile); err != nil {
			return fmt.Errorf("put the damaged files aside: %w", err)
		}
		if err := os.Rename(filepath.Join(dir, rebuilt), filepath.Join(dir, moving)); err != nil {
			return fmt.Errorf("put the rebuilt store in its place: %w", err)
		}
	}
	if isDir(filepath.Join(dir, moving)) {
		if err := moveAll(filepath.Join(dir, moving), dir, storeFile); err != nil {
			return fmt.Errorf("put the rebuilt store in its place: %w", err)
		}
		return os.RemoveAll(filepath.Join(dir, moving))
	}
	return nil
}

func isDir(path string) bool {
	i, err := os.Stat(path)
	return err == nil && i.IsDir()
}

// storeFile says whether a file of the data folder is Badger's, or the tally that goes with it.
func storeFile(name string) bool {
	switch filepath.Ext(name) {
	case ".sst", ".mem", ".vlog":
		return true
	}
	return name == badger.ManifestFilename || name == badger.KeyRegistryFileName || name == "DISCARD" || name == tallyFile
}

func moveAll(from, to string, want func(string) bool) error {
	files, err := os.ReadDir(from)
	if err != nil {
		return err
	}
	for _, f := range files {
		if !f.IsDir() && want(f.Name()) {
			if err := os.Rename(filepath.Join(from, f.Name()), filepath.Join(to, f.Name())); err != nil {
				return err
			}
		}
	}
	return errors.Join(syncDir(from), syncDir(to))
}

// openBadger opens Badger, and makes a sentence of it when Badger panics over a file.
func openBadger(dir string) (db *badger.DB, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("a file of the store is damaged beyond what we know to mend (%v): nothing was touched; put a backup back with batterboard restore", p)
		}
	}()
	return badger.Open(storeOptions(dir))
}

// wentBack changes the records of a store that may have lost some of the last ones, because it comes from
// a backup or from a damaged disk:
//
//   - every site gets another epoch and takes from any writer's phone what it lacks (sync/SPEC.md, E1 to E3);
//   - device numbers that may have been given since are not given again;
//   - one-time codes open nothing any more: they may have been used;
//   - a site whose own record is gone gets one.
func wentBack(pairs []pair, now time.Time) []pair {
	b := &returned{}
	var keep []pair
	for _, p := range pairs {
		if b.take(p) {
			keep = append(keep, p)
		}
	}
	return append(keep, b.rest(now)...)
}

// returned gathers what has to be changed, while the records go by.
type returned struct{ sites map[string]*returnedSite }

type returnedSite struct {
	record  siteRecord
	highest uint32 // of the device numbers that are in use
	seal    string // see epochRecord
	ops     int
}

func (b *returned) site(id string) *returnedSite {
	if b.sites == nil {
		b.sites = map[string]*returnedSite{}
	}
	if b.sites[id] == nil {
		b.sites[id] = &returnedSite{}
	}
	return b.sites[id]
}

// take looks at a record, and says whether it stays as it is.
func (b *returned) take(p pair) (stays bool) {
	kind, rest, _ := strings.Cut(string(p.key), "/")
	id, _, _ := strings.Cut(rest, "/")
	switch kind {
	case "code":
		return false
	case "epoch":
		var e epochRecord
		if decode(p.value, &e) == nil {
			b.site(id).seal = e.Seal
		}
		return false
	case "site":
		x := b.site(id)
		if err := decode(p.value, &x.record); err != nil {
			x.record = siteRecord{}
		}
		return false
	case "op":
		x := b.site(id)
		x.ops++
		if o, err := opsync.Decode(p.value); err == nil {
			x.highest = max(x.highest, uint32(o.ID.Device))
		}
	case "seat":
		var s seatRecord
		if decode(p.value, &s) == nil {
			x := b.site(id)
			x.highest = max(x.highest, s.Num)
		}
	}
	return true
}

// rest are the records that come last.
func (b *returned) rest(now time.Time) (pairs []pair) {
	for _, id := range b.ids() {
		x := b.sites[id]
		r := x.record
		if r.Made == 0 {
			r.Made = now.Unix()
		}
		was := max(r.Next, 1)
		r.Next = max(was, x.highest+1) + maxSeats
		r.Skipped += r.Next - was
		pairs = append(pairs, record(siteKey(id), r), record(epochKey(id), epochRecord{Epoch: xid.New().String(), Restored: true, Seal: x.seal}))
	}
	return pairs
}

func (b *returned) ids() (ids []string) {
	for id := range b.sites { // any order: sorted below
		ids = append(ids, id)
	}
	sort.Strings(ids)
	return ids
}
