// Package exact finds the best schedule of a plan and proves that it is the best.
//
// A [Problem] is plain data: nodes that take time in a calendar, arcs between their starts and ends,
// resources they share, and promises that cost something to break. [New] checks it and builds a
// [Solver]; [Solver.Solve] answers one [Ask] (how soon can it finish? how cheaply by then?) within a
// number of counted steps. What one question teaches is kept for the next one, so a caller steps a
// bound up or down on the same Solver:
//
//	s, err := exact.New(p)                                     // a clear sentence when p makes no sense
//	a := s.Solve(exact.Ask{Want: exact.Finish, Steps: 1e6})    // how soon?
//	b := s.Solve(exact.Ask{Want: exact.Cost, By: a.Finish, Steps: 1e6}) // fewest calls among the soonest?
//
// a.Starts is the best schedule found, checked by [Check], which shares no code with the search.
// a.Proved says that nothing better exists; otherwise a.Lower says how much better it might be.
// Asking the same again carries on where the steps ran out.
//
// # Time
//
// Times are whole units from 0 to Horizon; what a unit is (a minute, half an hour) is the caller's
// choice: the coarsest grid on which all durations, lags and windows are whole is the quickest.
// A node starts in open time of its calendar, its work pauses over closed time, and it holds its
// resources from start to finish, pauses included.
//
// # Method
//
// Conflict-driven search with learned clauses over order literals "start >= t", which exist only
// where a clause speaks of them, and over one ordering literal for each pair of nodes that cannot
// overlap. Arcs, pairs and resources propagate bounds and explain them.
// Source of the method: Ohrimenko, Stuckey, Codish, "Propagation via lazy clause generation",
// Constraints 14 (2009); Schutt, Feydy, Stuckey, Wallace, "Explaining the cumulative propagator",
// Constraints 16 (2011).
//
// The same Problem and the same Asks give the same Answers on every machine: there is no clock, no
// goroutine, no floating point and no random number in here.
package exact
