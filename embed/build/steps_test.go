package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The lock file of the client and what npm itself wrote beside the packages it installed.
func TestInstalled(t *testing.T) {
	root, err := findRoot()
	if err != nil {
		t.Fatal(err)
	}
	lock := []byte(doc(t, root, "client/package-lock.json"))
	got, err := os.ReadFile(filepath.Join(root, "client", "node_modules", ".package-lock.json"))
	if err != nil {
		t.Skip("no packages installed here")
	}
	if !installed(lock, got) {
		t.Error("what npm installed from the lock file counts as something else")
	}
	version := `"version": "` // of some package, made another
	for what, other := range map[string]string{
		"nothing":         `{"packages":{}}`,
		"half a file":     string(got[:len(got)/2]),
		"another version": strings.Replace(string(got), version, version+"9", 1),
		"another package": strings.Replace(string(got), `"node_modules/preact"`, `"node_modules/else"`, 1),
		"another sum":     strings.Replace(string(got), `"integrity": "sha512-`, `"integrity": "sha512-9`, 1),
	} {
		if other == string(got) {
			t.Fatalf("%s: nothing was changed", what)
		}
		if installed(lock, []byte(other)) {
			t.Errorf("%s counts as installed", what)
		}
	}
}
