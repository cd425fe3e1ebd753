package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"runtime"
	"slices"
	"strings"
)

// Senders take a text to a crew for the owner: by mail, or by a hook of the operator's that does with
// it what the operator likes. There are none unless a file names them, which only the operator can
// write, so that no secret stands in a command line, a log or the store:
//
//	{"email": {"server": "mail.example.net:587", "user": "site", "password": "…", "from": "Old Laundry <site@example.net>"},
//	 "hook":  {"url": "https://hook.example.net/texts", "secret": "whsec_…"}}
type sendersFile struct {
	Email *mailSettings `json:"email,omitempty"`
	Hook  *hookSettings `json:"hook,omitempty"`
}

// outText is one text on its way out. Key names it for good: whoever gets it twice knows it by that.
type outText struct {
	Key                                  string
	Site                                 string // its name
	Kind, Name, Phone, Email, Lang, Body string
	Subject                              string
}

// sender is a way out of the server.
type sender interface {
	send(context.Context, outText) error
}

// notSent says why a text did not leave, in one of the words that the engine has sentences for.
type notSent struct {
	why   string // refused, unreachable, address, size, unsure
	again bool   // worth another try later
	down  bool   // the way itself is shut: the next text will fare no better
	err   error
}

func (e *notSent) Error() string { return e.why + ": " + e.err.Error() }
func (e *notSent) Unwrap() error { return e.err }

const (
	byEmail = "email"
	byHook  = "hook"
)

// openSenders reads the file that names them; none without a file.
func openSenders(path string) (map[string]sender, error) {
	if path == "" {
		return nil, nil
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("read the senders: %w", err)
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
		slog.Warn("others on this machine can read the senders file: chmod 600 keeps its secrets", "file", path)
	}
	b, err := io.ReadAll(io.LimitReader(f, 64<<10))
	if err != nil {
		return nil, fmt.Errorf("read the senders: %w", err)
	}
	all, err := readSenders(b)
	if err != nil {
		return nil, badInput("the senders file %s: %w", path, err)
	}
	return all, nil
}

func readSenders(b []byte) (map[string]sender, error) {
	var s sendersFile
	d := json.NewDecoder(strings.NewReader(string(b)))
	d.DisallowUnknownFields()
	if err := d.Decode(&s); err != nil {
		return nil, errors.New(redact(err))
	}
	all := map[string]sender{}
	if s.Email != nil {
		m, err := newMailer(*s.Email)
		if err != nil {
			return nil, fmt.Errorf("email: %w", err)
		}
		all[byEmail] = m
	}
	if s.Hook != nil {
		h, err := newHook(*s.Hook)
		if err != nil {
			return nil, fmt.Errorf("hook: %w", err)
		}
		all[byHook] = h
	}
	if len(all) == 0 {
		return nil, errors.New("names neither email nor hook")
	}
	return all, nil
}

// redact says what is wrong with a file of secrets without repeating any of it.
func redact(err error) string {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case errors.As(err, &syntax):
		return fmt.Sprintf("is no JSON after %d bytes", syntax.Offset)
	case errors.As(err, &kind):
		return fmt.Sprintf("%q must be a %s", kind.Field, kind.Type)
	case strings.HasPrefix(err.Error(), "json: unknown field "):
		return "has the " + strings.TrimPrefix(err.Error(), "json: ") + ", which is none of ours"
	}
	return "cannot be read"
}

// senderNames are the ways out that this server has, in order.
func (s *server) senderNames() []string {
	names := []string{}
	for name := range s.senders {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}
