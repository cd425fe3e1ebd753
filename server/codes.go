package main

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"strings"
	"time"
	"unicode"
)

// A code is typed from one phone into another, so its letters cannot be mistaken for each other:
// no I, O, 0 or 1. 32 letters are five bits each.
const codeLetters = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"

const (
	inviteLetters = 8  // 40 bits, ten minutes, few tries: see limit.go
	ownerLetters  = 16 // 80 bits: the owner link of an empty store lives longer
	inviteLife    = 10 * time.Minute
	ownerLife     = 24 * time.Hour
)

// drawn is n bytes that nobody can guess.
func drawn(n int) []byte {
	b := make([]byte, n)
	rand.Read(b) // never fails: crypto/rand aborts the program instead
	return b
}

// newCode mints a code of n letters.
func newCode(n int) string {
	b := drawn(n)
	for i := range b {
		b[i] = codeLetters[b[i]%32] // 256 is a multiple of 32: no letter is likelier
	}
	return string(b)
}

// spaced writes a code in groups of four, as it is shown.
func spaced(code string) string {
	var parts []string
	for ; len(code) > 4; code = code[4:] {
		parts = append(parts, code[:4])
	}
	return strings.Join(append(parts, code), "-")
}

// typed undoes what people add when they type a code: small letters, blanks, dashes.
func typed(code string) string {
	return strings.Map(func(r rune) rune {
		if r == '-' || unicode.IsSpace(r) {
			return -1
		}
		return unicode.ToUpper(r)
	}, code)
}

// codeKey is where a code's record lies: by its hash, so that a copy of the store opens no door.
func codeKey(code string) []byte {
	sum := sha256.Sum256([]byte(code))
	return []byte("code/" + hex.EncodeToString(sum[:]))
}

// secretBytes is the length of a device token's secret: 256 bits.
const secretBytes = 32

// newToken mints the secret that a device shows from now on, and the hash we keep of it.
func newToken(device string) (token string, hash []byte) {
	b := drawn(secretBytes)
	sum := sha256.Sum256(b)
	return device + "." + base64.RawURLEncoding.EncodeToString(b), sum[:]
}

// splitToken takes a token apart again. The secret is as long as ours are, or ok is false.
func splitToken(token string) (device string, secret []byte, ok bool) {
	device, enc, found := strings.Cut(token, ".")
	if !found || !validID(device) {
		return "", nil, false
	}
	secret, err := base64.RawURLEncoding.Strict().DecodeString(enc)
	return device, secret, err == nil && len(secret) == secretBytes
}

// secretFits compares in constant time.
func secretFits(hash, secret []byte) bool {
	sum := sha256.Sum256(secret)
	return subtle.ConstantTimeCompare(hash, sum[:]) == 1
}

// validID says whether s has the shape of an ID that we mint: 20 letters of base32hex (rs/xid).
func validID(s string) bool {
	if len(s) != 20 {
		return false
	}
	for i := range len(s) {
		if c := s[i]; !(c >= '0' && c <= '9' || c >= 'a' && c <= 'v') {
			return false
		}
	}
	return true
}

// nameless is what a device is called that said no name; on a site its number is added, to tell it from others.
const nameless = "Phone"

const maxName = 40 // letters of a device's name

// cleanName keeps what can be shown on one line.
func cleanName(s string) string {
	s = strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		if !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, ""))), " ")
	if r := []rune(s); len(r) > maxName {
		s = string(r[:maxName])
	}
	if s == "" {
		return nameless
	}
	return s
}
