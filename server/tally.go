package main

import (
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io/fs"
	"os"
	"path/filepath"
)

// The tally counts commits, beside Badger's files: a damaged end of a write-ahead log looks just like a
// write that was under way when the process ended. So each commit carries its number into the store, and
// after the fsync the number is written to this small file too, without one of its own. A killed process
// leaves both alike; after a power cut the file may be behind. If the file is ahead, the store has lost
// what it had acknowledged.
const tallyFile = "TALLY"

// lastCommit is the record that holds the number of the last commit, eight bytes big-endian.
const lastCommit = "meta/last"

type tally struct {
	file *os.File
	n    uint64
}

// readTally reads the file. ok is false when there is none, or it was being written when the power went.
func readTally(dir string) (n uint64, ok bool, err error) {
	b, err := os.ReadFile(filepath.Join(dir, tallyFile))
	if errors.Is(err, fs.ErrNotExist) {
		return 0, false, nil
	}
	if err != nil {
		return 0, false, fmt.Errorf("look over the store: %w", err)
	}
	if len(b) != 12 || crc32.Checksum(b[:8], castagnoli) != binary.BigEndian.Uint32(b[8:]) {
		return 0, false, nil
	}
	return binary.BigEndian.Uint64(b), true, nil
}

// openTally goes on counting from n.
func openTally(dir string, n uint64) (*tally, error) {
	f, err := os.OpenFile(filepath.Join(dir, tallyFile), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, fmt.Errorf("open the store's tally: %w", err)
	}
	return &tally{f, n}, nil
}

// next is the record that the next commit carries.
func (t *tally) next() pair {
	return pair{[]byte(lastCommit), binary.BigEndian.AppendUint64(nil, t.n+1)}
}

// stored notes that the commit is on the disk. If that fails, the next one makes up for it.
func (t *tally) stored() error {
	t.n++
	b := binary.BigEndian.AppendUint64(nil, t.n)
	_, err := t.file.WriteAt(binary.BigEndian.AppendUint32(b, crc32.Checksum(b, castagnoli)), 0)
	return err
}
