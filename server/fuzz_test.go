package main

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"
)

// Whatever a stranger sends, the server answers, never with an error of its own (5xx), and every answer carries
// the policy.
func FuzzRequest(f *testing.F) {
	st, err := openStore(f.TempDir())
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { st.close() })
	h := newServer(st, time.Now).handler()
	f.Add("POST", "/api/pair", "application/json", "bb=x", `{"code":"ABCD-EFGH","name":"Anna"}`)
	f.Add("POST", "/api/invite", "application/json", "", `{"site":"0123456789abcdefghij","role":"owner"}`)
	f.Add("POST", "/api/revoke", "application/json", "bb=dc3aqkpksdua2o1s0t10.AAAA", `{"site":"","device":null}`)
	f.Add("GET", "/api/devices?site=%00", "", "__Host-bb=..", "")
	f.Add("GET", "/ws?site=0123456789abcdefghij", "", "", "")
	f.Add("GET", "/..%2f..%2fetc/passwd", "", "", "")
	f.Add("PUT", "//", "text/plain", "bb=\"", "\x00")
	f.Fuzz(func(t *testing.T, method, target, kind, cookie, body string) {
		q, err := http.NewRequest(method, "http://board.example"+target, strings.NewReader(body))
		if err != nil || !strings.HasPrefix(target, "/") {
			return
		}
		q.RemoteAddr = "192.0.2.1:1"
		q.Header.Set("Origin", "http://board.example")
		q.Header.Set("Content-Type", kind)
		q.Header.Set("Cookie", cookie)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, q)
		if w.Code >= 500 && !(w.Code == 503 && q.URL.Path == "/") { // 503: this test binary has no client in it
			t.Errorf("%d %s", w.Code, w.Body)
		}
		if redirect := w.Code == 301 || w.Code == 307 || w.Code == 308; w.Header().Get("Content-Security-Policy") == "" && !redirect {
			t.Errorf("%d without a policy", w.Code)
		}
	})
}

func FuzzToken(f *testing.F) {
	real, hash := newToken("dc3aqkpksdua2o1s0t10")
	f.Add(real)
	f.Add("dc3aqkpksdua2o1s0t10.")
	f.Add(".")
	f.Fuzz(func(t *testing.T, token string) {
		id, secret, ok := splitToken(token)
		if ok && (!validID(id) || len(secret) != secretBytes) {
			t.Errorf("%q, %d bytes", id, len(secret))
		}
		if ok && secretFits(hash, secret) && token[21:] != real[21:] {
			t.Errorf("%q opens the door of %q", token, real)
		}
	})
}

func FuzzNames(f *testing.F) {
	f.Add("Anna's phone", "abcd-efgh")
	f.Add("\u202eevil\x00\n", "\u00df-ı")
	f.Fuzz(func(t *testing.T, name, code string) {
		clean := cleanName(name)
		if n := utf8.RuneCountInString(clean); n == 0 || n > maxName || !utf8.ValidString(clean) {
			t.Errorf("%q became %q", name, clean)
		}
		for _, r := range clean {
			if !unicode.IsPrint(r) {
				t.Errorf("%q holds %q", clean, r)
			}
		}
		if _, err := json.Marshal(clean); err != nil {
			t.Error(err)
		}
		if c := typed(code); strings.ContainsAny(c, " -\n\t") {
			t.Errorf("%q was typed as %q", code, c)
		}
	})
}
