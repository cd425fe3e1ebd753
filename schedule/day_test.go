package schedule_test

import (
	"testing"
	"time"

	"batterboard/schedule"
)

// TestDates: our dates are those of the standard library's time package, every day of three centuries. The checker
// takes its dates from the same place as the planner, so they are proved against somebody else's.
func TestDates(t *testing.T) {
	t.Parallel()
	at := time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC)
	for day := schedule.DateOf(1900, 1, 1); at.Year() < 2200; day, at = day+1, at.AddDate(0, 0, 1) {
		year, month, date := day.Date()
		if year != at.Year() || month != int(at.Month()) || date != at.Day() || day.Weekday() != (int(at.Weekday())+6)%7 {
			t.Fatalf("day %d is %d-%d-%d, weekday %d; it is %s", day, year, month, date, day.Weekday(), at.Format("Monday 2006-01-02"))
		}
		if int64(day)*86400 != at.Unix() || schedule.DateOf(year, month, date) != day {
			t.Fatalf("%s is day %d, and back %d", at.Format(time.DateOnly), day, schedule.DateOf(year, month, date))
		}
		if text := at.Format(time.DateOnly); day != 0 && day.String() != text {
			t.Fatalf("%s is written %s", text, day)
		} else if got, err := schedule.ParseDay(text); (at.Year() >= 2000) != (err == nil) || err == nil && got != day {
			t.Fatalf("%s is read as day %d, %v; it is %d", text, got, err, day)
		}
		for _, min := range []int32{0, 1, 719, 1439} {
			m := day.At(min)
			if m.Day() != day || m.OfDay() != min || m != 0 && m.String() != at.Add(time.Duration(min)*time.Minute).Format("2006-01-02T15:04") {
				t.Fatalf("minute %d of %s is %s: day %d, minute %d", min, at.Format(time.DateOnly), m, m.Day(), m.OfDay())
			}
			if back, err := schedule.ParseMinute(m.String()); at.Year() >= 2000 && (err != nil || back != m) {
				t.Fatalf("%s is read as %d, %v; it is %d", m, back, err, m)
			}
		}
	}
}

// TestNoSuchDay: every day that time.Parse refuses is refused, month by month up to the 32nd; so are days out of bounds.
func TestNoSuchDay(t *testing.T) {
	two := func(n int) string { return string([]byte{byte('0' + n/10), byte('0' + n%10)}) }
	for _, year := range []string{"2000", "2023", "2024", "2100", "2104", "2199"} { // the two ends, leap or not, and the century that is none
		for month := range 14 {
			for day := range 33 {
				text := year + "-" + two(month) + "-" + two(day)
				_, want := time.Parse(time.DateOnly, text)
				if _, err := schedule.ParseDay(text); (err == nil) != (want == nil) {
					t.Errorf("%s: %v, the standard library says %v", text, err, want)
				}
			}
		}
	}
	for _, text := range []string{"1999-12-31", "2200-01-01", "0000-01-01", "9999-12-31"} {
		if day, err := schedule.ParseDay(text); err == nil {
			t.Errorf("%s was taken as day %d", text, day)
		}
	}
	for _, text := range []string{"2027-3-02", "2027-03-2", "2027/03/02", "02-03-2027", "2027-03-02 ", " 2027-03-02", "2027-03-0x", "+027-03-02"} {
		if _, err := schedule.ParseDay(text); err == nil {
			t.Errorf("%q was taken", text)
		}
	}
}

// TestClocks: a time of day is hours and minutes from 00:00 to 24:00, and written as it is read.
func TestClocks(t *testing.T) {
	for min := range int32(schedule.MinutesPerDay + 1) {
		text := schedule.Clock(min)
		if want := time.Date(2027, 3, 2, 0, int(min), 0, 0, time.UTC).Format("15:04"); min < schedule.MinutesPerDay && text != want {
			t.Fatalf("minute %d is written %s, want %s", min, text, want)
		}
		if got, err := schedule.ParseClock(text); err != nil || got != min {
			t.Fatalf("%s is read as %d, %v", text, got, err)
		}
	}
	for _, text := range []string{"24:01", "24:59", "25:00", "08:60", "8:00", "08.00", "08:0", "08:000", "-1:00", "", "0800"} {
		if got, err := schedule.ParseClock(text); err == nil {
			t.Errorf("%q was read as %d", text, got)
		}
	}
	// The end of a day is the next one's midnight.
	if got, err := schedule.ParseMinute("2027-12-31T24:00"); err != nil || got.String() != "2028-01-01T00:00" {
		t.Errorf("the end of the year is read as %s, %v", got, err)
	}
	for _, text := range []string{"2027-03-02", "2027-03-02 08:00", "2027-03-02T08:00:00", "2027-03-02T08:00Z", "2027-02-29T08:00", "2027-03-02T24:01"} {
		if got, err := schedule.ParseMinute(text); err == nil {
			t.Errorf("%q was read as %s", text, got)
		}
	}
}
