package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"time"
)

// A folder of backups holds files whose names sort by age:
//
//	20270301T064000.000Z-full.backup     complete by itself
//	20270302T064000.000Z-more.backup     what came since the file before it
//	pictures/SITE/NAME                   pictures, each once
const (
	fullPart   = "-full.backup"
	morePart   = "-more.backup"
	backupTime = "20060102T150405.000Z"
)

// backups is such a folder.
type backups struct{ dir string }

// files lists the backups in it, oldest first.
func (b backups) files() (names []string, err error) {
	all, err := os.ReadDir(b.dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	for _, f := range all {
		if n := f.Name(); !f.IsDir() && (strings.HasSuffix(n, fullPart) || strings.HasSuffix(n, morePart)) {
			names = append(names, n)
		}
	}
	sort.Strings(names)
	return names, err
}

// since is where the next file may go on: the newest one, when it is whole and of this store.
func (b backups) since(store string) (last backupSum, ok bool) {
	names, err := b.files()
	if err != nil || len(names) == 0 {
		return last, false
	}
	last, err = checkBackup(filepath.Join(b.dir, names[len(names)-1]))
	return last, err == nil && last.Head.Store == store
}

// chain is the file with its predecessors, back to the complete one, oldest first.
func chain(names []string, of string) (files []string, ok bool) {
	i := sort.SearchStrings(names, of)
	if i >= len(names) || names[i] != of {
		return nil, false
	}
	first := i
	for first > 0 && strings.HasSuffix(names[first], morePart) {
		first--
	}
	return names[first : i+1], strings.HasSuffix(names[first], fullPart)
}

// add writes the next file. take writes a backup into w, with the head that it is given. After `chainLen`
// files that follow a complete one there is a complete one again, so that old files can go.
func (b backups) add(store string, now time.Time, chainLen int, take func(w io.Writer, h backupHead) error) (name string, err error) {
	if err := os.MkdirAll(b.dir, 0o700); err != nil {
		return "", fmt.Errorf("make the backup folder: %w", err)
	}
	names, err := b.files()
	if err != nil {
		return "", fmt.Errorf("look into the backup folder: %w", err)
	}
	h := backupHead{Store: store, Made: now.UTC(), By: version}
	name = now.UTC().Format(backupTime) + fullPart
	if last, ok := b.since(store); ok {
		if c, whole := chain(names, names[len(names)-1]); whole && len(c) < chainLen {
			h.After, h.From = last.Sum, last.End.Next
			name = now.UTC().Format(backupTime) + morePart
		}
	}
	if len(names) > 0 && name <= names[len(names)-1] {
		return "", fmt.Errorf("the newest backup, %s, is from later than now: nothing was written; is the clock right?", names[len(names)-1])
	}
	return name, writeWhole(filepath.Join(b.dir, name), func(w io.Writer) error { return take(w, h) })
}

// rotate deletes what the newest `keep` backups do not need.
func (b backups) rotate(keep int) error {
	names, err := b.files()
	if err != nil || len(names) <= keep {
		return err
	}
	needed := map[string]bool{}
	for _, n := range names[len(names)-keep:] {
		files, _ := chain(names, n)
		for _, f := range files {
			needed[f] = true
		}
	}
	for _, n := range names {
		if !needed[n] {
			err = errors.Join(err, os.Remove(filepath.Join(b.dir, n)))
		}
	}
	return err
}

// addPictures copies the pictures that are not in the folder yet.
func (b backups) addPictures(from string) (added int, err error) {
	err = eachPicture(from, func(site, name string) error {
		to := filepath.Join(b.dir, "pictures", site, name)
		if _, err := os.Stat(to); err == nil {
			return nil
		}
		if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
			return err
		}
		added++
		return copyPicture(filepath.Join(from, site, name), to)
	})
	if err != nil {
		return added, fmt.Errorf("copy pictures: %w", err)
	}
	return added, nil
}

// copyPicture copies a picture, which must be what its name says.
func copyPicture(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	sum := sha256.New()
	return writeWhole(to, func(w io.Writer) error {
		if _, err := io.Copy(io.MultiWriter(w, sum), in); err != nil {
			return err
		}
		if hex.EncodeToString(sum.Sum(nil)) != filepath.Base(to) {
			return fmt.Errorf("the picture %.8s… is damaged: take it out of the folder, phones that have it hand it in again", filepath.Base(to))
		}
		return nil
	})
}

// writeWhole makes a file that is there as a whole or not at all, and only for us to read.
func writeWhole(path string, write func(io.Writer) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".unfinished-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
		}
	}()
	if err := write(f); err != nil {
		f.Close()
		return err
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Rename(f.Name(), path); err != nil {
		return err
	}
	return syncDir(filepath.Dir(path))
}
