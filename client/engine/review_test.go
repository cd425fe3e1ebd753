package engine

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"batterboard/client/engine/words"
	"batterboard/schedule"
)

// reviewed is the review of a site at the demo's moment.
func reviewed(t *testing.T, doc string) []ReviewLine {
	t.Helper()
	site, err := schedule.ParseSite([]byte(doc))
	if err != nil {
		t.Fatal(err)
	}
	s := newSheet(site, schedule.Lay(site, demoNow), demoNow, words.In("en"))
	return s.review()
}

// siteWith is a small site around what a question is about.
func siteWith(parts string) string {
	return `{"format":1,"name":"Shed","start":"2027-04-05","crews":[
		{"id":"tape","name":"Tape","trade":"taping"},{"id":"paint","name":"Paint","trade":"paint"},{"id":"floor","name":"Floor","trade":"floor"},
		{"id":"wood","name":"Wood","trade":"carpentry"},{"id":"mix","name":"Mix","trade":"concrete"}],
		"places":[{"id":"room","name":"Room","room":2},{"id":"yard","name":"Yard","room":2}],` + parts + `}`
}

const hour = `"labour":{"typical":240}`

// Each rule of the review asks about its own case, and is quiet about the same case done well.
func TestReviewRules(t *testing.T) {
	for _, c := range []struct{ rule, id, bad, good string }{
		{"cover-up that nobody looks at", "cover/a",
			`"activities":[{"id":"a","name":"Batts","crew":"wood","cover":true,` + hour + `}]`,
			`"activities":[{"id":"a","name":"Batts","crew":"wood","cover":true,` + hour + `}],"holds":[{"id":"h","name":"Framing"}],"links":[{"id":"l","from":"h","to":"a"}]`},
		{"photos missing in front of a cover-up", "photos/a/h",
			`"activities":[{"id":"a","name":"Batts","crew":"wood","cover":true,` + hour + `}],"holds":[{"id":"h","name":"Framing","photos":3,"result":"pass","resultAt":"2027-04-05T09:00"}],"links":[{"id":"l","from":"h","to":"a"}]`,
			`"activities":[{"id":"a","name":"Batts","crew":"wood","cover":true,` + hour + `}],"holds":[{"id":"h","name":"Framing","photos":3,"taken":3,"result":"pass","resultAt":"2027-04-05T09:00"}],"links":[{"id":"l","from":"h","to":"a"}]`},
		{"a stop caution nobody read", "ack/a",
			`"activities":[{"id":"a","name":"Wires","crew":"wood","cautions":["lockoff"],` + hour + `}]`,
			`"activities":[{"id":"a","name":"Wires","crew":"wood","cautions":["lockoff"],"acked":"Kit",` + hour + `}]`},
		{"wires before pipes", "sequence/rough-electric/rough-plumb",
			`"activities":[{"id":"rough-electric","name":"Wires","crew":"wood",` + hour + `},{"id":"rough-plumb","name":"Pipes","crew":"paint",` + hour + `}],"links":[{"id":"l","from":"rough-electric","to":"rough-plumb"}]`,
			`"activities":[{"id":"rough-electric","name":"Wires","crew":"wood",` + hour + `},{"id":"rough-plumb","name":"Pipes","crew":"paint",` + hour + `}],"links":[{"id":"l","from":"rough-plumb","to":"rough-electric"}]`},
		{"floor before paint", "floorFirst/a/b",
			`"activities":[{"id":"a","name":"Boards","crew":"floor","place":"room",` + hour + `},{"id":"b","name":"Colour","crew":"paint","place":"room",` + hour + `}],"links":[{"id":"l","from":"a","to":"b"}]`,
			`"activities":[{"id":"a","name":"Boards","crew":"floor","place":"room",` + hour + `},{"id":"b","name":"Colour","crew":"paint","place":"room",` + hour + `}],"links":[{"id":"l","from":"b","to":"a"}]`},
		{"a coat on a wet coat", "noWait/b/a",
			`"activities":[{"id":"a","name":"Tape","crew":"tape",` + hour + `},{"id":"b","name":"Second coat","crew":"tape",` + hour + `}],"links":[{"id":"l","from":"a","to":"b"}]`,
			`"activities":[{"id":"a","name":"Tape","crew":"tape",` + hour + `},{"id":"b","name":"Second coat","crew":"tape",` + hour + `}],"links":[{"id":"l","from":"a","to":"b","lag":1020,"clock":true,"wait":"coat","thick":4}]`},
		{"framing on a fresh curb", "noWait/b/a",
			`"activities":[{"id":"a","name":"Pour","crew":"mix",` + hour + `},{"id":"b","name":"Infill","crew":"wood",` + hour + `}],"links":[{"id":"l","from":"a","to":"b"}]`,
			`"activities":[{"id":"a","name":"Pour","crew":"mix",` + hour + `},{"id":"b","name":"Infill","crew":"wood",` + hour + `}],"links":[{"id":"l","from":"a","to":"b","lag":10080,"clock":true,"wait":"curb-frame"}]`},
		{"a wait shorter than its rule", "shortWait/b/l",
			`"activities":[{"id":"a","name":"Tape","crew":"tape",` + hour + `},{"id":"b","name":"Second coat","crew":"tape",` + hour + `}],"links":[{"id":"l","from":"a","to":"b","lag":300,"clock":true,"wait":"coat","thick":4}]`,
			`"activities":[{"id":"a","name":"Tape","crew":"tape",` + hour + `},{"id":"b","name":"Second coat","crew":"tape",` + hour + `}],"links":[{"id":"l","from":"a","to":"b","lag":900,"clock":true,"wait":"coat","thick":4}]`},
		{"a crew promised twice", "twice/a/b",
			`"activities":[{"id":"a","name":"Shelf","crew":"wood","booking":"firm","toldStart":"2027-04-08T08:00","toldFinish":"2027-04-08T12:00",` + hour + `},{"id":"b","name":"Door","crew":"wood","booking":"asked","toldStart":"2027-04-08T09:00","toldFinish":"2027-04-08T16:30",` + hour + `}]`,
			`"activities":[{"id":"a","name":"Shelf","crew":"wood","booking":"firm","toldStart":"2027-04-08T08:00","toldFinish":"2027-04-08T12:00",` + hour + `},{"id":"b","name":"Door","crew":"wood","booking":"asked","toldStart":"2027-04-08T12:30","toldFinish":"2027-04-08T16:30",` + hour + `}]`},
		{"a crew away on days it was told", "away/a/w",
			`"activities":[{"id":"a","name":"Shelf","crew":"wood","booking":"firm","toldStart":"2027-04-08T08:00","toldFinish":"2027-04-08T12:00",` + hour + `}],"away":[{"id":"w","crew":"wood","from":"2027-04-08","to":"2027-04-09"}]`,
			`"activities":[{"id":"a","name":"Shelf","crew":"wood","booking":"firm","toldStart":"2027-04-08T08:00","toldFinish":"2027-04-08T12:00",` + hour + `}],"away":[{"id":"w","crew":"wood","from":"2027-04-09","to":"2027-04-09"}]`},
		{"no float before a booked visit", "tightVisit/h/a",
			`"activities":[{"id":"a","name":"Wires","crew":"wood","laid":"2027-04-08T08:00",` + hour + `}],"holds":[{"id":"h","name":"Rough","calledIn":"2027-04-05T09:00","visit":"2027-04-08T12:30"}],"links":[{"id":"l","from":"a","to":"h"}]`,
			`"activities":[{"id":"a","name":"Wires","crew":"wood","laid":"2027-04-07T08:00",` + hour + `}],"holds":[{"id":"h","name":"Rough","calledIn":"2027-04-05T09:00","visit":"2027-04-08T12:30"}],"links":[{"id":"l","from":"a","to":"h"}]`},
		{"a visit that looks at nothing", "looksAtNothing/h",
			`"activities":[{"id":"a","name":"Wires","crew":"wood",` + hour + `}],"holds":[{"id":"h","name":"Rough"}]`,
			`"activities":[{"id":"a","name":"Wires","crew":"wood",` + hour + `}],"holds":[{"id":"h","name":"Rough"}],"links":[{"id":"l","from":"a","to":"h"}]`},
		{"goods with nowhere to stand", "nowhere/o",
			`"activities":[{"id":"a","name":"Wires","crew":"wood",` + hour + `}],"orders":[{"id":"o","goods":"Board","weightKg":900}],"links":[{"id":"l","from":"o","to":"a"}]`,
			`"activities":[{"id":"a","name":"Wires","crew":"wood",` + hour + `}],"orders":[{"id":"o","goods":"Board","weightKg":900,"stands":"yard"}],"links":[{"id":"l","from":"o","to":"a"}]`},
		{"goods where work needs the whole place", "taken/o/b",
			`"activities":[{"id":"b","name":"Sand","crew":"tape","place":"room","whole":true,"laid":"2027-04-08T08:00",` + hour + `},{"id":"a","name":"Lay","crew":"floor",` + hour + `}],"orders":[{"id":"o","goods":"Oak","weightKg":300,"stands":"room","ordered":"2027-04-01","due":"2027-04-08"}],"links":[{"id":"l","from":"o","to":"a"}]`,
			`"activities":[{"id":"b","name":"Sand","crew":"tape","place":"room","whole":true,"laid":"2027-04-08T08:00",` + hour + `},{"id":"a","name":"Lay","crew":"floor",` + hour + `}],"orders":[{"id":"o","goods":"Oak","weightKg":300,"stands":"room","ordered":"2027-04-01","due":"2027-04-09"}],"links":[{"id":"l","from":"o","to":"a"}]`},
		{"wide goods after the opening is closed", "wide/o/a",
			`"activities":[{"id":"a","name":"Infill","crew":"wood","closes":true,` + hour + `},{"id":"b","name":"Hang","crew":"paint",` + hour + `}],"orders":[{"id":"o","goods":"Beam","stands":"yard","wide":true,"ordered":"2027-04-01","due":"2027-04-20"}],"links":[{"id":"l","from":"o","to":"b"}]`,
			`"activities":[{"id":"a","name":"Infill","crew":"wood","closes":true,` + hour + `}],"orders":[{"id":"o","goods":"Beam","stands":"yard","wide":true,"ordered":"2027-04-01","due":"2027-04-20"}],"links":[{"id":"l","from":"o","to":"a"}]`},
		{"goods that nothing waits for", "nobody/o",
			`"orders":[{"id":"o","goods":"Beam","stands":"yard"}]`,
			`"activities":[{"id":"a","name":"Infill","crew":"wood",` + hour + `}],"orders":[{"id":"o","goods":"Beam","stands":"yard"}],"links":[{"id":"l","from":"o","to":"a"}]`},
		{"firm before the gate", "firm/o/h",
			`"activities":[{"id":"a","name":"Pour","crew":"mix",` + hour + `}],"holds":[{"id":"h","name":"Footing"}],"orders":[{"id":"o","goods":"Mix","stands":"yard","gate":"h","ordered":"2027-04-05"}],"links":[{"id":"l","from":"o","to":"a"},{"id":"m","from":"a","to":"h"}]`,
			`"activities":[{"id":"a","name":"Pour","crew":"mix",` + hour + `}],"holds":[{"id":"h","name":"Footing"}],"orders":[{"id":"o","goods":"Mix","stands":"yard","gate":"h","reserved":"2027-04-05"}],"links":[{"id":"l","from":"o","to":"a"},{"id":"m","from":"a","to":"h"}]`},
		{"a lag that is a wait on a person", "person/b/l",
			`"activities":[{"id":"a","name":"Draw","crew":"wood",` + hour + `},{"id":"b","name":"Build","crew":"paint",` + hour + `}],"links":[{"id":"l","from":"a","to":"b","lag":960}]`,
			`"activities":[{"id":"a","name":"Draw","crew":"wood",` + hour + `},{"id":"b","name":"Build","crew":"paint",` + hour + `}],"links":[{"id":"l","from":"a","to":"b","lag":120}]`},
	} {
		has := func(doc string) (q ReviewLine, ok bool) {
			for _, q := range reviewed(t, siteWith(doc)) {
				if q.ID == c.id {
					return q, true
				}
			}
			return q, false
		}
		q, ok := has(c.bad)
		if !ok {
			t.Errorf("%s: not asked; asked was %+v", c.rule, reviewed(t, siteWith(c.bad)))
		}
		if ok && (q.Text == "" || q.Why == "" || strings.ContainsAny(q.Text+q.Why, "{}[]") || q.Rule == "") {
			t.Errorf("%s: %+v", c.rule, q)
		}
		if q, ok := has(c.good); ok {
			t.Errorf("%s: asked although it is done well: %+v", c.rule, q)
		}
	}
}

// A question is left with a reason, counted no more, kept by every phone, and asked again when told to.
func TestSettle(t *testing.T) {
	e := openDemo(t, "en")
	v := show(t, e, "review", "")
	if v.Head.Questions != len(v.Review.Questions) || v.Head.Questions == 0 {
		t.Fatalf("%d counted, %d asked", v.Head.Questions, len(v.Review.Questions))
	}
	id, n := v.Review.Questions[len(v.Review.Questions)-1].ID, v.Head.Questions
	refused(t, e, Request{Do: "settle", ID: id}, "needs a reason")
	refused(t, e, Request{Do: "settle", ID: "cover/nothing", Said: "so"}, "no longer asked")
	v = said(t, e, Request{Do: "settle", ID: id, Said: "the oak comes in two lots", Screen: "review"})
	if v.Head.Questions != n-1 || len(v.Review.Settled) != 1 || !strings.Contains(v.Review.Settled[0].Left, "two lots · Anna") {
		t.Errorf("%d questions, settled %+v", v.Head.Questions, v.Review.Settled)
	}
	v = said(t, e, Request{Do: "settle", ID: id, Screen: "review"})
	if v.Head.Questions != n || len(v.Review.Settled) != 0 {
		t.Errorf("asked again: %d questions", v.Head.Questions)
	}
	said(t, e, Request{Do: "settle", ID: id, Said: "again", Screen: "review"})
	if e.sheet.questions() != n-1 {
		t.Error("settled twice, it is asked")
	}
}

// Long names make long IDs; a question still has one that can be kept, and two questions never share it.
func TestQuestionIDsFit(t *testing.T) {
	long := func(c byte) string { return strings.Repeat(string(c), 60) }
	doc := `{"format":1,"name":"Shed","start":"2027-04-05","crews":[{"id":"w","name":"W","trade":"taping"}],"activities":[` +
		`{"id":"` + long('a') + `","name":"A","crew":"w",` + hour + `},{"id":"` + long('b') + `","name":"B","crew":"w",` + hour + `},{"id":"` + long('c') + `","name":"C","crew":"w",` + hour + `}],` +
		`"links":[{"id":"l","from":"` + long('a') + `","to":"` + long('b') + `"},{"id":"m","from":"` + long('b') + `","to":"` + long('c') + `"}]}`
	var ids []string
	for _, q := range reviewed(t, doc) {
		if len(q.ID) > 64 || strings.ContainsAny(q.ID, " {}") {
			t.Errorf("ID %q", q.ID)
		}
		ids = append(ids, q.ID)
	}
	slices.Sort(ids)
	if len(ids) == 0 || len(slices.Compact(slices.Clone(ids))) != len(ids) {
		t.Errorf("%q", ids)
	}
}

// The week on paper: who comes each day, what must be signed and is not, what can hurt with who decides and
// who has read it, whom to ring.
func TestWeek(t *testing.T) {
	e := openDemo(t, "en")
	said(t, e, Request{Do: "ack", ID: "rough-electric", Name: "Wanda"})
	w := do(t, e, Request{Do: "show", Screen: "week", Day: day("2027-04-08")}).View.Week
	if w.Title != "Week of Monday 5 April" || w.Day != day("2027-04-05") || w.Before != day("2027-03-29") || w.After != day("2027-04-12") {
		t.Errorf("%q %v %v %v", w.Title, w.Day, w.Before, w.After)
	}
	all, _ := json.Marshal(w)
	for _, want := range []string{"14 Wash House Lane", "Electric · Rough-in", "Rough electrical", "lock off", "a licensed electrician", "Wanda, Tue 6, 6:40 am", "+15555550114", "911"} {
		if !strings.Contains(string(all), want) {
			t.Errorf("the week does not say %q", want)
		}
	}
	if strings.Contains(string(all), "Rough plumbing\",\"status") {
		t.Error("what is signed is still to be signed")
	}
	for i, c := range w.Cautions {
		if i > 0 && c.Stop && !w.Cautions[i-1].Stop {
			t.Error("a stop stands behind a warning")
		}
	}
	if next := do(t, e, Request{Do: "show", Screen: "week", Day: day("2027-04-12")}).View.Week; strings.Contains(next.Title, "5 April") {
		t.Errorf("%q", next.Title)
	}
}
