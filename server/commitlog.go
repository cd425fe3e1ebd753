package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync/atomic"
)

// commitLog flushes the file that Badger writes commits to. Asked to flush by itself, Badger flushes two files for
// every commit, one after the other: the write-ahead log, and the value log, in which no value of ours ever
// lies. Either makes the disk empty its cache, so half of the waiting was for nothing. So Badger is told not
// to flush, and after each commit the one committer flushes the write-ahead log that took it. That is the one
// with the highest number: Badger begins another one before a commit, never within it or by itself.
type commitLog struct {
	dir    string
	number int
	file   *os.File
	flush  func(*os.File) error
	failed atomic.Bool
}

// errFlush stays until the program is started again: after a flush that failed, the system holds what is not on the
// disk for written, and a second try would succeed without having written it.
var errFlush = errors.New("the disk could not keep what was written: nothing more is read or written until the server is started again; look at the disk first")

// openCommitLog is called when Badger has opened the folder. What an earlier process left in its logs counts as stored
// from now on, so it is flushed, whether that process came to it or not.
func openCommitLog(dir string, flush func(*os.File) error) (*commitLog, error) {
	l := &commitLog{dir: dir, flush: flush}
	all, err := filepath.Glob(filepath.Join(dir, "*.mem"))
	if err != nil {
		return nil, err
	}
	for _, path := range all {
		var n int
		if _, err := fmt.Sscanf(filepath.Base(path), "%d.mem", &n); err != nil {
			continue
		}
		if err := l.open(n); errors.Is(err, fs.ErrNotExist) {
			continue // Badger has meanwhile made a table of it, which it flushes always
		} else if err != nil {
			return nil, errors.Join(err, l.close())
		}
		if err := l.flush(l.file); err != nil {
			return nil, errors.Join(fmt.Errorf("flush the store's log: %w", err), l.close())
		}
	}
	if l.file == nil {
		return nil, fmt.Errorf("open the store: no write-ahead log in %s", dir)
	}
	return l, nil
}

// open takes the log of this number. The name of a new file must outlive a power cut too.
func (l *commitLog) open(n int) error {
	f, err := os.OpenFile(l.path(n), os.O_RDWR, 0)
	if err != nil {
		return err
	}
	l.close()
	l.number, l.file = n, f
	return syncDir(l.dir)
}

func (l *commitLog) path(n int) string { return filepath.Join(l.dir, fmt.Sprintf("%05d.mem", n)) }

// stored returns when the last commit would survive a power cut.
func (l *commitLog) stored() error {
	if l.failed.Load() {
		return errFlush
	}
	err := l.follow()
	if err == nil {
		err = l.flush(l.file)
	}
	if err != nil {
		l.failed.Store(true)
		return errors.Join(errFlush, err)
	}
	return nil
}

// follow goes to the next log when Badger did.
func (l *commitLog) follow() error {
	for {
		_, err := os.Stat(l.path(l.number + 1))
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err == nil {
			err = l.open(l.number + 1)
		}
		if err != nil {
			return err
		}
	}
}

func (l *commitLog) close() error {
	if l.file == nil {
		return nil
	}
	f := l.file
	l.file = nil
	return f.Close()
}
