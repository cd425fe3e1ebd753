package main

import (
	"bytes"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// hookSettings name an address of the operator's that takes texts.
type hookSettings struct {
	URL    string `json:"url"`
	Secret string `json:"secret"` // whsec_ and at least 24 bytes in base64
}

// hook posts a text as JSON, signed as the open Standard Webhooks specification 1.0 says, so that a
// receiver finds a checking library in its own language:
//
//	POST the address
//	Content-Type: application/json
//	Idempotency-Key: KEY             the same text has the same key, however often it is tried
//	webhook-id: KEY
//	webhook-timestamp: 1775480400    seconds since 1970
//	webhook-signature: v1,BASE64     HMAC-SHA-256, with the secret's bytes, of ID.TIMESTAMP.BODY
//
//	{"type": "text.send", "timestamp": "2027-04-06T13:40:00Z",
//	 "data": {"site": "Old Laundry", "kind": "moved", "lang": "es",
//	          "to": {"name": "Tableros", "phone": "+15550112", "email": ""}, "text": "…"}}
//
// A receiver must refuse a signature that does not fit, and a timestamp more than five minutes from its
// own clock, and must do a key it has seen only once: then what was overheard cannot be played again.
// Any 2xx is success. 408, 425, 429 and 5xx are tried again, everything else is not.
type hook struct {
	url    string
	secret []byte
	web    *http.Client
	now    func() time.Time
}

const minSecret = 24 // bytes; the specification asks for 24 to 64

func newHook(s hookSettings) (*hook, error) {
	u, err := destination(s.URL, true)
	if err != nil {
		return nil, err
	}
	secret, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(s.Secret, "whsec_"))
	if err != nil || len(secret) < minSecret {
		return nil, fmt.Errorf("secret must be whsec_ and at least %d bytes in base64", minSecret)
	}
	return &hook{url: u.String(), secret: secret, web: outside(thisMachine(u.Hostname())), now: time.Now}, nil
}

type hookBody struct {
	Type      string   `json:"type"`
	Timestamp string   `json:"timestamp"`
	Data      hookText `json:"data"`
}

type hookText struct {
	Site string `json:"site"`
	Kind string `json:"kind"`
	Lang string `json:"lang"`
	To   hookTo `json:"to"`
	Text string `json:"text"`
}

type hookTo struct {
	Name  string `json:"name"`
	Phone string `json:"phone"`
	Email string `json:"email"`
}

func (h *hook) send(ctx context.Context, o outText) error {
	at := h.now()
	body, err := json.Marshal(hookBody{"text.send", at.UTC().Format(time.RFC3339),
		hookText{o.Site, o.Kind, o.Lang, hookTo{o.Name, o.Phone, o.Email}, o.Body}})
	if err != nil {
		return &notSent{why: "refused", err: err}
	}
	q, err := http.NewRequestWithContext(ctx, http.MethodPost, h.url, bytes.NewReader(body))
	if err != nil {
		return &notSent{why: "refused", err: err}
	}
	stamp := strconv.FormatInt(at.Unix(), 10)
	q.Header.Set("Content-Type", "application/json")
	q.Header.Set("User-Agent", "Batterboard")
	q.Header.Set("Idempotency-Key", o.Key)
	q.Header.Set("webhook-id", o.Key)
	q.Header.Set("webhook-timestamp", stamp)
	q.Header.Set("webhook-signature", "v1,"+h.sign(o.Key, stamp, body))
	r, err := h.web.Do(q)
	if err != nil {
		// Tried again with the same key: a receiver that has it already knows.
		wont := errors.Is(err, errElse) || errors.Is(err, errInside)
		return &notSent{why: "unreachable", again: !wont, down: true, err: bare(err)}
	}
	defer r.Body.Close()
	io.Copy(io.Discard, io.LimitReader(r.Body, 64<<10)) // so that the connection can be used again
	switch {
	case r.StatusCode >= 200 && r.StatusCode < 300:
		return nil
	case r.StatusCode == 408, r.StatusCode == 425, r.StatusCode == 429, r.StatusCode >= 500:
		return &notSent{why: "unreachable", again: true, err: fmt.Errorf("status %d", r.StatusCode)}
	}
	return &notSent{why: "refused", err: fmt.Errorf("status %d", r.StatusCode)}
}

func (h *hook) sign(id, stamp string, body []byte) string {
	m := hmac.New(sha256.New, h.secret)
	m.Write([]byte(id + "." + stamp + "."))
	m.Write(body)
	return base64.StdEncoding.EncodeToString(m.Sum(nil))
}
