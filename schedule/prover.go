package schedule

import "batterboard/schedule/exact"

// How much the solver may spend: on one portion, on a first try of a variant, and on it in all.
const (
	portion = 20_000
	early   = 200_000
	enough  = 4_000_000
)

// beyond is how many days after the latest finish known the solver still looks: calls may be saved by
// finishing later than anything found so far.
const beyond = 28

// prover asks of one variant whether it has a trade that beats what was found: anything sooner; else sooner
// than the soonest found with fewer calls than that; and so on. What it finds is a way, unless some extras
// are free: then it is only a sign that there may be one.
type prover struct {
	s       *Search
	v       *variant
	use     []extra // made into v when the proof begins; the first paid of them cost and are heard
	paid    int
	anybody []extra // stand-ins let loose
	cost    int64   // ways that cost no more than this are what it must beat

	z      *puzzle
	solver *exact.Solver

	limit  int32 // calls weigh no more than this
	by     Minute
	seen   [2]int32 // what was last offered unproved
	spent  int64
	budget int64
	claims []claim
	better []trade // trades not beaten by anything found, where some extras are free
	done   bool
	whole  bool // every trade was asked about
	rough  bool // a trade of the puzzle, which is rounded towards freedom, could not be had on the site
}

// claim is something proved: what needs calls of no more than limit is finished no sooner than day.
type claim struct {
	limit int32
	day   Day
}

// trade is a proved point: by this day, calls weigh at least this much. The layout is one that does so.
type trade struct {
	day    Day
	weight int32
	l      *layout
}

// anyCalls is the limit that is none.
const anyCalls = 1<<31 - 1

// free tells whether what the prover finds is not a way by itself.
func (p *prover) free() bool { return p.paid < len(p.use) || len(p.anybody) > 0 }

// prove lines up a proof.
func (s *Search) prove(p *prover) []task {
	p.s, p.limit = s, anyCalls
	if p.budget == 0 {
		p.budget = enough
	}
	return []task{p.begin, p.walk}
}

// begin writes the puzzle.
func (p *prover) begin() bool {
	s := p.s
	if p.v == nil {
		p.v = s.variant(p.use, p.paid)
		p.v.m.loosen(p.anybody)
	}
	s.spent += int64(len(p.v.m.nodes))
	alone := p.v.m.alone()
	if p.hopeless(lastDay(alone.finishOf())) {
		return false
	}
	last := s.now
	for _, c := range s.found {
		if c.mark.finish < Never {
			last = max(last, c.mark.finish)
		}
	}
	last = (max(last, s.push.Finish).Day() + beyond).Start()
	p.z = newPuzzle(p.v, alone.start, last, &s.drawn)
	if p.done = !p.z.sure; p.done {
		return false
	}
	solver, err := exact.NewIn(&s.drawn.memory, &p.z.p)
	p.solver, p.done = solver, err != nil
	return false
}

// hopeless claims whatever even a plan without anybody to share with, finished on the day alone, does not gain,
// and tells whether that is all there was to ask.
func (p *prover) hopeless(alone Day) bool {
	for f := p.toBeat(); f != nil && alone >= lastDay(f.finish); f = p.toBeat() {
		p.claim(lastDay(f.finish))
		if p.next(f.weight); p.done {
			return true
		}
	}
	return false
}

// toBeat is the soonest mark found within the limit on calls, and of those the one with the fewest; nil for none.
func (p *prover) toBeat() *mark {
	var best *mark
	for i := range p.s.found {
		k := &p.s.found[i].mark
		if k.cost > p.cost || k.weight > p.limit || k.finish >= Never {
			continue
		}
		if best == nil || lastDay(k.finish) < lastDay(best.finish) || lastDay(k.finish) == lastDay(best.finish) && k.weight < best.weight {
			best = k
		}
	}
	return best
}

func (p *prover) claim(day Day) { p.claims = append(p.claims, claim{p.limit, day}) }

// walk takes one portion of steps.
func (p *prover) walk() bool {
	if !p.done && p.spent <= p.budget {
		if p.by == 0 {
			p.finish()
		} else {
			p.calls()
		}
		if !p.done {
			return true
		}
	}
	if p.done {
		p.solver, p.z = nil, nil
	}
	p.whole = p.whole && !p.rough
	return false
}

// next goes on to trades with calls of less than weight.
func (p *prover) next(weight int32) {
	p.by, p.limit = 0, weight-1
	if p.limit < p.v.constant() {
		p.claim(Never.Day())
		p.done, p.whole = true, true
	}
}

func (p *prover) ask(a exact.Ask) exact.Answer {
	a.Steps = portion
	if p.limit < anyCalls {
		a.Limit, a.Cost = true, p.limit-p.v.constant()
	}
	ans := p.solver.Solve(a)
	p.spent += ans.Steps
	p.s.spent += ans.Steps + 1
	if ans.Steps == 0 && !ans.Proved {
		p.done = true // it cannot go on: give up rather than go round
	}
	return ans
}

// finish looks for something sooner than what is to beat.
func (p *prover) finish() {
	f, by := p.toBeat(), p.z.p.Horizon
	if f != nil {
		if by = p.z.floor(lastDay(f.finish).Start()); by <= 0 {
			p.claim(lastDay(f.finish))
			p.next(f.weight)
			return
		}
		by = min(by, p.z.p.Horizon)
	}
	a := p.ask(exact.Ask{Want: exact.Finish, By: by, Hint: p.hint()})
	switch {
	case !a.Proved:
		p.glimpse(a)
	case a.Found:
		day := p.dayOf(a.Finish)
		p.claim(day)
		p.by = (day + 1).Start()
	case f != nil:
		p.claim(lastDay(f.finish))
		p.next(f.weight)
	default:
		p.claim(Never.Day())
		p.done, p.whole = true, true
	}
}

// glimpse offers what was found without being proved, when it is another than the last time.
func (p *prover) glimpse(a exact.Answer) {
	if now := [2]int32{a.Finish, a.Cost}; a.Found && !p.free() && now != p.seen {
		p.seen = now
		p.s.offer(p.v, p.z.layout(a.Starts))
	}
}

// calls looks for the fewest calls by the day found.
func (p *prover) calls() {
	by := min(p.z.ceil(p.by), p.z.p.Horizon)
	a := p.ask(exact.Ask{Want: exact.Cost, By: by, Hint: p.hint()})
	if !a.Proved {
		p.glimpse(a)
		return
	}
	if !a.Found {
		p.done = true
		return
	}
	t := trade{p.by.Day() - 1, a.Cost + p.v.constant(), p.z.layout(a.Starts)}
	if p.free() {
		p.better = append(p.better, t)
	} else {
		p.s.offer(p.v, t.l)
		p.rough = p.rough || !p.s.beaten(t, p.cost)
	}
	p.next(t.weight)
}

// dayOf is the last day worked on when all is finished at f.
func (p *prover) dayOf(f int32) Day {
	return lastDay(p.z.origin + Minute(int64(f)*p.z.grid))
}

// hint is the candidate of this variant that comes nearest.
func (p *prover) hint() []int32 {
	for i := range p.s.found {
		if c := &p.s.found[i]; c.v == p.v {
			return p.z.hint(&layout{start: c.start, finish: c.finish})
		}
	}
	return nil
}

// noSooner tells whether it is proved that nothing whose calls weigh no more than limit is finished before day.
func (p *prover) noSooner(day Day, limit int32) bool {
	for _, c := range p.claims {
		if c.limit >= limit && c.day >= day {
			return true
		}
	}
	return false
}

// lower is the day before which nothing is finished, as far as proved; zero for unknown.
func (p *prover) lower() (day Day) {
	for _, c := range p.claims {
		if c.limit == anyCalls {
			day = max(day, c.day)
		}
	}
	return day
}
