// Package words holds every sentence the engine says, in the languages of the site.
//
// One file per language (en.go, es.go) has the same keys with the same {gaps}; a test keeps them
// complete. Use In to get a language, Say for a sentence and Count where a number decides the form.
// Nothing here knows the plan: the engine hands over names and dates that are already words.
package words

import (
	"sort"
	"strconv"
	"strings"
)

// Lang is one language: its sentences and how it writes dates.
type Lang struct {
	Code string // "en", "es"
	Name string // what the language calls itself

	text     map[string]string
	days     [7]string // Monday first, short
	daysLong [7]string
	months   [12]string
	monthsL  [12]string
	am, pm   string
	noon     string
	midnight string
	of       string // between the day and the month of a long date
	and      string
	// before is the word for "and" in front of a name, where the name changes it.
	before func(name string) string
}

// all are the languages there are, the default first. A language is one file, and one entry here.
func all() []*Lang { return []*Lang{en, es} }

// Codes names the languages there are, the default first.
var Codes = func() (codes []string) {
	for _, l := range all() {
		codes = append(codes, l.Code)
	}
	return codes
}()

// In returns the language of a code such as "es" or "es-MX"; English when it is not one of ours.
func In(code string) *Lang {
	for _, l := range all() {
		if len(code) >= 2 && code[:2] == l.Code {
			return l
		}
	}
	return en
}

// Known says whether a code is that of a language we have.
func Known(code string) bool { return In(code).Code == code }

// Languages lists what one may choose from: "English (en), Español (es)".
func (l *Lang) Languages() string {
	var names []string
	for _, x := range all() {
		names = append(names, x.Name+" ("+x.Code+")")
	}
	return strings.Join(names, ", ")
}

// Say fills the gaps of a sentence: Say("waits", "what", name) replaces {what}. A key that does not
// exist comes back in brackets, which a test over all screens looks for.
func (l *Lang) Say(key string, gaps ...string) string {
	s, ok := l.text[key]
	if !ok {
		return "[" + key + "]"
	}
	return fill(s, gaps)
}

// Has says whether there is a sentence of that name.
func (l *Lang) Has(key string) bool { _, ok := l.text[key]; return ok }

// Count picks key.one or key.many by n and fills {n}.
func (l *Lang) Count(key string, n int64, gaps ...string) string {
	form := ".many"
	if n == 1 || n == -1 {
		form = ".one"
	}
	return l.Say(key+form, append([]string{"n", strconv.FormatInt(n, 10)}, gaps...)...)
}

// Keys lists the sentences in order, for the test that compares languages.
func (l *Lang) Keys() []string {
	keys := make([]string, 0, len(l.text))
	for k := range l.text {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// fill walks once over s, so that a name containing "{x}" is never read as a gap.
func fill(s string, gaps []string) string {
	if !strings.Contains(s, "{") {
		return s
	}
	var b strings.Builder
	for {
		open := strings.IndexByte(s, '{')
		if open < 0 {
			break
		}
		end := strings.IndexByte(s[open:], '}')
		if end < 0 {
			break
		}
		b.WriteString(s[:open])
		v := gap(s[open+1:open+end], gaps)
		b.WriteString(v)
		s = s[open+end+1:]
		if strings.HasSuffix(v, ".") && strings.HasPrefix(s, ".") { // "8:00 a. m." ends its sentence itself
			s = s[1:]
		}
	}
	b.WriteString(s)
	return b.String()
}

func gap(name string, gaps []string) string {
	for i := 0; i+1 < len(gaps); i += 2 {
		if gaps[i] == name {
			return gaps[i+1]
		}
	}
	return "{" + name + "}"
}

// List joins names: "a", "a and b", "a, b and c".
func (l *Lang) List(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return names[0]
	}
	last := names[len(names)-1]
	and := l.and
	if l.before != nil {
		and = l.before(last)
	}
	return strings.Join(names[:len(names)-1], ", ") + " " + and + " " + last
}
