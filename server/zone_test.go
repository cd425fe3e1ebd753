package main

import (
	"testing"
	"time"

	"batterboard/schedule"
)

// TestNightsInWhichClocksChange: a time in a calendar is what RFC 5545, section 3.3.5, says of it: an hour that comes
// twice is the first of the two, one that is left out counts by the offset before. The zones have half an hour more
// than others, a change by half an hour (Lord Howe), winter time as the exception (Dublin), a change at midnight
// (Santiago), and none at all. The nights are those of the time zone database.
func TestNightsInWhichClocksChange(t *testing.T) {
	for _, c := range []struct{ zone, wall, want string }{
		{"America/Los_Angeles", "2027-03-14T01:45", "20270314T094500Z"},
		{"America/Los_Angeles", "2027-03-14T02:00", "20270314T100000Z"}, // left out
		{"America/Los_Angeles", "2027-03-14T02:15", "20270314T101500Z"},
		{"America/Los_Angeles", "2027-03-14T03:15", "20270314T101500Z"},
		{"America/Los_Angeles", "2027-11-07T00:45", "20271107T074500Z"},
		{"America/Los_Angeles", "2027-11-07T01:15", "20271107T081500Z"}, // comes twice
		{"America/Los_Angeles", "2027-11-07T02:15", "20271107T101500Z"},
		{"Europe/Dublin", "2027-03-28T01:15", "20270328T011500Z"},
		{"Europe/Dublin", "2027-03-28T02:15", "20270328T011500Z"},
		{"Europe/Dublin", "2027-10-31T01:15", "20271031T001500Z"},
		{"Europe/Dublin", "2027-10-31T02:15", "20271031T021500Z"},
		{"Australia/Lord_Howe", "2027-10-03T02:15", "20271002T154500Z"},
		{"Australia/Lord_Howe", "2027-04-04T01:45", "20270403T144500Z"},
		{"America/Santiago", "2027-09-05T00:30", "20270905T043000Z"},
		{"America/Santiago", "2027-09-05T08:00", "20270905T110000Z"},
		{"Asia/Kolkata", "2028-02-29T08:00", "20280229T023000Z"},
		{"Asia/Kathmandu", "2027-12-31T23:30", "20271231T174500Z"},
		{"Pacific/Kiritimati", "2028-01-01T08:00", "20271231T180000Z"},
		{"Etc/GMT+12", "2027-12-31T20:00", "20280101T080000Z"},
	} {
		m, err := schedule.ParseMinute(c.wall)
		if err != nil {
			t.Fatal(err)
		}
		if got := icsTime(m, c.zone); got != ":"+c.want {
			t.Errorf("%s in %s is %s, want %s", c.wall, c.zone, got, c.want)
		}
	}
}

// TestClocksThereAndBack: every quarter of an hour of two years, in each of the zones above, is on the clock what it
// was on the calendar, but in hours that no clock shows; and by day a later one is never an earlier moment, and an hour
// that comes twice is the first of the two.
func TestClocksThereAndBack(t *testing.T) {
	t.Parallel()
	for _, zone := range []string{"America/Los_Angeles", "Europe/Dublin", "Australia/Lord_Howe", "America/Santiago", "Asia/Kolkata", "Pacific/Kiritimati", "Europe/Madrid", "Africa/Cairo"} {
		loc, err := time.LoadLocation(zone)
		if err != nil {
			t.Fatal(err)
		}
		unseen := 0
		for m := schedule.DateOf(2027, 1, 1).Start(); m < schedule.DateOf(2029, 1, 1).Start(); m += 15 {
			wall := time.Unix(int64(m)*60, 0).UTC()
			at := onClock(wall, loc)
			if civil(at.In(loc)) != m {
				unseen++
			}
			if next := onClock(wall.Add(15*time.Minute), loc); next.Before(at) && next.In(loc).Hour() > 3 {
				t.Fatalf("%s: a quarter past %s is before it", zone, wall)
			}
			if twin := at.Add(-time.Hour).In(loc); civil(twin) == m {
				t.Fatalf("%s: %s came before", zone, wall)
			}
		}
		if unseen > 8 { // at most an hour each spring
			t.Errorf("%s: %d quarters of an hour are on no clock", zone, unseen)
		}
	}
}

// TestAZoneNobodyKnows: the plan of a site does not need its zone, the calendar floats, and the clock is the server's.
func TestAZoneNobodyKnows(t *testing.T) {
	for _, zone := range []string{"", "Nowhere/Land", "../../etc/passwd", "/etc/localtime", "America/Los_Angeles\x00", "UTC+8", "Ω"} {
		if got := icsTime(schedule.DateOf(2027, 3, 2).At(480), zone); got != ":20270302T080000" {
			t.Errorf("%q: %s", zone, got)
		}
		if zoneOf(zone) != time.Local {
			t.Errorf("%q is the zone %s", zone, zoneOf(zone))
		}
	}
}
