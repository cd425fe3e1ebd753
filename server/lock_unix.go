//go:build unix

package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// lockFile is held locked while a process has the data folder.
const lockFile = "IN-USE"

// lockStore makes this process the only one that touches the folder's files, until free is called or the
// process ends. Badger takes a lock of its own, but only after we have looked its files over.
func lockStore(dir string) (free func() error, alone bool, err error) {
	f, err := os.OpenFile(filepath.Join(dir, lockFile), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, false, fmt.Errorf("open the data folder: %w", err)
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		f.Close()
		if errors.Is(err, syscall.EWOULDBLOCK) {
			return nil, false, fmt.Errorf("open %s: %w", dir, errInUse)
		}
		return nil, false, fmt.Errorf("lock the data folder: %w", err)
	}
	return f.Close, true, nil
}
