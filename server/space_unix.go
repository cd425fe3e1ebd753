//go:build unix

package main

import (
	"fmt"
	"syscall"
)

// minSpace is the free space below which nothing more is written: room for the two memory tables'
// files and one being flushed, each up to twice its table.
const minSpace = 4 * 2 * memTable

// checkSpace refuses when the disk under dir is nearly full.
func checkSpace(dir string) error {
	var fs syscall.Statfs_t
	if err := syscall.Statfs(dir, &fs); err != nil {
		return fmt.Errorf("look at the free space of %s: %w", dir, err)
	}
	if free := uint64(fs.Bavail) * uint64(fs.Bsize); free < minSpace {
		return fmt.Errorf("%w: %d MB free under the data folder, %d MB needed", errFull, free>>20, minSpace>>20)
	}
	return nil
}
