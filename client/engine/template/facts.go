package template

import "strconv"

// Answers are what the owner said, by question. A question that is not there was skipped.
type Answers map[string]string

// facts are the answers with the usual in place of what was skipped, as conditions and formulas ask them.
type facts struct {
	said  Answers
	found map[string]string
}

func newFacts(a Answers) *facts { return &facts{said: a, found: map[string]string{}} }

// of is the answer to a question, or what is usual.
func (f *facts) of(id string) string {
	if v, ok := f.found[id]; ok {
		return v
	}
	f.found[id] = "" // a default that asks itself finds nothing
	v := f.said[id]
	if q := questions().by[id]; v == "" && q != nil {
		v = f.usual(q)
	} else if q != nil && !q.When.holds(f) {
		v = f.usual(q) // what is not asked any more does not count any more
	}
	if v == "-" {
		v = ""
	}
	f.found[id] = v
	return v
}

func (f *facts) usual(q *Question) string {
	for i := range q.Default {
		if q.Default[i].When.holds(f) {
			return q.Default[i].Value
		}
	}
	return ""
}

func (f *facts) number(id string) int64 { n, _ := whole(f.of(id)); return n }

// flag is a fact that conditions name without a value.
func (f *facts) flag(name string) bool {
	switch name {
	case "isolated":
		return f.of("use") == "isolated"
	case "air": // rooms that are shut tight, taught or slept in get air of their own
		return f.is("use", "isolated|sleeping|classroom")
	case "opened":
		return f.number("windows")+f.number("doors") > 0
	case "piped": // gas or water has to be shut before anything is opened
		return f.is("stands", "heater|waterheater|sink") || f.is("wet", "sink|bath")
	case "unpiped":
		return !f.flag("piped")
	case "wide":
		return f.number("wide") > 0
	}
	return false
}

// is tells whether one of the answers to a question is among some, which stand between bars.
func (f *facts) is(id, among string) bool {
	have := split(f.of(id), ',')
	for _, want := range split(among, '|') {
		for _, h := range have {
			if h == want {
				return true
			}
		}
	}
	return false
}

// condition says when a rule applies: "use=office|classroom wide" needs both parts, " or " divides
// alternatives, and empty is always. A part without a value is a flag.
type condition string

func (c condition) holds(f *facts) bool {
	if c == "" {
		return true
	}
	for _, way := range splitWord(string(c), " or ") {
		if holdsAll(f, way) {
			return true
		}
	}
	return false
}

func holdsAll(f *facts, parts string) bool {
	for _, p := range split(parts, ' ') {
		id, among, valued := cut(p, '=')
		if valued && !f.is(id, among) || !valued && !f.flag(id) {
			return false
		}
	}
	return true
}

func split(s string, by byte) (out []string) {
	for s != "" {
		var part string
		part, s, _ = cut(s, by)
		if part != "" {
			out = append(out, part)
		}
	}
	return out
}

func cut(s string, by byte) (before, after string, ok bool) {
	for i := range len(s) {
		if s[i] == by {
			return s[:i], s[i+1:], true
		}
	}
	return s, "", false
}

func splitWord(s, by string) (out []string) {
	from := 0
	for i := 0; i+len(by) <= len(s); i++ {
		if s[i:i+len(by)] == by {
			out = append(out, s[from:i])
			from = i + len(by)
		}
	}
	return append(out, s[from:])
}

func itoa(n int64) string { return strconv.FormatInt(n, 10) }

func whole(s string) (int64, bool) {
	n, err := strconv.ParseInt(s, 10, 32)
	return n, err == nil
}
