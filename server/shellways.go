package main

import (
	"flag"
	"fmt"
	"io"
	"strings"

	"batterboard/client/engine"
	"batterboard/schedule"
)

// waysFile: batterboard ways FILE --away CREW:FROM..TO.
func waysFile(args []string, out, errs io.Writer) error {
	var who string
	var effort int
	sh, err := parseShell("ways", args, out, errs, func(fs *flag.FlagSet) {
		fs.StringVar(&who, "away", "", "who can't come when, `CREW:FROM..TO`, like electric:2027-03-02..2027-03-04; CREW is an ID or a name")
		fs.IntVar(&effort, "effort", 10, "look further up to `N` times, 0 to 1000")
	})
	if err != nil {
		return err
	}
	if effort < 0 || effort > 1000 {
		return badInput("--effort is between 0 and 1000")
	}
	f, err := sh.file()
	if err != nil {
		return err
	}
	change, err := away(who, f.site)
	if err != nil {
		return err
	}
	if sh.json {
		return sh.write(findWays(f.site, change, sh.now, effort))
	}
	d, err := sh.desk(f)
	if err != nil {
		return err
	}
	v, err := d.do(engine.Request{Do: "ways", Screen: "ways", Change: &change})
	for ; err == nil && v.Ways != nil && v.Ways.More && effort > 0; effort-- {
		v, err = d.do(engine.Request{Do: "more", Screen: "ways", Token: v.Ways.Token})
	}
	if err != nil {
		return err
	}
	return sh.printWays(v.Ways)
}

// The counted steps of one look, as the app's.
const (
	firstSteps = 5_000
	moreSteps  = 40_000
)

func findWays(was *schedule.Site, c engine.Change, now schedule.Minute, effort int) *schedule.Ways {
	changed := *was
	changed.Away = append(append([]schedule.Away(nil), was.Away...), schedule.Away{ID: "asked", Crew: c.Crew, From: c.From, To: c.To})
	search := schedule.NewSearch(was, &changed, now)
	search.Step(firstSteps)
	for ; effort > 0 && !search.Ways().Done; effort-- {
		search.Step(moreSteps)
	}
	return search.Ways()
}

func (sh *shell) printWays(v *engine.WaysView) error {
	fmt.Fprintln(sh.out, v.Title)
	fmt.Fprintln(sh.out, v.Proof)
	for _, c := range v.Cards {
		fmt.Fprintf(sh.out, "\n%s: %s\n", c.Name, joinFilled(", ", c.Finish, c.Calls, c.Cost, c.Extra, c.Proof))
		table := newColumns(sh.out)
		for _, r := range c.Rows {
			call := "     "
			if r.Call {
				call = "call "
			}
			table.row("  "+call+r.Who, joinFilled(" ", r.When, r.From), r.What)
		}
		if err := table.Flush(); err != nil {
			return err
		}
	}
	return nil
}

func joinFilled(sep string, parts ...string) string {
	var filled []string
	for _, p := range parts {
		if p != "" {
			filled = append(filled, p)
		}
	}
	return strings.Join(filled, sep)
}
