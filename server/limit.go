package main

import (
	"net/netip"
	"sync"
	"time"
)

// limiter counts tries per address, or per device, in a bucket that refills: so many at once, then one every so often.
// A code has 40 bits and lives ten minutes; with ten wrong tries at once and one more every six
// seconds an address sees about a hundred of a million million codes.
type limiter struct {
	burst int
	every time.Duration
	now   func() time.Time

	mu   sync.Mutex
	used map[tryer]tries
}

// tryer is who is counted as one.
type tryer struct {
	net    netip.Prefix
	device string
}

type tries struct {
	left int
	at   time.Time // when left was true
}

// maxAddresses bounds the memory that strangers can make us spend.
const maxAddresses = 20_000

func newLimiter(burst int, every time.Duration, now func() time.Time) *limiter {
	return &limiter{burst: burst, every: every, now: now, used: map[tryer]tries{}}
}

// take takes one try; false when the address has none left. Tries at the same moment count one by one.
func (l *limiter) take(a netip.Addr) bool { return l.takes(tryer{net: network(a)}) }

// takeFor is take for a device that is known.
func (l *limiter) takeFor(device string) bool { return l.takes(tryer{device: device}) }

func (l *limiter) takes(p tryer) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	t := l.look(p)
	if t.left <= 0 {
		return false
	}
	t.left--
	l.keep(p, t)
	return true
}

// giveBack returns a try that was no guess.
func (l *limiter) giveBack(a netip.Addr) {
	l.mu.Lock()
	defer l.mu.Unlock()
	p := tryer{net: network(a)}
	t := l.look(p)
	t.left = min(l.burst, t.left+1)
	l.keep(p, t)
}

func (l *limiter) keep(p tryer, t tries) {
	if _, there := l.used[p]; !there && len(l.used) >= maxAddresses {
		l.forget()
	}
	l.used[p] = t
}

func (l *limiter) look(p tryer) tries {
	now := l.now()
	t, ok := l.used[p]
	if !ok {
		return tries{l.burst, now}
	}
	if n := int(now.Sub(t.at) / l.every); n > 0 {
		t.left = min(l.burst, t.left+n)
		t.at = t.at.Add(time.Duration(n) * l.every)
	}
	return t
}

// forget drops the addresses that are fresh again; if there are none, everybody starts anew.
func (l *limiter) forget() {
	for p := range l.used {
		if l.look(p).left >= l.burst {
			delete(l.used, p)
		}
	}
	if len(l.used) >= maxAddresses {
		clear(l.used)
	}
}

// network is who counts as one: an IPv4 address, or the /64 that an IPv6 subscriber is given.
func network(a netip.Addr) netip.Prefix {
	a = a.Unmap()
	bits := 32
	if a.Is6() {
		bits = 64
	}
	p, err := a.Prefix(bits)
	if err != nil {
		return netip.Prefix{} // no address: all of those share one bucket
	}
	return p
}
