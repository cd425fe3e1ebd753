package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"batterboard/schedule"
	"batterboard/schedule/check"
	"batterboard/schedule/exact"
)

// solved is what solve prints. Times are the units of the file; of a site file they are minutes from
// now, and proved means that nothing finishes on an earlier day. Every schedule has passed a checker that shares no code with the search.
type solved struct {
	Makespan   int64           `json:"makespan"`
	LowerBound int64           `json:"lower_bound"`
	Proved     bool            `json:"proved"`
	Feasible   bool            `json:"feasible"`
	Seconds    float64         `json:"seconds"`
	Schedules  int64           `json:"schedules"`
	Steps      int64           `json:"steps"`
	Starts     any             `json:"starts"` // by number for project files, by ID for site files
	finish     schedule.Minute // of a site
}

// budget is how long to search: at least one of the three.
type budget struct {
	time             time.Duration
	steps, schedules int64
}

// portionSteps is how often the clock is looked at: about every 20 ms.
const portionSteps = 20000

// solveFile: batterboard solve FILE [--time 1s | --steps N | --schedules N].
func solveFile(args []string, out, errs io.Writer) error {
	var b budget
	sh, err := parseShell("solve", args, out, errs, func(fs *flag.FlagSet) {
		fs.DurationVar(&b.time, "time", 0, "search for so long by the clock, like 1s or 2m30s (the default, when nothing is said, is 1s)")
		fs.Int64Var(&b.steps, "steps", 0, "search for so many counted steps, a whole number: the same answer on every machine")
		fs.Int64Var(&b.schedules, "schedules", 0, "only make so many schedules, a whole number; prove nothing")
	})
	if err != nil {
		return err
	}
	if b.time < 0 || b.steps < 0 || b.schedules < 0 {
		return badInput("--time, --steps and --schedules must not be negative")
	}
	if b == (budget{}) {
		b.time = time.Second
	}
	begin := time.Now()
	r, err := sh.solve(b, begin)
	if err != nil {
		return err
	}
	r.Seconds = time.Since(begin).Seconds()
	if sh.json {
		return json.NewEncoder(out).Encode(r)
	}
	return r.print(out)
}

func (sh *shell) solve(b budget, begin time.Time) (*solved, error) {
	if len(sh.args) != 1 {
		return nil, badInput("name one file: a site file, or a project in the .sm or .sch form")
	}
	switch strings.ToLower(filepath.Ext(sh.args[0])) {
	case ".sm":
		return solveProject(sh.args[0], exact.ReadSM, b, begin)
	case ".sch":
		return solveProject(sh.args[0], exact.ReadSCH, b, begin)
	}
	return sh.solveSite(b, begin)
}

func solveProject(name string, read func(string) (*exact.Problem, error), b budget, begin time.Time) (*solved, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, usageError{err}
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, schedule.MaxBytes+1))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	p, err := read(string(text))
	if err != nil {
		return nil, badInput("%s: %w", name, err)
	}
	h, err := exact.NewHunt(p)
	if err != nil {
		return nil, badInput("%s: %w", name, err)
	}
	if b.schedules > 0 && !h.Breed(b.schedules) {
		return nil, badInput("%s: lists alone cannot keep its maximum lags; use --time or --steps", name)
	}
	for b.schedules == 0 && !h.Best().Proved && b.more(begin, h.Best().Steps) {
		h.Step(b.portion(h.Best().Steps))
	}
	a := h.Best()
	r := &solved{LowerBound: int64(a.Lower), Proved: a.Proved, Feasible: a.Found, Schedules: h.Schedules(), Steps: a.Steps}
	if a.Found {
		if _, err := exact.Check(p, a.Starts); err != nil {
			return nil, fmt.Errorf("%s: the schedule found is wrong, which is our fault: %w", name, err)
		}
		r.Makespan, r.Starts = int64(a.Finish), a.Starts
	}
	return r, nil
}

// more tells whether to go on.
func (b budget) more(begin time.Time, steps int64) bool {
	return (b.time == 0 || time.Since(begin) < b.time) && (b.steps == 0 || steps < b.steps)
}

// portion is the next helping of steps.
func (b budget) portion(spent int64) int64 {
	if b.steps == 0 {
		return portionSteps
	}
	return min(portionSteps, b.steps-spent)
}

// solveSite looks for the soonest finish of everything open on a site, from now on.
func (sh *shell) solveSite(b budget, begin time.Time) (*solved, error) {
	if b.schedules > 0 {
		return nil, badInput("--schedules is for project files; use --time or --steps for a site")
	}
	f, err := sh.file()
	if err != nil {
		return nil, err
	}
	s := schedule.NewSearch(f.site, f.site, sh.now)
	w := s.Ways()
	for spent := int64(0); !w.Done && b.more(begin, spent); w = s.Ways() {
		n := b.portion(spent)
		s.Step(int(n))
		spent += n
	}
	if len(w.Ways) == 0 {
		return nil, fmt.Errorf("%s: there is nothing to finish: no open work", sh.args[0])
	}
	way := &w.Ways[0] // the soonest
	plan := schedule.Lay(schedule.Taken(f.site, way), sh.now)
	if wrong := check.Plan(schedule.Taken(f.site, way), plan); len(wrong) > 0 {
		return nil, fmt.Errorf("%s: the plan found is wrong, which is our fault: %v", sh.args[0], wrong[0])
	}
	r := &solved{finish: way.Finish, Makespan: int64(way.Finish - sh.now), Proved: way.Proved.Soonest, Feasible: true, Steps: w.Steps}
	if r.Proved { // by day: within the last day it may be done a little sooner
		r.LowerBound = max(0, int64((way.Finish-1).Day().Start()-sh.now))
	}
	starts := map[string]string{}
	for _, l := range plan.Lines {
		starts[l.ID] = l.Start.String()
	}
	r.Starts = starts
	return r, nil
}

func (r *solved) print(out io.Writer) error {
	switch {
	case r.finish != 0 && r.Proved:
		fmt.Fprintf(out, "Finishes %s; proved: not on an earlier day.\n", r.finish)
	case r.finish != 0:
		fmt.Fprintf(out, "Finishes %s; not proved to be the soonest. Give it more with --time.\n", r.finish)
	case r.Feasible && r.Proved && r.LowerBound == r.Makespan:
		fmt.Fprintf(out, "Finishes after %d; nothing finishes sooner.\n", r.Makespan)
	case r.Feasible:
		fmt.Fprintf(out, "Finishes after %d; nothing finishes before %d.\n", r.Makespan, r.LowerBound)
	case r.Proved:
		fmt.Fprintln(out, "There is no schedule: the links cannot all be kept.")
	default:
		fmt.Fprintln(out, "No schedule was found in that time.")
	}
	_, err := fmt.Fprintf(out, "%.3f s, %d steps.\n", r.Seconds, r.Steps)
	return err
}
