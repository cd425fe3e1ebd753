//go:build !linux

package main

import "os"

// ownFlush: elsewhere a flushed file need not hold what was written through a mapping, so Badger flushes.
const ownFlush = false

func flushMapped(f *os.File) error { return f.Sync() }
