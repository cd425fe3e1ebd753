package main

import (
	"flag"
	"fmt"
	"io"
	"strconv"
	"strings"

	"batterboard/client/engine"
	"batterboard/schedule"
)

// oddsFile: batterboard odds FILE [--seed N] [--runs N].
func oddsFile(args []string, out, errs io.Writer) error {
	var seed uint64
	var runs int
	sh, err := parseShell("odds", args, out, errs, func(fs *flag.FlagSet) {
		fs.Uint64Var(&seed, "seed", 1, "which luck: the same number gives the same answer, a whole number from 0 on")
		fs.IntVar(&runs, "runs", 5000, "how many times to build the job, a whole number from 1 to 100000")
	})
	if err != nil {
		return err
	}
	if runs < 1 || runs > schedule.MaxRuns {
		return badInput("--runs is between 1 and %d", schedule.MaxRuns)
	}
	f, err := sh.file()
	if err != nil {
		return err
	}
	if sh.json {
		return sh.write(schedule.Odds(f.site, sh.now, seed, runs))
	}
	d, err := sh.desk(f)
	if err != nil {
		return err
	}
	v, err := d.do(engine.Request{Do: "odds", Screen: "odds", Key: strconv.FormatUint(seed, 10), Count: int32(runs)})
	if err != nil {
		return err
	}
	return sh.printOdds(v.Odds)
}

// printOdds draws the dots as the screen does: days downwards.
func (sh *shell) printOdds(v *engine.OddsView) error {
	for _, line := range []string{v.Line, v.Promise, v.Plan} {
		if line != "" {
			fmt.Fprintln(sh.out, line)
		}
	}
	fmt.Fprintln(sh.out)
	table := newColumns(sh.out)
	for _, d := range v.Days {
		plan := " "
		if d.Plan {
			plan = ">"
		}
		table.row(plan+" "+d.Text, d.Count, strings.Repeat("o", int(d.Dots)), strings.Join(d.Marks, ", "))
	}
	if err := table.Flush(); err != nil {
		return err
	}
	if len(v.Taut) > 0 {
		fmt.Fprintln(sh.out)
	}
	for _, l := range v.Taut {
		table.row(l.Name, l.Often, l.By)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(sh.out, "\n%s\n", joinFilled("\n", v.Made, v.Left))
	return nil
}
