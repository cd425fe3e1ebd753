package schedule_test

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
	"batterboard/schedule/randsite"
)

func TestParseRefuses(t *testing.T) {
	many := `{"format":1,"activities":[` + strings.Repeat(`{"id":"a","name":"x","labour":{"typical":1}},`, 9999) + `{"id":"a","name":"x","labour":{"typical":1}}]}`
	for _, c := range []struct{ doc, want string }{
		{"", "the file is empty; a site file is one JSON document"},
		{"hello", "not a site file: line 1 does not read as JSON"},
		{"{\n\"name\": \"A\",\n", "not a site file: line 3 does not read as JSON"},
		{"{\n\"activities\": 7}", "not a site file: in line 2, activities cannot be a number"},
		{`{"format":2}`, "this site was written by a newer version (format 2, this one reads format 1). Update, then open it again"},
		{`{"format":-1}`, "format -1 is not a format"},
		{`{"start":"2027-02-30"}`, "there is no such day"},
		{`{"activities":[{"id":"a b","name":"x"}]}`, "an id has 1 to 64 letters"},
		{`{"activities":[{"id":"a"}],"holds":[{"id":"a"}]}`, `have the id "a"; give one of them another id`},
		{`{"crews":[{"id":"c"},{"id":"c"}]}`, `two of the crews have the id "c"`},
		{`{"hours":[["12:00-08:00"]]}`, "hours end after they begin"},
		{`{"hours":[["8-12"]]}`, "hours are written like 08:00-12:00"},
		{`{"hours":[[],[],[],[],[],[],[],[]]}`, "hours have 8 days; a week has 7"},
		{many, "this site has 10,000 activities; at most 2,000 fit in one site. Split it into several sites; nothing was changed"},
		{strings.Repeat(" ", schedule.MaxBytes+1), "a site file has at most 4 MB"},
	} {
		_, err := schedule.ParseSite([]byte(c.doc))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.60s: %v, want %q", c.doc, err, c.want)
		}
	}
}

// TestParseLarge: two thousand activities are read, planned and checked.
func TestParseLarge(t *testing.T) {
	site := &schedule.Site{Format: 1, Start: randsite.Monday}
	for i := range 20 {
		site.Crews = append(site.Crews, schedule.Crew{ID: fmt.Sprint("c", i)})
	}
	for i := range schedule.MaxActivities {
		site.Activities = append(site.Activities, schedule.Activity{ID: fmt.Sprint("a", i), Crew: fmt.Sprint("c", i%20), Labour: schedule.Range{Typical: 60}})
		if i > 0 {
			site.Links = append(site.Links, schedule.Link{ID: fmt.Sprint("l", i), From: fmt.Sprint("a", i*7%i), To: fmt.Sprint("a", i)})
		}
	}
	b, err := json.Marshal(site)
	if err != nil {
		t.Fatal(err)
	}
	read, err := schedule.ParseSite(b)
	if err != nil || len(read.Activities) != schedule.MaxActivities {
		t.Fatal(err)
	}
	now := randsite.Monday.Start()
	if faults := check.Plan(read, schedule.Lay(read, now)); len(faults) > 0 {
		t.Fatal(faults[0])
	}
}

// TestParseForgives: what a plan can live with is read, and named.
func TestParseForgives(t *testing.T) {
	site, err := schedule.ParseSite([]byte(`{
		"name": "A", "newer": {"than": "this program"},
		"hours": [["12:30-16:30", "08:00-12:00", "11:00-12:30"], ["09:00-10:00"]],
		"crews": [{"id": "c", "size": -1}],
		"activities": [
			{"id": "a", "crew": "c", "labour": {"typical": -60}},
			{"id": "b", "crew": "nobody", "place": "nowhere", "labour": {"typical": 60}, "started": "2027-03-02T08:00", "finished": "2027-03-01T08:00"},
			{"id": "d", "crew": "c", "hands": 9, "labour": {"typical": 60}}],
		"links": [
			{"id": "l1", "from": "a", "to": "b"}, {"id": "l2", "from": "b", "to": "d"}, {"id": "l3", "from": "d", "to": "a", "kind": "FF"},
			{"id": "l4", "from": "a", "to": "ghost"}, {"id": "l5", "from": "a", "to": "d", "lag": 9000000}],
		"orders": [{"id": "o", "goods": "door", "lead": -3, "ordered": "2027-03-05", "due": "2027-03-01"}]}`))
	if err != nil {
		t.Fatal(err)
	}
	if want := []schedule.Window{{From: 480, To: 990}}; !reflect.DeepEqual(site.Hours[0], want) {
		t.Errorf("windows that overlap became %v, want %v", site.Hours[0], want)
	}
	var got []string
	for _, p := range site.Problems() {
		got = append(got, fmt.Sprintf("%s %v%s", p.Kind, p.IDs, p.Link))
	}
	want := []string{"circle [a b d]l3", "dates [b]", "dates [o]", "negative [a]", "negative [c]", "negative [o]",
		"tooMuch [d c]", "tooMuch [l5]", "unknown [b nobody]", "unknown [b nowhere]", "unknown [l4 ghost]l4"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("problems\n%q, want\n%q", got, want)
	}
	plan := schedule.Lay(site, randsite.Monday.At(600))
	if len(plan.Lines) != 4 || len(plan.Problems) < len(want) {
		t.Errorf("there is always a plan: %d lines, %v", len(plan.Lines), plan.Problems)
	}
}

// TestWeekRoundTrip: hours are written as they are read.
func TestWeekRoundTrip(t *testing.T) {
	in := `[["08:00-12:00","12:30-16:30"],[],["00:00-24:00"],[],[],["09:00-13:00"],[]]`
	var w schedule.Week
	if err := json.Unmarshal([]byte(in), &w); err != nil {
		t.Fatal(err)
	}
	if out, err := json.Marshal(w); err != nil || string(out) != in {
		t.Errorf("%s, %v, want %s", out, err, in)
	}
}

// FuzzParseSite: whatever the bytes, there is a site or a sentence, never a crash; a site can be planned,
// passes the checker, and is read back the same from what it is written as.
func FuzzParseSite(f *testing.F) {
	for n := range uint64(20) {
		site, _ := randsite.Site(n, crowded)
		b, err := json.Marshal(site)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
		f.Add(b[:len(b)/2])
	}
	f.Add([]byte(`{"format":1,"start":"2199-12-31","activities":[{"id":"a","labour":{"typical":2147483647}}]}`))
	f.Add([]byte(`{"hours":[["00:00-24:00"],["00:00-24:00"]],"holds":[{"id":"h","notice":2147483647,"cutoff":-1}]}`))
	f.Add([]byte(`{"orders":[{"id":"o","lead":2147483647,"laid":"2000-01-01T00:00"}],"links":[{"id":"l","from":"o","to":"o","lag":-2147483648}]}`))
	f.Add([]byte(`{"crews":[{"id":"c","teams":2147483647,"size":2147483647}],"places":[{"id":"p","room":2147483647}],"activities":[{"id":"a","crew":"c","place":"p","whole":true,"labour":{"typical":60}}]}`))
	f.Add([]byte(`{"orders":[{"id":"o","lead":700},{"id":"q","lead":9}],"links":[{"id":"l","from":"o","to":"q","lag":-1000000}],"away":[{"id":"w","crew":"c","from":"2000-01-01","to":"2199-12-31"}],"crews":[{"id":"c"}],"activities":[{"id":"a","crew":"c","labour":{"typical":60}}]}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 20000 {
			return
		}
		site, err := schedule.ParseSite(b)
		if err != nil {
			return
		}
		again, err := schedule.ParseSite(text(t, site))
		if err != nil {
			t.Fatalf("read, but not read back: %v", err)
		}
		if first, second := text(t, site), text(t, again); string(first) != string(second) {
			t.Fatalf("written as\n%s\nthen as\n%s", first, second)
		}
		now := max(site.Start, randsite.Monday).At(600)
		if faults := check.Plan(site, schedule.Lay(site, now)); len(faults) > 0 {
			t.Fatalf("%v", faults[0])
		}
	})
}
