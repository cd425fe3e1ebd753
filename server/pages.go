package main

import (
	"fmt"
	"log/slog"
	"net"
	"net/http"

	assets "batterboard/embed"

	"github.com/gorilla/websocket"
)

// health is for whoever watches over the server.
func (s *server) health(w http.ResponseWriter, _ *http.Request) error {
	if err := s.store.space(); err != nil {
		return err
	}
	if _, err := s.store.text("meta/format"); err != nil { // a store that can be read no more: see errFlush
		return err
	}
	a := map[string]any{"ok": true, "version": version}
	if s.backupFailed.Load() {
		a["backup"] = "failed"
	}
	writeJSON(w, http.StatusOK, a)
	return nil
}

// connect upgrades a request and lets its goroutine go: net/http's has grown a larger stack than a
// reader of sockets needs.
func (s *server) connect(w http.ResponseWriter, q *http.Request, x seat) error {
	ws, err := s.upgrader.Upgrade(w, q, http.Header{"Content-Security-Policy": {policy}})
	if err != nil {
		slog.Debug("no socket", "err", err)
		return nil // the upgrader has answered
	}
	c := &socket{ws: ws, seat: x, flight: make(chan struct{}, maxFlight)}
	if tcp, ok := ws.NetConn().(*net.TCPConn); ok {
		c.quick, _ = tcp.SyscallConn()
	}
	if err := s.sites.join(c); err != nil {
		slog.Error("site not opened", "site", x.Site, "err", err)
		c.drop(websocket.CloseTryAgainLater, "The server could not open this site. What is on this phone is safe.")
		go c.wait()
		return nil
	}
	// Revoked between the look-up and now: the revoke did not see this socket.
	if _, err := s.store.seatOf(x.Site, x.Device); err != nil {
		c.drop(closeRevoked, "This phone was taken off the site.")
	}
	go s.sites.listen(c)
	return nil
}

// asset serves the built client.
func (s *server) asset(w http.ResponseWriter, q *http.Request) error {
	f, ok := assets.Find(q.URL.Path, q.Header.Get("Accept-Encoding"))
	if !ok {
		return s.noAsset(w, q)
	}
	h := w.Header()
	h.Set("Content-Type", f.Type)
	h.Set("ETag", f.ETag)
	h.Set("Vary", "Accept-Encoding")
	h.Set("Cache-Control", "no-cache")
	if f.Hashed {
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	if f.Encoding != "" {
		h.Set("Content-Encoding", f.Encoding)
	}
	if q.Header.Get("If-None-Match") == f.ETag {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	h.Set("Content-Length", fmt.Sprint(len(f.Body)))
	_, err := w.Write(f.Body)
	if err != nil {
		slog.Debug("asset not sent", "err", err)
	}
	return nil
}

func (s *server) noAsset(w http.ResponseWriter, q *http.Request) error {
	if q.URL.Path == "/" && !assets.Built() {
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		w.WriteHeader(http.StatusServiceUnavailable)
		fmt.Fprintln(w, "This binary was built without the app. Build it with: go run ./embed/build")
		return nil
	}
	return &refusal{http.StatusNotFound, "There is nothing at this address."}
}
