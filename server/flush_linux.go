package main

import (
	"errors"
	"os"
	"syscall"
)

// ownFlush says that we flush what Badger writes. It writes through a mapping, and Linux keeps account of the dirty
// pages of a shared one by file: msync(2) with MS_SYNC and fdatasync(2) end in the same call inside the kernel.
const ownFlush = true

// flushMapped returns when what was written to the file, also through a mapping, would survive a power cut.
func flushMapped(f *os.File) error {
	for {
		if err := syscall.Fdatasync(int(f.Fd())); !errors.Is(err, syscall.EINTR) {
			return err
		}
	}
}
