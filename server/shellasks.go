package main

import (
	"flag"
	"fmt"
	"io"
	"strings"

	"batterboard/client/engine"
	"batterboard/schedule"
)

// holdsFile: batterboard holds FILE --before ACTIVITY.
func holdsFile(args []string, out, errs io.Writer) error {
	var before string
	sh, err := parseShell("holds", args, out, errs, func(fs *flag.FlagSet) {
		fs.StringVar(&before, "before", "", "the activity, hold point or delivery to look in front of: its `ID` or its name")
	})
	if err != nil {
		return err
	}
	f, err := sh.file()
	if err != nil {
		return err
	}
	if before == "" {
		return badInput("say what to look in front of with --before, like --before board")
	}
	if before, err = pick("activity, hold point or delivery", before, nodesOf(f.site)); err != nil {
		return badInput("--before: %w", err)
	}
	d, err := sh.desk(f)
	if err != nil {
		return err
	}
	v, err := d.show("holds", before, 0)
	if err != nil {
		return err
	}
	if sh.json {
		return sh.write(v.Holds)
	}
	return sh.printHolds(v.Holds)
}

func (sh *shell) printHolds(v *engine.HoldsView) error {
	fmt.Fprintf(sh.out, "%s\n%s\n\n", v.Name, v.Line)
	table := newColumns(sh.out)
	for _, h := range v.Holds {
		table.row(ticked(h.State == "signed"), h.Name, h.Status, strings.Join(h.Ready, "; "))
	}
	for _, o := range v.Others {
		table.row(ticked(o.Done), o.Name, o.When, o.Text)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	if v.Foot != "" {
		fmt.Fprintf(sh.out, "\n%s\n", v.Foot)
	}
	return nil
}

// ticked is a box in front of what must be behind us.
func ticked(done bool) string {
	if done {
		return "[x]"
	}
	return "[ ]"
}

// textsFile: batterboard texts FILE --day DATE.
func textsFile(args []string, out, errs io.Writer) error {
	var text string
	sh, err := parseShell("texts", args, out, errs, func(fs *flag.FlagSet) {
		fs.StringVar(&text, "day", "", "the `DATE` the texts are about, like 2027-03-02 (default: the next day with anybody on site)")
	})
	if err != nil {
		return err
	}
	day, err := schedule.ParseDay(text)
	if err != nil {
		return badInput("--day: %w", err)
	}
	f, err := sh.file()
	if err != nil {
		return err
	}
	d, err := sh.desk(f)
	if err != nil {
		return err
	}
	v, err := d.show("texts", "", day)
	if err != nil {
		return err
	}
	if sh.json {
		return sh.write(v.Texts)
	}
	fmt.Fprintln(sh.out, v.Texts.Line)
	for _, cards := range [][]engine.TextCard{v.Texts.Tomorrow, v.Texts.Off, v.Texts.Moved, v.Texts.Ask, v.Texts.Go, v.Texts.Remind, v.Texts.Order, v.Texts.Street} {
		for _, c := range cards {
			fmt.Fprintf(sh.out, "\n== %s\n%s\n", joinFilled(" · ", c.KindName+": "+c.Name, c.Phone, c.Warn, c.SentLine), c.Body)
		}
	}
	return nil
}
