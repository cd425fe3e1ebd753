//go:build unix

package main

import (
	"errors"
	"os"
	"syscall"
)

// quickWriter writes without waiting.
type quickWriter struct {
	b   []byte
	n   int
	err error
	try func(fd uintptr) bool
}

// write hands b to the system and returns how much of it was taken. An error says that the connection is gone.
func (w *quickWriter) write(c syscall.RawConn) (int, error) {
	if w.try == nil {
		w.try = func(fd uintptr) bool {
			w.n, w.err = syscall.Write(int(fd), w.b)
			return true
		}
	}
	w.n, w.err = 0, nil
	if err := c.Write(w.try); errors.Is(err, os.ErrDeadlineExceeded) {
		return 0, nil
	} else if err != nil {
		return 0, err
	}
	if errors.Is(w.err, syscall.EAGAIN) || errors.Is(w.err, syscall.EINTR) {
		return 0, nil
	}
	return max(w.n, 0), w.err
}
