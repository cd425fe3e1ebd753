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

// smsParts counts the messages a text is sent as: 160 characters of the basic alphabet, or 153 each
// when there are several; 70 or 67 sixteen-bit units as soon as one character is outside it (3GPP TS
// 23.040 section 9.2.3.24.1 for the header that takes the rest). An extension character counts two.
func smsParts(s string) int {
	n, wide := 0, 0
	gsm := true
	for _, r := range s {
		wide++
		if r > 0xffff {
			wide++
		}
		switch {
		case strings.ContainsRune(gsmBasic, r):
			n++
		case strings.ContainsRune(gsmExtra, r):
			n += 2
		default:
			gsm = false
		}
	}
	switch {
	case s == "":
		return 0
	case gsm && n <= 160, !gsm && wide <= 70:
		return 1
	case gsm:
		return (n + 152) / 153
	}
	return (wide + 66) / 67
}
