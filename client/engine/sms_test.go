package engine

import (
	"net/url"
	"strings"
	"testing"
	"unicode/utf16"
)

// The default alphabet as 3GPP TS 23.038 V17 section 6.2.1 prints it: sixteen rows by eight columns, the
// column giving bits 7-5 and the row bits 4-1. ESC stands where the extension table is reached. Written
// down here row by row as in the standard's table, independently of the engine's own string.
var gsmRows = [16]string{
	"@Δ 0¡P¿p",
	"£_!1AQaq", "$Φ\"2BRbr", "¥Γ#3CScs", "èΛ¤4DTdt", "éΩ%5EUeu", "ùΠ&6FVfv", "ìΨ'7GWgw", "òΣ(8HXhx", "ÇΘ)9IYiy",
	"\nΞ*:JZjz", "Ø\x1b+;KÄkä", "øÆ,<LÖlö", "\ræ-=MÑmñ", "Åß.>NÜnü", "åÉ/?O§oà",
}

// Code points of the extension table, same standard, section 6.2.1.1.
const gsmExtension = "\f^{}\\[~]|€"

// gsmStandard is the default alphabet's printable set from the rows above.
func gsmStandard() (set map[rune]bool) {
	set = map[rune]bool{}
	for _, row := range gsmRows {
		for _, r := range row {
			if r != '\x1b' {
				set[r] = true
			}
		}
	}
	return set
}

func TestTheSmallAlphabetIsTheStandards(t *testing.T) {
	set := gsmStandard()
	if len(set) != 127 { // 128 places, one of them ESC
		t.Fatalf("the table in this test has %d characters, the standard's 127", len(set))
	}
	for r := range rune(0x2100) {
		want := 0
		if set[r] {
			want = 1
		}
		if strings.ContainsRune(gsmExtension, r) {
			want = 2
		}
		if got := gsmWidth(r); got != want {
			t.Errorf("%q takes %d in the small alphabet, by the standard %d", r, got, want)
		}
	}
	for _, r := range "áíóúÁÍÓÚç" { // what the letters of Spanish cost
		if gsmWidth(r) != 0 {
			t.Errorf("%q is said to be in the small alphabet", r)
		}
	}
	for _, r := range "éñÑü¿¡" {
		if gsmWidth(r) != 1 {
			t.Errorf("%q is said not to be in the small alphabet", r)
		}
	}
}

// The limits of 3GPP TS 23.040 section 9.2.3.24.1: 140 octets; a part of several loses six to its header.
// 140·8/7 = 160 and 134·8/7 = 153 seven-bit characters, 140/2 = 70 and 134/2 = 67 sixteen-bit ones.
func TestPartsOfAText(t *testing.T) {
	if 140*8/7 != 160 || 134*8/7 != 153 || 140/2 != 70 || 134/2 != 67 {
		t.Fatal("arithmetic")
	}
	for _, c := range []struct {
		text  string
		parts int
	}{
		{"", 0}, {"a", 1}, {strings.Repeat("a", 160), 1}, {strings.Repeat("a", 161), 2}, {strings.Repeat("a", 306), 2}, {strings.Repeat("a", 307), 3},
		{strings.Repeat("á", 70), 1}, {strings.Repeat("á", 71), 2}, {strings.Repeat("á", 134), 2}, {strings.Repeat("á", 135), 3},
		{strings.Repeat("€", 80), 1}, {strings.Repeat("€", 81), 2},
		{strings.Repeat("a", 152) + "€" + strings.Repeat("a", 152), 3},                                                         // the euro's two halves stay together, so it opens the second part
		{strings.Repeat("😀", 35), 1}, {strings.Repeat("😀", 36), 2}, {strings.Repeat("😀", 66), 2}, {strings.Repeat("😀", 67), 3}, // 33 pairs to a part of 67
		{strings.Repeat("ñ", 160), 1},
	} {
		if got := smsParts(c.text); got != c.parts {
			t.Errorf("%d letters of %.3q…: %d parts, want %d", len([]rune(c.text)), c.text, got, c.parts)
		}
	}
	// Against the plain division wherever nothing has to stay together.
	for n := 1; n < 2000; n += 7 {
		if got, want := smsParts(strings.Repeat("x", n)), (n+152)/153; n > 160 && got != want {
			t.Errorf("%d letters: %d parts, want %d", n, got, want)
		}
		s := strings.Repeat("í", n)
		if got, want := smsParts(s), (len(utf16.Encode([]rune(s)))+66)/67; n > 70 && got != want {
			t.Errorf("%d wide letters: %d parts, want %d", n, got, want)
		}
	}
}

func TestPlainLetters(t *testing.T) {
	if a, b := len([]rune(accented)), len(unaccented); a != b {
		t.Fatalf("%d accented letters, %d to stand for them", a, b)
	}
	for in, want := range map[string]string{
		"Sí, mañana a las ocho; ¿está? Él también.": "Si, mañana a las ocho; ¿esta? Él también.",
		"ÁÍÓÚÉÜ áíóúéü":                             "AIOUÉÜ aiouéü",
		"½ in × 2":                                  "1/2 in × 2",
		"nothing to do":                             "nothing to do",
		"日本 á":                                      "日本 a",
		"Français, naïve":                           "Francais, naive",
	} {
		if got := plainLetters(in); got != want {
			t.Errorf("%q became %q, want %q", in, got, want)
		}
	}
	for _, r := range accented {
		if gsmWidth(r) != 0 {
			t.Errorf("%q is in the small alphabet and loses its accent for nothing", r)
		}
	}
}

// RFC 5724 section 2.2 and RFC 6068 section 2: a generic reader of URLs gets the words back.
func TestLinksCarryTheWords(t *testing.T) {
	body := "Old Laundry: “día” & 50 % + #1?\nsecond line"
	for _, href := range []string{smsHref("+1 (555) 555-0111", body), mailHref("crew+a@firm.example", "Old Laundry: días & more", body)} {
		u, err := url.Parse(href)
		if err != nil {
			t.Fatal(err)
		}
		q, err := url.ParseQuery(strings.ReplaceAll(u.RawQuery, "+", "%2B"))
		if err != nil || strings.ReplaceAll(q.Get("body"), "\r\n", "\n") != body {
			t.Errorf("%s: %v, body %q", href, err, q.Get("body"))
		}
		if strings.ContainsAny(href, " \n+") && !strings.HasPrefix(href, "sms:+15555550111?") {
			t.Errorf("%s is not escaped", href)
		}
	}
	for _, bad := range []string{"", "@", "a@", "@b", "a b@c", "a@b,c@d", "a@b\r\nBcc: x@y"} {
		if got := mailHref(bad, "s", "b"); got != "" {
			t.Errorf("mail to %q: %s", bad, got)
		}
	}
}
