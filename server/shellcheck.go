package main

import (
	"fmt"
	"io"
	"slices"

	"batterboard/schedule"
	"batterboard/schedule/check"
)

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
		err = sh.write(&checked{found, broken, f.unknown()})
	} else {
		err = sh.printCheck(f, len(found), broken)
	}
	if err == nil && len(found)+len(broken) > 0 {
		err = fmt.Errorf("%s: %s", sh.args[0], count(len(found)+len(broken), "problem", "problems"))
	}
	return err
}

// checked is what check answers with --json.
type checked struct {
	Problems []schedule.Problem `json:"problems"`
	Broken   []check.Fault      `json:"broken"`  // what the second opinion holds against the plan; never anybody's fault but ours
	Unknown  []unknown          `json:"unknown"` // fields that are kept and mean nothing here: slips of the pen, or a later version's
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

func (sh *shell) printCheck(f file, found int, broken []check.Fault) error {
	d, err := sh.desk(f)
	if err != nil {
		return err
	}
	v, err := d.show("log", "", 0)
	if err != nil {
		return err
	}
	said := append(v.Head.Problems, v.Log.Aside...) // the log names the links set aside because they close a circle
	sh.printProblems(said)
	for _, u := range f.unknown() {
		fmt.Fprintf(sh.out, "? not known here, kept as it is: %s\n", u)
	}
	for _, b := range broken {
		fmt.Fprintln(sh.out, "! our own plan is wrong, please report this:", b)
	}
	if found+len(broken) == 0 {
		fmt.Fprintf(sh.out, "%s. Nothing is wrong.\n", joinFilled(", ", joinFilled(": ", v.Head.Site, count(len(f.site.Activities), "activity", "activities")),
			count(len(f.site.Holds), "hold point", "hold points"), count(len(f.site.Orders), "delivery", "deliveries"),
			count(len(f.site.Links), "link", "links"), v.Head.FinishLine))
	} else if len(said)+len(broken) == 0 {
		return fmt.Errorf("%d problems without words", found) // a kind the engine has no sentence for
	}
	return nil
}
