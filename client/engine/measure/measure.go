// Package measure reads and writes lengths, areas and weights as people on site say them: 12' 6", 12.5 ft,
// 3.81 m, 381 cm. Everything is a whole number of millimetres, square millimetres or grams; nothing is
// kept as a fraction. Use Parse for what somebody typed, Length, Area and Weight for what is shown.
//
// Not in here: what is measured (client/engine/template, client/engine/trade).
package measure

import "strings"

// Units are what a site shows first; both kinds can always be typed.
type Units string

const (
	US     Units = "us"
	Metric Units = "metric"
)

// Of is the units of a name; everything but "metric" is US.
func Of(name string) Units {
	if name == string(Metric) {
		return Metric
	}
	return US
}

// An inch is 25.4 mm exactly: international yard and pound agreement, 1959; NIST SP 811, from memory.
const (
	inch10 = 254 // tenths of a millimetre
	foot10 = 12 * inch10
)

// maxLength is ten kilometres: beyond it something was mistyped.
const maxLength = 10_000_000

// Parse reads a length. A bare number is feet in US units and metres in metric ones; a metric one of a
// hundred and more is taken for centimetres, of a thousand and more for millimetres. Decimal point
// and comma are the same. The result is rounded to the millimetre, halves up.
func Parse(text string, units Units) (mm int64, ok bool) {
	s := clean(text)
	if s == "" {
		return 0, false
	}
	sum, seen := int64(0), ""
	for s = strings.TrimSpace(s); s != ""; s = strings.TrimSpace(s) {
		var n number
		if n, s, ok = readNumber(s); !ok {
			return 0, false
		}
		var unit string
		unit, s = readUnit(s)
		if unit == "" {
			unit = bare(n, units, seen)
		}
		if seen != "" && !(seen == "ft" && unit == "in" || seen == "m" && unit == "cm" || seen == "m" && unit == "mm" || seen == "cm" && unit == "mm") {
			return 0, false
		}
		seen = unit
		part := n.times(tenths(unit))
		if part < 0 || part > maxLength*10 {
			return 0, false
		}
		sum += part
	}
	mm = (sum + 5) / 10
	return mm, mm <= maxLength
}

func clean(s string) string {
	s = strings.ToLower(strings.TrimSpace(s))
	if len(s) > 40 || strings.HasPrefix(s, "-") {
		return ""
	}
	// 12-6 is how drawings write 12' 6".
	return replaceAll(s, "’", "'", "′", "'", "”", `"`, "″", `"`, "''", `"`, ",", ".", "½", " 1/2", "¼", " 1/4", "¾", " 3/4", "-", " ", "\u00a0", " ")
}

func replaceAll(s string, pairs ...string) string {
	for i := 0; i+1 < len(pairs); i += 2 {
		s = strings.ReplaceAll(s, pairs[i], pairs[i+1])
	}
	return s
}

func tenths(unit string) int64 {
	switch unit {
	case "ft":
		return foot10
	case "in":
		return inch10
	case "m":
		return 10_000
	case "cm":
		return 100
	}
	return 10
}

// bare is the unit of a number that has none: what follows feet is inches, what follows metres is
// centimetres ("3 m 81"), and what stands alone is the site's.
func bare(n number, units Units, seen string) string {
	switch {
	case seen == "ft":
		return "in"
	case seen == "m":
		return "cm"
	case units == US:
		return "ft"
	case n.whole >= 1000:
		return "mm"
	case n.whole >= 100:
		return "cm"
	}
	return "m"
}

// number is a decimal or a mixed fraction: whole + part/of.
type number struct{ whole, part, of int64 }

func (n number) times(by int64) int64 { return n.whole*by + (2*n.part*by+n.of)/(2*n.of) }

func readNumber(s string) (n number, rest string, ok bool) {
	n.of = 1
	whole, s, many := readDigits(s)
	if many == 0 && !strings.HasPrefix(s, ".") || many > 7 {
		return n, s, false
	}
	n.whole = whole
	if after, is := strings.CutPrefix(s, "."); is {
		part, rest, many := readDigits(after)
		if many == 0 || many > 6 {
			return n, s, false
		}
		n.part, s = part, rest
		for range many {
			n.of *= 10
		}
		return n, s, true
	}
	if after, is := strings.CutPrefix(s, "/"); is { // 3/4
		return fraction(0, whole, after)
	}
	if top, after, many := readDigits(strings.TrimLeft(s, " ")); many > 0 && strings.HasPrefix(after, "/") && after[0] == '/' {
		return fraction(whole, top, after[1:])
	}
	return n, s, true
}

func fraction(whole, top int64, s string) (number, string, bool) {
	of, rest, many := readDigits(s)
	if many == 0 || many > 3 || of == 0 || top >= of {
		return number{}, s, false
	}
	return number{whole, top, of}, rest, true
}

func readDigits(s string) (n int64, rest string, many int) {
	for many < len(s) && many < 10 && s[many] >= '0' && s[many] <= '9' {
		n = n*10 + int64(s[many]-'0')
		many++
	}
	return n, s[many:], many
}

// unitWords in the order in which they are tried: longer ones first.
var unitWords = [][2]string{{"feet", "ft"}, {"foot", "ft"}, {"inches", "in"}, {"inch", "in"}, {"metros", "m"}, {"metro", "m"}, {"metres", "m"},
	{"metre", "m"}, {"meters", "m"}, {"meter", "m"}, {"pies", "ft"}, {"pie", "ft"}, {"pulgadas", "in"}, {"pulgada", "in"}, {"pulg", "in"}, {"mm", "mm"}, {"cm", "cm"},
	{"ft", "ft"}, {"in", "in"}, {"m", "m"}, {"'", "ft"}, {`"`, "in"}}

func readUnit(s string) (unit, rest string) {
	s = strings.TrimLeft(s, " ")
	for _, w := range unitWords {
		if after, is := strings.CutPrefix(s, w[0]); is {
			return w[1], strings.TrimPrefix(after, ".")
		}
	}
	return "", s
}
