package main

import (
	"net/netip"
	"testing"
	"time"
)

func TestTriesRefill(t *testing.T) {
	now := time.Date(2027, 3, 1, 6, 40, 0, 0, time.UTC)
	l := newLimiter(3, 10*time.Second, func() time.Time { return now })
	home := netip.MustParseAddr("192.0.2.7")
	takes := func(want ...bool) {
		t.Helper()
		for i, w := range want {
			if got := l.take(home); got != w {
				t.Errorf("try %d: %v, want %v", i+1, got, w)
			}
		}
	}
	takes(true, true, true, false, false)
	now = now.Add(9 * time.Second)
	takes(false)
	now = now.Add(time.Second)
	takes(true, false)
	l.giveBack(home)
	takes(true, false)
	now = now.Add(time.Hour)
	takes(true, true, true, false)
	if !l.take(netip.MustParseAddr("192.0.2.8")) {
		t.Error("the neighbour pays for it")
	}
}

func TestAnIPv6SubscriberIsOne(t *testing.T) {
	now := time.Date(2027, 3, 1, 6, 40, 0, 0, time.UTC)
	l := newLimiter(1, time.Minute, func() time.Time { return now })
	if !l.take(netip.MustParseAddr("2001:db8:1:2::1")) {
		t.Error("the first try")
	}
	if l.take(netip.MustParseAddr("2001:db8:1:2:ffff::9")) {
		t.Error("the same /64 counts anew")
	}
	if !l.take(netip.MustParseAddr("2001:db8:1:3::1")) {
		t.Error("the next /64 does not count by itself")
	}
	// An IPv4 address that came over an IPv6 socket is that IPv4 address.
	l.take(netip.MustParseAddr("::ffff:192.0.2.7"))
	if l.take(netip.MustParseAddr("192.0.2.7")) {
		t.Error("the mapped address counts by itself")
	}
}

func TestStrangersFillNoMemory(t *testing.T) {
	now := time.Date(2027, 3, 1, 6, 40, 0, 0, time.UTC)
	l := newLimiter(1, time.Minute, func() time.Time { return now })
	a := netip.MustParseAddr("10.0.0.0")
	for range 3 * maxAddresses {
		l.take(a)
		a = a.Next()
	}
	if len(l.used) > maxAddresses {
		t.Errorf("%d addresses are remembered", len(l.used))
	}
}
