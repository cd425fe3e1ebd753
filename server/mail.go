package main

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net"
	"net/mail"
	"net/url"
	"os"
	"strconv"
	"strings"
	"time"

	gomail "github.com/wneessen/go-mail"
)

// mailSettings name the mail server that takes our texts on.
type mailSettings struct {
	Server   string `json:"server"`             // host:port; 587 and 465 are usual
	TLS      string `json:"tls,omitempty"`      // "starttls" (when empty), "tls" from the first byte, "none" on this machine only
	User     string `json:"user,omitempty"`     // empty: the server takes mail without
	Password string `json:"password,omitempty"` //
	From     string `json:"from"`               // Old Laundry <site@example.net>
	CA       string `json:"ca,omitempty"`       // file of the authority that signed the server's certificate, when it is one's own
}

// mailer hands texts to a mail server (RFC 5321, RFC 6409).
type mailer struct {
	mailSettings
	host string
	port int
	from *mail.Address
	tls  *tls.Config
	now  func() time.Time
}

// mailPatience is how long one mail may take, from dialling to the server's last word.
const mailPatience = 40 * time.Second

func newMailer(s mailSettings) (*mailer, error) {
	m := &mailer{mailSettings: s, now: time.Now}
	host, port, err := net.SplitHostPort(s.Server)
	if err != nil {
		return nil, errors.New("server is written like mail.example.net:587")
	}
	n, err := strconv.ParseUint(port, 10, 16)
	if err != nil || n == 0 || host == "" {
		return nil, errors.New("server is written like mail.example.net:587")
	}
	m.host, m.port = host, int(n)
	if m.from, err = mail.ParseAddress(s.From); err != nil {
		return nil, errors.New("from is written like Old Laundry <site@example.net>")
	}
	switch s.TLS {
	case "", "starttls", "tls":
	case "none":
		if !thisMachine(host) {
			return nil, errors.New(`tls "none" is for a mail server on this machine only: anybody on the way could read the texts and the password`)
		}
	default:
		return nil, errors.New(`tls is "starttls", "tls" or "none"`)
	}
	m.tls = &tls.Config{ServerName: host, MinVersion: tls.VersionTLS12}
	if s.CA != "" {
		pem, err := os.ReadFile(s.CA)
		if err != nil {
			return nil, fmt.Errorf("ca: %w", err)
		}
		m.tls.RootCAs = x509.NewCertPool()
		if !m.tls.RootCAs.AppendCertsFromPEM(pem) {
			return nil, fmt.Errorf("ca: no certificate in %s", s.CA)
		}
	}
	return m, nil
}

// message is the text as a mail. Its Message-ID is made of the key: programs show a mail that came
// twice only once.
func (m *mailer) message(o outText) (*gomail.Msg, error) {
	to, err := mail.ParseAddress(o.Email)
	if err != nil || to.Name != "" || strings.ContainsAny(o.Email, "\r\n") {
		return nil, &notSent{why: "address", err: errors.New("the crew's e-mail address is none")}
	}
	msg := gomail.NewMsg(gomail.WithNoDefaultUserAgent())
	if err := msg.FromFormat(m.from.Name, m.from.Address); err != nil {
		return nil, &notSent{why: "refused", err: errors.New("from")}
	}
	if err := msg.AddToFormat(o.Name, to.Address); err != nil {
		return nil, &notSent{why: "address", err: errors.New("the crew's e-mail address is none")}
	}
	_, domain, _ := strings.Cut(m.from.Address, "@")
	msg.SetMessageIDWithValue(o.Key + "@" + domain)
	msg.SetDateWithValue(m.now())
	msg.Subject(o.Subject)
	msg.SetGenHeader("Content-Language", o.Lang)
	msg.SetGenHeader("Auto-Submitted", "auto-generated") // RFC 3834: no "out of office" comes back
	msg.SetBodyString(gomail.TypeTextPlain, o.Body)
	return msg, nil
}

func (m *mailer) client() (*gomail.Client, error) {
	with := []gomail.Option{gomail.WithPort(m.port), gomail.WithTimeout(15 * time.Second), gomail.WithTLSConfig(m.tls), gomail.WithoutNoop()}
	switch m.TLS {
	case "tls":
		with = append(with, gomail.WithSSL())
	case "none":
		with = append(with, gomail.WithTLSPolicy(gomail.NoTLS))
	default:
		with = append(with, gomail.WithTLSPolicy(gomail.TLSMandatory))
	}
	if m.User != "" {
		with = append(with, gomail.WithSMTPAuth(gomail.SMTPAuthAutoDiscover), gomail.WithUsername(m.User), gomail.WithPassword(m.Password))
	}
	return gomail.NewClient(m.host, with...)
}

func (m *mailer) send(ctx context.Context, o outText) error {
	msg, err := m.message(o)
	if err != nil {
		return err
	}
	c, err := m.client()
	if err != nil {
		return &notSent{why: "unreachable", err: err}
	}
	ctx, cancel := context.WithTimeout(ctx, mailPatience)
	defer cancel()
	if err := c.DialWithContext(ctx); err != nil {
		return &notSent{why: "unreachable", again: true, down: true, err: bare(err)}
	}
	err = c.Send(msg)
	c.Close() // the text has been taken or not by now; how they part changes nothing
	return mailError(err)
}

// mailError tells what the mail server said no to, and what is worth another try. A line that breaks
// after the whole text was handed over leaves it open whether it will arrive: that is said, and not
// tried again, for nobody is to hear the same thing twice.
func mailError(err error) error {
	var said *gomail.SendError
	if err == nil || errors.As(err, &said) && said.Reason == gomail.ErrSMTPReset {
		return nil // a farewell that failed: the text was taken
	}
	if said == nil {
		return &notSent{why: "unreachable", again: true, down: true, err: bare(err)}
	}
	code := said.ErrorCode()
	bad := fmt.Errorf("reason %d, code %d", said.Reason, code)
	switch {
	case said.Reason == gomail.ErrSMTPDataClose && code == 0:
		return &notSent{why: "unsure", err: bad}
	case code == 552 || code == 554 && said.Reason == gomail.ErrSMTPDataClose && strings.Contains(said.EnhancedStatusCode(), "5.3.4"):
		return &notSent{why: "size", err: bad}
	case code >= 500 && said.Reason == gomail.ErrSMTPRcptTo:
		return &notSent{why: "address", err: bad}
	case code >= 500:
		return &notSent{why: "refused", err: bad}
	}
	return &notSent{why: "unreachable", again: true, down: code == 0, err: bad}
}

// bare is an error without the addresses in it: those are in no log.
func bare(err error) error {
	var at *url.Error
	if errors.As(err, &at) {
		err = at.Err
	}
	var op *net.OpError
	if errors.As(err, &op) && op.Err != nil {
		return fmt.Errorf("%s: %w", op.Op, op.Err)
	}
	var name *net.DNSError
	if errors.As(err, &name) {
		return errors.New("its name cannot be found")
	}
	return err
}
