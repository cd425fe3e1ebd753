package schedule_test

import (
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/randsite"
)

// TestCalendarCounts: sums and formulas agree with counting minute by minute.
func TestCalendarCounts(t *testing.T) {
	for n := range uint64(60) {
		site, now := anySite(n)
		r := randsite.Rand(n)
		a := &site.Activities[r.Int(len(site.Activities))]
		c := site.ActivityCalendar(a, now.Day())
		from := now + schedule.Minute(r.Int(3*schedule.MinutesPerDay))
		count := int64(0)
		for m := from; m < from+14*schedule.MinutesPerDay; m++ {
			if got := c.WorkBetween(from, m); got != count {
				t.Fatalf("site %d: %d minutes from %s to %s, counted %d", n, got, from, m, count)
			}
			if got := c.AddWork(from, count); count > 0 && got > m {
				t.Fatalf("site %d: %d minutes from %s are done %s, counted by %s", n, count, from, got, m)
			}
			if c.Open(m) {
				count++
				if next := c.NextOpen(m); next != m {
					t.Fatalf("site %d: %s is open, the next open moment is %s", n, m, next)
				}
				if got := c.AddWork(from, count); got != m+1 {
					t.Fatalf("site %d: %d minutes from %s are done %s, counted %s", n, count, from, got, m+1)
				}
				if got, ok := c.SubWork(m+1, count); !ok || c.WorkBetween(got, m+1) != count || !c.Open(got) {
					t.Fatalf("site %d: %d minutes before %s begin %s", n, count, m+1, got)
				}
			}
		}
	}
}

func TestCalendarDays(t *testing.T) {
	monday := randsite.Monday
	site := &schedule.Site{Crews: []schedule.Crew{{ID: "c"}},
		Shut:     []schedule.Shut{{ID: "s", From: monday + 2}}, // one day, its end left empty
		Away:     []schedule.Away{{ID: "a", Crew: "c", From: monday + 7, To: monday + 8}},
		Openings: []schedule.Opening{{ID: "o", Crew: "c", Day: monday + 5, From: 480, To: 720}, {ID: "p", Crew: "c", Day: monday + 7, From: 480, To: 720}}}
	c := site.CrewCalendar("c", monday)
	for i, want := range []bool{true, true, false, true, true, true, false, false, false, true} {
		if got := c.IsWorkingDay(monday + schedule.Day(i)); got != want {
			t.Errorf("day %d: working %v, want %v", i, got, want)
		}
	}
	for _, d := range []struct {
		name      string
		got, want schedule.Day
	}{
		{"the day itself", c.AddDays(monday, 0), monday},
		{"the next, over a shut day", c.AddDays(monday+1, 1), monday + 3},
		{"from a shut day", c.AddDays(monday+2, 0), monday + 3},
		{"over days away", c.AddDays(monday+5, 1), monday + 9},
		{"back over them", c.SubDays(monday+9, 1), monday + 5},
		{"back from a shut day", c.SubDays(monday+2, 0), monday + 1},
	} {
		if d.got != d.want {
			t.Errorf("%s: %s, want %s", d.name, d.got, d.want)
		}
	}
	if n := len(c.WorkingDays(monday, monday+9)); n != 6 {
		t.Errorf("%d working days, want 6", n)
	}
}

// TestCalendarEnds: beyond the horizon nothing is open, and nothing is ever done.
func TestCalendarEnds(t *testing.T) {
	c := schedule.NewCalendar(schedule.DefaultWeek(), randsite.Monday)
	if got := c.AddWork(randsite.Monday.Start(), 1<<40); got != schedule.Never {
		t.Errorf("too much work is done %s", got)
	}
	if got := c.NextOpen(randsite.Monday.Start() + 10*366*schedule.MinutesPerDay); got != schedule.Never {
		t.Errorf("beyond the horizon the next open moment is %s", got)
	}
	if _, ok := c.SubWork(randsite.Monday.Start(), 1<<40); ok {
		t.Error("too much work fits before a Monday")
	}
	var closed schedule.Week
	if got := schedule.NewCalendar(closed, randsite.Monday).NextOpen(randsite.Monday.Start()); got != schedule.Never {
		t.Errorf("a week without hours opens %s", got)
	}
}
