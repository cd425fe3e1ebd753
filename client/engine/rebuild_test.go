package engine

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"batterboard/client/engine/template"
	"batterboard/schedule"
)

// anyAnswers is a handful of random answers.
func anyAnswers(rnd *rand.Rand) template.Answers {
	a := template.Answers{}
	for _, screen := range template.Screens() {
		for _, q := range screen.Questions {
			if n := len(q.Options); n > 0 && rnd.IntN(3) > 0 {
				a[q.ID] = q.Options[rnd.IntN(n)].ID
			}
		}
	}
	return a
}

// things writes a site's things by kind and ID, so that order does not count.
func things(s *schedule.Site) string {
	var out []string
	for _, kind := range builtKinds {
		ids, all := byID(s, kind)
		for _, id := range ids {
			b, _ := json.Marshal(all[id])
			out = append(out, kind+" "+id+" "+string(b))
		}
	}
	slices.Sort(out)
	return strings.Join(out, "\n")
}

func differ(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for _, l := range x {
		if !slices.Contains(y, l) {
			return "- " + l
		}
	}
	for _, l := range y {
		if !slices.Contains(x, l) {
			return "+ " + l
		}
	}
	return ""
}

// A plan nobody touched is, after other answers, the plan those answers make; and going back gives the first.
func TestUntouchedFollowsTheAnswers(t *testing.T) {
	for seed := range uint64(25) {
		rnd := rand.New(rand.NewPCG(seed, 3))
		a, b := anyAnswers(rnd), anyAnswers(rnd)
		was, will := template.Build(a, "en", ""), template.Build(b, "en", "")
		there, err := applied(was, rebuild(was, was, will).edits)
		if err != nil {
			t.Fatal(err)
		}
		if d := differ(things(will), things(there)); d != "" {
			t.Errorf("seed %d, %v to %v: %s", seed, a, b, d)
		}
		back, err := applied(there, rebuild(there, will, was).edits)
		if err != nil {
			t.Fatal(err)
		}
		if d := differ(things(was), things(back)); d != "" {
			t.Errorf("seed %d and back: %s", seed, d)
		}
		if r := rebuild(was, was, was); len(r.edits) != 0 {
			t.Errorf("seed %d: the same answers change %v", seed, r.edits)
		}
	}
}

// What somebody wrote stays, whatever is answered; what happened stays; and no plan gets a circle by it.
func TestTouchedStays(t *testing.T) {
	for seed := range uint64(25) {
		rnd := rand.New(rand.NewPCG(seed, 5))
		a, b := anyAnswers(rnd), anyAnswers(rnd)
		was, will := template.Build(a, "en", ""), template.Build(b, "en", "")
		mine := copySite(was)
		for i := range mine.Activities {
			x := &mine.Activities[i]
			switch rnd.IntN(6) {
			case 0:
				x.Name = "Mine " + x.ID
			case 1:
				x.Labour.Typical += 7
			case 2:
				x.Started = schedule.DateOf(2027, 3, 2).At(8 * 60)
			case 3:
				x.Crew = ""
			}
		}
		mine.Activities = append(mine.Activities, schedule.Activity{ID: "2.9", Name: "Kiln", Labour: schedule.Range{Typical: 60}})
		mine.Links = append(mine.Links, schedule.Link{ID: "2.10", From: "2.9", To: "clean"})
		r := rebuild(mine, was, will)
		after, err := applied(mine, r.edits)
		if err != nil {
			t.Fatal(err)
		}
		for i := range mine.Activities {
			x := &mine.Activities[i]
			y, old := after.Activity(x.ID), was.Activity(x.ID)
			switch {
			case old == nil || x.Started != 0 || x.Name != old.Name:
				if y == nil || old != nil && y.Name != x.Name {
					t.Fatalf("seed %d: %s was somebody's and is %+v", seed, x.ID, y)
				}
			case x.Labour != old.Labour && y == nil, y != nil && x.Labour != old.Labour && y.Labour != x.Labour, y != nil && x.Started != 0 && *fieldsText(y) != *fieldsText(x):
				t.Fatalf("seed %d: %s had its own hours %+v and is %+v", seed, x.ID, x, y)
			}
		}
		for _, p := range after.Problems() {
			t.Errorf("seed %d: %v", seed, p)
		}
	}
}

func fieldsText(a *schedule.Activity) *string {
	b, _ := json.Marshal(a)
	s := string(b)
	return &s
}

// A renamed language is no touch: the set-up's own words count as the same in both.
func TestWordsOfTheSetUpAreNobodys(t *testing.T) {
	a := template.Answers{"layers": "2"}
	es := template.Build(a, "es", "")
	r := rebuild(es, template.Build(a, "en", ""), template.Build(template.Answers{"layers": "1"}, "en", ""))
	after, err := applied(es, r.edits)
	if err != nil {
		t.Fatal(err)
	}
	if after.Activity("board-2") != nil {
		t.Error("the second layer stays because its name is Spanish")
	}
	if after.Activity("measure").Name != "Medir" {
		t.Error("a change of layers renamed things")
	}
}
