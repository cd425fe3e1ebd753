package words

import (
	"strconv"
	"strings"

	"batterboard/schedule"
)

// What the planner lays here found no time at all.
const never = schedule.Day(schedule.Never / schedule.MinutesPerDay)

// Day is a date as it stands on a row: "Tue 6", "mar 6".
func (l *Lang) Day(d schedule.Day) string {
	if d == 0 {
		return ""
	}
	if d >= never {
		return l.Say("never")
	}
	_, _, dd := d.Date()
	return l.days[d.Weekday()] + " " + strconv.Itoa(dd)
}

// Dated is Day with the month: "Tue 6 Apr", "mar 6 abr".
func (l *Lang) Dated(d schedule.Day) string {
	if d == 0 || d >= never {
		return l.Day(d)
	}
	_, m, _ := d.Date()
	return l.Day(d) + " " + l.months[m-1]
}

// Near is Day, with the month only where it would be in doubt, more than three weeks from now, and the year
// where that would be: a job that ran over by a year, a date set wrong.
func (l *Lang) Near(d, now schedule.Day) string {
	switch {
	case d == 0 || d >= never:
		return l.Day(d)
	case now != 0 && far(d, now):
		return l.Told(d, now)
	case now == 0 || d > now+21 || d < now-21:
		return l.Dated(d)
	}
	return l.Day(d)
}

// Told is Dated, with the year where that would be in doubt: "Tue 6 Apr 2029".
func (l *Lang) Told(d, now schedule.Day) string {
	if d == 0 || d >= never || now == 0 || !far(d, now) {
		return l.Dated(d)
	}
	y, _, _ := d.Date()
	return l.Dated(d) + " " + strconv.Itoa(int(y))
}

func far(d, now schedule.Day) bool { return d > now+300 || d < now-300 }

// Long is the date in full: "Tuesday 6 April", "martes 6 de abril".
func (l *Lang) Long(d schedule.Day) string {
	if d == 0 || d >= never {
		return l.Day(d)
	}
	_, m, dd := d.Date()
	return l.daysLong[d.Weekday()] + " " + strconv.Itoa(dd) + l.of + l.monthsL[m-1]
}

// Week names the weekday alone: "Tue".
func (l *Lang) Week(d schedule.Day) string { return l.days[d.Weekday()] }

// Span is a range of days: "Tue 6", "Tue 6 – Wed 7".
func (l *Lang) Span(from, to, now schedule.Day) string {
	if from == to || to == 0 || from >= never {
		return l.Near(from, now)
	}
	y1, m1, _ := from.Date()
	y2, m2, _ := to.Date()
	if y1 == y2 && m1 == m2 && l.Near(from, now) != l.Day(from) {
		return l.Day(from) + " – " + l.monthed(to, now)
	}
	return l.Near(from, now) + " – " + l.Near(to, now)
}

// monthed is Near with the month in any case.
func (l *Lang) monthed(d, now schedule.Day) string {
	if s := l.Near(d, now); s != l.Day(d) {
		return s
	}
	return l.Dated(d)
}

// Weeks is a range in weekdays alone, for this week's talk: "Tue–Wed".
func (l *Lang) Weeks(from, to schedule.Day) string {
	if from == to || to == 0 {
		return l.Week(from)
	}
	if to-from > 6 {
		return l.Dated(from) + " – " + l.Dated(to)
	}
	return l.Week(from) + "–" + l.Week(to)
}

// Clock is a time of day on the twelve-hour clock that both languages use on United States sites:
// "8:00 am", "8:00 a. m.", "noon" (forms: Unicode CLDR, locales en and es-US, from memory).
func (l *Lang) Clock(min int32) string {
	switch min {
	case 12 * 60:
		return l.noon
	case 0, 24 * 60:
		return l.midnight
	}
	h, half := min/60, l.am
	if h >= 12 {
		h, half = h-12, l.pm
	}
	if h == 0 {
		h = 12
	}
	return strconv.Itoa(int(h)) + ":" + two(min%60) + " " + half
}

// Hours is a span of one day: "8:00 am – 4:30 pm".
func (l *Lang) Hours(from, to int32) string { return l.Clock(from) + " – " + l.Clock(to) }

// Moment is a day and a time: "Tue 6, 8:00 am".
func (l *Lang) Moment(m schedule.Minute, now schedule.Day) string {
	if m == 0 {
		return ""
	}
	d, min := m.Day(), m.OfDay()
	if d >= never {
		return l.Day(d)
	}
	if min == 0 { // the end of a day is said as the day before
		return l.Near(d-1, now) + ", " + l.midnight
	}
	return l.Near(d, now) + ", " + l.Clock(min)
}

// Half names the half of the day a moment lies in: "morning", "afternoon".
func (l *Lang) Half(m schedule.Minute) string {
	if m.OfDay() < 12*60 {
		return l.Say("morning")
	}
	return l.Say("afternoon")
}

// Money writes cents: "$180", "$180.50".
func (l *Lang) Money(cents int64) string {
	sign := ""
	if cents < 0 {
		sign, cents = "−", -cents
	}
	s := sign + "$" + thousands(cents/100)
	if cents%100 != 0 {
		s += "." + two(int32(cents%100))
	}
	return s
}

// Effort writes minutes of work as hours: "90 h", "1.5 h", with a point in both: the United States and Mexico write it so.
func (l *Lang) Effort(min int32) string {
	s := strconv.Itoa(int(min / 60))
	if tenth := min % 60 * 10 / 60; tenth != 0 {
		s += "." + strconv.Itoa(int(tenth))
	}
	return s + " h"
}

// Plain replaces the signs a text message cannot carry in its small alphabet.
func Plain(s string) string { return plain.Replace(s) }

var plain = strings.NewReplacer("–", "-", "—", "-", "’", "'", "‘", "'", "“", `"`, "”", `"`, "…", "...", "−", "-", "→", "->", "←", "<-", "\u00a0", " ", "×", "x", "·", "-")

func two(n int32) string {
	if n < 10 {
		return "0" + strconv.Itoa(int(n))
	}
	return strconv.Itoa(int(n))
}

func thousands(n int64) string {
	s := strconv.FormatInt(n, 10)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
