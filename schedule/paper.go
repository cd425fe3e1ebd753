package schedule

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Paper names a document of the site: the permit, the approved plans, an inspector's report, a delivery
// note, a data sheet, a quotation. Like a photo it is a file that phones and server keep by its content;
// here is only what it is called and what it is about. The planner never looks at papers.
type Paper struct {
	ID    string    `json:"id"`
	At    Minute    `json:"at,omitzero"`    // when it was added, by the phone's clock
	On    string    `json:"on,omitempty"`   // the activity, hold, order or note it is about; empty: the site
	By    string    `json:"by,omitempty"`   // who added it
	Name  string    `json:"name"`           // what people call it; see PaperName
	Type  PaperType `json:"type"`           // what the bytes are
	File  string    `json:"file"`           // SHA-256 of its bytes, 64 hex digits: its name wherever it is kept
	Size  int32     `json:"size,omitempty"` // bytes
	Share bool      `json:"share,omitempty"`
}

// PaperType is the media type (RFC 6838) of a paper.
type PaperType string

// The types that phones and server tell by the bytes themselves.
const (
	PDF   PaperType = "application/pdf"
	PNG   PaperType = "image/png"
	JPEG  PaperType = "image/jpeg"
	Plain PaperType = "text/plain"
)

// endings are how files of each type are called, the usual one first.
var endings = []struct {
	of  PaperType
	all []string
}{{PDF, []string{"pdf"}}, {PNG, []string{"png"}}, {JPEG, []string{"jpg", "jpeg"}}, {Plain, []string{"txt", "text"}}}

// Ending is how a file of that type is called, without the dot; empty for a type that is none of ours.
func (t PaperType) Ending() string {
	for _, e := range endings {
		if e.of == t {
			return e.all[0]
		}
	}
	return ""
}

// MaxPaperName bounds the name of a paper in bytes: two lines on a phone.
const MaxPaperName = 120

// PaperName is a name as it may be shown and given to a file: no folders, no control characters, nothing that
// turns the direction of writing around (which makes an "exe" look like a "pdf"), not longer than
// MaxPaperName, and without the ending that its type has anyway. The name of such a name is that name.
func PaperName(name string, of PaperType) string {
	name = strings.Map(shown, strings.ToValidUTF8(name, ""))
	name = name[strings.LastIndexAny(name, `/\`)+1:]
	for {
		was := name
		name = strings.TrimLeftFunc(withoutEnding(strings.TrimSpace(name), of), dotOrSpace)
		switch {
		case name != was: // what is taken off may uncover more of it: "permit.pdf.pdf"
		case len(name) <= MaxPaperName:
			return name
		default:
			_, last := utf8.DecodeLastRuneInString(name)
			name = name[:len(name)-last]
		}
	}
}

// withoutEnding takes one ending of that type off a name.
func withoutEnding(name string, of PaperType) string {
	for _, e := range endings {
		for _, end := range e.all {
			if n := len(name) - len(end) - 1; e.of == of && n >= 0 && strings.EqualFold(name[n:], "."+end) {
				return name[:n]
			}
		}
	}
	return name
}

func dotOrSpace(r rune) bool { return r == '.' || unicode.IsSpace(r) }

// shown drops what nobody sees (C0 and C1 controls, the marks and isolates of Unicode's bidirectional algorithm
// UAX 9, zero-width and line separators, the byte order mark).
func shown(r rune) rune {
	switch {
	case r < 0x20 || r >= 0x7f && r < 0xa0, r >= 0x200b && r <= 0x200f, r >= 0x2028 && r <= 0x202e, r >= 0x2066 && r <= 0x2069, r == 0x61c || r == 0xfeff:
		return -1
	}
	return r
}
