package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	badger "github.com/dgraph-io/badger/v4"
)

// smallShelf is a shelf whose logs are small, so that Badger often begins another one, and flush in place of the
// system's.
func smallShelf(t *testing.T, dir string, flush func(*os.File) error) badgerShelf {
	t.Helper()
	if !ownFlush {
		t.Skip("on this system Badger flushes")
	}
	db, err := badger.Open(storeOptions(dir).WithMemTableSize(1 << 20).WithValueThreshold(64 << 10))
	if err != nil {
		t.Fatal(err)
	}
	b := badgerShelf{db: db}
	if b.log, err = openCommitLog(dir, flush); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.close() })
	return b
}

// A commit counts as stored when one file is flushed. Whatever Badger does with its files: that file holds the
// commit by then.
func TestTheFileThatIsFlushedHoldsTheCommit(t *testing.T) {
	var mark []byte
	held, files := false, map[string]bool{}
	b := smallShelf(t, t.TempDir(), func(f *os.File) error {
		raw := make([]byte, 2<<20)
		n, err := f.ReadAt(raw, 0)
		if n == 0 {
			return err
		}
		held = bytes.Contains(raw[:n], mark)
		files[f.Name()] = true
		return nil
	})
	for i := range 300 {
		mark, held = fmt.Appendf(nil, "commit %d of three hundred", i), false
		value := append(bytes.Repeat([]byte{'x'}, 20<<10), mark...)
		if err := b.put([]pair{{[]byte("first"), []byte("x")}, {fmt.Appendf(nil, "key %d", i%50), value}}); err != nil {
			t.Fatal(err)
		}
		if !held {
			t.Fatalf("commit %d is not in the file that was flushed", i)
		}
	}
	if len(files) < 4 {
		t.Errorf("only %d logs: the test does not see what it is for", len(files))
	}
}

// A disk that failed to flush once is not believed again, even if it says yes the next time.
func TestAFlushThatFails(t *testing.T) {
	fails := false
	b := smallShelf(t, t.TempDir(), func(*os.File) error {
		if fails {
			return errors.New("input/output error")
		}
		return nil
	})
	if err := b.put([]pair{{[]byte("a"), []byte("1")}}); err != nil {
		t.Fatal(err)
	}
	fails = true
	if err := b.put([]pair{{[]byte("a"), []byte("2")}}); !errors.Is(err, errFlush) {
		t.Errorf("a failed flush: %v", err)
	}
	fails = false
	if err := b.put([]pair{{[]byte("a"), []byte("3")}}); !errors.Is(err, errFlush) {
		t.Errorf("after it: %v", err)
	}
	err := b.view(func(r records) error {
		t.Error("what may not be on the disk is shown")
		return nil
	})
	if !errors.Is(err, errFlush) {
		t.Errorf("a look: %v", err)
	}
}

// What a killed process had written and not flushed is served by the next one, so it is flushed first.
func TestWhatWasNotFlushedBeforeAKillIsFlushedAtTheStart(t *testing.T) {
	dir := t.TempDir()
	b := smallShelf(t, dir, func(*os.File) error { return nil })
	if err := b.put([]pair{{[]byte("a"), []byte("written, then killed")}}); err != nil {
		t.Fatal(err)
	}
	copied := t.TempDir() // as after a kill: the files as they are, nobody has them open
	all, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range all {
		raw, err := os.ReadFile(path)
		if err == nil {
			err = os.WriteFile(filepath.Join(copied, filepath.Base(path)), raw, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	var flushed []string
	l, err := openCommitLog(copied, func(f *os.File) error {
		flushed = append(flushed, filepath.Base(f.Name()))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	defer l.close()
	if got := strings.Join(flushed, " "); got != "00001.mem" {
		t.Errorf("flushed: %q", got)
	}
	if _, err := openCommitLog(copied, func(*os.File) error { return errors.New("input/output error") }); err == nil {
		t.Error("a store whose log cannot be flushed is opened")
	}
}

// Values of this size would go into a file that is not flushed.
func TestARecordThatIsTooLarge(t *testing.T) {
	b := smallShelf(t, t.TempDir(), func(*os.File) error { return nil })
	if err := b.put([]pair{{[]byte("a"), make([]byte, maxValue)}}); err == nil {
		t.Error("taken")
	}
}
