package engine

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// keepsTheSchema holds what the phones of a story have in the end against the published form of site files: so what the
// app writes in all those acts, other programs can read.
func keepsTheSchema(t *testing.T, w *world) {
	t.Helper()
	schema, err := jsonschema.NewCompiler().Compile(filepath.Join("..", "..", "testdata", "site.schema.json"))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range w.phones {
		if p.e == nil || p.e.phone == nil {
			continue
		}
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(string(p.e.phone.Log.State().Document())))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(doc); err != nil {
			t.Errorf("%s, what %s has in the end: %v", w.at, p.name, err)
		}
	}
}
