package template

import (
	_ "embed"
	"sync"

	"batterboard/client/engine/measure"
	"batterboard/client/engine/trade"
)

// Screen is one page of the set-up: a question or a few that belong together.
type Screen struct {
	ID        string     `json:"id"`
	Title     Words      `json:"title"`
	Help      Words      `json:"help"`
	Questions []Question `json:"questions"`
}

// Question is one thing the plan depends on. Kind says how it is answered: choice, many (answers with
// commas between), length (millimetres), count, day, profile. A question nobody answered has the first
// default whose condition holds; Source and Mark say where that comes from.
type Question struct {
	ID      string    `json:"id"`
	Kind    string    `json:"kind"`
	Ask     Words     `json:"ask"`
	Help    Words     `json:"help"`
	When    condition `json:"when"` // asked only then
	Options []Option  `json:"options"`
	Default []usual   `json:"default"`
	Low     int64     `json:"low"`
	High    int64     `json:"high"`
	Source  string    `json:"source"`
	Mark    string    `json:"mark"`
}

// Option is one answer of a choice.
type Option struct {
	ID   string `json:"id"`
	Name Words  `json:"name"`
}

type usual struct {
	When  condition `json:"when"`
	Value string    `json:"value"`
}

// Size is a set of answers one can begin with.
type Size struct {
	ID      string  `json:"id"`
	Name    Words   `json:"name"`
	Answers Answers `json:"answers"`
}

type questionBook struct {
	Screens []Screen `json:"screens"`
	Sizes   []Size   `json:"sizes"`
	by      map[string]*Question
	screen  map[string]string
}

//go:embed questions.json
var questionsFile []byte

var questions = sync.OnceValue(func() *questionBook {
	b := &questionBook{by: map[string]*Question{}, screen: map[string]string{}}
	trade.Unpack("questions.json", questionsFile, b)
	for i := range b.Screens {
		for k := range b.Screens[i].Questions {
			q := &b.Screens[i].Questions[k]
			if q.Kind == "profile" {
				q.Options = profileOptions()
			}
			b.by[q.ID], b.screen[q.ID] = q, b.Screens[i].ID
		}
	}
	return b
})

func profileOptions() (out []Option) {
	for _, p := range trade.Profiles() {
		out = append(out, Option{p.ID, Words{p.Name.In("en"), p.Name.In("es")}})
	}
	return append(out, Option{"all", Words{"Every visit there is", "Todas las visitas que hay"}})
}

// Screens are the pages in the order they are asked. The caller must not change them.
func Screens() []Screen { return questions().Screens }

// Find is the question of an ID.
func Find(id string) (*Question, bool) { q, ok := questions().by[id]; return q, ok }

// ScreenOf is the page a question is on.
func ScreenOf(id string) string { return questions().screen[id] }

// Asked tells whether a question makes sense beside the answers there are.
func (q *Question) Asked(a Answers) bool { return q.When.holds(newFacts(a)) }

// Read takes what somebody typed or tapped: the value to keep, or false where it makes no sense.
// Empty is an answer too: it was skipped.
func (q *Question) Read(text string, u measure.Units) (value string, ok bool) {
	if text == "" {
		return "", true
	}
	switch q.Kind {
	case "choice", "profile":
		return text, q.option(text) != nil
	case "many":
		if text == "-" { // answered: nothing of it
			return text, true
		}
		for _, part := range split(text, ',') {
			if q.option(part) == nil {
				return "", false
			}
		}
		return text, true
	case "length":
		mm, ok := measure.Parse(text, u)
		return itoa(mm), ok && mm >= q.Low && mm <= q.High
	case "count":
		n, ok := whole(text)
		return itoa(n), ok && n >= q.Low && n <= q.High
	}
	return text, false
}

func (q *Question) option(id string) *Option {
	for i := range q.Options {
		if q.Options[i].ID == id {
			return &q.Options[i]
		}
	}
	return nil
}

// Show is a value in words: "Garage", "12' 6" (3.81 m)".
func (q *Question) Show(value string, u measure.Units, lang string) string {
	switch q.Kind {
	case "length":
		n, _ := whole(value)
		return measure.Both(n, u, lang)
	case "choice", "profile":
		if o := q.option(value); o != nil {
			return o.Name.In(lang)
		}
	case "many":
		text := ""
		for _, part := range split(value, ',') {
			if o := q.option(part); o != nil {
				if text != "" {
					text += ", "
				}
				text += o.Name.In(lang)
			}
		}
		return text
	}
	return value
}
