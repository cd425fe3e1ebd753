package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"syscall"
	"time"

	"batterboard/client/engine/demo"
	"batterboard/schedule"
	opsync "batterboard/sync"

	"github.com/gorilla/websocket"
)

// server answers browsers.
type server struct {
	store   *store
	sites   *sites
	demo    func() schedule.Minute // the moment a new copy of the demo tells of; nil without --demo
	public  *url.URL               // the address people use, when it is another than ours
	proxies []netip.Prefix         // who may say for whom it asks; nil: nobody, or this machine when there is a public address
	home    string                 // the address in links that are made in a shell; empty when not serving
	now     func() time.Time
	wrong   *limiter // wrong codes, by address
	strange *limiter // cookies that open nothing, by address
	asks    *limiter // what a device asks to be changed, and its sockets, by device
	visits  *limiter // pairings with the demo
	pages   *limiter // crews' pages and calendars
	says    *limiter // what crews send from them
	photos  *album
	senders map[string]sender      // ways out for texts, by name; none unless the operator names some
	today   func() schedule.Minute // the moment it is on every site, for a demo of a certain day; nil: the real one

	backupFailed atomic.Bool // the last backup by plan was not made

	looks    *limiter      // pictures on crews' pages
	uploads  chan struct{} // room for pictures on their way in: 14 MB each in memory
	push     *pusher       // words to phones that are not looking
	silence  *silence      // crews that have not answered by their hour
	post     *postbox      // texts on their way out
	visiting sync.Mutex    // held while a browser is seated on the demo
	upgrader websocket.Upgrader
}

func newServer(st *store, now func() time.Time) *server {
	s := &server{store: st, sites: newSites(st, now), now: now}
	s.photos = newAlbum(st.dir, func() error { return st.space() }, now)
	s.wrong = newLimiter(10, 6*time.Second, now)
	s.strange = newLimiter(60, time.Second, now)
	s.asks = newLimiter(120, time.Second, now)
	s.visits = newLimiter(120, 5*time.Second, now)
	s.pages = newLimiter(120, 500*time.Millisecond, now)
	s.says = newLimiter(20, 6*time.Second, now)
	s.looks = newLimiter(300, 200*time.Millisecond, now)
	s.uploads = make(chan struct{}, 4)
	s.post = newPostbox(s)
	s.sites.asked = s.post.nudge
	s.push, s.silence = newPusher(s), &silence{s: s, next: map[string]time.Time{}}
	s.upgrader = websocket.Upgrader{
		HandshakeTimeout: 10 * time.Second,
		ReadBufferSize:   1024, WriteBufferSize: 1024, WriteBufferPool: &sync.Pool{},
		CheckOrigin: s.sameOrigin,
		// No compression: an operation is 300 bytes, and a deflate state per phone is more than 18 kB.
		// Snapshots are packed once by the hub.
	}
	return s
}

// gcPercent keeps memory low rather than collections few: Badger's memory table alone is 16 MB of what
// the collector takes for live, so at the usual 100 the heap would double it. Measured with 1,000 idle
// phones: 20 kB each at 25, 37 kB at 100. It holds only once the store is open: the memory table is 23 MB that the
// system gives out as it is written to, unless a collection has just left room in front of them; then all of it
// is cleared, and there. Measured at rest: 19 MB and 41 MB.
const gcPercent = 25

type serveFlags struct {
	addr, data, public, today, senders string
	demo                               bool
	backup                             backupPlan
	transport
}

func serve(args []string, out, errs io.Writer) error {
	f, err := parseServe(args, errs)
	if err != nil {
		return err
	}
	slog.SetDefault(slog.New(slog.NewJSONHandler(errs, nil)))
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM, os.Interrupt)
	defer stop()
	return serveUntil(ctx, f, out)
}

func parseServe(args []string, errs io.Writer) (f serveFlags, err error) {
	fs := flags("serve")
	fs.StringVar(&f.addr, "addr", "", "`HOST:PORT` to listen on (default 127.0.0.1:8080, with --domain :443)")
	fs.StringVar(&f.data, "data", "data", "`DIR`, the folder of the store")
	fs.BoolVar(&f.demo, "demo", false, "show the demo site to anybody who opens the page")
	fs.StringVar(&f.today, "demo-today", "", "lay the demo around this `DATE` instead of today, like 2027-04-06")
	fs.Var(&f.domains, "domain", "`NAME` under which this server is reached; certificates for it are fetched and renewed")
	fs.StringVar(&f.mail, "acme-mail", "", "with --domain: the `ADDRESS` that the certificate authority may write to")
	fs.StringVar(&f.directory, "acme-directory", "", "with --domain: the `URL` of another certificate authority's directory than Let's Encrypt's")
	fs.StringVar(&f.roots, "acme-roots", "", "with --acme-directory: `FILE` of the certificates by which it is known")
	fs.StringVar(&f.plain, "http-addr", ":80", "with --domain: `HOST:PORT` where plain HTTP is answered and sent on to HTTPS; empty: nowhere")
	fs.StringVar(&f.cert, "tls-cert", "", "certificate `FILE` for HTTPS, read again when it changes")
	fs.StringVar(&f.key, "tls-key", "", "key `FILE` for HTTPS")
	fs.Var(&f.trusted, "trusted-proxy", "`ADDRESS` or network of a proxy that may say for whom it asks (default with --public-url: this machine)")
	fs.StringVar(&f.public, "public-url", "", "the `URL` that people open, when a proxy stands in front")
	fs.StringVar(&f.senders, "senders", os.Getenv("BATTERBOARD_SENDERS"), "`FILE` that names a mail server or a hook for texts to crews (also BATTERBOARD_SENDERS)")
	fs.DurationVar(&f.backup.every, "backup-every", 0, "make a backup so often, like `24h`; 0: none")
	fs.IntVar(&f.backup.keep, "backup-keep", 14, "keep the last `N` of them")
	fs.StringVar(&f.backup.to, "backup-to", "", "`FOLDER` for them (default: backups in the data folder; another disk is better)")
	if err := parse(fs, args); err != nil {
		return f, err
	}
	if f.addr == "" {
		f.addr = "127.0.0.1:8080"
		if len(f.domains) > 0 {
			f.addr = ":443"
		}
	}
	if f.backup.to == "" {
		f.backup.to = filepath.Join(f.data, "backups")
	}
	switch {
	case !hostPort(f.addr):
		return f, badInput("--addr is written like 127.0.0.1:8080, or :8080 for every address of this machine, not %q", f.addr)
	case f.backup.every != 0 && f.backup.every < time.Minute:
		return f, badInput("--backup-every is a minute or more, or 0, not %s", f.backup.every)
	case f.backup.keep < 1:
		return f, badInput("--backup-keep is 1 or more, not %d", f.backup.keep)
	case f.senders != "" && f.demo:
		return f, badInput("--senders does not go with --demo: anybody could have texts sent")
	case fs.NArg() > 0:
		return f, badInput("serve takes no %q", fs.Arg(0))
	}
	return f, f.transport.check()
}

func hostPort(addr string) bool {
	_, port, err := net.SplitHostPort(addr)
	if err != nil {
		return false
	}
	_, err = net.LookupPort("tcp", port)
	return err == nil
}

// serveUntil serves until ctx ends, then stops gently.
func serveUntil(ctx context.Context, f serveFlags, out io.Writer) error {
	public, err := publicURL(f.public)
	if err != nil {
		return err
	}
	story, err := demoNow(f.today)
	if err != nil {
		return err
	}
	senders, err := openSenders(f.senders)
	if err != nil {
		return err
	}
	encryption, plain, err := f.transport.open(f.data)
	if err != nil {
		return err
	}
	listener, err := listen(f.addr)
	if err != nil {
		return err
	}
	defer listener.Close()
	st, err := openStore(f.data)
	if err != nil {
		return err
	}
	defer st.close()
	defer debug.SetGCPercent(debug.SetGCPercent(gcPercent))
	for _, line := range st.found {
		slog.Error("the store was damaged and has been mended; phones are asked for what is missing", "found", line)
	}
	s := newServer(st, time.Now)
	s.public, s.senders = public, senders
	if s.proxies, err = proxies(f.trusted); err != nil {
		return err
	}
	if plain != nil && f.plain != "" {
		stop, err := plainServer(f.plain, plain)
		if err != nil {
			return err
		}
		defer stop()
	}
	shut, err := s.openDoor(f.data)
	if err != nil {
		return err
	}
	defer shut()
	if f.demo {
		s.demo = story
		if f.today != "" {
			s.today = story
		}
		if _, err := st.freshDemo(story(), s.now()); err != nil {
			return fmt.Errorf("make the demo: %w", err)
		}
	}
	if err := s.announce(out, listener, f); err != nil {
		return err
	}
	stop := s.keepBackingUp(f.backup)
	defer stop()
	return s.run(ctx, listener, encryption)
}

func listen(addr string) (net.Listener, error) {
	l, err := net.Listen("tcp", addr)
	if errors.Is(err, syscall.EADDRINUSE) {
		return nil, fmt.Errorf("listen: something else has %s already, perhaps another batterboard: stop it, or choose another port with --addr", addr)
	}
	if errors.Is(err, syscall.EACCES) {
		return nil, fmt.Errorf("listen: this user may not have %s; ports below 1024 are for the system's own users. Choose a higher port with --addr", addr)
	}
	if err != nil {
		return nil, fmt.Errorf("listen: %w", err)
	}
	return l, nil
}

func publicURL(s string) (*url.URL, error) {
	if s == "" {
		return nil, nil
	}
	u, err := url.Parse(s)
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" || u.RawQuery != "" || u.Path != "" && u.Path != "/" {
		return nil, badInput("--public-url is written like https://board.example.net, not %q", s)
	}
	return u, nil
}

// demoNow is the moment the demo tells of: now, or early in the morning of the day that was asked for.
func demoNow(day string) (func() schedule.Minute, error) {
	d, err := schedule.ParseDay(day)
	if err != nil {
		return nil, badInput("--demo-today: %w", err)
	}
	if d != 0 {
		return func() schedule.Minute { return d.At(demo.Told.OfDay()) }, nil
	}
	return func() schedule.Minute { return civil(time.Now()) }, nil
}

// announce says where we listen, and how the first owner gets in.
func (s *server) announce(out io.Writer, l net.Listener, f serveFlags) error {
	scheme, host, port := "http", "", ""
	if f.encrypted() {
		scheme = "https"
	}
	host, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		return err
	}
	ip := net.ParseIP(host)
	if !f.encrypted() && s.public == nil && !ip.IsLoopback() && !f.demo {
		slog.Warn("serving without HTTPS: phones keep no app offline and tokens can be read on the way; use --domain, --tls-cert and --tls-key, or a proxy with --public-url")
	}
	more := ""
	if ip.IsUnspecified() { // name one that can be opened
		host, more = "localhost", " and at every other address of this machine"
	}
	base := scheme + "://" + net.JoinHostPort(host, port)
	fmt.Fprintln(out, "listening "+base+more)
	if len(f.domains) > 0 {
		base = "https://" + f.domains[0]
		if port != "443" {
			base += ":" + port
		}
	}
	if s.public != nil {
		base = s.base(nil)
	}
	s.home = base
	if err := s.inviteOwner(out, base); err != nil {
		return err
	}
	return s.printRecovery(out)
}

// inviteOwner prints a one-time link while nobody is an owner yet.
func (s *server) inviteOwner(out io.Writer, base string) error {
	none, err := s.store.noOwner()
	if err != nil || !none || s.demo != nil {
		return err
	}
	code := newCode(ownerLetters)
	if err := s.store.addCode(code, codeRecord{Role: opsync.Owner, Until: s.now().Add(ownerLife).Unix()}, s.now()); err != nil {
		return err
	}
	_, err = fmt.Fprintln(out, "owner link", base+"/#/pair/"+code)
	return err
}

// orderWait is how long whoever comes first may wait for a certificate. Those who make them take some seconds.
const orderWait = 30 * time.Second

func (s *server) run(ctx context.Context, l net.Listener, encryption *tls.Config) error {
	h := &http.Server{
		Handler:           s.handler(),
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       15 * time.Second,
		WriteTimeout:      5 * time.Minute, // the whole app over a bad network
		IdleTimeout:       time.Minute,
		MaxHeaderBytes:    16 << 10,
		TLSConfig:         encryption,
		ErrorLog:          slog.NewLogLogger(slog.Default().Handler(), slog.LevelDebug),
	}
	if encryption != nil {
		// A handshake is held to these as well, and the first one under a domain waits for the certificate to be made.
		h.ReadHeaderTimeout, h.ReadTimeout = orderWait, orderWait
	}
	failed := make(chan error, 1)
	go func() {
		if encryption != nil {
			failed <- h.ServeTLS(l, "", "")
		} else {
			failed <- h.Serve(l)
		}
	}()
	go s.post.run()
	s.push.look() // what the server before could not say any more
	rest := s.keepTending()
	tick := time.NewTicker(pingEvery)
	defer tick.Stop()
	for {
		select {
		case <-tick.C:
			s.sites.sweep()
			s.silence.look()
			s.push.look()
		case err := <-failed:
			rest()
			return fmt.Errorf("serve: %w", err)
		case <-ctx.Done():
			rest()
			return s.stop(h)
		}
	}
}

// stop tells the phones, lets running requests end, and closes the store with all that was queued.
func (s *server) stop(h *http.Server) error {
	slog.Info("stopping")
	s.sites.drop(websocket.CloseGoingAway, "The server is stopping. Your changes are safe on this phone.", func(seat) bool { return true })
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	err := h.Shutdown(ctx)
	s.sites.gone(byeWait)
	if errors.Is(err, context.DeadlineExceeded) {
		err = h.Close()
	}
	s.post.close()
	s.push.close()
	return errors.Join(err, s.store.close())
}
