package main

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/letsencrypt/challtestsrv"
	"github.com/letsencrypt/pebble/v2/ca"
	"github.com/letsencrypt/pebble/v2/db"
	"github.com/letsencrypt/pebble/v2/va"
	"github.com/letsencrypt/pebble/v2/wfe"
)

// authority is a certificate authority on this machine that speaks ACME (RFC 8555) and checks for real that
// who asks for a name answers under it: Pebble, which those who wrote the protocol test their own with.
type authority struct {
	directory *httptest.Server
	roots     *x509.CertPool
	known     string       // file of the certificate that the directory itself has
	orders    atomic.Int32 // taken from whoever asked
}

// answer remembers how a request was answered.
type answer struct {
	http.ResponseWriter
	status int
}

func (a *answer) WriteHeader(status int) {
	a.status = status
	a.ResponseWriter.WriteHeader(status)
}

func newAuthority(t *testing.T, httpPort, tlsPort int) *authority {
	t.Helper()
	t.Setenv("PEBBLE_VA_NOSLEEP", "1")
	quiet := log.New(io.Discard, "", 0)
	resolver := freeAddr(t)
	names, err := challtestsrv.New(challtestsrv.Config{Log: quiet, DNSAddrs: []string{resolver}})
	if err != nil {
		t.Fatal(err)
	}
	names.SetDefaultDNSIPv6("") // every name is 127.0.0.1
	go names.Run()
	t.Cleanup(names.Shutdown)
	a := &authority{roots: x509.NewCertPool()}
	store := db.NewMemoryStore()
	signer := ca.New(quiet, store, "", "ecdsa", 0, 1, map[string]ca.Profile{"default": {Description: "for tests"}})
	asker := va.New(quiet, httpPort, tlsPort, true, resolver, store)
	front := wfe.New(quiet, store, asker, signer, []string{"pebble.letsencrypt.org"}, true, false, 1, 1)
	h := front.Handler()
	a.directory = httptest.NewTLSServer(http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		answered := &answer{ResponseWriter: w}
		h.ServeHTTP(answered, q)
		// Pebble turns one nonce in twenty down, so that who asks must ask again: only what it took counts.
		if strings.Contains(q.URL.Path, "order-plz") && answered.status == http.StatusCreated {
			a.orders.Add(1)
		}
	}))
	t.Cleanup(a.directory.Close)
	a.known = filepath.Join(t.TempDir(), "authority.pem")
	text := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.directory.Certificate().Raw})
	if err := os.WriteFile(a.known, text, 0o600); err != nil {
		t.Fatal(err)
	}
	a.roots.AddCert(signer.GetRootCert(0).Cert)
	return a
}

// freeAddr is an address that nobody listens on just now.
func freeAddr(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// A server that is told its domain gets a certificate for it, keeps it over a restart, and gets none for
// a name that somebody else points at it.
func TestCertificatesForADomain(t *testing.T) {
	const name = "board.example.test"
	at, plain := freeAddr(t), freeAddr(t)
	port := func(addr string) (n int) {
		_, p, _ := net.SplitHostPort(addr)
		fmt.Sscan(p, &n)
		return n
	}
	a := newAuthority(t, port(plain), port(at))
	data := t.TempDir()
	start := func(directory string) (stop func()) {
		ctx, cancel := context.WithCancel(context.Background())
		ended := make(chan error, 1)
		out, in := io.Pipe()
		go func() {
			ended <- serveUntil(ctx, serveFlags{addr: at, data: data, transport: transport{
				domains: list{name}, plain: plain, directory: directory, roots: a.known}}, in)
			in.Close()
		}()
		line := make([]byte, 100)
		if _, err := out.Read(line); err != nil {
			t.Fatal(err, <-ended)
		}
		said := make(chan string, 1)
		go func() { rest, _ := io.ReadAll(out); said <- string(rest) }()
		return func() {
			cancel()
			if err := <-ended; err != nil {
				t.Error(err)
			}
			if rest := <-said; !strings.Contains(rest, fmt.Sprintf("owner link https://%s:%d/#/pair/", name, port(at))) {
				t.Errorf("it says %s", rest)
			}
		}
	}
	ask := func(as string) error {
		c := &http.Client{Timeout: patience, Transport: &http.Transport{DisableKeepAlives: true,
			TLSClientConfig: &tls.Config{RootCAs: a.roots, ServerName: as},
			DialContext: func(ctx context.Context, network, _ string) (net.Conn, error) {
				return (&net.Dialer{}).DialContext(ctx, network, at)
			}}}
		r, err := c.Get("https://" + as + "/health")
		if err != nil {
			return err
		}
		defer r.Body.Close()
		if r.StatusCode != 200 || r.Header.Get("Strict-Transport-Security") == "" {
			return fmt.Errorf("status %d, %v", r.StatusCode, r.Header)
		}
		return nil
	}
	stop := start(a.directory.URL + wfe.DirectoryPath)
	if err := ask(name); err != nil {
		t.Errorf("under its own name: %v", err)
	}
	if err := ask("elsewhere.example.test"); err == nil {
		t.Error("a name of somebody else's is answered")
	}
	if a.orders.Load() != 1 {
		t.Errorf("%d certificates were asked for", a.orders.Load())
	}
	// Plain HTTP goes to HTTPS, and takes nothing that changes anything.
	c := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	for want, do := range map[int]func() (*http.Response, error){
		http.StatusMovedPermanently: func() (*http.Response, error) {
			q, _ := http.NewRequest("GET", "http://"+plain+"/c/abc?x=1", nil)
			q.Host = name
			return c.Do(q)
		},
		http.StatusUpgradeRequired: func() (*http.Response, error) {
			return c.Post("http://"+plain+"/api/pair", "application/json", strings.NewReader("{}"))
		},
	} {
		r, err := do()
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		if r.StatusCode != want || want == http.StatusMovedPermanently && r.Header.Get("Location") != "https://"+name+"/c/abc?x=1" {
			t.Errorf("plain: %d %s, want %d", r.StatusCode, r.Header.Get("Location"), want)
		}
	}
	stop()
	kept, err := filepath.Glob(filepath.Join(data, "certificates", "*"))
	if err != nil || len(kept) == 0 {
		t.Fatal("no certificate is kept", err)
	}
	for _, path := range kept {
		if info, err := os.Stat(path); err != nil || info.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s is open to others: %v %v", filepath.Base(path), info.Mode(), err)
		}
	}
	stop = start("https://127.0.0.1:1/") // the authority is away: what is kept will do
	if err := ask(name); err != nil {
		t.Errorf("after a restart: %v", err)
	}
	stop()
}

// A renewed certificate is used without a restart; files that are broken for a moment change nothing.
func TestCertificateFilesAreReadAgain(t *testing.T) {
	cert, key, _ := selfSigned(t)
	cert2, key2, _ := selfSigned(t)
	c, err := openCertFiles(cert, key)
	if err != nil {
		t.Fatal(err)
	}
	now := func() string {
		t.Helper()
		got, err := c.get(nil)
		if err != nil || got == nil {
			t.Fatal("no certificate", err)
		}
		return string(got.Certificate[0])
	}
	later := time.Now()
	replace := func(from, to string) {
		t.Helper()
		raw, err := os.ReadFile(from)
		later = later.Add(time.Second)
		if err := errors.Join(err, os.WriteFile(to, raw, 0o600), os.Chtimes(to, later, later)); err != nil {
			t.Fatal(err)
		}
	}
	first := now()
	if now() != first {
		t.Error("another one for no reason")
	}
	replace(cert2, cert) // the key does not fit yet
	if now() != first {
		t.Error("half a renewal is taken")
	}
	replace(key2, key)
	second := now()
	if second == first {
		t.Error("the renewal is not seen")
	}
	if err := os.Remove(cert); err != nil {
		t.Fatal(err)
	}
	if now() != second {
		t.Error("a missing file takes the certificate away")
	}
	if _, err := openCertFiles(cert, key); err == nil {
		t.Error("opened without a certificate")
	}
}

func TestWhatTransportsAreTaken(t *testing.T) {
	for say, args := range map[string][]string{
		"belong together":              {"--tls-cert", "x"},
		"take one of the two":          {"--tls-cert", "x", "--tls-key", "y", "--domain", "a.example"},
		"--domain is a name":           {"--domain", "https://a.example"},
		"not \"a.example:443\"":        {"--domain", "b.example,a.example:443"},
		"not \"localhost\"":            {"--domain", "localhost"},
		"not \"127.0.0.1\"":            {"--domain", "127.0.0.1"},
		"--trusted-proxy is an addres": {"--trusted-proxy", "proxy.example"},
		"--backup-every is a minute":   {"--backup-every", "3s"},
		"--backup-keep is 1 or more":   {"--backup-keep", "0"},
	} {
		if _, err := parseServe(args, io.Discard); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("%v: %v", args, err)
		}
	}
	f, err := parseServe([]string{"--domain", "a.example,b.example", "--data", "x"}, io.Discard)
	if err != nil || f.addr != ":443" || f.plain != ":80" || len(f.domains) != 2 || f.backup.to != filepath.Join("x", "backups") {
		t.Errorf("%+v %v", f, err)
	}
	if f, err = parseServe(nil, io.Discard); err != nil || f.addr != "127.0.0.1:8080" {
		t.Errorf("%+v %v", f, err)
	}
}

// Only a proxy that was named may say for whom it asks, and only what it added itself counts.
func TestWhomAProxySpeaksFor(t *testing.T) {
	w := newWorld(t)
	ask := func(remote string, headers ...string) *http.Request {
		q := httptest.NewRequest("GET", "http://board.example/", nil)
		q.RemoteAddr = remote
		for i := 0; i < len(headers); i += 2 {
			q.Header.Add(headers[i], headers[i+1])
		}
		return q
	}
	const far, proto = "X-Forwarded-For", "X-Forwarded-Proto"
	var err error
	if w.srv.proxies, err = proxies([]string{"10.1.0.0/16", "192.0.2.7", "fd00::/8"}); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		q      *http.Request
		from   string
		secure bool
	}{
		{ask("10.1.2.3:9", far, "203.0.113.9", proto, "https"), "203.0.113.9", true},
		{ask("10.1.2.3:9", far, "203.0.113.9", proto, "http"), "203.0.113.9", false},
		{ask("10.1.2.3:9", far, "198.51.100.1, 203.0.113.9"), "203.0.113.9", false},            // the first is the browser's own word
		{ask("10.1.2.3:9", far, "198.51.100.1, 203.0.113.9, 192.0.2.7"), "203.0.113.9", false}, // two proxies of ours
		{ask("10.1.2.3:9", far, "198.51.100.1", far, "203.0.113.9"), "203.0.113.9", false},     // two lines are one list
		{ask("10.1.2.3:9", far, "rubbish"), "10.1.2.3", false},
		{ask("10.1.2.3:9"), "10.1.2.3", false},
		{ask("[fd00::1]:9", far, "2001:db8::5"), "2001:db8::5", false},
		{ask("[::ffff:10.1.2.3]:9", far, "203.0.113.9", proto, "HTTPS"), "203.0.113.9", true},
		{ask("10.2.2.3:9", far, "203.0.113.9", proto, "https"), "10.2.2.3", false}, // not named
		{ask("127.0.0.1:9", far, "203.0.113.9", proto, "https"), "127.0.0.1", false},
	} {
		if got := w.srv.address(c.q).Unmap().String(); got != c.from || w.srv.secure(c.q) != c.secure {
			t.Errorf("%s with %v: from %s, secure %v", c.q.RemoteAddr, c.q.Header, got, w.srv.secure(c.q))
		}
	}
	w.srv.proxies = nil
	q := ask("127.0.0.1:9", far, "203.0.113.9", proto, "https")
	if w.srv.address(q).String() != "127.0.0.1" || w.srv.secure(q) {
		t.Error("without a public address this machine is believed")
	}
	w.srv.public = &url.URL{Scheme: "https", Host: "board.example"}
	if w.srv.address(q).String() != "203.0.113.9" || !w.srv.secure(q) {
		t.Error("with a public address this machine is not believed")
	}
}
