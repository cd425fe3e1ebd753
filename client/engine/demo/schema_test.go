package demo_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"batterboard/schedule"
)

const root = "../../../"

// siteFiles are all site documents that the repository holds, and none that it does not.
func siteFiles(t *testing.T) []string {
	t.Helper()
	files := []string{"old-laundry.json"}
	for _, glob := range []string{"../template/*-car*.json", root + "testdata/plans/*.json"} {
		found, err := filepath.Glob(glob)
		if err != nil || len(found) < 4 {
			t.Fatalf("%s: %d files, %v; want at least 4", glob, len(found), err)
		}
		files = append(files, found...)
	}
	return files
}

func compile(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(read(t, root+"testdata/site.schema.json")))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	if err := c.AddResource("site.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("site.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func read(t *testing.T, file string) []byte {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestSiteFilesKeepTheSchema(t *testing.T) {
	schema := compile(t)
	for _, file := range siteFiles(t) {
		b := read(t, file)
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
		if err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		if err := schema.Validate(doc); err != nil {
			t.Errorf("%s: %v", file, err)
		}
		if _, err := schedule.ParseSite(b); err != nil {
			t.Errorf("%s: ParseSite: %v", file, err)
		}
	}
}

// What ParseSite refuses, the schema refuses; a schema that accepts everything proves nothing.
func TestSchemaRefuses(t *testing.T) {
	schema := compile(t)
	for _, bad := range []string{
		`[]`, `{}`, `{"name":"X"}`, `{"format":2,"name":"x"}`, `{"format":1,"name":7}`,
		`{"format":1,"name":"x","start":"1 March"}`,
		`{"format":1,"name":"x","crews":[{"id":"a b","name":"A","trade":"board"}]}`,
		`{"format":1,"name":"x","activities":[{"id":"a","name":"A","labour":{}}]}`,
		`{"format":1,"name":"x","activities":[{"id":"a","name":"A","labour":{"typical":1.5}}]}`,
		`{"format":1,"name":"x","activities":[{"id":"a","name":"A","labour":{"typical":60},"started":"2027-03-01 08:00"}]}`,
		`{"format":1,"name":"x","hours":[["8-12"]]}`,
		`{"format":1,"name":"x","links":[{"id":"l","from":"a","to":"b","kind":"FX"}]}`,
		`{"format":1,"name":"x","holds":[{"id":"h","name":"H","result":"perhaps"}]}`,
	} {
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(bad))
		if err != nil {
			t.Fatal(err)
		}
		if schema.Validate(doc) == nil {
			t.Errorf("the schema accepts %s", bad)
		}
	}
}

// Every field of the Go types is described, and nothing is described that the types do not have: the
// schema is the form's prose, and prose goes stale.
func TestSchemaNamesEveryField(t *testing.T) {
	var doc map[string]any
	if err := json.Unmarshal(read(t, root+"testdata/site.schema.json"), &doc); err != nil {
		t.Fatal(err)
	}
	defs := doc["$defs"].(map[string]any)
	compareFields(t, "site", reflect.TypeFor[schedule.Site](), doc)
	for name, typ := range map[string]reflect.Type{
		"crew": reflect.TypeFor[schedule.Crew](), "extra": reflect.TypeFor[schedule.Extra](),
		"place": reflect.TypeFor[schedule.Place](), "range": reflect.TypeFor[schedule.Range](),
		"activity": reflect.TypeFor[schedule.Activity](), "link": reflect.TypeFor[schedule.Link](),
		"hold": reflect.TypeFor[schedule.Hold](), "order": reflect.TypeFor[schedule.Order](),
		"away": reflect.TypeFor[schedule.Away](), "shut": reflect.TypeFor[schedule.Shut](),
		"opening": reflect.TypeFor[schedule.Opening](), "sentText": reflect.TypeFor[schedule.Text](),
		"note": reflect.TypeFor[schedule.Note](),
	} {
		compareFields(t, name, typ, defs[name].(map[string]any))
	}
}

func compareFields(t *testing.T, name string, typ reflect.Type, schema map[string]any) {
	t.Helper()
	described := schema["properties"].(map[string]any)
	has := map[string]bool{}
	for i := range typ.NumField() {
		field, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
		if field == "" || field == "-" {
			continue
		}
		has[field] = true
		if described[field] == nil {
			t.Errorf("%s.%s is not in testdata/site.schema.json", name, field)
		}
	}
	for field := range described {
		if !has[field] {
			t.Errorf("testdata/site.schema.json describes %s.%s, which the program does not know", name, field)
		}
	}
}
