package schedule

import "batterboard/schedule/exact"

// How much the solver may spend: on one portion, and on one variant before it gives up.
const (
	portion = 20000
	enough  = 4000000
)

// beyond is how many days after the latest finish known the solver still looks: calls may be saved by
// finishing later than anything found so far.
const beyond = 28

// prover walks along the best trades of one variant: the soonest finish day, the fewest calls on it, the
// soonest day with fewer calls than that, and so on.
type prover struct {
	s       *Search
	v       *variant
	use     []extra // made into v when the proof begins
	free    bool    // only for a bound: what it finds is no way
	anybody []extra // stand-ins let loose, for a bound
	z       *puzzle
	solver  *exact.Solver

	limit int32 // look for trades whose calls (beyond the constant ones) weigh no more; -1 for any
	by    Minute
	spent int64
	lower Day // nothing at all finishes before this day
	steps []trade
	done  bool
	whole bool // all trades were found and proved
}

// trade is a proved point: by this day, calls weigh at least this much.
type trade struct {
	day    Day
	weight int32
}

// prove lines up the proof of a variant.
func (s *Search) prove(v *variant) { s.tasks = append(s.tasks, s.proofTasks(v)...) }

func (s *Search) proofTasks(v *variant) []task {
	p := &prover{s: s, v: v, limit: -1}
	s.runs = append(s.runs, p)
	return []task{p.begin, p.walk}
}

// begin writes the puzzle.
func (p *prover) begin() bool {
	if p.v == nil {
		p.v = p.s.variant(p.use, p.free)
		p.v.m.loosen(p.anybody)
	}
	last := p.s.now
	for _, c := range p.s.found {
		if c.mark.finish < Never {
			last = max(last, c.mark.finish)
		}
	}
	last = (max(last, p.s.push.Finish).Day() + beyond).Start()
	p.z = newPuzzle(p.v, last)
	p.s.spent += int64(len(p.v.m.nodes))
	if p.done = !p.z.sure; p.done {
		return false
	}
	solver, err := exact.New(&p.z.p)
	p.solver, p.done = solver, err != nil
	return false
}

// walk takes one portion of steps.
func (p *prover) walk() bool {
	if p.done || p.spent > enough {
		p.solver, p.z, p.done = nil, nil, true
		return false
	}
	if p.by == 0 {
		p.finish()
	} else {
		p.calls()
	}
	if p.done {
		p.solver, p.z = nil, nil
	}
	return !p.done
}

func (p *prover) ask(a exact.Ask) exact.Answer {
	a.Steps = portion
	if p.limit >= 0 {
		a.Limit, a.Cost = true, p.limit
	}
	ans := p.solver.Solve(a)
	p.spent += ans.Steps
	p.s.spent += ans.Steps + 1
	if ans.Steps == 0 && !ans.Proved {
		p.done = true // it cannot go on: give up rather than go round
	}
	return ans
}

// finish looks for the soonest finish within the limit on calls.
func (p *prover) finish() {
	a := p.ask(exact.Ask{Want: exact.Finish, Hint: p.hint()})
	if p.limit < 0 {
		p.lower = max(p.lower, p.dayOf(a.Lower))
	}
	if !a.Proved {
		return
	}
	if !a.Found {
		if p.limit < 0 {
			p.lower = Never.Day()
		}
		p.done, p.whole = true, true
		return
	}
	day := p.dayOf(a.Finish)
	p.by = (day + 1).Start()
}

// calls looks for the fewest calls by the day found.
func (p *prover) calls() {
	by := min(p.z.ceil(p.by), p.z.p.Horizon)
	a := p.ask(exact.Ask{Want: exact.Cost, By: by, Hint: p.hint()})
	if !a.Proved {
		return
	}
	if !a.Found {
		p.done = true
		return
	}
	if !p.free {
		p.s.offer(p.v, p.z.layout(a.Starts))
	}
	p.steps = append(p.steps, trade{p.by.Day() - 1, a.Cost + p.v.constant()})
	p.by, p.limit = 0, a.Cost-1
	if p.limit < 0 {
		p.done, p.whole = true, true
	}
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
