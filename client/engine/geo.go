package engine

import (
	"strings"

	"batterboard/schedule"
)

// geoURI is the place of a site as a geo: link (RFC 5870 section 3.4.2: latitude, then longitude, in
// degrees of WGS 84), which a phone opens in whatever map it has. Empty when it is no place.
//
// It is read letter by letter: a number with a fraction would have to become one of the machine's, and
// those are kept out of here.
func geoURI(geo string) string {
	lat, lon, ok := strings.Cut(geo, ",")
	lat, lon = strings.TrimSpace(lat), strings.TrimSpace(lon)
	if !ok || !degrees(lat, 90) || !degrees(lon, 180) {
		return ""
	}
	return "geo:" + lat + "," + lon
}

// degrees says whether s is written like -37.786971 and no further than most from zero.
func degrees(s string, most int) bool {
	s = strings.TrimPrefix(s, "-")
	whole, part, dot := strings.Cut(s, ".")
	if !digits(whole, 3) || dot && !digits(part, 8) {
		return false
	}
	n := 0
	for _, c := range []byte(whole) {
		n = n*10 + int(c-'0')
	}
	return n < most || n == most && strings.Trim(part, "0") == ""
}

// digits says whether s is one to most digits.
func digits(s string, most int) bool {
	if s == "" || len(s) > most {
		return false
	}
	return strings.Trim(s, "0123456789") == ""
}

// wrongPlace says what is wrong with where the site says it is.
func (s *sheet) wrongPlace(x *schedule.Site) string {
	if x.Geo != "" && geoURI(x.Geo) == "" {
		return s.w.Say("refused.geo")
	}
	if c := x.Country; c != "" && (len(c) != 2 || strings.Trim(c, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "") {
		return s.w.Say("refused.country")
	}
	return ""
}
