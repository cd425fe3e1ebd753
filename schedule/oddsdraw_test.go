package schedule_test

import (
	"math"
	"strings"
	"testing"

	"batterboard/schedule"
)

// The published three-point case: University of North Carolina at Greensboro, open course SCM 304, unit
// 6.3.1. Low, typical and high in sixtieths of the course's unit, what each waits for, and the published
// mean. Published too: mean 23 and variance 2.78 of the path A C E G.
var course304 = []struct {
	id               string
	low, typ, high   int32
	waits            string
	mean, variance60 float64 // as published, in the course's unit and its square
}{
	{"A", 360, 420, 840, "", 8, 1.78}, {"B", 480, 600, 720, "", 10, 0.44}, {"C", 120, 180, 240, "A", 3, 0.11},
	{"D", 360, 420, 480, "A", 7, 0.11}, {"E", 300, 330, 540, "BC", 6, 0.44}, {"F", 300, 420, 540, "BC", 7, 0.44},
	{"G", 240, 360, 480, "DE", 6, 0.44}, {"H", 150, 180, 210, "F", 3, 0.03},
}

// TestDrawMean: the mean of a draw is the published one, its variance the one its distribution has, and
// the published variance (a sixth of the range, squared) is near it as Range.draw says.
func TestDrawMean(t *testing.T) {
	const runs = 20_000
	for _, c := range course304 {
		r := schedule.Range{Low: c.low, Typical: c.typ, High: c.high}
		var sum, squares float64
		for run := range uint64(runs) {
			x := float64(r.Draw(304, run)) / 60
			if x < float64(c.low)/60 || x > float64(c.high)/60 {
				t.Fatalf("%s: drew %v outside %v", c.id, x, r)
			}
			sum += x
			squares += x * x
		}
		mean := sum / runs
		variance := squares/runs - mean*mean
		exact, spread := moments(pmf(r))
		if math.Abs(exact/60-c.mean) > 0.001 {
			t.Errorf("%s: the distribution's mean is %v, published %v", c.id, exact/60, c.mean)
		}
		if math.Abs(spread-stated(r)) > 0.5 { // minutes squared; rounding to the minute adds a twelfth
			t.Errorf("%s: the distribution's variance is %v, stated %v", c.id, spread, stated(r))
		}
		if off := 5 * math.Sqrt(spread/3600/runs); math.Abs(mean-c.mean) > off {
			t.Errorf("%s: mean %v, published %v", c.id, mean, c.mean)
		}
		if math.Abs(variance*3600/spread-1) > 0.06 {
			t.Errorf("%s: variance %v, expected %v", c.id, variance, spread/3600)
		}
		if ratio := stated(r) / 3600 / c.variance60; ratio < 0.65 || ratio > 1.5 {
			t.Errorf("%s: the textbook's variance %v, ours %v", c.id, c.variance60, stated(r)/3600)
		}
	}
}

// stated is the variance that the comment on Range.draw gives, in minutes squared.
func stated(r schedule.Range) float64 {
	width := float64(r.High - r.Low)
	a := 1 + 4*float64(r.Typical-r.Low)/width
	k := math.Floor(a)
	f := a - k
	return width * width * (((1-f)*k*(6-k)+f*(k+1)*(5-k))/252 + f*(1-f)/36)
}

// pmf is the distribution of a draw, minute by minute from 0: worked out from the order statistics, not
// from the code that draws.
func pmf(r schedule.Range) []float64 {
	width, p := float64(r.High-r.Low), make([]float64, r.High+1)
	if width == 0 {
		p[r.Typical] = 1
		return p
	}
	a := 1 + 4*float64(r.Typical-r.Low)/width
	k := math.Floor(a)
	upTo := func(x float64) float64 {
		x = min(max(x, 0), 1)
		return (1-(a-k))*kthOfFive(int(k), x) + (a-k)*kthOfFive(int(k)+1, x)
	}
	for m := r.Low; m <= r.High; m++ {
		at := float64(m - r.Low)
		p[m] = upTo((at+0.5)/width) - upTo((at-0.5)/width)
	}
	return p
}

// kthOfFive is the chance that the k-th smallest of five even draws is at most x: at least k of them are.
func kthOfFive(k int, x float64) (sum float64) {
	choose := [6]float64{1, 5, 10, 10, 5, 1}
	for j := k; j <= 5; j++ {
		sum += choose[j] * math.Pow(x, float64(j)) * math.Pow(1-x, float64(5-j))
	}
	return sum
}

func moments(p []float64) (mean, variance float64) {
	for m, q := range p {
		mean += float64(m) * q
	}
	for m, q := range p {
		variance += (float64(m) - mean) * (float64(m) - mean) * q
	}
	return mean, variance
}

func convolve(a, b []float64) []float64 {
	out := make([]float64, len(a)+len(b)-1)
	for i, x := range a {
		for j, y := range b {
			out[i+j] += x * y
		}
	}
	return out
}

// hourly is a site that works one hour every day, so that a day of its plan is an hour of work.
func hourly(t *testing.T) *schedule.Site {
	week := `["08:00-09:00"],["08:00-09:00"],["08:00-09:00"],["08:00-09:00"],["08:00-09:00"],["08:00-09:00"],["08:00-09:00"]`
	site, err := schedule.ParseSite([]byte(`{"start":"2027-03-01","hours":[` + week + `]}`))
	if err != nil {
		t.Fatal(err)
	}
	return site
}

func activity(id string, r schedule.Range) schedule.Activity {
	return schedule.Activity{ID: id, Labour: r}
}

// within tells whether the share of runs finished after so many days is what it should be, by the bound
// of Dvoretzky, Kiefer and Wolfowitz with Massart's constant ("The tight constant in the DKW
// inequality", 1990) at one in a million.
func within(t *testing.T, o *schedule.Spread, want func(day int) float64) {
	t.Helper()
	off := math.Sqrt(math.Log(2e6) / 2 / float64(o.Runs))
	sum, first := int32(0), schedule.DateOf(2027, 3, 1)
	for _, d := range o.Days {
		sum += d.Runs
		day := int(d.Day-first) + 1
		if got := float64(sum) / float64(o.Runs); math.Abs(got-want(day)) > off {
			t.Errorf("done after %d days: %.4f, exactly %.4f", day, got, want(day))
		}
	}
}

// TestOddsConvolution: one after another, the runs finish as the exact convolution says.
func TestOddsConvolution(t *testing.T) {
	for _, chain := range [][]schedule.Range{
		{{Low: 60, Typical: 300, High: 900}},
		{{Low: 360, Typical: 420, High: 840}, {Low: 120, Typical: 180, High: 240}, {Low: 300, Typical: 330, High: 540}, {Low: 240, Typical: 360, High: 480}},
		{{Low: 200, Typical: 200, High: 700}, {Typical: 90}, {Low: 100, Typical: 640, High: 640}},
	} {
		site, exact := hourly(t), []float64{1}
		for i, r := range chain {
			id := string(rune('a' + i))
			site.Activities = append(site.Activities, activity(id, r))
			if i > 0 {
				site.Links = append(site.Links, schedule.Link{ID: id, From: string(rune('a' + i - 1)), To: id})
			}
			if r.Low == 0 {
				r.Low, r.High = r.Typical, r.Typical
			}
			exact = convolve(exact, pmf(r))
		}
		o := schedule.Odds(site, schedule.DateOf(2027, 3, 1).At(400), 11, 20_000)
		within(t, o, func(day int) float64 { return upTo(exact, day*60) })
	}
}

func upTo(p []float64, m int) (sum float64) {
	for _, q := range p[:min(m+1, len(p))] {
		sum += q
	}
	return sum
}

// TestOddsCourse304: the whole published network. Its path A C E G alone is done after 25 units with
// 0.8849 (published, taking the sum for a normal one); the network has two more paths nearly as long, so
// it is never sooner than the path, and not far behind.
func TestOddsCourse304(t *testing.T) {
	site, path := hourly(t), []float64{1}
	for _, c := range course304 {
		r := schedule.Range{Low: c.low, Typical: c.typ, High: c.high}
		site.Activities = append(site.Activities, activity(c.id, r))
		for i, from := range c.waits {
			site.Links = append(site.Links, schedule.Link{ID: c.id + string(rune('0'+i)), From: string(from), To: c.id})
		}
		if strings.Contains("ACEG", c.id) {
			path = convolve(path, pmf(r))
		}
	}
	mean, variance := moments(path)
	if math.Abs(mean/60-23) > 0.001 {
		t.Errorf("the path's mean is %v, published 23", mean/60)
	}
	// The published figure takes the textbook's variance, 2.78; with our 3.4 a normal sum gives 0.86.
	normal := (1 + math.Erf(2*60/math.Sqrt(2*variance))) / 2
	if p := upTo(path, 25*60); math.Abs(p-0.8849) > 0.04 || math.Abs(p-normal) > 0.02 {
		t.Errorf("the path is done after 25 with %.4f, published 0.8849, normal %.4f (variance %.2f)", p, normal, variance/3600)
	}
	o := schedule.Odds(site, schedule.DateOf(2027, 3, 1).At(400), 304, 20_000)
	sum, off := int32(0), math.Sqrt(math.Log(2e6)/2/20_000)
	for _, d := range o.Days {
		sum += d.Runs
		day := int(d.Day-schedule.DateOf(2027, 3, 1)) + 1
		alone := upTo(path, day*60)
		if got := float64(sum) / 20_000; got > alone+off || got < alone-0.15 {
			t.Errorf("done after %d: %.4f, its longest path alone %.4f", day, got, alone)
		}
	}
	for _, l := range o.Lines {
		if on := l.Taut > 10_000; on != strings.Contains("ACEG", l.ID) && l.ID != "D" {
			t.Errorf("%s is on the chain in %d of 20,000 runs", l.ID, l.Taut)
		}
	}
}

// TestOddsFailsOnAverage: a visit that fails with one in four passes after so many visits as the
// geometric distribution says. Every visit is its own day here: no notice, half a day to fix.
func TestOddsFailsOnAverage(t *testing.T) {
	site := small(t, `"holds":[{"id":"look","failPct":25,"hours":[["08:00-12:00"],["08:00-12:00"],["08:00-12:00"],["08:00-12:00"],["08:00-12:00"]]}]`)
	o := oddsAt(t, site, "2027-03-01T06:40", 20_000)
	within(t, o, func(day int) float64 { // Monday to Friday, each day one visit; the fourth fail is the last
		if day >= 5 {
			return 1
		}
		return 1 - math.Pow(0.25, float64(day))
	})
	site = small(t, noShowDoc)
	site.Crew("board").NoShow = 20
	within(t, oddsAt(t, site, "2027-03-01T06:40", 20_000), func(day int) float64 { return []float64{0, 0.8, 1}[day] })
}

// TestOddsWeather: work of five days, of which each after the first is lost with three in ten, is done as the
// negative binomial distribution says: its last four days need so many. Indoors nothing is lost.
func TestOddsWeather(t *testing.T) {
	const pct = 30
	site := hourly(t)
	out := activity("dig", schedule.Range{Typical: 5 * 60})
	out.Outdoor = true
	site.Activities = append(site.Activities, out)
	site.Weather = []int32{pct}
	now := schedule.DateOf(2027, 3, 1).At(400)
	o := schedule.Odds(site, now, 4, 20_000)
	within(t, o, func(day int) float64 { // at least 4 dry days among the day-1 after the first
		p := 0.0
		for dry := 4; dry <= day-1; dry++ {
			p += choose(day-1, dry) * math.Pow(1-pct/100.0, float64(dry)) * math.Pow(pct/100.0, float64(day-1-dry))
		}
		return p
	})
	if o.MadeOf != (schedule.MadeOf{Weather: 1}) {
		t.Errorf("made of %+v", o.MadeOf)
	}
	site.Activities[0].Outdoor = false
	if got := days(schedule.Odds(site, now, 4, 50)); got != `[{"day":"2027-03-05","runs":50}]` {
		t.Errorf("indoors: %s", got)
	}
	// By the month: March is dry, every day of April is lost; May is dry again.
	site.Activities[0].Outdoor = true
	site.Activities[0].NotBefore = schedule.DateOf(2027, 3, 30).Start()
	site.Weather = []int32{0, 0, 0, 100, 0, 0, 0, 0, 0, 0, 0, 0}
	if got := days(schedule.Odds(site, now, 4, 50)); got != `[{"day":"2027-05-03","runs":50}]` {
		t.Errorf("a lost April: %s", got)
	}
}

// TestOddsOneSky: two pieces of outdoor work on the same day are stopped by the same weather: both are done in one
// day with 7 in 10, not 49 in 100, in runs that start the day after.
func TestOddsOneSky(t *testing.T) {
	site := hourly(t)
	for _, id := range []string{"dig", "pour"} {
		a := activity(id, schedule.Range{Typical: 60})
		a.Outdoor, a.NotBefore = true, schedule.DateOf(2027, 3, 2).Start()
		site.Activities = append(site.Activities, a)
	}
	site.Weather = []int32{30}
	within(t, schedule.Odds(site, schedule.DateOf(2027, 3, 1).At(400), 9, 20_000), func(day int) float64 { return 1 - math.Pow(0.3, float64(day-1)) })
}

// TestOddsTogether: weather and no-shows on a chain of three outdoor days, exactly: as many dry days are needed as there
// are jobs and missed first days together, a binomial number of a binomial number.
func TestOddsTogether(t *testing.T) {
	const jobs, noShow, wet = 3, 0.2, 0.35
	site := hourly(t)
	site.Crews = append(site.Crews, schedule.Crew{ID: "crew", NoShow: 20})
	site.Weather = []int32{35}
	for i := range jobs {
		a := activity(string(rune('a'+i)), schedule.Range{Typical: 60})
		a.Outdoor, a.Crew = true, "crew"
		site.Activities = append(site.Activities, a)
		if i > 0 {
			site.Links = append(site.Links, schedule.Link{ID: a.ID, From: site.Activities[i-1].ID, To: a.ID})
		}
	}
	within(t, schedule.Odds(site, schedule.DateOf(2027, 3, 1).At(400), 77, 20_000), func(day int) (p float64) {
		for missed := 0; missed <= jobs; missed++ {
			much := choose(jobs, missed) * math.Pow(noShow, float64(missed)) * math.Pow(1-noShow, float64(jobs-missed))
			for dry := jobs + missed - 1; dry <= day-1; dry++ { // today is dry, the others as they come
				p += much * choose(day-1, dry) * math.Pow(1-wet, float64(dry)) * math.Pow(wet, float64(day-1-dry))
			}
		}
		return p
	})
}

func choose(n, k int) float64 {
	c := 1.0
	for i := range k {
		c = c * float64(n-i) / float64(i+1)
	}
	return c
}
