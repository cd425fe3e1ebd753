package demo_test

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"

	"batterboard/client/engine/demo"
	"batterboard/client/engine/trade"
	"batterboard/schedule"
	"batterboard/schedule/check"
)

func TestTheStoryStandsOnItsFeet(t *testing.T) {
	s := parse(t, demo.Document())
	if p := s.Problems(); len(p) != 0 {
		t.Errorf("the document contradicts itself: %v", p)
	}
	plan := schedule.Lay(s, demo.Told)
	if len(plan.Problems) != 0 {
		t.Errorf("problems on the first morning: %v", plan.Problems)
	}
	for _, f := range check.Plan(s, plan) {
		t.Errorf("the checker: %v", f)
	}
	if n := len(s.Activities); n < 45 || n > 70 {
		t.Errorf("%d activities, want 45 to 70", n)
	}
	if n := len(s.Crews); n < 8 || n > 12 {
		t.Errorf("%d crews, want 8 to 12", n)
	}
	spanish, stands, saturdays := 0, 0, 0
	for _, c := range s.Crews {
		if !strings.HasPrefix(c.Phone, "+1555555010") && !strings.HasPrefix(c.Phone, "+155555501") {
			t.Errorf("crew %s has the phone %s; invented numbers are 555-01xx", c.ID, c.Phone)
		}
		if c.Lang == "es" {
			spanish++
		}
		if len(c.Stands) > 0 {
			stands++
		}
		if c.Saturday != nil {
			saturdays++
		}
	}
	if spanish != 2 || stands < 1 || saturdays < 3 {
		t.Errorf("%d Spanish-speaking crews, %d with a stand-in, %d with Saturdays", spanish, stands, saturdays)
	}
}

// The week the screens are drawn for: rough-in today and tomorrow, two trades signed, the board after
// its crew comes back, the owner free for her first lesson.
func TestTheMorningOfTheSixth(t *testing.T) {
	s := parse(t, demo.Document())
	plan := schedule.Lay(s, demo.Told)
	for id, day := range map[string]string{"rough-electric": "2027-04-06", "board-ceiling-1": "2027-04-15", "final-building": "2027-04-30"} {
		if got := plan.Line(id).Start.Day().String(); got != day {
			t.Errorf("%s is planned for %s, the story says %s", id, got, day)
		}
	}
	if plan.Finish.Day() >= s.Back {
		t.Errorf("finish %v is not before the first lesson on %v", plan.Finish, s.Back)
	}
	want := []string{"board-ceiling-1", "tape-1", "oak"}
	for _, id := range want {
		if !slices.Contains(plan.Taut, id) {
			t.Errorf("the taut chain %v does not run over %s", plan.Taut, id)
		}
	}
	// Nothing in front of the board binds it: its crew is on another job until Wednesday.
	if len(plan.Taut) == 0 || plan.Taut[0] != "board-ceiling-1" {
		t.Errorf("the taut chain does not begin with the board: %v", plan.Taut)
	}
	signed, open := 0, 0
	for _, h := range s.Holds {
		switch h.Result {
		case schedule.Pass:
			signed++
		default:
			open++
		}
	}
	if signed != 8 || open != 8 {
		t.Errorf("%d hold points signed and %d open, the story says eight of each", signed, open)
	}
	firm, asked, pencilled := 0, 0, 0
	for _, a := range s.Activities {
		switch {
		case a.Finished != 0 || a.Crew == "owner" || a.Crew == "":
		case a.Booking == schedule.Firm:
			firm++
		case a.Booking == schedule.Asked:
			asked++
		default:
			pencilled++
		}
	}
	if firm < 3 || asked < 2 || pencilled < 10 {
		t.Errorf("%d firm, %d asked, %d pencilled", firm, asked, pencilled)
	}
}

func TestCautionsAreKnown(t *testing.T) {
	for _, a := range parse(t, demo.Document()).Activities {
		for _, id := range a.Cautions {
			c, ok := trade.ByID(id)
			if !ok {
				t.Errorf("%s names the unknown caution %q", a.ID, id)
			}
			if c.Severity == trade.Stop && a.Started != 0 && a.Acked == "" {
				t.Errorf("%s was started and nobody acknowledged %q", a.ID, id)
			}
		}
	}
}

// On any day, at any hour, the Old Laundry can be opened: weekdays stay weekdays, nothing that happened
// lies in the future, and the plan is feasible and free of problems. Every fifth day of two years meets
// every weekday at every one of the hours.
func TestAtAnyMoment(t *testing.T) {
	first := schedule.DateOf(2026, 11, 1)
	for n := range schedule.Day(146) {
		if testing.Short() && n%5 != 0 {
			continue
		}
		now := (first + 5*n).At([]int32{30, 400, 615, 790, 1010, 1290}[n%6])
		s, err := demo.At(now)
		if err != nil {
			t.Fatal(err)
		}
		if s.Start.Weekday() != 0 {
			t.Fatalf("%v: the site starts on weekday %d", now, s.Start.Weekday())
		}
		for _, a := range s.Activities {
			if a.Started > now || a.Finished > now {
				t.Errorf("%v: %s started %v, finished %v", now, a.ID, a.Started, a.Finished)
			}
		}
		for _, h := range s.Holds {
			if h.ResultAt > now || h.CalledIn > now {
				t.Errorf("%v: %s called in %v, result %v", now, h.ID, h.CalledIn, h.ResultAt)
			}
		}
		for _, r := range s.Readings {
			if r.At > now {
				t.Errorf("%v: a reading of %v", now, r.At)
			}
		}
		plan := schedule.Lay(s, now)
		if len(plan.Problems) != 0 {
			t.Errorf("%v (weekday %d): %v", now, now.Day().Weekday(), plan.Problems)
		}
		for _, f := range check.Plan(s, plan) {
			t.Errorf("%v: %v", now, f)
		}
		if t.Failed() {
			return
		}
	}
}

// The same morning, a year of weeks later, is the same story.
func TestShiftMovesEveryDate(t *testing.T) {
	was := parse(t, demo.Document())
	now, err := demo.At(demo.Told + 52*7*schedule.MinutesPerDay)
	if err != nil {
		t.Fatal(err)
	}
	if n := compareDates(t, "site", reflect.ValueOf(*was), reflect.ValueOf(*now), 52*7); n < 300 {
		t.Errorf("only %d dates compared", n)
	}
	same, err := demo.At(demo.Told)
	if err != nil {
		t.Fatal(err)
	}
	a, _ := json.Marshal(was)
	if b, _ := json.Marshal(same); string(a) != string(b) {
		t.Error("at its own minute the story is not the document")
	}
}

func compareDates(t *testing.T, path string, a, b reflect.Value, days int64) (n int) {
	t.Helper()
	switch v := a.Interface().(type) {
	case schedule.Day:
		if d := int64(b.Interface().(schedule.Day) - v); v != 0 && d != days {
			t.Errorf("%s moved by %d days", path, d)
		}
		return 1
	case schedule.Minute:
		if d := int64(b.Interface().(schedule.Minute) - v); v != 0 && d != days*schedule.MinutesPerDay {
			t.Errorf("%s moved by %d minutes", path, d)
		}
		return 1
	}
	switch a.Kind() {
	case reflect.Struct:
		for i := range a.NumField() {
			n += compareDates(t, path+"."+a.Type().Field(i).Name, a.Field(i), b.Field(i), days)
		}
	case reflect.Slice:
		if a.Len() != b.Len() {
			t.Fatalf("%s: %d and %d things", path, a.Len(), b.Len())
		}
		for i := range a.Len() {
			n += compareDates(t, path, a.Index(i), b.Index(i), days)
		}
	}
	return n
}
