package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"batterboard/client/engine"
	"batterboard/schedule"
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
	plan := schedule.Lay(site, sh.now)
	if len(plan.Lines) == 0 {
		_, err := fmt.Fprintln(sh.out, joinFilled(": ", v.Head.Site, "there is nothing to plan in it yet."))
		return err
	}
	fmt.Fprintf(sh.out, "%s\n%s\n\n", joinFilled(": ", v.Head.Site, v.Head.FinishLine), v.Head.TautLine)
	table := newColumns(sh.out)
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
