package engine

import (
	"encoding/json"
	"strconv"
	"strings"

	"batterboard/schedule"
)

// act is what one person does or sees.
func (w *world) act(p *storyPhone, x []string) {
	w.t.Helper()
	switch x[0] {
	case "cut":
		w.cut(p)
	case "join":
		w.join(p)
	case "reopens": // the tab was killed: a new engine from what the store holds
		if p.on {
			w.cut(p)
		}
		w.open(p)
	case "show":
		w.ask(p, w.fields(Request{Do: "show", Screen: x[1]}, x[2:]))
	case "ways":
		c := w.change(x[1:])
		w.ask(p, Request{Do: "ways", Change: &c, Screen: "ways"})
	case "more":
		w.ask(p, Request{Do: "more", Token: w.ways(p).Token, Screen: "ways"})
	case "take":
		w.take(p, x[1])
	case "sees":
		w.sees(p, x[1:], true)
	case "misses":
		w.sees(p, x[1:], false)
	case "refused":
		if !strings.Contains(p.view.Refused, x[1]) {
			w.fail("%s was refused %q, not %q", p.name, p.view.Refused, x[1])
		}
	case "said":
		if !strings.Contains(p.view.Said, x[1]) || p.view.Refused != "" {
			w.fail("%s was told %q (refused %q), not %q", p.name, p.view.Said, p.view.Refused, x[1])
		}
	case "has":
		w.has(p, x[1], x[2])
	case "keeps":
		w.vars[x[1]] = w.at_(p, x[2])
	default:
		w.ask(p, w.fields(Request{Do: x[0], Screen: "today"}, x[1:]))
		if x[len(x)-1] != "refused" && p.view.Refused != "" && !strings.HasPrefix(x[len(x)-1], "!") {
			w.fail("%s: %s was refused: %s", p.name, x[0], p.view.Refused)
		}
	}
}

// fields reads key=value words into a request: id, kind, at, day, from, to, key, name, said, count,
// screen, for, op, field, after, before, and set.X=JSON or set.X=text for Fields.
func (w *world) fields(r Request, x []string) Request {
	for _, kv := range x {
		k, v, ok := strings.Cut(kv, "=")
		if !ok {
			if kv == "!" {
				continue // the next line says how it is refused
			}
			w.fail("%q is not key=value", kv)
		}
		known, isVar := w.vars[strings.TrimPrefix(v, "$")]
		if isVar = isVar && strings.HasPrefix(v, "$"); isVar {
			v = known
		}
		switch k {
		case "id":
			r.ID = v
		case "kind":
			r.Kind = v
		case "at":
			r.At = at(v)
		case "from":
			r.From = day(v)
		case "to":
			r.To = day(v)
		case "day":
			r.Day = day(v)
		case "key":
			r.Key = v
		case "name":
			r.Name = v
		case "said":
			r.Said = v
		case "screen":
			r.Screen = v
		case "for":
			r.For = v
		case "op":
			r.Op = v
		case "field":
			r.Field = v
		case "after", "before": // what a new thing is put between
			if r.Change == nil {
				r.Change = new(Change)
			}
			if k == "after" {
				r.Change.After = append(r.Change.After, v)
			} else {
				r.Change.Before = append(r.Change.Before, v)
			}
		case "count":
			n, _ := strconv.Atoi(v)
			r.Count = int32(n)
		default:
			name, isSet := strings.CutPrefix(k, "set.")
			if !isSet {
				w.fail("no field %q", k)
			}
			if r.Fields == nil {
				r.Fields = map[string]json.RawMessage{}
			}
			raw := json.RawMessage(v)
			if isVar || !json.Valid(raw) {
				raw, _ = json.Marshal(v)
			}
			r.Fields[name] = raw
		}
	}
	return r
}

// change reads "away electric 2027-04-06 2027-04-07", "longer ID HOURS", "slip ID DAY",
// "shut DAY DAY", "rain DAY DAY", "fail ID", "visit ID MOMENT", "tighten", "short ORDER WHAT DAY",
// "found NAME CREW HOURS AFTER BEFORE", "by DAY".
func (w *world) change(x []string) Change {
	c := Change{Kind: x[0]}
	switch x[0] {
	case "away":
		c.Crew, c.From, c.To = x[1], day(x[2]), day(x[3])
	case "longer":
		h, _ := strconv.Atoi(x[2])
		c.ID, c.Labour = x[1], &schedule.Range{Typical: int32(h) * 60}
	case "slip":
		c.ID, c.From = x[1], day(x[2])
	case "shut":
		c.From, c.To = day(x[1]), day(x[2])
	case "rain":
		c.Kind, c.Outdoor, c.From, c.To = "shut", true, day(x[1]), day(x[2])
	case "fail":
		c.ID = x[1]
	case "short": // short ORDER "what is missing" DAY
		c.ID, c.Why, c.From = x[1], x[2], day(x[3])
	case "found": // found "name" CREW HOURS AFTER BEFORE; lists with commas, - for none
		h, _ := strconv.Atoi(x[3])
		c.Name, c.Crew, c.Labour = x[1], x[2], &schedule.Range{Typical: int32(h) * 60}
		c.After, c.Before = commas(x[4]), commas(x[5])
	case "by":
		c.From = day(x[1])
	case "visit":
		c.ID, c.At = x[1], at(x[2])
	}
	return c
}

func commas(x string) []string {
	if x == "-" {
		return nil
	}
	return strings.Split(x, ",")
}

func (w *world) ways(p *storyPhone) *WaysView {
	if p.view.Ways == nil {
		w.fail("%s has no ways on the screen (%s, refused %q)", p.name, p.view.Screen, p.view.Refused)
	}
	return p.view.Ways
}

// take takes the way with that key, "best" the one marked so.
func (w *world) take(p *storyPhone, key string) {
	v := w.ways(p)
	for _, c := range v.Cards {
		if c.Key == key || key == "best" && c.Best || strings.Contains(c.Name, p.e.words().Say("way."+key)) {
			w.ask(p, Request{Do: "take", Token: v.Token, Key: c.Key, Screen: "today"})
			return
		}
	}
	w.fail("no way %q among %d", key, len(v.Cards))
}

// sees looks for a text anywhere in what the screen was given; several texts must all be there.
func (w *world) sees(p *storyPhone, texts []string, want bool) {
	for _, text := range texts {
		quoted, _ := json.Marshal(text)
		inner := string(quoted[1 : len(quoted)-1])
		if strings.Contains(p.raw, text) != want && strings.Contains(p.raw, inner) != want {
			w.fail("%s on %s: %q there is %v, want %v\n%s", p.name, p.view.Screen, text, !want, want, p.raw[:min(len(p.raw), 6000)])
		}
	}
}

// at_ reads a value of the view by its path: head.unsent, ways.cards.0.key, texts.tomorrow.# (how many).
func (w *world) at_(p *storyPhone, path string) string {
	var v any
	var whole struct {
		View any `json:"view"`
	}
	if err := json.Unmarshal([]byte(p.raw), &whole); err != nil {
		w.fail("%v", err)
	}
	v = whole.View
	for _, k := range strings.Split(path, ".") {
		switch x := v.(type) {
		case map[string]any:
			v = x[k]
		case []any:
			if k == "#" {
				v = float64(len(x))
				continue
			}
			n, err := strconv.Atoi(k)
			if err != nil { // the element whose id, key or name is k
				v = nil
				for _, el := range x {
					m, _ := el.(map[string]any)
					if m["id"] == k || m["key"] == k || m["name"] == k || m["kind"] == k {
						v = el
						break
					}
				}
				continue
			}
			if n < len(x) {
				v = x[n]
			} else {
				v = nil
			}
		default:
			v = nil
		}
	}
	switch x := v.(type) {
	case string:
		return x
	case nil:
		return "nothing"
	default:
		b, _ := json.Marshal(x)
		return string(b)
	}
}

// has compares a value of the view; "1+" means a number of at least 1, "*x" a text with x in it.
func (w *world) has(p *storyPhone, path, want string) {
	got := w.at_(p, path)
	if least, ok := strings.CutSuffix(want, "+"); ok {
		a, err1 := strconv.ParseFloat(got, 64)
		b, err2 := strconv.ParseFloat(least, 64)
		if err1 == nil && err2 == nil && a >= b {
			return
		}
	}
	if part, ok := strings.CutPrefix(want, "*"); ok && strings.Contains(got, part) {
		return
	}
	if got != want {
		w.fail("%s: %s is %q, want %q", p.name, path, got, want)
	}
}
