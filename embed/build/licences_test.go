package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Every module that the binary is made of travels with its licence. Here are those that the server asks for and some that
// those bring along, each known by its own text.
func TestLicencesTravelAlong(t *testing.T) {
	root, err := findRoot()
	if err != nil {
		t.Fatal(err)
	}
	parts, err := (&tool{ctx: t.Context(), root: root}).goParts()
	if err != nil {
		t.Fatal(err)
	}
	// The lines are those of the licences themselves, as their authors publish them.
	for name, line := range map[string]string{
		"Go":                               "The Go Authors",
		"github.com/gorilla/websocket ":    "The Gorilla WebSocket Authors",
		"github.com/dgraph-io/badger/v4 ":  "Apache License",
		"github.com/rs/xid ":               "Olivier Poitrey",
		"github.com/wneessen/go-mail ":     "Permission is hereby granted",
		"golang.org/x/crypto ":             "Redistributions in binary form must reproduce",
		"github.com/klauspost/compress ":   "Klaus Post",
		"google.golang.org/protobuf ":      "Redistributions in binary form must reproduce",
		"github.com/cespare/xxhash/v2 ":    "Caleb Spare",
		"github.com/google/flatbuffers ":   "Apache License",
		"github.com/dgraph-io/ristretto/v": "Apache License",
	} {
		found := false
		for _, p := range parts {
			if p.Name == name || strings.HasPrefix(p.Name, name) {
				found = found || strings.Contains(strings.Join(p.Texts, "\n"), line)
			}
		}
		if !found {
			t.Errorf("the licence of %s is not there, or not its own", name)
		}
	}
	for _, p := range parts {
		if strings.TrimSpace(strings.Join(p.Texts, "")) == "" {
			t.Errorf("%s is named without a text", p.Name)
		}
	}
}

// What was built last holds the packages of the app as well.
func TestBuiltLicencesNameTheApp(t *testing.T) {
	root, err := findRoot()
	if err != nil {
		t.Fatal(err)
	}
	built, err := os.ReadFile(filepath.Join(root, "embed", "dist", "licences.txt"))
	if os.IsNotExist(err) {
		t.Skip("the app has not been built here")
	}
	if err != nil {
		t.Fatal(err)
	}
	var npm struct{ Dependencies map[string]string }
	if err := json.Unmarshal([]byte(doc(t, root, "client/package.json")), &npm); err != nil {
		t.Fatal(err)
	}
	if len(npm.Dependencies) == 0 {
		t.Fatal("client/package.json names nothing")
	}
	for name, version := range npm.Dependencies {
		if !strings.Contains(string(built), "\n"+name+" "+version+"\n") {
			t.Errorf("%s %s is in the app without its licence", name, version)
		}
	}
}
