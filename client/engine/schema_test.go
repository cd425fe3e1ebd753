package engine

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// keepsTheSchema holds what the phones of a story have in the end against the published form of site files: so what the
// app writes in all those acts, other programs can read.
func keepsTheSchema(t *testing.T, w *world) {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "..", "testdata", "site.schema.json"))
	if err != nil {
		t.Fatal(err)
	}
	form, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("site.schema.json", form); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("site.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range w.phones {
		if p.e == nil || p.e.phone == nil {
			continue
		}
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(p.e.phone.Log.State().Document()))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(doc); err != nil {
			t.Errorf("%s, what %s has in the end: %v", w.at, p.name, err)
		}
	}
}
