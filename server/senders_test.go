package main

import (
	"bytes"
	"context"
	"crypto/tls"
	"encoding/pem"
	"errors"
	"io"
	"mime"
	"mime/quotedprintable"
	"net"
	"net/http"
	"net/http/httptest"
	"net/mail"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/emersion/go-sasl"
	"github.com/emersion/go-smtp"
	standardwebhooks "github.com/standard-webhooks/standard-webhooks/libraries/go"
)

// postOffice is a real mail server on loopback, out of another house than ours (emersion/go-smtp).
type postOffice struct {
	addr, ca string

	mu     sync.Mutex
	mails  []string
	tries  int
	no     *smtp.SMTPError // what it says to the recipient
	noEnd  *smtp.SMTPError // what it says to the text
	break_ bool            // hang up in front of the last word
	conns  []net.Conn
}

func (p *postOffice) NewSession(c *smtp.Conn) (smtp.Session, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.conns = append(p.conns, c.Conn())
	return &postSession{p: p, conn: c.Conn()}, nil
}

type postSession struct {
	p     *postOffice
	conn  net.Conn
	login bool
}

func (s *postSession) AuthMechanisms() []string { return []string{sasl.Plain} }
func (s *postSession) Auth(string) (sasl.Server, error) {
	return sasl.NewPlainServer(func(_, user, word string) error {
		if user != "site" || word != "p w&d" {
			return smtp.ErrAuthFailed
		}
		s.login = true
		return nil
	}), nil
}
func (s *postSession) Reset()        {}
func (s *postSession) Logout() error { return nil }
func (s *postSession) Mail(string, *smtp.MailOptions) error {
	s.p.mu.Lock()
	defer s.p.mu.Unlock()
	s.p.tries++
	if !s.login {
		return smtp.ErrAuthRequired
	}
	return nil
}

func (s *postSession) Rcpt(string, *smtp.RcptOptions) error {
	if s.p.no != nil {
		return s.p.no
	}
	return nil
}

func (s *postSession) Data(r io.Reader) error {
	b, err := io.ReadAll(r)
	if err != nil {
		return err
	}
	s.p.mu.Lock()
	defer s.p.mu.Unlock()
	switch {
	case s.p.break_:
		s.conn.Close()
		return errors.New("gone")
	case s.p.noEnd != nil:
		return s.p.noEnd
	}
	s.p.mails = append(s.p.mails, string(b))
	return nil
}

func (p *postOffice) got() []string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]string{}, p.mails...)
}

// newPostOffice opens one, with STARTTLS and a certificate that only its own file vouches for.
func newPostOffice(t *testing.T) *postOffice {
	t.Helper()
	web := httptest.NewUnstartedServer(nil)
	web.StartTLS()
	cert := web.TLS.Certificates[0]
	web.Close()
	p := &postOffice{ca: filepath.Join(t.TempDir(), "ca.pem")}
	if err := os.WriteFile(p.ca, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: cert.Certificate[0]}), 0o600); err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s := smtp.NewServer(p)
	s.TLSConfig = &tls.Config{Certificates: []tls.Certificate{cert}}
	s.ErrorLog = discardLog{}
	go s.Serve(l)
	t.Cleanup(func() { s.Close() })
	p.addr = l.Addr().String()
	return p
}

type discardLog struct{}

func (discardLog) Printf(string, ...any) {}
func (discardLog) Println(...any)        {}

func (p *postOffice) mailer(t *testing.T) *mailer {
	t.Helper()
	m, err := newMailer(mailSettings{Server: p.addr, User: "site", Password: "p w&d", From: "Old Laundry <site@example.net>", CA: p.ca})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

var aText = outText{Key: "k1", Site: "Old Laundry", Kind: "moved", Name: "Tableros Río", Phone: "+15550112", Email: "rio@example.net", Lang: "es",
	Subject: "Old Laundry: fechas nuevas", Body: "Hola: el martes 6 de abril, a las 8:00.\n.\n¿Puede venir? — " + strings.Repeat("largo ", 40)}

func TestAMailArrivesWhole(t *testing.T) {
	office := newPostOffice(t)
	if err := office.mailer(t).send(context.Background(), aText); err != nil {
		t.Fatal(err)
	}
	got := office.got()
	if len(got) != 1 {
		t.Fatalf("%d mails", len(got))
	}
	// Read by the standard library (RFC 5322, RFC 2045, RFC 2047).
	m, err := mail.ReadMessage(strings.NewReader(got[0]))
	if err != nil {
		t.Fatal(err)
	}
	var words mime.WordDecoder
	subject, err := words.DecodeHeader(m.Header.Get("Subject"))
	if err != nil || subject != aText.Subject {
		t.Errorf("subject %q %v", subject, err)
	}
	to, err := m.Header.AddressList("To")
	if err != nil || len(to) != 1 || to[0].Address != aText.Email || to[0].Name != aText.Name {
		t.Errorf("to %v %v", to, err)
	}
	if id := m.Header.Get("Message-ID"); id != "<k1@example.net>" {
		t.Errorf("Message-ID %s", id)
	}
	if m.Header.Get("Auto-Submitted") != "auto-generated" || m.Header.Get("Content-Language") != "es" {
		t.Errorf("%v", m.Header)
	}
	if enc := m.Header.Get("Content-Transfer-Encoding"); enc != "quoted-printable" {
		t.Fatalf("encoding %s", enc)
	}
	b, err := io.ReadAll(quotedprintable.NewReader(m.Body))
	if err != nil || strings.TrimRight(strings.ReplaceAll(string(b), "\r\n", "\n"), "\n") != aText.Body {
		t.Errorf("%q %v", b, err)
	}
	for l := range strings.SplitSeq(got[0], "\r\n") {
		if len(l) > 998 { // RFC 5322, section 2.1.1
			t.Errorf("a line of %d", len(l))
		}
	}
}

func TestWhatAMailServerSays(t *testing.T) {
	for name, c := range map[string]struct {
		set   func(*postOffice)
		why   string
		again bool
	}{
		"no such box": {func(p *postOffice) {
			p.no = &smtp.SMTPError{Code: 550, EnhancedCode: smtp.EnhancedCode{5, 1, 1}, Message: "no such user"}
		}, "address", false},
		"later, please": {func(p *postOffice) {
			p.no = &smtp.SMTPError{Code: 451, EnhancedCode: smtp.EnhancedCode{4, 7, 1}, Message: "greylisted"}
		}, "unreachable", true},
		"box is full": {func(p *postOffice) {
			p.noEnd = &smtp.SMTPError{Code: 452, EnhancedCode: smtp.EnhancedCode{4, 2, 2}, Message: "full"}
		}, "unreachable", true},
		"too big": {func(p *postOffice) {
			p.noEnd = &smtp.SMTPError{Code: 552, EnhancedCode: smtp.EnhancedCode{5, 3, 4}, Message: "big"}
		}, "size", false},
		"not wanted": {func(p *postOffice) {
			p.noEnd = &smtp.SMTPError{Code: 554, EnhancedCode: smtp.EnhancedCode{5, 7, 1}, Message: "spam"}
		}, "refused", false},
		"line broke": {func(p *postOffice) { p.break_ = true }, "unsure", false},
	} {
		t.Run(name, func(t *testing.T) {
			office := newPostOffice(t)
			c.set(office)
			err := office.mailer(t).send(context.Background(), aText)
			var no *notSent
			if !errors.As(err, &no) || no.why != c.why || no.again != c.again {
				t.Errorf("%v", err)
			}
			if err != nil && (strings.Contains(err.Error(), "rio@") || strings.Contains(err.Error(), "555")) {
				t.Errorf("an address goes into the log: %v", err)
			}
		})
	}
}

func TestAMailServerThatIsNotThere(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	l.Close()
	m, err := newMailer(mailSettings{Server: l.Addr().String(), TLS: "none", From: "site@example.net"})
	if err != nil {
		t.Fatal(err)
	}
	var no *notSent
	if err := m.send(context.Background(), aText); !errors.As(err, &no) || no.why != "unreachable" || !no.again || !no.down {
		t.Error(err)
	}
}

func TestAPasswordGoesOnlyOverTLSThatFits(t *testing.T) {
	office := newPostOffice(t)
	m := office.mailer(t)
	m.tls.RootCAs = nil // the certificate is nobody's we know
	var no *notSent
	if err := m.send(context.Background(), aText); !errors.As(err, &no) || no.why != "unreachable" || office.tries != 0 {
		t.Errorf("%v, %d tries", err, office.tries)
	}
	m = office.mailer(t)
	m.Password = "other"
	if err := m.send(context.Background(), aText); err == nil || strings.Contains(err.Error(), "other") {
		t.Error(err)
	}
}

func TestNobodyWritesHeadersOfTheirOwn(t *testing.T) {
	office := newPostOffice(t)
	m := office.mailer(t)
	evil := aText
	evil.Name, evil.Subject = "Rio\r\nBcc: all@example.net", "Hi\r\nBcc: all@example.net\r\n\r\nbody"
	if err := m.send(context.Background(), evil); err == nil {
		got, err := mail.ReadMessage(strings.NewReader(office.got()[0]))
		if err != nil || got.Header.Get("Bcc") != "" {
			t.Errorf("%v %v", got.Header, err)
		}
	}
	for _, to := range []string{"", "rio", "rio@example.net, all@example.net", "Rio <rio@example.net>", "rio@example.net\r\nBcc: x@y.z", "@", "rio@exa mple.net"} {
		o := aText
		o.Email = to
		var no *notSent
		if err := m.send(context.Background(), o); !errors.As(err, &no) || no.why != "address" {
			t.Errorf("%q: %v", to, err)
		}
	}
}

const hookSecret = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw" // the specification's own example

// The receiver is the specification's reference library, which shares no code with us.
func TestAHookIsSignedAsTheOpenSpecificationSays(t *testing.T) {
	check, err := standardwebhooks.NewWebhook(hookSecret)
	if err != nil {
		t.Fatal(err)
	}
	var bodies []string
	var keys []string
	status := 200
	web := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		b, err := io.ReadAll(q.Body)
		if err != nil {
			t.Error(err)
		}
		if err := check.Verify(b, q.Header); err != nil {
			t.Errorf("the library refuses it: %v", err)
		}
		if check.Verify(append(bytes.Clone(b), ' '), q.Header) == nil {
			t.Error("a changed body passes: the check checks nothing")
		}
		bodies, keys = append(bodies, string(b)), append(keys, q.Header.Get("Idempotency-Key"))
		w.WriteHeader(status)
	}))
	defer web.Close()
	h, err := newHook(hookSettings{URL: web.URL + "/in", Secret: hookSecret})
	if err != nil {
		t.Fatal(err)
	}
	if err := h.send(context.Background(), aText); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"type":"text.send"`, `"site":"Old Laundry"`, `"kind":"moved"`, `"lang":"es"`, `"phone":"+15550112"`, `"email":"rio@example.net"`, `"name":"Tableros Río"`} {
		if !strings.Contains(bodies[0], want) {
			t.Errorf("no %s in %s", want, bodies[0])
		}
	}
	for code, want := range map[int]notSent{400: {why: "refused"}, 404: {why: "refused"}, 408: {why: "unreachable", again: true}, 425: {why: "unreachable", again: true},
		429: {why: "unreachable", again: true}, 500: {why: "unreachable", again: true}, 503: {why: "unreachable", again: true}} {
		status = code
		var no *notSent
		if err := h.send(context.Background(), aText); !errors.As(err, &no) || no.why != want.why || no.again != want.again {
			t.Errorf("%d: %v", code, err)
		}
	}
	for _, k := range keys {
		if k != "k1" {
			t.Errorf("key %q", k)
		}
	}
	web.Close()
	var no *notSent
	if err := h.send(context.Background(), aText); !errors.As(err, &no) || !no.again || strings.Contains(err.Error(), "127.0.0.1") {
		t.Error(err)
	}
}

// The example of the Standard Webhooks specification 1.0, "Verifying signatures" (secret, id, timestamp,
// payload and signature as published).
func TestTheSpecificationsOwnExample(t *testing.T) {
	h, err := newHook(hookSettings{URL: "https://hook.example.net/", Secret: hookSecret})
	if err != nil {
		t.Fatal(err)
	}
	got := h.sign("msg_p5jXN8AQM9LWM0D4loKWxJek", "1614265330", []byte(`{"test": 2432232314}`))
	if want := "g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}

func TestSendersFiles(t *testing.T) {
	mailOK := `"email":{"server":"mail.example.net:587","user":"u","password":"sekrit","from":"Old Laundry <site@example.net>"}`
	hookOK := `"hook":{"url":"https://hook.example.net/in","secret":"` + hookSecret + `"}`
	for file, want := range map[string]string{
		"{" + mailOK + "," + hookOK + "}": "", "{" + mailOK + "}": "", "{" + hookOK + "}": "", "{}": "neither", "": "cannot be read", "[]": "must be",
		`{"email":{"password":"sekrit"`: "cannot be read", `{"email":{"password":"sekrit",}}`: "JSON", `{"emial":{}}`: "emial", `{"email":{"password":["sekrit"]}}`: "email.password",
		`{"email":{"server":"mail.example.net","from":"a@b.c","password":"sekrit"}}`: "server", `{"email":{"server":"mail.example.net:99999","from":"a@b.c"}}`: "server",
		`{"email":{"server":"mail.example.net:25","from":"nobody"}}`: "from", `{"email":{"server":"mail.example.net:25","tls":"none","from":"a@b.c"}}`: "this machine",
		`{"email":{"server":"127.0.0.1:25","tls":"none","from":"a@b.c"}}`: "", `{"email":{"server":"mail.example.net:25","tls":"maybe","from":"a@b.c"}}`: "starttls",
		`{"hook":{"url":"http://hook.example.net/in","secret":"` + hookSecret + `"}}`: "https", `{"hook":{"url":"https://10.0.0.8/","secret":"` + hookSecret + `"}}`: "private",
		`{"hook":{"url":"http://127.0.0.1:8/in","secret":"` + hookSecret + `"}}`: "", `{"hook":{"url":"https://hook.example.net/in","secret":"whsec_c2hvcnQ="}}`: "secret",
	} {
		_, err := readSenders([]byte(file))
		switch {
		case want == "" && err != nil, want != "" && (err == nil || !strings.Contains(err.Error(), want)):
			t.Errorf("%s: %v, want %q", file, err, want)
		case err != nil && (strings.Contains(err.Error(), "sekrit") || strings.Contains(err.Error(), hookSecret)):
			t.Errorf("%s: the error tells a secret: %v", file, err)
		}
	}
	if _, err := parseServe([]string{"--demo", "--senders", "x"}, io.Discard); err == nil {
		t.Error("a demo that sends")
	}
	if _, err := openSenders(filepath.Join(t.TempDir(), "none.json")); err == nil {
		t.Error("a file that is not there")
	}
}
