package main

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"golang.org/x/crypto/acme"
	"golang.org/x/crypto/acme/autocert"
)

// transport is how browsers reach us: plainly on this machine, with certificate files, with certificates
// that are fetched for a domain, or behind a proxy.
type transport struct {
	cert, key string
	domains   list
	mail      string
	directory string // of another certificate authority than the usual one
	roots     string // file of certificates by which that authority's own server is known
	plain     string // where plain HTTP is answered when there are domains: challenges, and the way to HTTPS
	trusted   list   // proxies, as networks
}

// list is a flag that holds several words, by commas or by being given again.
type list []string

func (l *list) String() string { return strings.Join(*l, ",") }

func (l *list) Set(s string) error {
	for _, w := range strings.Split(s, ",") {
		if w = strings.TrimSpace(w); w != "" {
			*l = append(*l, w)
		}
	}
	return nil
}

func (t transport) encrypted() bool { return t.cert != "" || len(t.domains) > 0 }

// check looks at what was asked for before anything is opened.
func (t transport) check() error {
	switch {
	case (t.cert == "") != (t.key == ""):
		return badInput("--tls-cert and --tls-key belong together")
	case t.roots != "" && t.directory == "":
		return badInput("--acme-roots goes with --acme-directory")
	case t.cert != "" && len(t.domains) > 0:
		return badInput("--domain fetches certificates, --tls-cert names them: take one of the two")
	}
	for _, d := range t.domains {
		if !domainName(d) {
			return badInput("--domain is a name like board.example.net, without https:// and without a port, not %q", d)
		}
	}
	_, err := proxies(t.trusted)
	return err
}

// domainName says whether a certificate can be asked for under that name.
func domainName(d string) bool {
	if len(d) > 253 || !strings.Contains(d, ".") || net.ParseIP(d) != nil {
		return false
	}
	for _, label := range strings.Split(d, ".") {
		if label == "" || len(label) > 63 || label[0] == '-' || label[len(label)-1] == '-' {
			return false
		}
		for _, c := range strings.ToLower(label) {
			if !(c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '-') {
				return false
			}
		}
	}
	return true
}

// proxies reads networks; one address is a network of its own.
func proxies(words []string) (all []netip.Prefix, err error) {
	for _, w := range words {
		p, err := netip.ParsePrefix(w)
		if err != nil {
			a, err := netip.ParseAddr(w)
			if err != nil {
				return nil, badInput("--trusted-proxy is an address or a network like 10.0.0.0/8, not %q", w)
			}
			p = netip.PrefixFrom(a, a.BitLen())
		}
		all = append(all, p.Masked())
	}
	return all, nil
}

// loopback is who is believed when a public address is named and no proxy: one on this machine.
var loopback = []netip.Prefix{netip.MustParsePrefix("127.0.0.0/8"), netip.MustParsePrefix("::1/128")}

// believed says whether a connection comes from a proxy of ours, which may say for whom it asks.
func (s *server) believed(a netip.Addr) bool {
	from := s.proxies
	if from == nil && s.public != nil {
		from = loopback
	}
	for _, p := range from {
		if p.Contains(a.Unmap()) {
			return true
		}
	}
	return false
}

// peer is the other end of the connection.
func peer(q *http.Request) netip.Addr {
	host, _, err := net.SplitHostPort(q.RemoteAddr)
	if err != nil {
		host = q.RemoteAddr
	}
	a, err := netip.ParseAddr(host)
	if err != nil {
		return netip.Addr{}
	}
	return a
}

// address is who asks, for counting tries. A proxy of ours adds whom it heard at the end of
// X-Forwarded-For; what stands before that, and from anybody else all of it, is hearsay.
func (s *server) address(q *http.Request) netip.Addr {
	at := peer(q)
	far := strings.Split(strings.Join(q.Header.Values("X-Forwarded-For"), ","), ",")
	for i := len(far) - 1; i >= 0 && s.believed(at); i-- {
		a, err := netip.ParseAddr(strings.TrimSpace(far[i]))
		if err != nil {
			break
		}
		at = a
	}
	return at
}

// secure says whether the browser came over HTTPS: to us, to the public address, or to a proxy of ours
// that says so.
func (s *server) secure(q *http.Request) bool {
	if q.TLS != nil || s.public != nil && s.public.Scheme == "https" && strings.EqualFold(q.Host, s.public.Host) {
		return true
	}
	return strings.EqualFold(q.Header.Get("X-Forwarded-Proto"), "https") && s.believed(peer(q))
}

// certFiles are certificate files, read again when they have changed: whoever renews them need not stop us.
type certFiles struct {
	cert, key string

	mu   sync.Mutex
	now  *tls.Certificate
	seen [2]fileState
}

type fileState struct {
	at   time.Time
	size int64
}

func stateOf(path string) (fileState, error) {
	i, err := os.Stat(path)
	if err != nil {
		return fileState{}, err
	}
	return fileState{i.ModTime(), i.Size()}, nil
}

func openCertFiles(cert, key string) (*certFiles, error) {
	c := &certFiles{cert: cert, key: key}
	if err := c.read(); err != nil {
		return nil, badInput("--tls-cert and --tls-key: %w", err)
	}
	return c, nil
}

// read loads the files when they are others than before. c.mu is held, or nobody else has c yet.
func (c *certFiles) read() error {
	a, err := stateOf(c.cert)
	b, err2 := stateOf(c.key)
	if err = errors.Join(err, err2); err != nil {
		return err
	}
	seen := [2]fileState{a, b}
	if seen == c.seen {
		return nil
	}
	c.seen = seen // also when it fails: it is told once
	pair, err := tls.LoadX509KeyPair(c.cert, c.key)
	if err != nil {
		return err
	}
	c.now = &pair
	return nil
}

func (c *certFiles) get(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	was := c.now
	if err := c.read(); err != nil {
		slog.Error("the certificate files cannot be read, the ones before are still used", "err", err)
	} else if c.now != was {
		slog.Info("certificate files read anew")
	}
	return c.now, nil
}

// open prepares the transport. data is the data folder, where fetched certificates are kept.
func (t transport) open(data string) (*tls.Config, http.Handler, error) {
	base := &tls.Config{MinVersion: tls.VersionTLS12}
	switch {
	case t.cert != "":
		c, err := openCertFiles(t.cert, t.key)
		if err != nil {
			return nil, nil, err
		}
		base.GetCertificate = c.get
		base.NextProtos = []string{"h2", "http/1.1"}
		return base, nil, nil
	case len(t.domains) > 0:
		m, err := t.manager(data)
		if err != nil {
			return nil, nil, err
		}
		config := m.TLSConfig()
		config.MinVersion = tls.VersionTLS12
		config.GetCertificate = func(hello *tls.ClientHelloInfo) (*tls.Certificate, error) {
			c, err := m.GetCertificate(hello)
			if err != nil && m.HostPolicy(hello.Context(), hello.ServerName) == nil { // who asks for other names is no news
				slog.Error("no certificate for this domain: does its name lead here, and are ports 80 and 443 open?", "domain", hello.ServerName, "err", err)
			}
			return c, err
		}
		return config, m.HTTPHandler(http.HandlerFunc(toHTTPS)), nil
	}
	return nil, nil, nil
}

// manager fetches and renews certificates for the domains that were named, and for no others: a stranger
// who points a name at us gets none.
func (t transport) manager(data string) (*autocert.Manager, error) {
	m := &autocert.Manager{
		Prompt:     autocert.AcceptTOS,
		Cache:      autocert.DirCache(filepath.Join(data, "certificates")),
		HostPolicy: autocert.HostWhitelist(t.domains...),
		Email:      t.mail,
	}
	if t.directory != "" {
		m.Client = &acme.Client{DirectoryURL: t.directory}
	}
	if t.roots != "" {
		known := x509.NewCertPool()
		text, err := os.ReadFile(t.roots)
		if err != nil {
			return nil, badInput("--acme-roots: %w", err)
		}
		if !known.AppendCertsFromPEM(text) {
			return nil, badInput("--acme-roots is a file of certificates (PEM), and there is none in %s", t.roots)
		}
		m.Client.HTTPClient = &http.Client{Timeout: time.Minute, Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: known}}}
	}
	return m, nil
}

// toHTTPS sends whoever asks plainly to the same address over HTTPS. What is not read only is refused:
// a browser would send it again, and it has been read on the way already.
func toHTTPS(w http.ResponseWriter, q *http.Request) {
	h := w.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("X-Content-Type-Options", "nosniff")
	if q.Method != http.MethodGet && q.Method != http.MethodHead {
		w.WriteHeader(http.StatusUpgradeRequired)
		return
	}
	host := q.Host
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	if !domainName(host) {
		w.WriteHeader(http.StatusNotFound)
		return
	}
	http.Redirect(w, q, "https://"+host+q.URL.RequestURI(), http.StatusMovedPermanently)
}

// plainServer answers challenges and redirects on plain HTTP until stop is called.
func plainServer(at string, h http.Handler) (stop func(), err error) {
	l, err := net.Listen("tcp", at)
	if err != nil {
		return nil, fmt.Errorf("listen for plain HTTP on %s (--http-addr): %w", at, err)
	}
	p := &http.Server{Handler: h, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 15 * time.Second,
		WriteTimeout: 30 * time.Second, IdleTimeout: time.Minute, MaxHeaderBytes: 16 << 10,
		ErrorLog: slog.NewLogLogger(slog.Default().Handler(), slog.LevelDebug)}
	go p.Serve(l)
	return func() {
		ctx, cancel := context.WithTimeout(context.Background(), time.Second)
		defer cancel()
		if p.Shutdown(ctx) != nil {
			p.Close()
		}
	}, nil
}
