// Package template makes a plan from answers: what the room is, what it shall be, what stands in it, who
// does what. Screens are the questions, Build is the plan that follows, Document the plan of one of the
// two sizes one can begin with at once.
//
// Knowledge is data: rules.json says which activities, visits, goods and links a job has and under which
// answers, with the rates of work; questions.json asks. Each figure has its source and its mark. Code
// holds formulas, not figures. The files *-car*.json are what the two sizes come to, for reading and
// for tests; the program does not carry them.
//
// Not in here: waiting times, goods by quantity, cautions and the habits of building departments, which are
// in client/engine/trade; dates and people.
package template

import (
	"encoding/json"
	"slices"

	"batterboard/schedule"
)

// Made is the answer that says that the plan of a site was made from its answers.
const Made = "made"

// Keys are the sizes one can begin with, the smallest first.
var Keys = []string{"one-car", "two-car"}

// Sizes are the answers of each.
func Sizes() []Size { return questions().Sizes }

// Document returns the plan of a size in a language, English where there is no other; nil when there is no
// size of that key.
func Document(key, lang string) []byte {
	i := slices.IndexFunc(Sizes(), func(s Size) bool { return s.ID == key })
	if i < 0 {
		return nil
	}
	if lang != "es" {
		lang = "en"
	}
	size := Sizes()[i]
	s := Build(size.Answers, lang, "")
	s.Name = size.Name.In(lang)
	s.Answers = append(size.Answers.List(), schedule.Answer{ID: Made, Value: "1"})
	b, err := json.Marshal(s)
	if err != nil {
		panic("this cannot be: a site is plain data: " + err.Error())
	}
	return b
}

// List is the answers as the site keeps them, in the order they are asked.
func (a Answers) List() (out []schedule.Answer) {
	for _, screen := range Screens() {
		for _, q := range screen.Questions {
			if v := a[q.ID]; v != "" {
				out = append(out, schedule.Answer{ID: q.ID, Value: v})
			}
		}
	}
	return out
}

// Given reads the answers of a site; nil when the questions were never asked there.
func Given(s *schedule.Site) Answers {
	if len(s.Answers) == 0 {
		return nil
	}
	a := Answers{}
	for _, x := range s.Answers {
		if x.Value != "" {
			a[x.ID] = x.Value
		}
	}
	return a
}
