package main

import (
	"net/http"
	"net/url"
	"strings"
)

// policy is the content security policy: our own files only, no inline script or style, and the
// compiling of WebAssembly that the engine needs.
var policy = strings.Join([]string{
	"default-src 'none'",
	"script-src 'self' 'wasm-unsafe-eval'",
	"style-src 'self'",
	"img-src 'self' data: blob:",
	"connect-src 'self'",
	"worker-src 'self'",
	"manifest-src 'self'",
	"base-uri 'none'",
	"form-action 'none'",
	"frame-ancestors 'none'",
	"require-trusted-types-for 'script'",
	"trusted-types batterboard",
}, "; ")

// headers sets what every answer carries.
func (s *server) headers(w http.ResponseWriter, q *http.Request) {
	h := w.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(self), geolocation=(), microphone=(), payment=(), usb=(), interest-cohort=()")
	h.Set("Cache-Control", "no-store")
	if s.secure(q) {
		h.Set("Strict-Transport-Security", "max-age=31536000")
	}
}

// sameOrigin compares the Origin header with the host the browser asked for. Browsers send it with
// every POST and every socket; a request without it is not from a page of ours.
func (s *server) sameOrigin(q *http.Request) bool {
	u, err := url.Parse(q.Header.Get("Origin"))
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return false
	}
	return strings.EqualFold(u.Host, q.Host) || s.public != nil && strings.EqualFold(u.Host, s.public.Host)
}

// base is the address that goes into links: the public one, or the one the browser used.
func (s *server) base(q *http.Request) string {
	if s.public != nil {
		return strings.TrimSuffix(s.public.String(), "/")
	}
	if s.secure(q) {
		return "https://" + q.Host
	}
	return "http://" + q.Host
}
