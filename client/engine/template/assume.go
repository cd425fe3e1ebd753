package template

import (
	"sync"

	"batterboard/client/engine/measure"
)

// Assumption is one thing the plan rests on that nobody said: what is taken for it, where that comes
// from, and the question that would settle it.
type Assumption struct {
	Question string
	Ask      string
	Taken    string
	Source
}

// Assumed lists what was taken for granted: the usual answer of each question that was skipped, and the
// figures that stretch the hours of this job.
func Assumed(a Answers, u measure.Units, lang string) (out []Assumption) {
	f := newFacts(a)
	for _, s := range Screens() {
		for i := range s.Questions {
			q := &s.Questions[i]
			if a[q.ID] == "" && q.Kind != "day" && q.When.holds(f) {
				out = append(out, Assumption{q.ID, q.Ask.In(lang), f.shown(q, u, lang), Source{q.Source, q.Mark}})
			}
		}
	}
	b := rules()
	for _, x := range [][2]string{{"small", "building"}, {"high", "height"}, {"own", "own"}, {"days", "length"}} {
		if x[0] == "high" && f.number("height") <= tall || x[0] == "own" && f.of("own") == "" {
			continue
		}
		p := b.Factors[x[0]]
		out = append(out, Assumption{x[1], p.What.In(lang), percents(p), b.source(p.Source)})
	}
	return out
}

func (f *facts) shown(q *Question, u measure.Units, lang string) string {
	switch v := f.of(q.ID); {
	case q.ID == "outlets":
		return itoa(f.quantity("outlets") / hundred)
	case v == "" || v == "none" && q.option("none") == nil:
		return nothing.In(lang)
	default:
		return q.Show(v, u, lang)
	}
}

var nothing = Words{"none", "nada"}

func percents(p Factor) string {
	times := func(n int64) string {
		s := itoa(n % 100)
		if len(s) == 1 {
			s = "0" + s
		}
		return itoa(n/100) + "." + s
	}
	return times(p.Low) + " – " + times(p.Typical) + " – " + times(p.High)
}

// Usual is what counts for a question that is skipped, in words.
func Usual(a Answers, id string, u measure.Units, lang string) string {
	q := questions().by[id]
	if q == nil || q.Kind == "day" {
		return ""
	}
	without := Answers{}
	for k, v := range a { // any order: a copy
		if k != id {
			without[k] = v
		}
	}
	return newFacts(without).shown(q, u, lang)
}

// Basis is one line of how the hours of an activity came about.
type Basis struct {
	What string // the rate, in words
	Much int64  // hundredths of the unit
	Rate *Rate
	From Source
}

// BasisOf says which rates and quantities the hours of an activity come from; none for one that is
// by days or is not of the rules.
func BasisOf(a Answers, id, lang string) (out []Basis, days Source) {
	b, f := rules(), newFacts(a)
	r := b.act[id]
	if r == nil {
		return nil, Source{}
	}
	for _, t := range r.Work {
		if rate := b.rate[t.Rate]; rate != nil && t.When.holds(f) && f.quantity(t.Of) > 0 {
			out = append(out, Basis{rate.What.In(lang), f.quantity(t.Of), rate, b.source(rate.Source)})
		}
	}
	if len(r.Days) > 0 {
		days = b.source(r.Source)
	}
	return out, days
}

// Twin is a text of the rules in another language: a crew reads its own where the owner left the words of
// the set-up as they were. False: these are not ours, somebody wrote them.
func Twin(text, lang string) (string, bool) {
	w, ok := twins()[text]
	if !ok {
		return text, false
	}
	return w.In(lang), true
}

// Ours tells whether two texts are the same one, in whatever language each is.
func Ours(a, b string) bool {
	if a == b {
		return true
	}
	w, ok := twins()[a]
	return ok && (w[0] == b || w[1] == b) || CrewSpoken(a, "en") == CrewSpoken(b, "en")
}

// Spoken is a name or a scope as somebody reads it: in lang where it is still the set-up's or the owner
// gave it in both languages, else as it was written.
func Spoken(text, also, siteLang, lang string) string {
	if t, ok := Twin(text, lang); ok {
		return t
	}
	if also != "" && !sameLang(siteLang, lang) {
		return also
	}
	return text
}

// CrewSpoken is Spoken for a crew: "Paint" is a crew and a piece of work, and not the same word everywhere.
func CrewSpoken(name, lang string) string {
	for _, c := range rules().Crews {
		if c.Name[0] == name || c.Name[1] == name {
			return c.Name.In(lang)
		}
	}
	return name
}

func sameLang(a, b string) bool {
	spanish := func(s string) bool { return len(s) >= 2 && s[:2] == "es" }
	return spanish(a) == spanish(b)
}

// twins are the texts of the rules by either of their languages. Where one text has two twins the first
// stands.
var twins = sync.OnceValue(func() map[string]Words {
	m := map[string]Words{}
	add := func(w Words) {
		for _, t := range w {
			if _, there := m[t]; !there && t != "" {
				m[t] = w
			}
		}
	}
	b := rules()
	for _, a := range b.Activities {
		add(a.Name)
		add(a.Scope)
		add(a.Plain)
		add(a.Ready)
	}
	for _, h := range b.Holds {
		add(h.Name)
		add(h.Code)
		for _, line := range h.Ready {
			add(line)
		}
	}
	for _, o := range b.Orders {
		add(o.Goods)
	}
	for _, l := range b.Links {
		add(l.Why)
	}
	for _, c := range b.Crews {
		add(c.Name)
	}
	for _, p := range b.Places {
		add(p.Name)
	}
	add(agency)
	return m
})
