package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	opsync "batterboard/sync"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// loosen takes out of a schema what only the app sees to, and no log can: that a thing is whole (another phone may have
// taken half of it away), that a word is one of this version's, that a figure makes sense. Types and dates stay.
func loosen(name string, v any) {
	switch v := v.(type) {
	case []any:
		for _, x := range v {
			loosen("", x)
		}
	case map[string]any:
		for _, bound := range []string{"minimum", "maximum", "maxLength", "maxItems", "pattern"} {
			if _, ok := v["type"]; ok && !slices.Contains([]string{"day", "moment", "window"}, name) {
				delete(v, bound)
			}
		}
		if need, ok := v["required"].([]any); ok {
			v["required"] = slices.DeleteFunc(need, func(x any) bool { return x != "id" })
		}
		if _, ok := v["enum"].([]any); ok {
			delete(v, "enum")
			v["type"] = "string"
		}
		for name, x := range v {
			loosen(name, x)
		}
	}
}

// Whatever phones write, sense or nonsense: what the log takes is exported in a form that keeps the published schema.
func TestWhatPhonesWriteKeepsTheSchema(t *testing.T) {
	path := filepath.Join("..", "testdata", "site.schema.json")
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	loose, err := jsonschema.UnmarshalJSON(strings.NewReader(string(raw)))
	if err != nil {
		t.Fatal(err)
	}
	loosen("", loose)
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource("loose.json", loose); err != nil {
		t.Fatal(err)
	}
	schema, err := compiler.Compile("loose.json")
	if err != nil {
		t.Fatal(err)
	}
	type object struct {
		Properties map[string]struct {
			Type  string
			Items struct {
				Ref string `json:"$ref"`
			}
		}
		Required []string
	}
	var top struct {
		object
		Defs map[string]object `json:"$defs"`
	}
	if err := json.Unmarshal(raw, &top); err != nil {
		t.Fatal(err)
	}
	fields := map[string][]string{"site": nil} // by kind of thing
	for name, p := range top.Properties {
		if kind, ok := strings.CutPrefix(p.Items.Ref, "#/$defs/"); ok {
			kind = map[string]string{"sentText": "text"}[kind] + map[bool]string{true: kind}[kind != "sentText"]
			for f := range top.Defs[strings.TrimPrefix(p.Items.Ref, "#/$defs/")].Properties {
				if f != "id" {
					fields[kind] = append(fields[kind], f)
				}
			}
		} else if name != "id" && name != "format" {
			fields["site"] = append(fields["site"], name)
		}
	}
	kinds := []string{}
	for k := range fields {
		slices.Sort(fields[k])
		kinds = append(kinds, k)
	}
	slices.Sort(kinds)
	if len(kinds) < 15 {
		t.Fatalf("only %v in the schema", kinds)
	}
	values := []string{`null`, `""`, `"electric"`, `"2027-03-02"`, `"2027-03-02T08:00"`, `"2027-02-30"`, `"08:00-12:00"`, `0`, `1`, `-1`, `7.5`, `1e9`, `99999999999`, `true`, `false`,
		`[]`, `["x"]`, `[["08:00-12:00"]]`, `[[], ["12:00-08:00"]]`, `{}`, `{"typical":60}`, `{"low":1}`, `[1,2]`, `"FS"`, `"es"`, `"pass"`, `"tomorrow"`, `"firm"`, `"air"`, `"US"`, `"47.1,8.5"`,
		`"` + strings.Repeat("ab", 32) + `"`, `{"from":480,"to":990}`, `"application/pdf"`, `"` + strings.Repeat("x", 130) + `"`}
	doc, err := os.ReadFile(studio)
	if err != nil {
		t.Fatal(err)
	}
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 1))
	for round := range 30 {
		f := file{doc: doc}
		if err := f.understand(); err != nil {
			t.Fatal(err)
		}
		log := opsync.NewLog()
		for _, op := range f.ops {
			if _, err := log.Add(op); err != nil {
				t.Fatal(err)
			}
		}
		for n := range 60 {
			kind := kinds[r.IntN(len(kinds))]
			id := kind
			if kind != "site" {
				id = []string{"electric", "board", "paint", "l1", "rough-inspection", fmt.Sprint("new", r.IntN(4))}[r.IntN(6)]
			}
			set := map[string]json.RawMessage{}
			for range 1 + r.IntN(4) {
				set[fields[kind][r.IntN(len(fields[kind]))]] = json.RawMessage(values[r.IntN(len(values))])
			}
			op, err := log.Write(2, int64(1800000000000+n), opsync.KindEdit, "x", []opsync.Edit{{Thing: kind, ID: id, Set: set}})
			if err != nil {
				continue
			}
			if _, err := log.Add(op); err != nil {
				t.Fatalf("seed %d, round %d: own operation refused: %v", seed, round, err)
			}
		}
		out := log.State().Document()
		v, err := jsonschema.UnmarshalJSON(strings.NewReader(string(out)))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(v); err != nil {
			t.Errorf("seed %d, round %d: %v", seed, round, err)
		}
		for _, kept := range []string{`"glaze":`, `"colour":`} { // the file's own, of which no phone knows anything
			if !strings.Contains(string(out), kept) {
				t.Errorf("seed %d, round %d: %s was lost", seed, round, kept)
			}
		}
		again := file{doc: out}
		if err := again.understand(); err != nil {
			t.Errorf("seed %d, round %d: what was exported is refused: %v", seed, round, err)
		}
	}
}
