package opsync

import (
	"strconv"
	"unicode/utf8"
)

// scan reads canonical JSON in one pass and refuses whatever is not the one way to write it. It never
// looks past its bytes and never allocates more than they hold.
type scan struct {
	b     []byte
	i     int
	words map[string]string // one copy of each word that comes back again and again; may be nil
	prev  string            // a hash that is known already and likely to come
}

func (s *scan) form(want string) error {
	return refuse(WhyForm, "expected "+want+" at byte "+strconv.Itoa(s.i))
}

// is takes lit if it comes next.
func (s *scan) is(lit string) bool {
	if len(s.b)-s.i >= len(lit) && string(s.b[s.i:s.i+len(lit)]) == lit {
		s.i += len(lit)
		return true
	}
	return false
}

func (s *scan) want(lit string) error {
	if s.is(lit) {
		return nil
	}
	return s.form(lit)
}

func (s *scan) peek() byte {
	if s.i < len(s.b) {
		return s.b[s.i]
	}
	return 0
}

func (s *scan) end() error {
	if s.i != len(s.b) {
		return s.form("the end")
	}
	return nil
}

// text takes a quoted string of at most max bytes and returns what it says.
func (s *scan) text(max int) (string, error) {
	from := s.i
	escapes, err := s.quoted(max)
	if err != nil {
		return "", err
	}
	inner := s.b[from+1 : s.i-1]
	if !escapes {
		return s.word(inner), nil
	}
	return unescape(inner), nil
}

func (s *scan) word(b []byte) string {
	if w, ok := s.words[string(b)]; ok {
		return w
	}
	w := string(b)
	if s.words != nil && len(b) <= MaxID {
		s.words[w] = w
	}
	return w
}

// quoted passes over a string and checks every byte of it.
func (s *scan) quoted(max int) (escapes bool, err error) {
	if err := s.want(`"`); err != nil {
		return false, err
	}
	from := s.i
	for s.i < len(s.b) {
		switch c := s.b[s.i]; {
		case c == '"':
			inner := s.b[from:s.i]
			s.i++
			if len(inner) > max {
				return false, refuse(WhyLimit, "a text is longer than "+strconv.Itoa(max)+" bytes")
			}
			if !utf8.Valid(inner) {
				return false, refuse(WhyForm, "a text is not UTF-8")
			}
			return escapes, nil
		case c < ' ':
			return false, s.form("an escaped control character")
		case c == '\\':
			escapes = true
			if !s.escape() {
				return false, s.form("an escape in its one form")
			}
		default:
			s.i++
		}
	}
	return false, s.form("the end of a text")
}

// escape passes over one escape: a short one, or \u00xx for the other control characters.
func (s *scan) escape() bool {
	if len(s.b)-s.i < 2 {
		return false
	}
	if unshort(s.b[s.i+1]) != 0 {
		s.i += 2
		return true
	}
	if len(s.b)-s.i < 6 || string(s.b[s.i+1:s.i+4]) != "u00" {
		return false
	}
	hi, lo := unhex(s.b[s.i+4]), unhex(s.b[s.i+5])
	if hi < 0 || lo < 0 || hi > 1 || shortEscape(byte(hi<<4|lo)) != 0 {
		return false
	}
	s.i += 6
	return true
}

func unshort(c byte) byte {
	switch c {
	case '"', '\\':
		return c
	case 'b':
		return '\b'
	case 't':
		return '\t'
	case 'n':
		return '\n'
	case 'f':
		return '\f'
	case 'r':
		return '\r'
	}
	return 0
}

func unhex(c byte) int {
	switch {
	case '0' <= c && c <= '9':
		return int(c - '0')
	case 'a' <= c && c <= 'f':
		return int(c-'a') + 10
	}
	return -1
}

// unescape turns the inside of a checked string into what it says.
func unescape(b []byte) string {
	out := make([]byte, 0, len(b))
	for i := 0; i < len(b); i++ {
		switch {
		case b[i] != '\\':
			out = append(out, b[i])
		case b[i+1] == 'u':
			out = append(out, byte(unhex(b[i+4])<<4|unhex(b[i+5])))
			i += 5
		default:
			out = append(out, unshort(b[i+1]))
			i++
		}
	}
	return string(out)
}

// whole takes a whole number from min to max.
func (s *scan) whole(min, max int64) (int64, error) {
	from := s.i
	if err := s.number(); err != nil {
		return 0, err
	}
	n, err := strconv.ParseInt(string(s.b[from:s.i]), 10, 64)
	if err != nil {
		return 0, refuse(WhyForm, "expected a whole number at byte "+strconv.Itoa(from))
	}
	if n < min || n > max {
		return 0, refuse(WhyLimit, "the number "+strconv.FormatInt(n, 10)+" is not between "+
			strconv.FormatInt(min, 10)+" and "+strconv.FormatInt(max, 10))
	}
	return n, nil
}

// number passes over a plain decimal in its one form.
func (s *scan) number() error {
	minus := s.is("-")
	from := s.i
	s.digits()
	whole := s.b[from:s.i]
	if len(whole) == 0 || len(whole) > 1 && whole[0] == '0' {
		return s.form("a number in its one form")
	}
	if s.is(".") {
		dot := s.i
		s.digits()
		if s.i == dot || s.b[s.i-1] == '0' {
			return s.form("a number in its one form")
		}
	} else if minus && whole[0] == '0' {
		return s.form("0 without a minus")
	}
	if s.i-from > maxDigits+1 {
		return refuse(WhyLimit, "a number has too many digits")
	}
	return nil
}

func (s *scan) digits() {
	for s.i < len(s.b) && '0' <= s.b[s.i] && s.b[s.i] <= '9' {
		s.i++
	}
}

// value passes over any value and returns its bytes.
func (s *scan) value(depth int) ([]byte, error) {
	from := s.i
	err := s.skip(depth)
	if err == nil && s.i-from > MaxValueBytes && depth == 0 {
		err = refuse(WhyLimit, "a value is longer than "+strconv.Itoa(MaxValueBytes)+" bytes")
	}
	return s.b[from:s.i:s.i], err
}

func (s *scan) skip(depth int) error {
	if depth > MaxDepth {
		return refuse(WhyLimit, "a value is nested more than "+strconv.Itoa(MaxDepth)+" deep")
	}
	switch c := s.peek(); c {
	case '"':
		_, err := s.quoted(MaxValueBytes)
		return err
	case '[':
		return s.list(func() error { return s.skip(depth + 1) })
	case '{':
		return s.object(MaxValueBytes, func(string) error { return s.skip(depth + 1) })
	case 'n':
		return s.want("null")
	case 't':
		return s.want("true")
	case 'f':
		return s.want("false")
	}
	return s.number()
}

// list passes over [ ... ], calling item where each item begins.
func (s *scan) list(item func() error) error {
	if err := s.want("["); err != nil {
		return err
	}
	if s.is("]") {
		return nil
	}
	for {
		if err := item(); err != nil {
			return err
		}
		if s.is("]") {
			return nil
		}
		if err := s.want(","); err != nil {
			return err
		}
	}
}

// object passes over { ... } with sorted keys of at most max bytes, calling member where each value
// begins.
func (s *scan) object(max int, member func(key string) error) error {
	if err := s.want("{"); err != nil {
		return err
	}
	if s.is("}") {
		return nil
	}
	return s.members("", max, member)
}

// members passes over the rest of an object: sorted keys, all after last.
func (s *scan) members(last string, max int, member func(key string) error) error {
	for first := last == ""; ; first = false {
		key, err := s.text(max)
		if err != nil {
			return err
		}
		if !first && key <= last {
			return refuse(WhyForm, "the names in an object are not in order at byte "+strconv.Itoa(s.i))
		}
		last = key
		if err := s.want(":"); err != nil {
			return err
		}
		if err := member(key); err != nil {
			return err
		}
		if s.is("}") {
			return nil
		}
		if err := s.want(","); err != nil {
			return err
		}
	}
}
