package schedule

import (
	"errors"
	"fmt"
)

// Minute is a moment on the site's own clock: minutes of local civil time since 1970-01-01 00:00.
// Zero means "not set". The plan counts on the wall clock of the site, so a night in which the clocks
// change is one hour wrong for a drying time; no plan of whole half-days is changed by that, and the
// planner needs no time zone tables.
type Minute int64

// Day is a civil date: days since 1970-01-01. Zero means "not set".
type Day int32

// MinutesPerDay is the length of a civil day.
const MinutesPerDay = 24 * 60

// Day returns the date that m lies in.
func (m Minute) Day() Day {
	d := m / MinutesPerDay
	if m%MinutesPerDay < 0 {
		d--
	}
	return Day(d)
}

// OfDay returns the minutes since midnight.
func (m Minute) OfDay() int32 { return int32(m - m.Day().Start()) }

// Start returns the midnight that begins d.
func (d Day) Start() Minute { return Minute(d) * MinutesPerDay }

// At returns the moment of d that is min minutes after midnight.
func (d Day) At(min int32) Minute { return d.Start() + Minute(min) }

// Weekday counts from Monday = 0 to Sunday = 6. 1970-01-01 was a Thursday.
func (d Day) Weekday() int { return int(((int64(d)+3)%7 + 7) % 7) }

// Date splits d into year, month 1-12 and day of the month 1-31 in the Gregorian calendar.
//
// Source of the arithmetic: counting days from 1 March of year 0 in 400-year eras of 146,097 days.
func (d Day) Date() (year, month, day int) {
	z := int64(d) + 719468
	era := z / 146097
	if z < 0 {
		era = (z - 146096) / 146097
	}
	doe := z - era*146097
	yoe := (doe - doe/1460 + doe/36524 - doe/146096) / 365
	doy := doe - (365*yoe + yoe/4 - yoe/100)
	mp := (5*doy + 2) / 153
	day = int(doy - (153*mp+2)/5 + 1)
	month = int(mp + 3)
	year = int(yoe + era*400)
	if month > 12 {
		month -= 12
	}
	if month <= 2 {
		year++
	}
	return year, month, day
}

// DateOf is the inverse of Day.Date. It does not check that the day exists; ParseDay does.
func DateOf(year, month, day int) Day {
	y := int64(year)
	if month <= 2 {
		y--
	}
	era := y / 400
	if y < 0 {
		era = (y - 399) / 400
	}
	yoe := y - era*400
	mp := int64(month+9) % 12
	doy := (153*mp+2)/5 + int64(day) - 1
	doe := yoe*365 + yoe/4 - yoe/100 + doy
	return Day(era*146097 + doe - 719468)
}

// String writes d as 2027-03-02 (ISO 8601), and the empty string when it is not set.
func (d Day) String() string {
	if d == 0 {
		return ""
	}
	y, m, dd := d.Date()
	return string(appendDate(nil, y, m, dd))
}

// String writes m as 2027-03-02T08:00 (ISO 8601 without a zone), empty when it is not set.
func (m Minute) String() string {
	if m == 0 {
		return ""
	}
	y, mo, dd := m.Day().Date()
	b := appendDate(nil, y, mo, dd)
	b = append(b, 'T')
	return string(appendClock(b, m.OfDay()))
}

// Clock writes minutes since midnight as 08:00. 1440 is 24:00, the end of the day.
func Clock(min int32) string { return string(appendClock(nil, min)) }

func appendDate(b []byte, y, m, d int) []byte {
	b = append(b, byte('0'+y/1000%10), byte('0'+y/100%10), byte('0'+y/10%10), byte('0'+y%10))
	b = append(b, '-', byte('0'+m/10), byte('0'+m%10))
	return append(b, '-', byte('0'+d/10), byte('0'+d%10))
}

func appendClock(b []byte, min int32) []byte {
	h, m := min/60, min%60
	return append(b, byte('0'+h/10), byte('0'+h%10), ':', byte('0'+m/10), byte('0'+m%10))
}

// The years a date may have. A site lasts weeks; a date outside these is a slip of the finger.
const (
	firstYear = 2000
	lastYear  = 2199
)

var errDate = errors.New("a date is written like 2027-03-02")

// ParseDay reads 2027-03-02. The empty string is "not set".
func ParseDay(s string) (Day, error) {
	if s == "" {
		return 0, nil
	}
	if len(s) != 10 || s[4] != '-' || s[7] != '-' {
		return 0, fmt.Errorf("%q: %w", s, errDate)
	}
	y, ok1 := digits(s[:4])
	m, ok2 := digits(s[5:7])
	d, ok3 := digits(s[8:])
	if !ok1 || !ok2 || !ok3 {
		return 0, fmt.Errorf("%q: %w", s, errDate)
	}
	day := DateOf(y, m, d)
	if yy, mm, dd := day.Date(); y < firstYear || y > lastYear || yy != y || mm != m || dd != d {
		return 0, fmt.Errorf("%q: there is no such day between %d and %d", s, firstYear, lastYear)
	}
	return day, nil
}

// ParseMinute reads 2027-03-02T08:00. The empty string is "not set".
func ParseMinute(s string) (Minute, error) {
	if s == "" {
		return 0, nil
	}
	if len(s) != 16 || s[10] != 'T' {
		return 0, fmt.Errorf("%q: a moment is written like 2027-03-02T08:00", s)
	}
	d, err := ParseDay(s[:10])
	if err != nil {
		return 0, err
	}
	min, err := ParseClock(s[11:])
	if err != nil {
		return 0, err
	}
	return d.At(min), nil
}

// ParseClock reads 08:00, from 00:00 to 24:00, into minutes since midnight.
func ParseClock(s string) (int32, error) {
	if len(s) == 5 && s[2] == ':' {
		h, ok1 := digits(s[:2])
		m, ok2 := digits(s[3:])
		if ok1 && ok2 && m < 60 && h*60+m <= MinutesPerDay {
			return int32(h*60 + m), nil
		}
	}
	return 0, fmt.Errorf("%q: a time of day is written like 08:00", s)
}

func digits(s string) (n int, ok bool) {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return 0, false
		}
		n = n*10 + int(s[i]-'0')
	}
	return n, true
}

func (d Day) MarshalText() ([]byte, error)      { return []byte(d.String()), nil }
func (d *Day) UnmarshalText(b []byte) (e error) { *d, e = ParseDay(string(b)); return }

func (m Minute) MarshalText() ([]byte, error)      { return []byte(m.String()), nil }
func (m *Minute) UnmarshalText(b []byte) (e error) { *m, e = ParseMinute(string(b)); return }
