package demo_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"strings"
	"testing"

	"batterboard/client/engine/demo"
	"batterboard/schedule"
)

var lay = flag.Bool("lay", false, "lay the Old Laundry anew: plan every open line from scratch and write old-laundry.json")

func parse(t *testing.T, b []byte) *schedule.Site {
	t.Helper()
	s, err := schedule.ParseSite(b)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The document's lines lie where the planner laid them. After a change of links or labour, run
//
//	go test ./client/engine/demo -run Laid -lay -v
//
// and read the printed plan before committing it.
func TestLaidIsThePlan(t *testing.T) {
	if *lay {
		s := parse(t, read(t, "old-laundry.json"))
		unlay(s)
		relay(s, schedule.Lay(s, demo.Told))
		if err := os.WriteFile("old-laundry.json", write(t, s), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	b := read(t, "old-laundry.json")
	s := parse(t, b)
	if again := write(t, s); !bytes.Equal(again, b) {
		t.Error("old-laundry.json is not written the way this test writes it; run with -lay")
	}
	plan := schedule.Lay(s, demo.Told)
	names := map[string]string{}
	laid := map[string]schedule.Minute{}
	for _, a := range s.Activities {
		names[a.ID], laid[a.ID] = a.Name, a.Laid
	}
	for _, h := range s.Holds {
		names[h.ID], laid[h.ID] = h.Name, h.Laid
	}
	for _, o := range s.Orders {
		names[o.ID], laid[o.ID] = o.Goods, o.Laid
	}
	for _, l := range plan.Lines {
		if !l.Frozen && l.Start != laid[l.ID] {
			t.Errorf("%s is laid to %v and planned to %v", l.ID, laid[l.ID], l.Start)
		}
	}
	if testing.Verbose() {
		show(t, plan, names)
	}
}

func unlay(s *schedule.Site) {
	for i := range s.Activities {
		if a := &s.Activities[i]; a.Started == 0 {
			a.Laid = 0
		}
	}
	for i := range s.Holds {
		if h := &s.Holds[i]; h.Result != schedule.Pass {
			h.Laid = 0
		}
	}
	for i := range s.Orders {
		s.Orders[i].Laid = 0
	}
}

func relay(s *schedule.Site, plan *schedule.Plan) {
	for i := range s.Activities {
		if a := &s.Activities[i]; a.Started == 0 {
			a.Laid = plan.Line(a.ID).Start
		}
	}
	for i := range s.Holds {
		if h := &s.Holds[i]; h.Result != schedule.Pass {
			h.Laid = plan.Line(h.ID).Start
		}
	}
	for i := range s.Orders {
		if o := &s.Orders[i]; o.Arrived == 0 {
			o.Laid = plan.Line(o.ID).Start
		}
	}
}

func show(t *testing.T, plan *schedule.Plan, names map[string]string) {
	lines := append([]schedule.Line(nil), plan.Lines...)
	for i := range lines { // by start: a plan is read downwards
		for j := i; j > 0 && lines[j].Start < lines[j-1].Start; j-- {
			lines[j], lines[j-1] = lines[j-1], lines[j]
		}
	}
	for _, l := range lines {
		if l.Frozen && l.Finish < demo.Told {
			continue
		}
		mark := ""
		if l.Taut {
			mark = "taut"
		}
		t.Logf("%s - %s %-8s %-20s %-4s float %5d  %s %s %s  by %s", l.Start, l.Finish, l.Kind, l.ID, mark, l.Float,
			l.Because.Kind, l.Because.By, l.Because.Who, l.CallBy)
	}
	t.Logf("finish %s, taut %v", plan.Finish, plan.Taut)
	for _, p := range plan.Problems {
		t.Logf("problem %s %v %s", p.Kind, p.IDs, p.At)
	}
}

// write puts one thing on a line: a change of one activity is a change of one line in review.
func write(t *testing.T, s *schedule.Site) []byte {
	t.Helper()
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(s); err != nil {
		t.Fatal(err)
	}
	d := json.NewDecoder(&b)
	if _, err := d.Token(); err != nil {
		t.Fatal(err)
	}
	out := "{"
	for first := true; d.More(); first = false {
		key, err := d.Token()
		if err != nil {
			t.Fatal(err)
		}
		var v json.RawMessage
		if err := d.Decode(&v); err != nil {
			t.Fatal(err)
		}
		if !first {
			out += ","
		}
		out += "\n \"" + key.(string) + "\": " + lines(t, key.(string), v)
	}
	return []byte(out + "\n}\n")
}

func lines(t *testing.T, key string, v json.RawMessage) string {
	t.Helper()
	if v[0] != '[' || key == "hours" {
		return string(v)
	}
	var things []json.RawMessage
	if err := json.Unmarshal(v, &things); err != nil {
		t.Fatal(err)
	}
	out := make([]string, len(things))
	for i, thing := range things {
		out[i] = "\n  " + string(thing)
	}
	return "[" + strings.Join(out, ",") + "\n ]"
}
