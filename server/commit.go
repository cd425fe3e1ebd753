package main

import (
	"errors"
	"fmt"
)

// write is what one caller wants stored as a whole. done is called from the committer, in the order
// of the queue, after the fsync; it must not block.
type write struct {
	pairs []pair
	done  func(error)
	// dead, when set, is asked just before the commit: a write that builds on one that failed must
	// not be stored either.
	dead func() bool
	// after, when set, runs once per commit after all done calls of it, at most once per group.
	group *group
}

// group gathers what several writes of one commit want done once.
type group struct{ flush func() }

var errClosed = errors.New("the store is closing: nothing was written")

// enqueue hands a write to the committer. It never blocks; who may fill the queue is limited where
// frames are read.
func (s *store) enqueue(w write) {
	s.mu.Lock()
	if s.closed {
		s.mu.Unlock()
		go w.done(errClosed) // the caller may hold what done takes
		return
	}
	s.waiting = append(s.waiting, w)
	s.mu.Unlock()
	select {
	case s.queue <- struct{}{}:
	default:
	}
}

// write stores pairs as a whole and waits for the fsync.
func (s *store) write(pairs ...pair) error {
	done := make(chan error, 1)
	s.enqueue(write{pairs: pairs, done: func(err error) { done <- err }})
	return <-done
}

// commitAll is the one goroutine that writes: it takes all that waits, up to maxCommit bytes, makes
// it one transaction with one fsync, then tells everybody.
func (s *store) commitAll() {
	defer close(s.stopped)
	for range s.queue {
		for batch := s.take(); len(batch) > 0; batch = s.take() {
			s.commitBatch(batch)
		}
		if s.finished() {
			return
		}
	}
}

func (s *store) finished() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.closed && len(s.waiting) == 0
}

// take cuts the next batch off the queue.
func (s *store) take() []write {
	s.mu.Lock()
	defer s.mu.Unlock()
	n, size := 0, 0
	for n < len(s.waiting) {
		for _, p := range s.waiting[n].pairs {
			size += len(p.key) + len(p.value) + 64 // 64: what an entry costs beside its bytes, rounded up
		}
		if n > 0 && size > maxCommit {
			break
		}
		n++
	}
	batch := s.waiting[:n:n]
	s.waiting = s.waiting[n:]
	if len(s.waiting) == 0 {
		s.waiting = nil
	}
	return batch
}

func (s *store) commitBatch(batch []write) {
	alive := batch[:0:len(batch)]
	for _, w := range batch {
		if w.dead != nil && w.dead() {
			w.done(errClosed)
			continue
		}
		alive = append(alive, w)
	}
	err := s.commit(alive)
	var groups []*group
	for _, w := range alive {
		w.done(err)
		if w.group != nil && !contains(groups, w.group) {
			groups = append(groups, w.group)
		}
	}
	for _, g := range groups {
		g.flush()
	}
}

func contains(all []*group, g *group) bool {
	for _, x := range all {
		if x == g {
			return true
		}
	}
	return false
}

// commit writes one transaction. A full disk would kill the process by SIGBUS, because Badger writes
// through a mapped file, so the space is checked first.
func (s *store) commit(batch []write) error {
	var pairs []pair
	for _, w := range batch {
		pairs = append(pairs, w.pairs...)
	}
	if len(pairs) == 0 {
		return nil
	}
	if err := s.space(); err != nil {
		return err
	}
	if err := s.shelf.put(pairs); err != nil {
		return fmt.Errorf("write %d records: %w", len(pairs), err)
	}
	return nil
}

// close waits for what is queued and closes the files. On a disk that is full they are left as they are:
// closing would write a table into a mapped file, and the system would end the process over it. They are
// then as after a kill, which the next start is used to.
func (s *store) close() error {
	s.mu.Lock()
	already := s.closed
	s.closed = true
	s.mu.Unlock()
	if already {
		return nil
	}
	select {
	case s.queue <- struct{}{}:
	default:
	}
	<-s.stopped
	if err := s.space(); errors.Is(err, errFull) {
		return errors.Join(fmt.Errorf("stopped without tidying up: %w", err), s.free())
	}
	return errors.Join(s.shelf.close(), s.free())
}
