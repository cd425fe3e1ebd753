package main

import (
	"context"
	"errors"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"syscall"
	"time"
)

// What the server itself asks of other machines: a hook of the operator's, and the push services whose
// addresses browsers hand in. Both are destinations that somebody else names, so both go through one
// door: HTTPS only, no redirects, and never to an address inside the network the server stands in.

var (
	errPlain   = errors.New("only https addresses are asked, or this machine itself")
	errInside  = errors.New("this address lies inside a private network")
	errElse    = errors.New("the address sends on to another one, which is not followed")
	errAddress = errors.New("this is no address of a web server")
)

// outside is a client for such requests. loopback lets it talk to this machine, for an operator who
// says so in the address, and for tests. It takes no proxy from the environment: the proxy would
// look up names where our check cannot see.
func outside(loopback bool) *http.Client {
	d := &net.Dialer{Timeout: 10 * time.Second, ControlContext: func(_ context.Context, _, address string, _ syscall.RawConn) error {
		// After the name was looked up: a name that leads inside is caught, whenever it began to.
		at, err := netip.ParseAddrPort(address)
		if err != nil {
			return errAddress
		}
		if a := at.Addr().Unmap(); !(public(a) || loopback && a.IsLoopback()) {
			return errInside
		}
		return nil
	}}
	return &http.Client{
		Timeout: 20 * time.Second,
		Transport: &http.Transport{DialContext: d.DialContext, ForceAttemptHTTP2: true, MaxIdleConns: 8, IdleConnTimeout: time.Minute,
			TLSHandshakeTimeout: 10 * time.Second, ResponseHeaderTimeout: 15 * time.Second, MaxResponseHeaderBytes: 16 << 10},
		CheckRedirect: func(*http.Request, []*http.Request) error { return errElse },
	}
}

// Blocks that netip does not name itself (IANA special-purpose address registries, RFC 6890): shared
// space of carriers, protocol assignments, documentation, benchmarks, reserved, and the two forms of
// IPv6 that carry an IPv4 address along, which could be one of these.
var special = func() (all []netip.Prefix) {
	for _, s := range []string{"0.0.0.0/8", "100.64.0.0/10", "192.0.0.0/24", "192.0.2.0/24", "198.18.0.0/15", "198.51.100.0/24", "203.0.113.0/24", "240.0.0.0/4",
		"64:ff9b::/96", "64:ff9b:1::/48", "100::/64", "2001::/23", "2001:db8::/32", "2002::/16", "3fff::/20", "5f00::/16", "fec0::/10"} {
		all = append(all, netip.MustParsePrefix(s))
	}
	return all
}()

// public says whether an address lies on the open internet.
func public(a netip.Addr) bool {
	a = a.Unmap()
	if !a.IsValid() || !a.IsGlobalUnicast() || a.IsPrivate() || a.IsLoopback() || a.IsLinkLocalUnicast() {
		return false
	}
	for _, p := range special {
		if p.Contains(a) {
			return false
		}
	}
	return true
}

// thisMachine says whether a host, without its port, is the machine we run on.
func thisMachine(host string) bool {
	a, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && a.Unmap().IsLoopback()
}

// destination checks an address that somebody named, before it is kept. Plain http and this machine
// are for loopback only.
func destination(s string, loopback bool) (*url.URL, error) {
	u, err := url.Parse(s)
	if err != nil || u.Hostname() == "" || u.User != nil || u.Fragment != "" || len(s) > 2000 {
		return nil, errAddress
	}
	here := thisMachine(u.Hostname())
	if a, err := netip.ParseAddr(u.Hostname()); err == nil && !here && !public(a) {
		return nil, errInside
	}
	switch {
	case here && !loopback:
		return nil, errInside
	case u.Scheme == "https", u.Scheme == "http" && here:
		return u, nil
	}
	return nil, errPlain
}
