package engine

import (
	"sort"
	"strconv"

	"batterboard/schedule"
)

// The runs of one question: the first portion is there before the thumb is up again, the rest refines
// it. Counted, not timed, and one seed for all: two phones with the same plan show the same dots.
const (
	oddsFirst = 250
	oddsMore  = 475 // a fifth of a second on a slow phone: a tap does not wait behind it
	oddsRuns  = 5_000
	oddsSeed  = 1
)

// oddsFresh is how long a question may stand before it is asked anew of the moment it then is.
const oddsFresh = 15

// rolled is the odds last asked for: of which site, when, and how far they have come.
type rolled struct {
	site *schedule.Site
	now  schedule.Minute
	seed uint64
	of   int
	dice *schedule.Dice
}

// roll makes more runs: the next portion, or Count at once with the seed in Key.
func (e *Engine) roll(r Request) {
	if r.Key == "" && r.Count == 0 {
		e.odds(oddsSeed, oddsRuns).next()
		return
	}
	seed, err := strconv.ParseUint(r.Key, 10, 64)
	if err != nil || r.Count < 1 || r.Count > schedule.MaxRuns {
		e.refuse("refused.odds", "n", itoa(schedule.MaxRuns))
		return
	}
	o := e.odds(seed, int(r.Count))
	o.dice.Roll(o.of - o.dice.Runs())
}

// odds is the question as it stands, or a new one where the site or the moment is another.
func (e *Engine) odds(seed uint64, of int) *rolled {
	o, now := e.dice, e.sheet.now
	if o == nil || o.site != e.site || o.seed != seed || o.of != of || now < o.now || now >= o.now+oddsFresh {
		o = &rolled{site: e.site, now: now, seed: seed, of: of, dice: schedule.NewDice(e.sheet.withTrust(), now, seed)}
		e.dice = o
	}
	return o
}

// next is one portion more.
func (o *rolled) next() {
	portion := oddsMore
	if o.dice.Runs() == 0 {
		portion = oddsFirst
	}
	o.dice.Roll(min(portion, o.of-o.dice.Runs()))
}

// oddsView shows the odds as far as they have come.
func (e *Engine) oddsView(s *sheet) *OddsView {
	o := e.dice
	if o == nil || o.site != e.site || s.now >= o.now+oddsFresh {
		o = e.odds(oddsSeed, oddsRuns)
	}
	if o.dice.Runs() == 0 {
		o.next()
	}
	sp := o.dice.Spread()
	v := &OddsView{Runs: sp.Runs, Of: int32(o.of), More: o.dice.Runs() < o.of, Left: s.w.Say("odds.left")}
	if len(sp.Lines) == 0 {
		return &OddsView{Line: s.w.Say("odds.none"), Left: v.Left}
	}
	plan := lastDay(0, sp.Plan)
	if sp.MadeOf.Weather > 0 {
		v.Left = s.w.Say("odds.leftWet")
	}
	v.Made, v.Trust = s.oddsMade(sp), s.trustLines()
	if sp.MadeOf == (schedule.MadeOf{}) {
		v.Line = s.w.Say("odds.sure", "day", s.dated(plan))
	} else {
		s.oddsSaid(v, sp, plan)
	}
	s.oddsDays(v, sp, plan)
	s.oddsTaut(v, sp)
	return v
}

// oddsSaid is the spread in sentences.
func (s *sheet) oddsSaid(v *OddsView, sp *schedule.Spread, plan schedule.Day) {
	for _, m := range []struct {
		key string
		at  schedule.Minute
	}{{"half", sp.Half}, {"most", sp.Most}, {"nearly", sp.Nearly}} {
		day := lastDay(0, m.at)
		v.Marks = append(v.Marks, OddsMark{Key: m.key, Day: day, Text: s.w.Say("odds."+m.key, "day", s.dated(day))})
	}
	v.Line = s.w.Say("odds.line", "half", v.Marks[0].Text, "most", v.Marks[1].Text, "nearly", v.Marks[2].Text)
	if sp.Promise != 0 {
		v.Promise = s.w.Say("odds.promise", "day", s.dated(sp.Promise))
	}
	if kept := ofHundred(sp.OnPlan, sp.Runs); kept > 0 {
		v.Plan = s.w.Say("odds.plan", "day", s.dated(plan), "n", itoa(int(kept)))
	} else {
		v.Plan = s.w.Say("odds.planRare", "day", s.dated(plan))
	}
	if sp.Beyond > 0 {
		v.Plan += " " + s.w.Say("odds.beyond", "n", itoa(int(sp.Beyond)), "of", itoa(int(sp.Runs)))
	}
}

// ofHundred is a share in hundredths, rounded.
func ofHundred(n, of int32) int32 { return (100*n + of/2) / max(of, 1) }

// oddsMade says what the runs are made of.
func (s *sheet) oddsMade(sp *schedule.Spread) string {
	var what []string
	for _, p := range []struct {
		key string
		n   int32
	}{{"odds.ranges", sp.MadeOf.Ranges}, {"odds.noShows", sp.MadeOf.NoShows}, {"odds.fails", sp.MadeOf.Fails}, {"odds.weather", sp.MadeOf.Weather}} {
		if p.n > 0 {
			what = append(what, s.w.Count(p.key, int64(p.n)))
		}
	}
	if len(what) == 0 {
		return s.w.Say("odds.madeNone")
	}
	return s.w.Say("odds.made", "n", itoa(int(sp.Runs)), "what", s.w.List(what))
}

// longSpread is how many days may stand one below the other; a wider spread is told in weeks.
const longSpread = 70

// oddsDays lays a hundred dots on the days: the run at the middle of each hundredth is one dot.
func (s *sheet) oddsDays(v *OddsView, sp *schedule.Spread, plan schedule.Day) {
	if len(sp.Days) == 0 {
		return
	}
	dots, from, to := hundredDots(sp), plan, plan
	for _, d := range dots {
		from, to = min(from, d), max(to, d)
	}
	row := func(d schedule.Day) schedule.Day { return d }
	weeks := to-from > longSpread
	if weeks {
		row = func(d schedule.Day) schedule.Day { return d - schedule.Day(d.Weekday()) }
	}
	v.Days = s.oddsRows(row(from), to, weeks)
	at := func(d schedule.Day) *OddsDay {
		i := sort.Search(len(v.Days), func(i int) bool { return v.Days[i].Day > row(d) }) - 1
		return &v.Days[max(i, 0)]
	}
	for _, d := range dots {
		at(d).Dots++
	}
	at(plan).Plan = true
	for _, m := range v.Marks {
		if m.Day <= to {
			at(m.Day).Marks = append(at(m.Day).Marks, m.Text)
		}
	}
	s.oddsTrim(v)
}

// hundredDots is the day each dot lies on, in order.
func hundredDots(sp *schedule.Spread) (dots []schedule.Day) {
	sum, k := int64(0), int64(0)
	for _, d := range sp.Days {
		sum += int64(d.Runs)
		for ; k < 100 && (2*k+1)*int64(sp.Runs)/200 < sum; k++ {
			dots = append(dots, d.Day)
		}
	}
	return dots
}

// oddsRows is every day, or week, from one to the other.
func (s *sheet) oddsRows(from, to schedule.Day, weeks bool) (rows []OddsDay) {
	step, key := schedule.Day(1), "odds.day"
	if weeks {
		step, key = 7, "odds.week"
	}
	for d := from; d <= to; d += step {
		rows = append(rows, OddsDay{Day: d, Text: s.w.Say(key, "day", s.dated(d))})
	}
	return rows
}

// oddsTrim counts the dots in words, and leaves out the days on which nobody works and nothing ends.
func (s *sheet) oddsTrim(v *OddsView) {
	home, kept := s.site.SiteCalendar(s.today()), v.Days[:0]
	for _, d := range v.Days {
		if d.Dots > 0 {
			d.Count = s.w.Say("odds.count", "n", itoa(int(d.Dots)))
			v.Most = max(v.Most, d.Dots)
		}
		if d.Dots > 0 || d.Plan || len(d.Marks) > 0 || home.IsWorkingDay(d.Day) {
			kept = append(kept, d)
		}
	}
	v.Days = kept
}

// oddsNamed is how many lines are named, oddsRare from how many of a hundred runs on.
const (
	oddsNamed = 10
	oddsRare  = 10
)

// oddsTaut names what is most often on the taut chain.
func (s *sheet) oddsTaut(v *OddsView, sp *schedule.Spread) {
	lines := append([]schedule.LineOdds(nil), sp.Lines...)
	sort.SliceStable(lines, func(i, j int) bool {
		if a, b := &lines[i], &lines[j]; a.Taut != b.Taut {
			return a.Taut > b.Taut
		}
		return s.lines[lines[i].ID].Start < s.lines[lines[j].ID].Start
	})
	for _, l := range lines[:min(len(lines), oddsNamed)] {
		o := OddsLine{ID: l.ID, Kind: l.Kind, Name: s.name(l.ID), Share: ofHundred(l.Taut, sp.Runs)}
		if o.Share < oddsRare {
			break
		}
		if a := s.acts[l.ID]; a != nil {
			o.Trade = s.trade(a.Crew)
		}
		o.Often = s.w.Say("odds.often", "n", itoa(int(o.Share)))
		if l.Finish != 0 {
			o.By = s.w.Say("odds.by", "day", s.w.Near(l.Finish, s.today()))
		}
		v.Taut = append(v.Taut, o)
	}
}
