package main

import (
	"bytes"
	"context"
	"os"
	"testing"
)

// A field that changed in Go and not on the screen is found here, and by the TypeScript compiler
// once the file is written again.
func TestTypesAreFresh(t *testing.T) {
	root, err := findRoot()
	if err != nil {
		t.Fatal(err)
	}
	b := &tool{ctx: context.Background(), root: root}
	want, err := b.types()
	if err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(b.path(typesFile))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what the engine's types say. Write it again: go run ./embed/build types", typesFile)
	}
}
