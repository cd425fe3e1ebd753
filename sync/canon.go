package opsync

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
)

// The one way to write JSON: no white space, keys sorted by their bytes and without doubles, strings
// as in RFC 8785 section 3.2.2.2 (short escapes, otherwise raw UTF-8), numbers as plain decimals
// without exponent, superfluous zeros or "-0". scan.go reads exactly this and refuses all else.

// Canonical writes any JSON value in its one form.
func Canonical(raw []byte) (json.RawMessage, error) {
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		return nil, refuse(WhyForm, "this is not JSON: "+err.Error())
	}
	if d.More() {
		return nil, refuse(WhyForm, "there is something after the end of the JSON value")
	}
	return appendValue(nil, v, 0)
}

func appendValue(b []byte, v any, depth int) ([]byte, error) {
	if depth > MaxDepth {
		return nil, refuse(WhyLimit, "a value is nested more than "+strconv.Itoa(MaxDepth)+" deep")
	}
	switch v := v.(type) {
	case nil:
		return append(b, "null"...), nil
	case bool:
		return strconv.AppendBool(b, v), nil
	case string:
		return appendString(b, v), nil
	case json.Number:
		return appendNumber(b, string(v))
	case []any:
		return appendList(b, v, depth)
	case map[string]any:
		return appendObject(b, v, depth)
	}
	panic("opsync: encoding/json decoded into a type it does not have")
}

func appendList(b []byte, list []any, depth int) (_ []byte, err error) {
	b = append(b, '[')
	for i, v := range list {
		if i > 0 {
			b = append(b, ',')
		}
		if b, err = appendValue(b, v, depth+1); err != nil {
			return nil, err
		}
	}
	return append(b, ']'), nil
}

func appendObject(b []byte, o map[string]any, depth int) (_ []byte, err error) {
	keys := make([]string, 0, len(o))
	for k := range o {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	b = append(b, '{')
	for i, k := range keys {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(appendString(b, k), ':')
		if b, err = appendValue(b, o[k], depth+1); err != nil {
			return nil, err
		}
	}
	return append(b, '}'), nil
}

const hexDigits = "0123456789abcdef"

// appendString writes s quoted. Bytes that are not UTF-8 become U+FFFD.
func appendString(b []byte, s string) []byte {
	s = strings.ToValidUTF8(s, "\uFFFD")
	b = append(b, '"')
	for i := range len(s) {
		c := s[i]
		if e := shortEscape(c); e != 0 {
			b = append(b, '\\', e)
		} else if c < ' ' {
			b = append(b, '\\', 'u', '0', '0', hexDigits[c>>4], hexDigits[c&15])
		} else {
			b = append(b, c)
		}
	}
	return append(b, '"')
}

// shortEscape returns the letter after the backslash for the characters that have one.
func shortEscape(c byte) byte {
	switch c {
	case '"', '\\':
		return c
	case '\b':
		return 'b'
	case '\t':
		return 't'
	case '\n':
		return 'n'
	case '\f':
		return 'f'
	case '\r':
		return 'r'
	}
	return 0
}

// maxDigits bounds a number's text, so that 1e999999 does not become a megabyte of zeros.
const maxDigits = 40

// appendNumber writes a JSON number as a plain decimal. The arithmetic is on the text: nothing is
// rounded.
func appendNumber(b []byte, s string) ([]byte, error) {
	minus := strings.HasPrefix(s, "-")
	mantissa, exponent := strings.TrimPrefix(s, "-"), 0
	if i := strings.IndexAny(mantissa, "eE"); i >= 0 {
		e, err := strconv.Atoi(mantissa[i+1:])
		if err != nil || e > maxDigits || e < -maxDigits {
			return nil, refuse(WhyLimit, "the number "+s+" is too large or too small")
		}
		mantissa, exponent = mantissa[:i], e
	}
	whole, frac, _ := strings.Cut(mantissa, ".")
	for ; exponent > 0; exponent-- {
		if frac == "" {
			frac = "0"
		}
		whole, frac = whole+frac[:1], frac[1:]
	}
	for ; exponent < 0; exponent++ {
		if whole == "" {
			whole = "0"
		}
		whole, frac = whole[:len(whole)-1], whole[len(whole)-1:]+frac
	}
	whole, frac = strings.TrimLeft(whole, "0"), strings.TrimRight(frac, "0")
	if len(whole)+len(frac) > maxDigits {
		return nil, refuse(WhyLimit, "the number "+s+" has too many digits")
	}
	if whole == "" {
		whole = "0"
	}
	if minus && (whole != "0" || frac != "") {
		b = append(b, '-')
	}
	b = append(b, whole...)
	if frac != "" {
		b = append(append(b, '.'), frac...)
	}
	return b, nil
}
