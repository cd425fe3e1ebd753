package schedule_test

import (
	"bytes"
	"reflect"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/randsite"
)

// shifted moves every date and moment in something so many days.
func shifted[T any](t *testing.T, x T, days schedule.Day) T {
	t.Helper()
	var walk func(v reflect.Value) reflect.Value
	walk = func(v reflect.Value) reflect.Value {
		out := reflect.New(v.Type()).Elem()
		out.Set(v)
		switch d := v.Interface().(type) {
		case schedule.Day:
			if d != 0 {
				out.SetInt(int64(d + days))
			}
			return out
		case schedule.Minute:
			if d != 0 && d < schedule.Never {
				out.SetInt(int64(d + schedule.Minute(days)*schedule.MinutesPerDay))
			}
			return out
		}
		switch v.Kind() {
		case reflect.Pointer:
			if !v.IsNil() {
				out.Set(reflect.New(v.Type().Elem()))
				out.Elem().Set(walk(v.Elem()))
			}
		case reflect.Slice:
			if !v.IsNil() {
				out.Set(reflect.MakeSlice(v.Type(), v.Len(), v.Len()))
				for i := range v.Len() {
					out.Index(i).Set(walk(v.Index(i)))
				}
			}
		case reflect.Struct:
			for i := range v.NumField() {
				out.Field(i).Set(walk(v.Field(i)))
			}
		}
		return out
	}
	return walk(reflect.ValueOf(x)).Interface().(T)
}

// TestEveryWeekAlike: the plan counts on the wall clock of the site, so a site some weeks later has its plan as many
// weeks later, to the minute: windows, notice, cut-offs, lags by the clock, ways and slack. Among the weeks are those
// of a leap day, of a year's end, of a year with 53 weeks, and those in whose night the clocks change: in the United
// States (14 March and 7 November 2027), in the European Union (28 March and 31 October 2027).
func TestEveryWeekAlike(t *testing.T) {
	t.Parallel()
	for n := range sites(20) {
		site, now := anySite(n)
		r := randsite.Rand(n)
		after := changed(&r, site, now)
		plan, ways := schedule.Lay(site, now), schedule.FindWays(site, after, now, 5000)
		for _, monday := range []schedule.Day{
			schedule.DateOf(2027, 3, 8), schedule.DateOf(2027, 3, 22), schedule.DateOf(2027, 10, 25), schedule.DateOf(2027, 11, 1), schedule.DateOf(2027, 12, 27),
			schedule.DateOf(2028, 2, 28), schedule.DateOf(2032, 12, 27), schedule.DateOf(2100, 2, 22),
		} {
			days := monday - randsite.Monday
			if days%7 != 0 {
				t.Fatalf("%s is no Monday", monday)
			}
			then := now + schedule.Minute(days)*schedule.MinutesPerDay
			moved := shifted(t, *site, days)
			if got, want := text(t, schedule.Lay(&moved, then)), text(t, shifted(t, *plan, days)); !bytes.Equal(got, want) {
				t.Fatalf("site %d in the week of %s is planned\n%s\nwant\n%s", n, monday, got, want)
			}
			if n%5 == 0 {
				movedAfter := shifted(t, *after, days)
				if got, want := text(t, schedule.FindWays(&moved, &movedAfter, then, 5000)), text(t, shifted(t, *ways, days)); !bytes.Equal(got, want) {
					t.Fatalf("site %d in the week of %s has ways\n%s\nwant\n%s", n, monday, got, want)
				}
			}
		}
	}
}
