package main

import (
	"encoding/json"
	"errors"
	"io"
	"log/slog"
	"net/http"

	opsync "batterboard/sync"
)

// maxBody bounds the body of a request. The largest is a code and a name.
const maxBody = 4 << 10

// refusal is an answer of "no" in a sentence for people.
type refusal struct {
	status int
	say    string
}

func (r *refusal) Error() string { return r.say }

var (
	errStranger = &refusal{http.StatusUnauthorized, "This phone is not paired here. Open an invitation, or ask for a new one."}
	errOther    = &refusal{http.StatusForbidden, "This phone is not on that site, or is not any more. What it holds of the site is safe on it."}
	errRole     = &refusal{http.StatusForbidden, "Only the owner of the site may do that."}
	errTries    = &refusal{http.StatusTooManyRequests, "Too many tries. Wait a minute, then try again."}
	errJSON     = &refusal{http.StatusBadRequest, "The request could not be read."}
	errForeign  = &refusal{http.StatusForbidden, "This request came from another page than Batterboard's own."}
	errNoDemo   = &refusal{http.StatusNotFound, "This server has no demo."}
	errLooksOn  = &refusal{http.StatusForbidden, "This phone may look at the site but not add pictures."}
)

// known are errors of the store that a person can do something about.
var known = map[error]int{
	errCode:         http.StatusForbidden,
	errNoSeat:       http.StatusNotFound,
	errSeats:        http.StatusConflict,
	errCodes:        http.StatusConflict,
	errBegun:        http.StatusForbidden,
	errSites:        http.StatusInsufficientStorage,
	errLastOwner:    http.StatusConflict,
	errNothingToOwn: http.StatusConflict,
	errFull:         http.StatusInsufficientStorage,
	errFlush:        http.StatusServiceUnavailable,
	errManySockets:  http.StatusServiceUnavailable,
}

// answerCodes name refusals for the app, which says them in the language of the phone. They are only added
// to; what has none is shown as the server says it.
var answerCodes = map[error]string{
	errStranger:     "stranger",
	errOther:        "other",
	errRole:         "role",
	errTries:        "tries",
	errCode:         "code",
	errNoSeat:       "noSeat",
	errSeats:        "seats",
	errCodes:        "codes",
	errBegun:        "begun",
	errSites:        "sites",
	errLastOwner:    "lastOwner",
	errNothingToOwn: "nothingToOwn",
	errFull:         "full",
	errFlush:        "halted",
	errManySockets:  "busy",
	errWithin:       "inside",
	errJSON:         "request",
	errForeign:      "page",
	errNoDemo:       "noDemo",
	errNoCrew:       "noCrew",
	errNoCrewNamed:  "noCrewNamed",
	errLooksOn:      "looksOn",
	errPushKeys:     "pushKeys",
	errNoPhoto:      "noPhoto",
	errPhotoSize:    "photoSize",
	errPhotoName:    "photoName",
	errPhotoBusy:    "photoBusy",
	errPhotos:       "photos",
	errParts:        "photoParts",
}

// coded is a refusal whose sentence says more than the app can say of it by its code.
type coded struct {
	error
	code string
}

func (c coded) Unwrap() error { return c.error }

// The codes of refusals that give a reason of their own.
const (
	codeNotKept     = "notKept"
	codePushService = "pushService"
	codeCutOff      = "cutOff"
)

// errWithin is what a stranger is told of what went wrong inside.
var errWithin = &refusal{http.StatusInternalServerError, "Something went wrong on the server. Nothing is lost; try again."}

func answerCode(err error) string {
	var c coded
	if errors.As(err, &c) {
		return c.code
	}
	for e, code := range answerCodes { // any order: an error is one of them
		if errors.Is(err, e) {
			return code
		}
	}
	return ""
}

// fail answers with a JSON error. What went wrong inside goes to the log, not to the stranger.
func (s *server) fail(w http.ResponseWriter, q *http.Request, err error) {
	var no *refusal
	code := answerCode(err)
	if !errors.As(err, &no) {
		no = errWithin
		for e, status := range known {
			if errors.Is(err, e) {
				no = &refusal{status, sentence(e.Error())}
			}
		}
		if no.status >= 500 {
			slog.Error("request failed", "route", q.Pattern, "err", err) // the path of a crew's page is its key
		}
	}
	if no == errWithin {
		code = answerCodes[errWithin]
	}
	answer := map[string]string{"error": no.say}
	if code != "" {
		answer["code"] = code
	}
	writeJSON(w, no.status, answer)
}

// sentence starts with a capital and ends with a stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	b := []byte(s)
	if b[0] >= 'a' && b[0] <= 'z' {
		b[0] -= 'a' - 'A'
	}
	if b[len(b)-1] != '.' {
		b = append(b, '.')
	}
	return string(b)
}

func writeJSON(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		slog.Debug("answer not sent", "err", err)
	}
}

// readJSON reads a request's body: one object, no unknown fields, nothing after it.
func readJSON(q *http.Request, into any) error {
	d := json.NewDecoder(q.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return errJSON
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errJSON
	}
	return nil
}

// siteLine is a site as a device sees it.
type siteLine struct {
	ID   string      `json:"id"`
	Name string      `json:"name"`
	Num  uint32      `json:"num"`
	Role opsync.Role `json:"role"`
}

// account is the answer to /api/me; pairing adds which site it was about.
type account struct {
	Device  string     `json:"device"`
	Name    string     `json:"name"`
	Demo    bool       `json:"demo"` // the server shows the demo to anybody
	Sites   []siteLine `json:"sites"`
	Spares  []string   `json:"spares"`
	Senders []string   `json:"senders"` // ways out for texts that this server has

	Site string      `json:"site,omitempty"`
	Num  uint32      `json:"num,omitempty"`
	Role opsync.Role `json:"role,omitempty"`
	// Recovery is the next recovery code, shown once to whoever used the last one.
	Recovery string `json:"recovery,omitempty"`
}
