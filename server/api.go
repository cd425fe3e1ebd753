package main

import (
	"errors"
	"log/slog"
	"net/http"
	"strings"

	opsync "batterboard/sync"
)

// Cookie names. The __Host- prefix ties the cookie to this very host and to HTTPS (RFC 6265bis,
// section 4.1.3.2); plain HTTP is for this machine and the local network.
const (
	secureCookie = "__Host-bb"
	plainCookie  = "bb"
	cookieLife   = 400 * 24 * 3600 // seconds; browsers cap at 400 days (RFC 6265bis, section 5.5)
)

// caller finds the device that a request comes from; errStranger when it comes from none.
func (s *server) caller(q *http.Request) (id string, d deviceRecord, err error) {
	name := plainCookie
	if s.secure(q) {
		name = secureCookie
	}
	c, err := q.Cookie(name)
	if err != nil {
		return "", d, errStranger
	}
	return s.store.known(c.Value)
}

// seated finds the caller's seat on a site.
func (s *server) seated(q *http.Request, site string) (seat, error) {
	id, _, err := s.caller(q)
	if errors.Is(err, errStranger) {
		// Guessing a token is hopeless; this only keeps it from costing much. Good tokens are not counted.
		if len(q.Cookies()) > 0 && !s.strange.take(s.address(q)) {
			return seat{}, errTries
		}
		return seat{}, errStranger
	}
	if err != nil {
		return seat{}, err
	}
	if (q.Method == http.MethodPost || q.URL.Path == "/ws") && !s.asks.takeFor(id) {
		return seat{}, errTries
	}
	if !validID(site) {
		return seat{}, errOther
	}
	x, err := s.store.seatOf(site, id)
	if errors.Is(err, errNoSeat) {
		return x, errOther
	}
	return x, err
}

func (s *server) setCookie(w http.ResponseWriter, q *http.Request, token string) {
	c := http.Cookie{Name: plainCookie, Value: token, Path: "/", MaxAge: cookieLife, HttpOnly: true, SameSite: http.SameSiteLaxMode}
	if s.secure(q) {
		c.Name, c.Secure = secureCookie, true
	}
	http.SetCookie(w, &c)
}

// pair turns a one-time code into a seat.
func (s *server) pair(w http.ResponseWriter, q *http.Request) error {
	var in struct {
		Code, Name string
		Anew       bool // as a new device, whatever the cookie says: another phone has a copy of it
	}
	if err := readJSON(q, &in); err != nil {
		return err
	}
	code, from := typed(in.Code), s.address(q)
	// Tries are counted where guessing could help. The codes of an owner are too long for that, so that
	// nobody at the same address can keep an owner out by guessing.
	counts := len(code) < ownerLetters
	if counts && !s.wrong.take(from) {
		return errTries
	}
	id, _, _ := s.caller(q)
	if in.Anew {
		id = ""
	}
	p, err := s.store.enter(code, newcomer{id, in.Name}, s.now())
	if counts && !errors.Is(err, errCode) {
		s.wrong.giveBack(from)
	}
	if err != nil {
		return err
	}
	return s.welcome(w, q, p)
}

// tryDemo seats anybody on the demo site, as a second hand.
func (s *server) tryDemo(w http.ResponseWriter, q *http.Request) error {
	var in struct{ Name string }
	if err := readJSON(q, &in); err != nil {
		return err
	}
	if s.demo == nil {
		return errNoDemo
	}
	from := s.address(q)
	if !s.visits.take(from) {
		return errTries
	}
	id, _, _ := s.caller(q)
	p, err := s.visit(newcomer{id, in.Name})
	if err != nil {
		return err
	}
	slog.Info("demo: a browser paired itself", "site", p.Site, "device", p.Device, "num", p.Num)
	return s.welcome(w, q, p)
}

// visit seats a browser on the demo. When the copy has had as many visitors as a site can have, the
// next one gets a new copy.
func (s *server) visit(who newcomer) (p paired, err error) {
	s.visiting.Lock()
	defer s.visiting.Unlock()
	site, err := s.store.freshDemo(s.demo(), s.now())
	if err != nil {
		return p, err
	}
	p, err = s.store.join(site, opsync.Second, who, s.now())
	if errors.Is(err, errSeats) {
		if site, err = s.store.newDemo(s.demo(), s.now()); err == nil {
			p, err = s.store.join(site, opsync.Second, who, s.now())
		}
	}
	return p, err
}

// welcome answers a pairing.
func (s *server) welcome(w http.ResponseWriter, q *http.Request, p paired) error {
	if p.Token != "" {
		s.setCookie(w, q, p.Token)
	}
	slog.Info("paired", "site", p.Site, "device", p.Device, "num", p.Num, "role", p.Role)
	if err := s.sites.renamed(p.Site); err != nil {
		return err
	}
	a, err := s.account(p.Device)
	a.Site, a.Num, a.Role, a.Recovery = p.Site, p.Num, p.Role, p.Recovery
	if err == nil {
		writeJSON(w, http.StatusOK, a)
	}
	return err
}

// me says who the device is here. A stranger gets an empty account: an app that opens for the first
// time is no error.
func (s *server) me(w http.ResponseWriter, q *http.Request) error {
	a := account{Sites: []siteLine{}, Spares: []string{}, Demo: s.demo != nil, Senders: s.senderNames()}
	id, _, err := s.caller(q)
	if err == nil {
		a, err = s.account(id)
	}
	if err != nil && !errors.Is(err, errStranger) {
		return err
	}
	writeJSON(w, http.StatusOK, a)
	return nil
}

func (s *server) account(id string) (account, error) {
	a := account{Device: id, Sites: []siteLine{}, Spares: []string{}, Demo: s.demo != nil, Senders: s.senderNames()}
	var d deviceRecord
	if err := s.store.read(deviceKey(id), &d); err != nil {
		return a, err
	}
	a.Name = d.Name
	a.Spares = append(a.Spares, d.Spares...)
	seats, err := s.store.seatsOf(id)
	if err != nil {
		return a, err
	}
	for _, x := range seats {
		name, err := s.store.text(string(nameKey(x.Site)))
		if err != nil {
			return a, err
		}
		a.Sites = append(a.Sites, siteLine{x.Site, name, x.Num, x.Role})
	}
	return a, nil
}

// socket opens the wire of one site. A spare site begins with its first connection.
func (s *server) socket(w http.ResponseWriter, q *http.Request) error {
	site := q.URL.Query().Get("site")
	x, err := s.seated(q, site)
	if errors.Is(err, errOther) && validID(site) {
		x, err = s.begin(site, x, err)
	}
	if err != nil {
		return err
	}
	if !strings.EqualFold(q.Header.Get("Upgrade"), "websocket") {
		return &refusal{http.StatusUpgradeRequired, "This address is for sockets."}
	}
	return s.connect(w, q, x)
}

func (s *server) begin(site string, x seat, was error) (seat, error) {
	y, err := s.store.beginSpare(site, x.Device, s.now())
	if errors.Is(err, errNoSeat) {
		return x, was
	}
	if err == nil {
		slog.Info("site begun", "site", site, "device", x.Device)
	}
	return y, err
}
