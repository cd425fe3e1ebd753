package template

import "batterboard/schedule"

// Hours are quantity x rate x factors; the crew's people share them, which the planner does by Hands. All in
// thousandths of a minute until the end, each part rounded up to half an hour of one person, for nobody knows it
// better: so three layers are three times one to the minute, and a bigger room is never shorter.

type amount struct{ low, typical, high int64 }

func (a amount) times(f Factor) amount {
	return amount{a.low * f.Low / 100, a.typical * f.Typical / 100, a.high * f.High / 100}
}

func (a amount) plus(b amount) amount {
	return amount{a.low + b.low, a.typical + b.typical, a.high + b.high}
}

// upTo rounds up to whole steps of minutes.
func (a amount) upTo(step int64) amount {
	step *= 1000
	up := func(n int64) int64 { return (n + step - 1) / step * step }
	return amount{up(a.low), up(a.typical), up(a.high)}
}

// nearest rounds to whole steps of minutes: days are known no better.
func (a amount) nearest(step int64) amount {
	step *= 1000
	to := func(n int64) int64 { return (n + step/2) / step * step }
	return amount{to(a.low), to(a.typical), to(a.high)}
}

func (a amount) atLeast(minutes int64) amount {
	m := minutes * 1000
	return amount{max(a.low, m/2), max(a.typical, m), max(a.high, m)}
}

func (a amount) minutes() schedule.Range {
	return schedule.Range{Low: int32(a.low / 1000), Typical: int32(a.typical / 1000), High: int32(a.high / 1000)}
}

// labour is the hours of an activity; own says that the owner does what a crew would.
func (f *facts) labour(r *activityRule, own bool) schedule.Range {
	b := rules()
	var sum amount
	if len(r.Days) == 2 {
		sum = f.days(r).times(b.Factors["days"]).nearest(grain)
	}
	for _, t := range r.Work {
		if t.When.holds(f) {
			sum = sum.plus(f.part(&t, own))
		}
	}
	if len(r.Days) == 2 && own {
		sum = sum.times(b.Factors["own"]).upTo(grain)
	}
	if r.Least > 0 && !own {
		sum = sum.atLeast(r.Least * int64(max(1, r.Hands)))
	}
	return f.paced(sum, workOf(r)).minutes()
}

// part is one term.
func (f *facts) part(t *term, own bool) amount {
	b := rules()
	rate := b.rate[t.Rate]
	if rate == nil {
		return amount{}
	}
	q := f.quantity(t.Of)
	of := func(hundredths int64) int64 { return hundredths * 60 * q / (10 * rate.Per) } // x 1000 / 100 / 100
	a := amount{of(rate.Low), of(rate.Typical), of(rate.High)}
	for _, name := range split(t.Times, ' ') {
		if name == "high" && f.number("height") <= tall {
			continue
		}
		a = a.times(b.Factors[name])
	}
	if rate.New {
		a = a.times(b.Factors["small"])
	}
	if own {
		a = a.times(b.Factors["own"])
	}
	return a.upTo(grain)
}

// grain is half an hour, in minutes.
const grain = 30

// The rooms the practice of days speaks of: a one-car room of 12 x 22 ft and a two-car room of 22 x 22 ft,
// with wide doors of 9 and 16 ft.
const (
	oneFloor, twoFloor = 264 * hundred, 484 * hundred
	oneWide, twoWide   = 2743, 4877
)

// days grows between the two rooms and beyond them in a straight line, and never falls below half of the
// smaller.
func (f *facts) days(r *activityRule) amount {
	x, one, two := f.quantity("floor"), int64(oneFloor), int64(twoFloor)
	if r.By == "wide" {
		x, one, two = f.number("wide"), oneWide, twoWide
	}
	d := r.Days[0]*1000 + (r.Days[1]-r.Days[0])*1000*(x-one)/(two-one)
	d = max(d, r.Days[0]*500)
	m := d * 480 / hundred * int64(max(1, r.Hands))
	return amount{m, m, m}
}

// paced is what the owner's finished work taught about a kind of work, in percent; see Pace.
func (f *facts) paced(a amount, work string) amount {
	p, ok := whole(f.said["pace/"+work])
	if !ok || p < 20 || p > 500 || p == 100 {
		return a
	}
	return a.times(Factor{Low: p, Typical: p, High: p}).upTo(grain)
}

// workOf is the kind of work that shares a pace: what the owner would say to do it alone, else the crew's.
func workOf(r *activityRule) string {
	if r.Own != "" {
		return r.Own
	}
	return r.Crew
}

// WorkOf is the kind of work of an activity that the questions made; empty for others.
func WorkOf(id string) string {
	if r := rules().act[id]; r != nil {
		return workOf(r)
	}
	return ""
}

// LabourOf is the hours of one activity under the answers; false where the rules have none of that ID.
func LabourOf(a Answers, id string) (schedule.Range, bool) {
	r := rules().act[id]
	if r == nil {
		return schedule.Range{}, false
	}
	f := newFacts(a)
	return f.labour(r, r.Own != "" && f.is("own", r.Own)), true
}
