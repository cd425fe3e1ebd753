package schedule

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
)

// Limits of one site file. A conversion has fewer than a hundred activities; 2,000 leaves room for a
// whole house and keeps the plan inside a phone's patience. Bytes come first, so that a huge file is
// refused before it is taken apart.
const (
	MaxBytes      = 4 << 20
	MaxActivities = 2000
	MaxHolds      = 500
	MaxOrders     = 1000
	MaxLinks      = 10000
	MaxCrews      = 200
	MaxPlaces     = 200
	MaxDated      = 5000 // days away, days shut, openings, each
	MaxTexts      = 20000
	MaxNotes      = 20000
	MaxPhotos     = 5000 // fifty a day for a hundred days
	MaxPapers     = 500  // the folder of such a job holds 30 to 80 (common practice, no source)
	MaxWordings   = 200  // kinds of text times languages
	MaxAnswers    = 1000
	MaxReadings   = 20000
	MaxSettled    = 5000
	MaxText       = 20000 // bytes of one text field
)

// ParseSite reads one site from its JSON document. It refuses what it cannot understand with a sentence
// for the person who chose the file; it forgives what the plan can live with (a link to nowhere, a
// circle, a negative duration): those are Problems of the site. Fields it does not know are skipped.
func ParseSite(b []byte) (*Site, error) {
	if len(b) > MaxBytes {
		return nil, fmt.Errorf("this file has %d MB; a site file has at most %d MB. Nothing was changed", len(b)>>20, MaxBytes>>20)
	}
	s := new(Site)
	if err := json.Unmarshal(b, s); err != nil {
		return nil, jsonSentence(b, err)
	}
	if s.Format > 1 {
		return nil, fmt.Errorf("this site was written by a newer version (format %d, this one reads format 1). Update, then open it again", s.Format)
	}
	if s.Format < 0 {
		return nil, fmt.Errorf("format %d is not a format of site files; the current one is 1", s.Format)
	}
	s.Format = 1
	if err := s.limits(); err != nil {
		return nil, err
	}
	return s, s.names()
}

// jsonSentence says where a document stops making sense.
func jsonSentence(b []byte, err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case len(bytes.TrimSpace(b)) == 0:
		return errors.New("the file is empty; a site file is one JSON document")
	case errors.As(err, &syntax):
		return fmt.Errorf("not a site file: line %d does not read as JSON (%w)", lineAt(b, syntax.Offset), err)
	case errors.As(err, &kind):
		where := kind.Field
		if where == "" {
			where = "the document"
		}
		return fmt.Errorf("not a site file: in line %d, %s cannot be %s", lineAt(b, kind.Offset), where, valueWords(kind.Value))
	}
	return fmt.Errorf("not a site file: %w", err)
}

// valueWords says in plain words what encoding/json calls a value.
func valueWords(v string) string {
	switch v {
	case "array":
		return "a list"
	case "object":
		return "an object in braces"
	case "string":
		return "text in quotes"
	case "bool":
		return "true or false"
	case "number":
		return "a number"
	}
	return v // "number 3.5"
}

func lineAt(b []byte, offset int64) int {
	return 1 + bytes.Count(b[:max(0, min(int64(len(b)), offset))], []byte("\n"))
}

// limits refuses a site that is larger than any site.
func (s *Site) limits() error {
	for _, l := range []struct {
		what     string
		has, max int
	}{
		{"activities", len(s.Activities), MaxActivities}, {"hold points", len(s.Holds), MaxHolds},
		{"deliveries", len(s.Orders), MaxOrders}, {"links", len(s.Links), MaxLinks},
		{"crews", len(s.Crews), MaxCrews}, {"places", len(s.Places), MaxPlaces},
		{"days away", len(s.Away), MaxDated}, {"days shut", len(s.Shut), MaxDated},
		{"openings", len(s.Openings), MaxDated}, {"texts", len(s.Texts), MaxTexts}, {"wordings", len(s.Wordings), MaxWordings}, {"notes", len(s.Notes), MaxNotes}, {"photos", len(s.Photos), MaxPhotos}, {"papers", len(s.Papers), MaxPapers}, {"answers", len(s.Answers), MaxAnswers},
		{"readings", len(s.Readings), MaxReadings}, {"settled questions", len(s.Settled), MaxSettled},
	} {
		if l.has > l.max {
			return fmt.Errorf("this site has %s %s; at most %s fit in one site. Split it into several sites; nothing was changed",
				thousands(l.has), l.what, thousands(l.max))
		}
	}
	return nil
}

func thousands(n int) string {
	s := strconv.Itoa(n)
	if n < 1000 {
		return s
	}
	return s[:len(s)-3] + "," + s[len(s)-3:]
}

// names checks that everything has an ID of its own. Activities, holds and orders share one set of
// names, because links join them.
func (s *Site) names() error {
	nodes := newNames("activities, holds and deliveries")
	for i := range s.Activities {
		nodes.add(s.Activities[i].ID)
	}
	for i := range s.Holds {
		nodes.add(s.Holds[i].ID)
	}
	for i := range s.Orders {
		nodes.add(s.Orders[i].ID)
	}
	others := []*names{nodes, namesOf("crews", s.Crews, func(c Crew) string { return c.ID }),
		namesOf("places", s.Places, func(p Place) string { return p.ID }),
		namesOf("links", s.Links, func(l Link) string { return l.ID }),
		namesOf("days away", s.Away, func(a Away) string { return a.ID }),
		namesOf("days shut", s.Shut, func(a Shut) string { return a.ID }),
		namesOf("openings", s.Openings, func(a Opening) string { return a.ID }),
		namesOf("texts", s.Texts, func(a Text) string { return a.ID }),
		namesOf("wordings", s.Wordings, func(w Wording) string { return w.ID }),
		namesOf("notes", s.Notes, func(a Note) string { return a.ID }),
		namesOf("photos", s.Photos, func(a Photo) string { return a.ID }),
		namesOf("papers", s.Papers, func(a Paper) string { return a.ID }),
		namesOf("answers", s.Answers, func(a Answer) string { return a.ID }),
		namesOf("readings", s.Readings, func(a Reading) string { return a.ID }),
		namesOf("settled questions", s.Settled, func(a Settled) string { return a.ID })}
	for _, n := range others {
		if n.err != nil {
			return n.err
		}
	}
	return nil
}

type names struct {
	what string
	seen map[string]bool
	err  error
}

func newNames(what string) *names { return &names{what: what, seen: map[string]bool{}} }

func namesOf[T any](what string, things []T, id func(T) string) *names {
	n := newNames(what)
	for _, t := range things {
		n.add(id(t))
	}
	return n
}

func (n *names) add(id string) {
	switch {
	case n.err != nil:
	case !ValidID(id):
		n.err = fmt.Errorf("%q cannot be the id of something among the %s: an id has 1 to 64 letters, digits, dots, dashes, slashes or underscores", id, n.what)
	case n.seen[id]:
		n.err = fmt.Errorf("two of the %s have the id %q; give one of them another id", n.what, id)
	}
	n.seen[id] = true
}

// ValidID tells whether id can name a thing: 1 to 64 of A-Z a-z 0-9 . _ / -
func ValidID(id string) bool {
	if len(id) == 0 || len(id) > 64 {
		return false
	}
	for i := range len(id) {
		c := id[i]
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '.' || c == '_' || c == '/' || c == '-') {
			return false
		}
	}
	return true
}
