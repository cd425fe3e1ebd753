package engine

import "strings"

// smsNumber is a phone number as an sms: link wants it: a plus and digits, without the signs people
// put between them (RFC 3966 section 5.1.1, global-number). Empty when it is no global number.
func smsNumber(phone string) string {
	var b strings.Builder
	for i, r := range phone {
		switch {
		case r == '+' && i == 0, r >= '0' && r <= '9':
			b.WriteRune(r)
		case strings.ContainsRune(" -.()", r):
		default:
			return ""
		}
	}
	s := b.String()
	if len(s) < 8 || len(s) > 16 || s[0] != '+' {
		return ""
	}
	return s
}

// smsHref is the link that opens the phone's own message program with the text filled in: one
// recipient, the body as a percent-encoded field (RFC 5724 section 2.2). Empty without a number.
func smsHref(phone, body string) string {
	n := smsNumber(phone)
	if n == "" {
		return ""
	}
	return "sms:" + n + "?body=" + percent(body)
}

// percent encodes all but the unreserved characters of RFC 3986 section 2.3; a line break goes as
// CR LF, as in RFC 6068 section 5, which RFC 5724 follows for bodies.
func percent(s string) string {
	const hex = "0123456789ABCDEF"
	b := make([]byte, 0, len(s)*3/2)
	for i := range len(s) {
		switch c := s[i]; {
		case c >= 'a' && c <= 'z', c >= 'A' && c <= 'Z', c >= '0' && c <= '9', c == '-', c == '.', c == '_', c == '~':
			b = append(b, c)
		case c == '\n':
			b = append(b, "%0D%0A"...)
		default:
			b = append(b, '%', hex[c>>4], hex[c&15])
		}
	}
	return string(b)
}

// The basic alphabet of text messages and its extension table (3GPP TS 23.038 section 6.2.1).
const (
	gsmBasic = "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?" +
		"¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
	gsmExtra = "\f^{}\\[~]|€"
)

// A textLength is how long a text is for the phone network.
type textLength struct {
	Letters int    // as a person counts them
	Parts   int    // messages it is sent as
	Odd     string // the letters outside the small alphabet, each once; empty: it is all inside
}

// lengthOf counts: 160 characters of the basic alphabet, or 153 each when there are several; 70 or 67
// sixteen-bit units as soon as one character is outside it (3GPP TS 23.040 section 9.2.3.24.1 for the
// header that takes the rest). A character of the extension table counts two, and neither its two
// halves nor those of a surrogate pair are parted between messages.
func lengthOf(s string) (l textLength) {
	for _, r := range s {
		l.Letters++
		if gsmWidth(r) == 0 && !strings.ContainsRune(l.Odd, r) {
			l.Odd += string(r)
		}
	}
	if l.Odd == "" {
		l.Parts = partsOf(s, 160, 153, gsmWidth)
	} else {
		l.Parts = partsOf(s, 70, 67, wideWidth)
	}
	return l
}

func smsParts(s string) int { return lengthOf(s).Parts }

// gsmWidth is what a character takes in the small alphabet: 1, 2 from the extension table, 0 when it is not there.
func gsmWidth(r rune) int {
	switch {
	case strings.ContainsRune(gsmBasic, r):
		return 1
	case strings.ContainsRune(gsmExtra, r):
		return 2
	}
	return 0
}

// wideWidth is what a character takes in sixteen-bit units (UTF-16, which phones use for UCS-2).
func wideWidth(r rune) int {
	if r > 0xffff {
		return 2
	}
	return 1
}

// partsOf fills messages one after the other; a character of two units is never cut in half.
func partsOf(s string, one, each int, width func(rune) int) int {
	total, parts, room := 0, 0, 0
	for _, r := range s {
		n := width(r)
		total += n
		if n > room {
			parts, room = parts+1, each
		}
		room -= n
	}
	if total <= one {
		return min(parts, 1)
	}
	return parts
}

// plainLetters writes a text with the small alphabet's letters where that only costs an accent: á í ó ú
// are not in it, é ñ ü ¿ are. What has no plain form stays, and the count says so.
func plainLetters(s string) string {
	if lengthOf(s).Odd == "" {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if gsmWidth(r) > 0 {
			b.WriteRune(r)
		} else if i := strings.IndexRune(accented, r); i >= 0 {
			b.WriteByte(unaccented[len([]rune(accented[:i]))])
		} else if f, ok := foldedSigns[r]; ok {
			b.WriteString(f)
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// Letters of western Europe that the basic alphabet lacks, and what stands for each.
const (
	accented   = "áâãÁÀÂÃçêëÈÊËíîïÍÌÎÏóôõÓÒÔÕúûÚÙÛýÿÝ"
	unaccented = "aaaAAAAceeEEEiiiIIIIoooOOOOuuUUUyyY"
)

var foldedSigns = map[rune]string{'½': "1/2", '¼': "1/4", '¾': "3/4", '²': "2", '³': "3", '′': "'", '″': "\"", 'º': "o", 'ª': "a", '«': "\"", '»': "\"", '•': "-", '\t': " "}
