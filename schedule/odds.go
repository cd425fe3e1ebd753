package schedule

import "sort"

// Spread is how the finish would spread if the job were built many times over: the odds. All of it is
// counted, none of it is a promise; MadeOf says what it rests on.
type Spread struct {
	Now  Minute `json:"now"`
	Seed uint64 `json:"seed"`
	Runs int32  `json:"runs"` // how many times the job was built
	Plan Minute `json:"plan"` // where the plan itself finishes

	Half   Minute `json:"half"`   // half of the runs finish by then (50 %)
	Most   Minute `json:"most"`   // 4 of 5 (80 %)
	Nearly Minute `json:"nearly"` // 19 of 20 (95 %)
	// Promise is the first day by whose end 4 of 5 runs are finished: a date one may give away.
	Promise Day `json:"promise,omitzero"`
	// OnPlan is how many runs finish no later than the day the plan finishes.
	OnPlan int32 `json:"onPlan"`

	Days   []DayRuns  `json:"days"`             // runs by the day they finish, in order; days without any are left out
	Beyond int32      `json:"beyond,omitempty"` // runs in which a line found no time within the horizon
	Lines  []LineOdds `json:"lines"`            // every line that is not done, sorted by ID
	MadeOf MadeOf     `json:"madeOf"`
}

// DayRuns is a day and how many runs finish on it.
type DayRuns struct {
	Day  Day   `json:"day"`
	Runs int32 `json:"runs"`
}

// LineOdds is one line over all runs.
type LineOdds struct {
	ID   string   `json:"id"`
	Kind NodeKind `json:"kind"`
	// Taut is in how many runs the line was on the chain that held the finish: the lines that finish last,
	// before them what let go last of each, and so on back. Where two let go at the same minute both count.
	Taut int32 `json:"taut"`
	// In 4 of 5 runs the line has started, and is finished, by these days; 0 where too few runs say so.
	Start  Day `json:"start,omitzero"`
	Finish Day `json:"finish,omitzero"`
}

// MadeOf counts the open lines that chance has a hand in. Where all are 0 every run is the plan.
type MadeOf struct {
	Ranges  int32 `json:"ranges"`  // activities with a low or a high beside the typical figure
	NoShows int32 `json:"noShows"` // activities whose crew may not turn up on the first day
	Fails   int32 `json:"fails"`   // visits that may fail
	Weather int32 `json:"weather"` // outdoor activities that bad days may stop
}

// MaxRuns is the most runs one question may ask. The hundredths of the answer stand still long before.
const MaxRuns = 100_000

// Odds builds the job runs times, each time with its own luck, and counts. The same site, moment, seed
// and number of runs give the same bytes; the order of the site's slices does not matter.
//
// A run draws, for what is not finished yet:
//
//   - the labour of an activity from its low, typical and high figure (Range.draw); without low or high
//     it is the typical one. What is running has the same draw less its share done, and ends no earlier
//     than now.
//   - whether a crew does not show up on the first day of a visit (Crew.NoShow): the work then begins on
//     the crew's next working day.
//   - the weather of each day after today (Site.Weather), one sky for all: on a day that is lost no outdoor
//     work goes on, and what was begun pauses. A day lost can push work over days its crew is away; it is
//     then finished after them, since nobody could know.
//   - whether a visit fails (Hold.FailPct): half a day of fixing in site hours, the notice, the next
//     window; that may fail again, up to maxFails times.
//
// Then everything is pushed: lines keep the order they have in the plan on every crew and place, none
// starts before it was laid or told, and none waits for anything else. Nobody reshuffles: a real owner
// would do better than that, see [FindWays].
//
// Left out: deliveries that come late or short, work found behind a wall, and that one bad day makes
// another likelier (all draws are independent).
func Odds(site *Site, now Minute, seed uint64, runs int) *Spread {
	d := NewDice(site, now, seed)
	d.Roll(runs)
	return d.Spread()
}

// Dice builds the job run by run, so that a phone can show the first picture at once and refine it. How
// the runs are portioned does not change the answer.
type Dice struct {
	course   *course
	seed     uint64
	plan     Minute
	finishes []Minute
	beyond   int32
}

// NewDice gets a site ready for any number of runs.
func NewDice(site *Site, now Minute, seed uint64) *Dice {
	c := newCourse(site, now)
	return &Dice{course: c, seed: seed, plan: c.planned}
}

// Runs is how many runs there have been.
func (d *Dice) Runs() int { return len(d.finishes) }

// Roll makes runs more runs, as far as MaxRuns allows.
func (d *Dice) Roll(runs int) {
	runs = min(runs, MaxRuns-len(d.finishes))
	if need := len(d.finishes) + runs; need > cap(d.finishes) {
		d.finishes = append(make([]Minute, 0, need), d.finishes...)
	}
	for range runs {
		last := d.course.run(d.seed, uint64(len(d.finishes)))
		d.finishes = append(d.finishes, last)
		if last >= Never {
			d.beyond++
		}
	}
}

// Spread is the answer so far.
func (d *Dice) Spread() *Spread {
	c := d.course
	s := &Spread{Now: c.m.now, Seed: d.seed, Runs: int32(len(d.finishes)), Plan: d.plan, Beyond: d.beyond,
		Days: []DayRuns{}, Lines: []LineOdds{}, MadeOf: c.madeOf}
	sorted := append([]Minute(nil), d.finishes...)
	sort.Slice(sorted, func(i, j int) bool { return sorted[i] < sorted[j] })
	s.Half, s.Most, s.Nearly = share(sorted, 50), share(sorted, 80), share(sorted, 95)
	if s.Most > 0 && s.Most < Never {
		s.Promise = lastDay(s.Most)
	}
	for _, f := range sorted {
		if f >= Never {
			break
		}
		day := lastDay(f)
		if n := len(s.Days); n == 0 || s.Days[n-1].Day != day {
			s.Days = append(s.Days, DayRuns{Day: day})
		}
		s.Days[len(s.Days)-1].Runs++
		if day <= lastDay(d.plan) {
			s.OnPlan++
		}
	}
	for k := range c.open {
		s.Lines = append(s.Lines, c.lineOdds(k, s.Runs))
	}
	return s
}

// share is the first of the sorted moments by which pct percent of them have come; 0 for none at all.
func share(sorted []Minute, pct int) Minute {
	if len(sorted) == 0 {
		return 0
	}
	return sorted[(len(sorted)*pct+99)/100-1]
}

// lineOdds counts one open line over the runs so far.
func (c *course) lineOdds(k int, runs int32) LineOdds {
	n := &c.m.nodes[c.open[k]]
	o := LineOdds{ID: n.id, Kind: n.kind, Taut: c.tauts[k]}
	o.Start, o.Finish = c.starts.day(k, runs), c.ends.day(k, runs)
	return o
}
