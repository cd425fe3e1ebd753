package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Commands in a shell work on a store also while a server has it open: they ask that server, through a
// door of its own on this machine. It listens on a port of the loopback address that chance picks, and
// opens only to the secret that lies beside the store, where nobody but the server's own user can read.
// It is another listener than the app's: no request from outside can reach it, and no page in a browser.
const doorFile = "DOOR"

type doorKey struct {
	At     string `json:"at"`
	Secret string `json:"secret"`
}

// ask is what a command wants of a store.
type ask struct {
	Do     string
	Site   string          `json:",omitempty"`
	Device string          `json:",omitempty"`
	Anyway bool            `json:",omitempty"`
	Head   backupHead      `json:"head"`
	Whole  bool            `json:",omitempty"` // pictures too
	Doc    json.RawMessage `json:",omitempty"`
}

// maxAsk bounds an ask: a site file and a little more.
const maxAsk = 20 << 20

// failTrailer carries what went wrong after the answer had begun.
const failTrailer = "Batterboard-Failed"

// openDoor lets commands in. close shuts it again.
func (s *server) openDoor(dir string) (close func(), err error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, fmt.Errorf("open the door for commands: %w", err)
	}
	key := doorKey{l.Addr().String(), base64.RawURLEncoding.EncodeToString(drawn(secretBytes))}
	h := &http.Server{Handler: s.doorHandler(key), ReadHeaderTimeout: 5 * time.Second,
		ErrorLog: slog.NewLogLogger(slog.Default().Handler(), slog.LevelDebug)}
	path := filepath.Join(dir, doorFile)
	err = writeWhole(path, func(w io.Writer) error { return json.NewEncoder(w).Encode(key) })
	if err != nil {
		return nil, errors.Join(fmt.Errorf("write the key to the door for commands: %w", err), l.Close())
	}
	go h.Serve(l)
	return func() {
		os.Remove(path)
		ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
		defer cancel()
		if h.Shutdown(ctx) != nil {
			h.Close()
		}
	}, nil
}

func (s *server) doorHandler(key doorKey) http.Handler {
	want := sha256.Sum256([]byte("Bearer " + key.Secret))
	return http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		if !secretFits(want[:], []byte(q.Header.Get("Authorization"))) || q.Method != http.MethodPost || q.Header.Get("Origin") != "" || q.Host != key.At {
			w.WriteHeader(http.StatusForbidden)
			return
		}
		var a ask
		if err := json.NewDecoder(http.MaxBytesReader(w, q.Body, maxAsk)).Decode(&a); err != nil {
			w.WriteHeader(http.StatusBadRequest)
			return
		}
		out := &doorWriter{w: w}
		err := s.answer(a, out)
		switch {
		case err == nil && !out.begun:
			w.WriteHeader(http.StatusNoContent)
		case err == nil:
		case out.begun:
			w.Header().Set(http.TrailerPrefix+failTrailer, base64.StdEncoding.EncodeToString([]byte(err.Error())))
		default:
			status := http.StatusInternalServerError
			if errors.As(err, &usageError{}) {
				status = http.StatusUnprocessableEntity
			}
			w.WriteHeader(status)
			io.WriteString(w, err.Error())
		}
	})
}

type doorWriter struct {
	w     http.ResponseWriter
	begun bool
}

func (d *doorWriter) Write(b []byte) (int, error) {
	d.begun = true
	return d.w.Write(b)
}

// atStore has an ask answered: by this process when nobody has the store open, else by the server that has.
func atStore(dir string, a ask, out io.Writer) error {
	st, err := openStore(dir)
	if errors.Is(err, errInUse) {
		return knock(dir, a, out)
	}
	if err != nil {
		return err
	}
	for _, line := range st.found {
		slog.Warn("the store was damaged and has been mended", "found", line)
	}
	return errors.Join(newServer(st, time.Now).answer(a, out), st.close())
}

// knock asks the running server.
func knock(dir string, a ask, out io.Writer) error {
	raw, err := os.ReadFile(filepath.Join(dir, doorFile))
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s is in use, and the program that has it open takes no commands: wait until it is done, or stop it", dir)
	}
	var key doorKey
	if err == nil {
		err = json.Unmarshal(raw, &key)
	}
	if err != nil {
		return fmt.Errorf("read the key to the running server: %w", err)
	}
	body, err := json.Marshal(a)
	if err != nil {
		return err
	}
	q, err := http.NewRequest("POST", "http://"+key.At+"/", bytes.NewReader(body))
	if err != nil {
		return err
	}
	q.Header.Set("Authorization", "Bearer "+key.Secret)
	c := &http.Client{Transport: &http.Transport{Proxy: nil, DisableCompression: true}}
	defer c.CloseIdleConnections()
	r, err := c.Do(q)
	if err != nil {
		return fmt.Errorf("%s is in use, but the server that has it open does not answer; try again, or stop it: %w", dir, err)
	}
	defer r.Body.Close()
	return hear(r, out)
}

func hear(r *http.Response, out io.Writer) error {
	switch r.StatusCode {
	case http.StatusOK, http.StatusNoContent:
		if _, err := io.Copy(out, r.Body); err != nil {
			return fmt.Errorf("the server stopped in the middle of its answer: %w", err)
		}
		why, err := base64.StdEncoding.DecodeString(r.Trailer.Get(failTrailer))
		if err != nil || len(why) > 0 {
			return fmt.Errorf("%s", why)
		}
		return nil
	case http.StatusForbidden:
		return errors.New("the running server does not take the key that lies beside its store: it was started anew just now, try again")
	}
	why, err := io.ReadAll(io.LimitReader(r.Body, 64<<10))
	if err != nil {
		return err
	}
	text := strings.TrimSpace(string(why))
	if r.StatusCode == http.StatusUnprocessableEntity {
		return badInput("%s", text)
	}
	if text == "" {
		text = "the running server does not understand this command: is it of another version?"
	}
	return errors.New(text)
}

// answer does what a command asks.
func (s *server) answer(a ask, out io.Writer) error {
	switch a.Do {
	case "export":
		return s.answerExport(a, out)
	case "import":
		return s.answerImport(a, out)
	case "backup":
		return s.answerBackup(a, out)
	case "store":
		name, err := s.store.storeName()
		if err == nil {
			_, err = io.WriteString(out, name)
		}
		return err
	case "list":
		return s.answerList(a, out)
	case "owner":
		return s.answerOwner(a, out)
	case "revoke":
		return s.answerRevoke(a)
	case "recovery":
		return s.answerRecovery(out)
	}
	return badInput("this server has no answer to %q: is it of another version?", a.Do)
}

func (s *server) answerExport(a ask, out io.Writer) error {
	id, err := s.store.pickSite(a.Site)
	if err != nil {
		return err
	}
	doc, err := s.store.document(id)
	if err == nil {
		_, err = out.Write(doc)
	}
	return err
}

// ownerCode is the answer to commands that give somebody a way in.
type ownerCode struct {
	Site   string `json:"site,omitempty"`
	Code   string `json:"code"`
	Link   string `json:"link,omitempty"`   // when the server knows the address that people open
	Beside string `json:"beside,omitempty"` // import: another site here that has the same name
}

func (s *server) answerBackup(a ask, out io.Writer) error {
	pictures := ""
	if a.Whole {
		pictures = s.photos.dir
	}
	return s.store.backup(out, a.Head, pictures)
}
