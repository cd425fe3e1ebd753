package template

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"batterboard/client/engine/trade"
)

// The form of the two data files: every figure has an id, a value range, a unit, a source and a mark.
const rulesSchema = `{
 "$schema": "https://json-schema.org/draft/2020-12/schema",
 "type": "object", "additionalProperties": false,
 "required": ["sources", "rates", "factors", "crews", "places", "activities", "holds", "orders", "links"],
 "$defs": {
  "id": {"type": "string", "pattern": "^[A-Za-z0-9-]{1,40}$"},
  "words": {"type": "array", "minItems": 2, "maxItems": 2, "items": {"type": "string", "minLength": 1, "maxLength": 200}},
  "source": {"type": "integer", "minimum": 0, "maximum": 60},
  "when": {"type": "string", "minLength": 1, "maxLength": 120}
 },
 "properties": {
  "sources": {"type": "array", "items": {"type": "object", "additionalProperties": false, "required": ["source", "mark"],
   "properties": {"source": {"type": "string", "minLength": 5}, "mark": {"enum": ["published", "second-hand", "common-practice", "from-memory"]}}}},
  "rates": {"type": "array", "items": {"type": "object", "additionalProperties": false, "required": ["id", "what", "unit", "per", "low", "typical", "high", "source"],
   "properties": {"id": {"$ref": "#/$defs/id"}, "what": {"$ref": "#/$defs/words"}, "unit": {"enum": ["sf", "ft", "bf", "each"]}, "per": {"enum": [1, 100, 1000]},
    "low": {"type": "integer", "minimum": 1}, "typical": {"type": "integer", "minimum": 1}, "high": {"type": "integer", "maximum": 10000}, "source": {"$ref": "#/$defs/source"}, "new": {"const": true}}}},
  "factors": {"type": "object", "additionalProperties": {"type": "object", "additionalProperties": false, "required": ["what", "low", "typical", "high", "source"],
   "properties": {"what": {"$ref": "#/$defs/words"}, "low": {"type": "integer", "minimum": 0}, "typical": {"type": "integer"}, "high": {"type": "integer", "maximum": 300}, "source": {"$ref": "#/$defs/source"}}}},
  "crews": {"type": "array"}, "places": {"type": "array"},
  "activities": {"type": "array", "items": {"type": "object", "additionalProperties": false, "required": ["id", "name", "scope"],
   "properties": {"id": {"$ref": "#/$defs/id"}, "name": {"$ref": "#/$defs/words"}, "scope": {"$ref": "#/$defs/words"}, "plain": {"$ref": "#/$defs/words"}, "ready": {"$ref": "#/$defs/words"}, "when": {"$ref": "#/$defs/when"},
    "crew": {"$ref": "#/$defs/id"}, "with": {"type": "array"}, "own": {"$ref": "#/$defs/id"}, "place": {"$ref": "#/$defs/id"}, "whole": {"const": true}, "cover": {"const": true},
    "outdoor": {"const": true}, "noisy": {"const": true}, "gate": {"const": true}, "closes": {"const": true}, "hands": {"type": "integer", "minimum": 1, "maximum": 4}, "cautions": {"type": "array"},
    "days": {"type": "array", "minItems": 2, "maxItems": 2, "items": {"type": "integer", "minimum": 1, "maximum": 5000}}, "by": {"const": "wide"}, "least": {"type": "integer", "minimum": 60, "maximum": 480},
    "source": {"$ref": "#/$defs/source"},
    "work": {"type": "array", "minItems": 1, "items": {"type": "object", "additionalProperties": false, "required": ["rate", "of"],
     "properties": {"rate": {"$ref": "#/$defs/id"}, "of": {"$ref": "#/$defs/id"}, "times": {"type": "string"}, "when": {"$ref": "#/$defs/when"}}}}},
   "dependentRequired": {"days": ["source"]}}},
  "holds": {"type": "array", "items": {"required": ["id", "name", "code", "ready", "source"]}},
  "orders": {"type": "array", "items": {"required": ["id", "goods", "lead", "source"], "properties": {"lead": {"type": "integer", "minimum": 1, "maximum": 120}}}},
  "links": {"type": "array", "items": {"type": "object", "additionalProperties": false, "required": ["from", "to"], "dependentRequired": {"lag": ["why", "source"]},
   "properties": {"from": {"$ref": "#/$defs/id"}, "to": {"$ref": "#/$defs/id"}, "lag": {"type": "integer", "minimum": 60, "maximum": 45000}, "why": {"$ref": "#/$defs/words"},
    "wait": {"$ref": "#/$defs/id"}, "thick": {"type": "integer", "minimum": 1}, "source": {"$ref": "#/$defs/source"}}}}
 }
}`

const questionsSchema = `{
 "$schema": "https://json-schema.org/draft/2020-12/schema",
 "type": "object", "additionalProperties": false, "required": ["screens", "sizes"],
 "$defs": {"words": {"type": "array", "minItems": 2, "maxItems": 2, "items": {"type": "string", "minLength": 1, "maxLength": 240}}},
 "properties": {
  "sizes": {"type": "array"},
  "screens": {"type": "array", "minItems": 10, "maxItems": 18, "items": {"type": "object", "additionalProperties": false, "required": ["id", "title", "questions"],
   "properties": {"id": {"type": "string"}, "title": {"$ref": "#/$defs/words"}, "help": {"$ref": "#/$defs/words"},
    "questions": {"type": "array", "minItems": 1, "maxItems": 3, "items": {"type": "object", "additionalProperties": false, "required": ["id", "kind", "ask", "default"],
     "properties": {"id": {"type": "string"}, "kind": {"enum": ["choice", "many", "length", "count", "day", "profile"]}, "ask": {"$ref": "#/$defs/words"}, "help": {"$ref": "#/$defs/words"},
      "when": {"type": "string"}, "options": {"type": "array"}, "default": {"type": "array"}, "low": {"type": "integer"}, "high": {"type": "integer"}, "source": {"type": "string", "minLength": 5},
      "mark": {"enum": ["published", "second-hand", "common-practice", "from-memory"]}},
     "if": {"properties": {"kind": {"not": {"const": "day"}}}}, "then": {"required": ["source", "mark"]}}}}}}
 }
}`

func TestDataKeepsItsForm(t *testing.T) {
	for _, x := range [][2]string{{"rules.json", rulesSchema}, {"questions.json", questionsSchema}} {
		b, err := os.ReadFile(x[0])
		if err != nil {
			t.Fatal(err)
		}
		form, err := jsonschema.UnmarshalJSON(strings.NewReader(x[1]))
		if err != nil {
			t.Fatal(err)
		}
		c := jsonschema.NewCompiler()
		if err := c.AddResource(x[0], form); err != nil {
			t.Fatal(err)
		}
		schema, err := c.Compile(x[0])
		if err != nil {
			t.Fatal(err)
		}
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(doc); err != nil {
			t.Errorf("%s: %v", x[0], err)
		}
	}
}

// Names in the data lead somewhere, figures are in order, conditions ask what there is.
func TestDataIsWhole(t *testing.T) {
	b := rules()
	nodes := map[string]bool{}
	for _, a := range b.Activities {
		nodes[a.ID] = true
	}
	for _, h := range b.Holds {
		nodes[h.ID] = true
	}
	for _, o := range b.Orders {
		nodes[o.ID] = true
	}
	if want := len(b.Activities) + len(b.Holds) + len(b.Orders); len(nodes) != want {
		t.Errorf("%d things share %d names", want, len(nodes))
	}
	crew, size := map[string]bool{"": true}, map[string]int32{"": 9}
	for _, c := range b.Crews {
		crew[c.ID], size[c.ID] = true, c.Size
	}
	place := map[string]bool{"": true}
	for _, p := range b.Places {
		place[p.ID] = true
	}
	used := map[string]bool{}
	for _, a := range b.Activities {
		checkWhen(t, a.ID, a.When)
		if !crew[a.Crew] || !place[a.Place] || len(a.Days) == 0 && len(a.Work) == 0 && !a.Gate {
			t.Errorf("%s: crew %q, place %q, no hours", a.ID, a.Crew, a.Place)
		}
		if a.Hands > size[a.Crew] {
			t.Errorf("%s wants %d people of a crew of %d", a.ID, a.Hands, size[a.Crew])
		}
		if a.Own != "" && questions().by["own"].option(a.Own) == nil {
			t.Errorf("%s: nobody can answer that they do %q", a.ID, a.Own)
		}
		for _, c := range a.Cautions {
			id, when, _ := cut(c, '?')
			checkWhen(t, a.ID, condition(when))
			if _, ok := trade.ByID(id); !ok {
				t.Errorf("%s names the unknown caution %q", a.ID, id)
			}
		}
		for _, w := range a.Work {
			checkWhen(t, a.ID, w.When)
			used[w.Rate] = true
			f := newFacts(Answers{"windows": "2", "doors": "1", "height": "4000"})
			if b.rate[w.Rate] == nil || f.quantity(w.Of) <= 0 {
				t.Errorf("%s: rate %q of %q", a.ID, w.Rate, w.Of)
			}
			for _, name := range split(w.Times, ' ') {
				if _, ok := b.Factors[name]; !ok {
					t.Errorf("%s: no factor %q", a.ID, name)
				}
			}
		}
	}
	for _, r := range b.Rates {
		if r.Low > r.Typical || r.Typical > r.High || !used[r.ID] || r.Source >= len(b.Sources) {
			t.Errorf("rate %+v is out of order or not used (%v)", r, used[r.ID])
		}
	}
	for _, h := range b.Holds {
		checkWhen(t, h.ID, h.When)
	}
	for _, o := range b.Orders {
		checkWhen(t, o.ID, o.When)
	}
	for _, l := range b.Links {
		if l.Wait != "" {
			if w, ok := trade.WaitFor(l.Wait, trade.Usual, l.Thick); !ok || l.Lag < w.Low || l.Lag > w.High {
				t.Errorf("%s - %s waits %d min by %q, which gives %v to %v", l.From, l.To, l.Lag, l.Wait, w.Low, w.High)
			}
		}
		if !nodes[l.From] || !nodes[l.To] {
			t.Errorf("link %s - %s leads nowhere", l.From, l.To)
		}
	}
	for _, s := range Screens() {
		for _, q := range s.Questions {
			checkWhen(t, q.ID, q.When)
			for _, d := range q.Default {
				checkWhen(t, q.ID, d.When)
				if v, ok := q.Read(d.Value, "metric"); d.Value != "" && q.Kind != "length" && (!ok || v != d.Value) {
					t.Errorf("%s: the usual answer %q is none", q.ID, d.Value)
				}
			}
		}
	}
	for _, z := range Sizes() {
		for id, v := range z.Answers {
			if q, ok := Find(id); !ok || (q.Kind == "choice" || q.Kind == "profile") && q.option(v) == nil {
				t.Errorf("size %s answers %s with %q", z.ID, id, v)
			}
		}
	}
}

func checkWhen(t *testing.T, who string, c condition) {
	t.Helper()
	for _, way := range splitWord(string(c), " or ") {
		for _, p := range split(way, ' ') {
			id, among, valued := cut(p, '=')
			q := questions().by[id]
			switch {
			case valued && q == nil:
				t.Errorf("%s asks for %q, which nobody is asked", who, id)
			case valued:
				for _, v := range split(among, '|') {
					if q.option(v) == nil {
						t.Errorf("%s: %s is never %q", who, id, v)
					}
				}
			case p != "isolated" && p != "air" && p != "opened" && p != "wide" && p != "piped" && p != "unpiped":
				t.Errorf("%s asks for the unknown flag %q", who, p)
			}
		}
	}
}
