package exact

import "slices"

// outcome is how a search ended.
type outcome uint8

const (
	ranOut outcome = iota
	found
	refuted // nothing within the question's bounds
)

// patience is how many contradictions a restart comes after: twice as many each time.
const (
	patience = 100
	longest  = 1 << 20
)

// search looks for any schedule within the ground literals, for as long as steps stay below limit. Asked
// the same again, it goes on from where it stopped: to start over costs what the last restart bought.
func (s *Solver) search(ground []lit, limit int64) outcome {
	if s.level == 0 || !slices.Equal(ground, s.asking) {
		s.undo(0)
		s.asking = append(s.asking[:0], ground...)
		if s.impossible || !s.settle(ground) {
			return refuted
		}
		s.restart = s.conflicts + s.patience
	}
	for {
		if !s.conclude() {
			if !s.learn() {
				return refuted
			}
			if s.steps >= limit {
				return ranOut
			}
			continue
		}
		if s.level == 0 {
			if !s.settle(ground) {
				return refuted
			}
			continue
		}
		if s.conflicts >= s.restart || s.learned > s.quota {
			s.patience = min(s.patience*2, longest)
			s.restart = s.conflicts + s.patience
			s.undo(1)
			if s.learned > s.quota {
				s.forget()
				s.quota += s.quota / 10
			}
			continue
		}
		l, any := s.decide()
		if !any {
			return found
		}
		s.choose(l)
	}
}

// conclude propagates everything, the weight of the calls too.
func (s *Solver) conclude() bool {
	for {
		if !s.propagate() {
			return false
		}
		n := len(s.trail)
		if !s.weigh() {
			return false
		}
		if n == len(s.trail) {
			return true
		}
	}
}

// settle draws the conclusions that need no question, then opens level 1 with the question's bounds.
// It returns false when there is nothing to search.
func (s *Solver) settle(ground []lit) bool {
	if !s.begin() || !s.conclude() {
		s.impossible = true
		return false
	}
	s.level = 1
	s.marks = append(s.marks, mark{int32(len(s.trail)), int32(len(s.store))})
	s.groundLits = s.groundLits[:0]
	for _, l := range ground {
		if s.holds(l) {
			continue
		}
		if s.fails(l) || !s.set(l.x, l.t, byChoice, 0, 0) {
			return false
		}
		s.groundLits = append(s.groundLits, l.not())
	}
	return s.conclude()
}

// begin reads every rule once: later only those whose bounds change are read.
func (s *Solver) begin() bool {
	if s.begun {
		return true
	}
	s.begun = true
	for x := range s.bound {
		if !s.follow(int32(x)) {
			return false
		}
	}
	return true
}

// decide chooses the next literal; any is false when every variable has one value.
func (s *Solver) decide() (l lit, any bool) {
	if s.conflicts >= s.hot {
		if v, t, ok := s.heap.next(s); ok {
			if s.phase[v] >= t {
				return atLeast(v, t), true
			}
			return atMost(v, t-1), true
		}
	}
	best, at, until := int32(-1), int32(0), int32(0)
	for v := int32(0); v < s.n; v++ {
		lo, hi := s.bound[2*v], -s.bound[2*v+1]
		if lo < hi && (best < 0 || lo < at || lo == at && hi < until) {
			best, at, until = v, lo, hi
		}
	}
	if best >= 0 {
		return atMost(best, at), true
	}
	for v := s.n; int(v) < len(s.phase); v++ {
		if lo := s.bound[2*v]; lo < -s.bound[2*v+1] {
			return atMost(v, lo), true
		}
	}
	return none, false
}
