package main

import (
	"cmp"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"batterboard/client/engine"
	"batterboard/schedule"
	"batterboard/schedule/check"
)

// columns prints rows in plain columns.
type columns struct{ *tabwriter.Writer }

func newColumns(w io.Writer) columns { return columns{tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)} }

func (c columns) row(cells ...string) {
	fmt.Fprintln(c, strings.TrimRight(strings.Join(cells, "\t"), "\t "))
}

// planFile: batterboard plan FILE.
func planFile(args []string, out, errs io.Writer) error {
	sh, err := parseShell("plan", args, out, errs, nil)
	if err != nil {
		return err
	}
	f, err := sh.file()
	if err != nil {
		return err
	}
	if sh.json {
		return sh.write(schedule.Lay(f.site, sh.now))
	}
	d, err := sh.desk(f)
	if err != nil {
		return err
	}
	v, err := d.show("strings", "", 0)
	if err != nil {
		return err
	}
	return sh.printPlan(d, f.site, v)
}

func (sh *shell) printPlan(d *desk, site *schedule.Site, v *engine.View) error {
	fmt.Fprintf(sh.out, "%s: %s\n%s\n\n", v.Head.Site, v.Head.FinishLine, v.Head.TautLine)
	table := newColumns(sh.out)
	plan := schedule.Lay(site, sh.now)
	for _, l := range byStart(plan) {
		who, what, slack, why, err := d.line(site, v.Strings, l)
		if err != nil {
			return err
		}
		table.row(l.Start.String(), l.Finish.String(), who, what, slack, why)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	sh.printProblems(v.Head.Problems)
	return nil
}

// byStart is the lines in the order they happen.
func byStart(p *schedule.Plan) []*schedule.Line {
	list := make([]*schedule.Line, len(p.Lines))
	for i := range p.Lines {
		list[i] = &p.Lines[i]
	}
	slices.SortStableFunc(list, func(a, b *schedule.Line) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.Finish, b.Finish))
	})
	return list
}

// line says one line of the plan in words.
func (d *desk) line(site *schedule.Site, v *engine.StringsView, l *schedule.Line) (who, what, slack, why string, err error) {
	switch l.Kind {
	case schedule.ActivityNode:
		b, err := d.show("block", l.ID, 0)
		if err != nil || b.Block == nil {
			return "", "", "", "", fmt.Errorf("describe %s: %w", l.ID, err)
		}
		return b.Block.CrewName, b.Block.Name, b.Block.Slack, b.Block.Because, nil
	case schedule.HoldNode:
		for _, b := range v.Bars {
			if b.ID == l.ID {
				return site.Hold(l.ID).Agency, b.Name, "", b.Label, nil
			}
		}
	case schedule.OrderNode:
		for _, g := range v.Goods {
			if g.ID == l.ID {
				return site.Order(l.ID).Supplier, g.Name, "", g.Label, nil
			}
		}
	}
	return "", l.ID, "", "", nil
}

func (sh *shell) printProblems(list []engine.ProblemLine) {
	for _, p := range list {
		fmt.Fprintln(sh.out, "!", p.Text)
	}
}

// waysFile: batterboard ways FILE --away CREW:FROM..TO.
func waysFile(args []string, out, errs io.Writer) error {
	var who string
	var effort int
	sh, err := parseShell("ways", args, out, errs, func(fs *flag.FlagSet) {
		fs.StringVar(&who, "away", "", "who can't come when, like electric:2027-03-02..2027-03-04")
		fs.IntVar(&effort, "effort", 10, "how often to look further, 0 to 1000")
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

func findWays(was *schedule.Site, c engine.Change, now schedule.Minute, effort int) *schedule.Ways {
	changed := *was
	changed.Away = append(append([]schedule.Away(nil), was.Away...), schedule.Away{ID: "asked", Crew: c.Crew, From: c.From, To: c.To})
	return schedule.FindWays(was, &changed, now, 400+4000*effort)
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
			table.row("  "+call+r.Who, r.When, r.What)
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

// holdsFile: batterboard holds FILE --before ACTIVITY.
func holdsFile(args []string, out, errs io.Writer) error {
	var before string
	sh, err := parseShell("holds", args, out, errs, func(fs *flag.FlagSet) {
		fs.StringVar(&before, "before", "", "the activity, hold or delivery to look in front of")
	})
	if err != nil {
		return err
	}
	f, err := sh.file()
	if err != nil {
		return err
	}
	if f.site.Activity(before) == nil && f.site.Hold(before) == nil && f.site.Order(before) == nil {
		return badInput("--before: there is no activity %q in this file", before)
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
		table.row(h.State, h.Name, h.Status, strings.Join(h.Ready, "; "))
	}
	for _, o := range v.Others {
		state := "open"
		if o.Done {
			state = "done"
		}
		table.row(state, o.Name, o.When, o.Text)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	if v.Foot != "" {
		fmt.Fprintf(sh.out, "\n%s\n", v.Foot)
	}
	return nil
}

// textsFile: batterboard texts FILE --day DATE.
func textsFile(args []string, out, errs io.Writer) error {
	var text string
	sh, err := parseShell("texts", args, out, errs, func(fs *flag.FlagSet) {
		fs.StringVar(&text, "day", "", "the day the texts are about, like 2027-03-02 (default: the next day with anybody on site)")
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
	for _, cards := range [][]engine.TextCard{v.Texts.Tomorrow, v.Texts.Moved, v.Texts.Ask} {
		for _, c := range cards {
			fmt.Fprintf(sh.out, "\n%s\n%s\n", joinFilled(" · ", c.Name, c.Phone, c.Warn, c.SentLine), c.Body)
		}
	}
	return nil
}

// checkFile: batterboard check FILE. It fails when something is wrong with the site, and with its plan
// when the independent checker finds it so.
func checkFile(args []string, out, errs io.Writer) error {
	sh, err := parseShell("check", args, out, errs, nil)
	if err != nil {
		return err
	}
	f, err := sh.file()
	if err != nil {
		return err
	}
	plan := schedule.Lay(f.site, sh.now)
	found := together(f.site.Problems(), plan.Problems)
	broken := check.Plan(f.site, plan)
	if sh.json {
		err = sh.write(map[string]any{"problems": found, "broken": broken})
	} else {
		err = sh.printCheck(f, broken)
	}
	if err == nil && len(found)+len(broken) > 0 {
		err = fmt.Errorf("%s: %s", sh.args[0], count(len(found)+len(broken), "problem", "problems"))
	}
	return err
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprint(n, " ", many)
}

// together joins two lists; what stands in both is one problem.
func together(a, b []schedule.Problem) []schedule.Problem {
	all := append([]schedule.Problem{}, a...)
	for _, p := range b {
		if !slices.ContainsFunc(a, func(o schedule.Problem) bool { return o.Kind == p.Kind && slices.Equal(o.IDs, p.IDs) }) {
			all = append(all, p)
		}
	}
	return all
}

func (sh *shell) printCheck(f file, broken []check.Fault) error {
	d, err := sh.desk(f)
	if err != nil {
		return err
	}
	v, err := d.show("today", "", 0)
	if err != nil {
		return err
	}
	if len(v.Head.Problems)+len(broken) == 0 {
		fmt.Fprintf(sh.out, "%s: %s, %s, %s, %s; %s. Nothing is wrong.\n", v.Head.Site, count(len(f.site.Activities), "activity", "activities"),
			count(len(f.site.Holds), "hold point", "hold points"), count(len(f.site.Orders), "delivery", "deliveries"),
			count(len(f.site.Links), "link", "links"), v.Head.FinishLine)
	}
	sh.printProblems(v.Head.Problems)
	for _, b := range broken {
		fmt.Fprintln(sh.out, "! our own plan is wrong, please report this:", b)
	}
	return nil
}
