package main

import (
	"bufio"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"io"
	"math/big"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// selfSigned writes a certificate for 127.0.0.1 and its key.
func selfSigned(t *testing.T) (cert, key string, pool *x509.CertPool) {
	t.Helper()
	k, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	c := &x509.Certificate{SerialNumber: big.NewInt(1), NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true}
	der, err := x509.CreateCertificate(rand.Reader, c, c, &k.PublicKey, k)
	if err != nil {
		t.Fatal(err)
	}
	kder, err := x509.MarshalECPrivateKey(k)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	cert, key, pool = filepath.Join(dir, "cert.pem"), filepath.Join(dir, "key.pem"), x509.NewCertPool()
	text := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})
	pool.AppendCertsFromPEM(text)
	for file, b := range map[string][]byte{cert: text, key: pem.EncodeToMemory(&pem.Block{Type: "EC PRIVATE KEY", Bytes: kder})} {
		if err := os.WriteFile(file, b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return cert, key, pool
}

func TestServeOverHTTPS(t *testing.T) {
	cert, key, pool := selfSigned(t)
	ctx, cancel := context.WithCancel(context.Background())
	out, in := io.Pipe()
	ended := make(chan error, 1)
	go func() {
		ended <- serveUntil(ctx, serveFlags{addr: "127.0.0.1:0", data: t.TempDir(), transport: transport{cert: cert, key: key}}, in)
		in.Close()
	}()
	lines := bufio.NewScanner(out)
	var base, link string
	for link == "" && lines.Scan() {
		if rest, ok := strings.CutPrefix(lines.Text(), "listening "); ok {
			base = rest
		}
		link, _ = strings.CutPrefix(lines.Text(), "owner link ")
		if !strings.HasPrefix(link, "https://") {
			link = ""
		}
	}
	go io.Copy(io.Discard, out)
	c := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}}
	code := link[strings.LastIndex(link, "/")+1:]
	q, _ := http.NewRequest("POST", base+"/api/pair", strings.NewReader(`{"code":"`+code+`","name":"Anna"}`))
	q.Header.Set("Origin", base)
	q.Header.Set("Content-Type", "application/json")
	r, err := c.Do(q)
	if err != nil {
		t.Fatal(err)
	}
	r.Body.Close()
	if r.StatusCode != 200 || len(r.Cookies()) != 1 || r.Cookies()[0].Name != secureCookie {
		t.Errorf("paired: %d %v", r.StatusCode, r.Cookies())
	}
	if got := r.Header.Get("Strict-Transport-Security"); got != "max-age=31536000" {
		t.Errorf("HSTS: %q", got)
	}
	old := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool, MaxVersion: tls.VersionTLS11}}}
	if r, err := old.Get(base + "/health"); err == nil {
		r.Body.Close()
		t.Error("TLS 1.1 is spoken")
	}
	c.CloseIdleConnections()
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
}
