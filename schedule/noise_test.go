package schedule_test

import (
	"bytes"
	"slices"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
	"batterboard/schedule/randsite"
)

// noisySite is a crowded site with noise hours, every second one odd.
func noisySite(n uint64) (*schedule.Site, schedule.Minute) {
	shape := crowded
	shape.Noise, shape.Odd = true, n%2 == 1
	return randsite.Site(n, shape)
}

// TestNoiseByHand: worked cases. Monday is 1 March 2027; crews work 8:00-12:00 and 12:30-16:30 unless they say otherwise.
func TestNoiseByHand(t *testing.T) {
	const nine = `"noise":[["09:00-17:00"],["09:00-17:00"],["09:00-17:00"],["09:00-17:00"],["09:00-17:00"]],`
	const crew = `"crews":[{"id":"c"}],`
	for _, c := range []struct{ what, doc, start, finish, because string }{
		// Monday 9:00-12:00 and 12:30-16:30 are 3 + 4 = 7 h, half an hour is left for Tuesday from 9:00 on.
		{"seven hours and a half", nine + crew + `"activities":[{"id":"a","crew":"c","noisy":true,"labour":{"typical":450}}]`, "2027-03-01T09:00", "2027-03-02T09:30", "noise"},
		{"six hours", nine + crew + `"activities":[{"id":"a","crew":"c","noisy":true,"labour":{"typical":360}}]`, "2027-03-01T09:00", "2027-03-01T15:30", "noise"},
		{"quiet work", nine + crew + `"activities":[{"id":"a","crew":"c","labour":{"typical":450}}]`, "2027-03-01T08:00", "2027-03-01T16:00", "start"},
		{"no noise hours", crew + `"activities":[{"id":"a","crew":"c","noisy":true,"labour":{"typical":450}}]`, "2027-03-01T08:00", "2027-03-01T16:00", "start"},
		{"nobody's work", nine + `"activities":[{"id":"a","noisy":true,"labour":{"typical":450}}]`, "2027-03-01T09:00", "2027-03-02T09:30", "noise"},
		// The days left out have none: Monday and Tuesday go by, Wednesday is 13:00-15:00, and so is next Wednesday.
		{"one afternoon a week", `"noise":[[],[],["13:00-15:00"]],` + crew + `"activities":[{"id":"a","crew":"c","noisy":true,"labour":{"typical":180}}]`, "2027-03-03T13:00", "2027-03-10T14:00", "noise"},
		// c alone would begin 8:00, d at 10:00; noise is allowed before that.
		{"two crews", nine + `"crews":[{"id":"c"},{"id":"d","hours":[["10:00-14:00"]]}],"activities":[{"id":"a","crew":"c","with":["d"],"noisy":true,"labour":{"typical":60}}]`, "2027-03-01T10:00", "2027-03-01T11:00", "calendar"},
		// The Saturday of the opening, 7:00-13:00: noise is allowed 10:00-16:00, so 10:00-13:00 is left.
		{"an opening on a Saturday", `"start":"2027-03-06","noise":[[],[],[],[],[],["10:00-16:00"]],` + crew + `"openings":[{"id":"o","crew":"c","day":"2027-03-06","from":420,"to":780}],
			"activities":[{"id":"a","crew":"c","noisy":true,"labour":{"typical":180}}]`, "2027-03-06T10:00", "2027-03-06T13:00", "start"},
		// Overtime to 19:00 on Monday: noise ends 17:00, so of 8 h Monday has 3 + 4 + ½ (16:30-17:00), Tuesday half an hour.
		{"an evening", nine + crew + `"openings":[{"id":"o","crew":"c","day":"2027-03-01","from":990,"to":1140}],"activities":[{"id":"a","crew":"c","noisy":true,"labour":{"typical":480}}]`, "2027-03-01T09:00", "2027-03-02T09:30", "noise"},
		// Begun at 8:00 all the same: that is a fact. What is left counts from 9:00 on.
		{"begun too early", nine + crew + `"activities":[{"id":"a","crew":"c","noisy":true,"labour":{"typical":450},"started":"2027-03-01T08:00"}]`, "2027-03-01T08:00", "2027-03-02T09:30", "fact"},
		{"behind other work", nine + `"crews":[{"id":"c"},{"id":"d"}],"activities":[{"id":"a","crew":"c","noisy":true,"labour":{"typical":60}},{"id":"b","crew":"d","labour":{"typical":510}}],"links":[{"id":"l","from":"b","to":"a"}]`,
			"2027-03-02T09:00", "2027-03-02T10:00", "noise"},
		{"never", `"noise":[["00:00-05:00"]],` + crew + `"activities":[{"id":"a","crew":"c","noisy":true,"labour":{"typical":60}}]`, "", "", "calendar"},
	} {
		if c.doc[:8] != `"start":` {
			c.doc = `"start":"2027-03-01",` + c.doc
		}
		site, err := schedule.ParseSite([]byte("{" + c.doc + "}"))
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		now := schedule.DateOf(2027, 2, 26).At(17 * 60)
		if site.Activities[0].Started != 0 {
			now = schedule.DateOf(2027, 3, 1).At(10 * 60)
		}
		plan := schedule.Lay(site, now)
		l := plan.Line("a")
		if c.start == "" {
			if l.Start < schedule.Never || !lost(plan) || !site.TooLoud(&site.Activities[0], now.Day()) {
				t.Errorf("%s: it lies %s, problems %v", c.what, l.Start, plan.Problems)
			}
		} else if l.Start.String() != c.start || l.Finish.String() != c.finish || site.TooLoud(&site.Activities[0], now.Day()) {
			t.Errorf("%s: %s to %s, want %s to %s", c.what, l.Start, l.Finish, c.start, c.finish)
		}
		if string(l.Because.Kind) != c.because {
			t.Errorf("%s: it starts because of %+v, want %s", c.what, l.Because, c.because)
		}
		if faults := check.Plan(site, plan); len(faults) > 0 {
			t.Errorf("%s: %v", c.what, faults)
		}
	}
}

// TestNoiseLaws: on sites with noise hours every plan passes the checker, no open work begins or ends in the quiet,
// and who cannot be loud in any hour is told so. Noise hours that never end, and those of a site where nothing is
// noisy, change nothing.
func TestNoiseLaws(t *testing.T) {
	t.Parallel()
	tried, waits, never := 0, 0, 0
	for n := range sites(4) {
		site, now := noisySite(n)
		plan := schedule.Lay(site, now)
		bad := func(why string) {
			show(t, site, plan)
			t.Fatalf("site %d: %s", n, why)
		}
		if faults := check.Plan(site, plan); len(faults) > 0 {
			bad(said(faults))
		}
		for _, l := range plan.Lines {
			a := site.Activity(l.ID)
			if a == nil || !a.Noisy || l.Frozen {
				continue
			}
			if l.Start >= schedule.Never {
				if site.TooLoud(a, max(now.Day(), site.Start)) {
					never++
				}
				continue
			}
			if l.Start < l.Finish {
				tried++
				if !allowed(site, l.Start) || !allowed(site, l.Finish-1) {
					bad(l.ID + " is loud in the quiet: " + l.Start.String() + " to " + l.Finish.String())
				}
			}
			if l.Because.Kind == schedule.BecauseNoise {
				waits++
			}
			if site.TooLoud(a, now.Day()) {
				bad(l.ID + " lies somewhere and is said to be too loud for every hour")
			}
		}
		quiet := *site
		quiet.Noise = nil
		want := text(t, schedule.Lay(&quiet, now))
		whole := *site
		whole.Noise = new(schedule.Week)
		for d := range whole.Noise {
			whole.Noise[d] = []schedule.Window{{From: 0, To: schedule.MinutesPerDay}}
		}
		if got := text(t, schedule.Lay(&whole, now)); !bytes.Equal(got, want) {
			bad("noise that is always allowed changes the plan")
		}
		hush := *site
		hush.Activities = slices.Clone(site.Activities)
		for i := range hush.Activities {
			hush.Activities[i].Noisy = false
		}
		if got := text(t, schedule.Lay(&hush, now)); !bytes.Equal(got, want) {
			bad("noise hours change the plan of work that is not noisy")
		}
	}
	if tried == 0 || waits == 0 || never == 0 {
		t.Errorf("%d noisy lines, %d of them wait for noise hours, %d find none", tried, waits, never)
	}
	t.Logf("%d noisy lines, %d of them wait for noise hours, %d find none", tried, waits, never)
}

// allowed tells whether work may be loud at m.
func allowed(s *schedule.Site, m schedule.Minute) bool {
	return slices.ContainsFunc(s.Noise[m.Day().Weekday()], func(w schedule.Window) bool { return w.From <= m.OfDay() && m.OfDay() < w.To })
}

// TestNoiseWays: no way through a change lets noisy work out of the noise hours: not by a Saturday, nor an evening,
// nor a stand-in, nor a second visit.
func TestNoiseWays(t *testing.T) {
	t.Parallel()
	openings := 0
	for n := range sites(20) {
		site, now := noisySite(n)
		r := randsite.Rand(n)
		after := changed(&r, site, now)
		if n%2 == 1 && lost(schedule.Lay(after, now)) {
			continue // see TestLaidStays
		}
		ways := schedule.FindWays(site, after, now, 60000)
		for i := range ways.Ways {
			taken(t, n, after, now, &ways.Ways[i])
			honest(t, n, site, after, now, &ways.Ways[i])
			openings += len(ways.Ways[i].Openings)
		}
	}
	if openings == 0 && !testing.Short() {
		t.Error("no way opens more hours")
	}
}

// TestNoiseBrute: with noise hours too the whole set of best trades is what trying everything finds.
func TestNoiseBrute(t *testing.T) {
	t.Parallel()
	bruteSites(t, 50, true)
}
