package measure

import (
	"strconv"
	"strings"
)

// Length writes millimetres: 12' 6" to the half inch, or 3.81 m.
func Length(mm int64, u Units, lang string) string {
	if u == Metric {
		return decimal(divide(mm, 10), 2, lang) + " m"
	}
	halves := divide(mm*20, inch10) // half inches
	feet, rest := halves/24, halves%24
	text := ""
	if rest != 0 || feet == 0 {
		text = strconv.FormatInt(rest/2, 10)
		if rest%2 == 1 {
			text = strings.TrimPrefix(text+"½", "0")
		}
		text += `"`
	}
	if feet == 0 {
		return text
	}
	return strings.TrimSpace(strconv.FormatInt(feet, 10) + "' " + text)
}

// Both writes a length in the site's units and, behind it, in the others.
func Both(mm int64, u Units, lang string) string {
	return Length(mm, u, lang) + " (" + Length(mm, u.Other(), lang) + ")"
}

// Other is the other kind.
func (u Units) Other() Units {
	if u == Metric {
		return US
	}
	return Metric
}

// SquareFoot is in hundredths of a square millimetre; the foot is 304.8 mm.
const SquareFoot = 9_290_304

// HundredthFeet2 is an area in hundredths of a square foot.
func HundredthFeet2(mm2 int64) int64 { return divide(mm2*10_000, SquareFoot) }

// HundredthFeet is a length in hundredths of a foot.
func HundredthFeet(mm int64) int64 { return divide(mm*1000, foot10) }

// Area writes square millimetres: 484 sq ft, or 45.0 m².
func Area(mm2 int64, u Units, lang string) string {
	if u == Metric {
		return decimal(divide(mm2, 100_000), 1, lang) + " m²"
	}
	foot := " sq ft"
	if lang == "es" {
		foot = " pies²"
	}
	return strconv.FormatInt(divide(mm2*100, SquareFoot), 10) + foot
}

// Weight writes whole kilograms, as an order keeps them: 70 lb, or 32 kg. Of the pounds that come to so many
// kilograms it takes the roundest, so that who wrote 100 lb is not answered with 99.
func Weight(kg int64, u Units) string {
	if u == Metric {
		return strconv.FormatInt(kg, 10) + " kg"
	}
	return strconv.FormatInt(Pounds(kg), 10) + " lb"
}

// Pounds are the roundest that come to so many whole kilograms.
func Pounds(kg int64) int64 {
	near := divide(kg*100_000_000, 45_359_237)
	for _, round := range []int64{1000, 100, 50, 10, 5} {
		if lb := divide(near, round) * round; Kilograms(lb) == kg {
			return lb
		}
	}
	return near
}

// Kilograms are the whole ones that so many pounds come to. A pound is 0.45359237 kg (NIST Handbook 44, appendix C).
func Kilograms(lb int64) int64 { return divide(lb*45_359_237, 100_000_000) }

// Temp writes tenths of a degree Celsius: 70 °F, or 21 °C.
func Temp(tenthsC int64, u Units) string {
	if u == Metric {
		return strconv.FormatInt(divide(tenthsC, 10), 10) + " °C"
	}
	return strconv.FormatInt(divide(tenthsC*18, 100)+32, 10) + " °F"
}

// divide rounds halves up, also below zero.
func divide(n, d int64) int64 {
	q := (2*n + d) / (2 * d)
	if (2*n+d)%(2*d) < 0 {
		q--
	}
	return q
}

// decimal writes a whole number of tenths, hundredths ... with the language's decimal sign. Mexico and the
// Spanish of the United States write a point (from memory), so both of ours do.
func decimal(n int64, places int, _ string) string {
	s := strconv.FormatInt(n, 10)
	for len(s) <= places {
		s = "0" + s
	}
	return s[:len(s)-places] + "." + s[len(s)-places:]
}
