package main

import (
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The greeting comes when the server listens: before that, what is said is why it does not.
func TestGreetsWhenItListens(t *testing.T) {
	was := os.Stdout
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	os.Stdout = w
	u := &untilListening{w: where{addr: "127.0.0.1:8123", data: "somewhere"}}
	for _, part := range []string{"something els", "e\nliste", "ning http://127.0.0.1:8123\n", "recovery code X\n"} {
		if n, err := u.Write([]byte(part)); n != len(part) || err != nil {
			t.Errorf("%d, %v", n, err)
		}
	}
	os.Stdout = was
	w.Close()
	said, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	text := string(said)
	hello := strings.Index(text, "http://127.0.0.1:8123/")
	if !strings.HasPrefix(text, "something else\n") || hello < 0 || !strings.HasSuffix(text, "\nrecovery code X\n") ||
		strings.Contains(text, "listening ") || !strings.Contains(text, "HTTPS") || !strings.Contains(text, "Ctrl-C") {
		t.Errorf("%q", text)
	}
}

// Mistakes are bad usage and asking for help is none.
func TestWordsOfTheTool(t *testing.T) {
	for _, args := range [][]string{{"buidl"}, {"run", "--adr", ":1"}, {"test", "--only", "everything"}, {"test", "e2e"}} {
		if err := do(t.Context(), args); !errors.Is(err, errUsage) {
			t.Errorf("%q: %v", args, err)
		}
	}
	for _, args := range [][]string{{"help"}, {"--help"}, {"run", "--help"}} {
		if err := do(t.Context(), args); !errors.Is(err, flag.ErrHelp) {
			t.Errorf("%q: %v", args, err)
		}
	}
}

// --fresh throws away the demo's folder, and nothing that looks like anything else.
func TestFreshLeavesOtherFoldersAlone(t *testing.T) {
	dir := t.TempDir()
	letter := filepath.Join(dir, "letter.txt")
	for _, c := range []struct {
		add  string
		left bool
	}{{letter, true}, {filepath.Join(dir, "MANIFEST"), true}, {filepath.Join(dir, "KEYREGISTRY"), false}} {
		if err := os.WriteFile(c.add, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		err := dropDemo(dir)
		if _, gone := os.Stat(letter); (gone == nil) != c.left || (err != nil) != c.left {
			t.Errorf("after %s: %v, %v", c.add, err, gone)
		}
	}
	if err := dropDemo(filepath.Join(dir, "none")); err != nil {
		t.Error(err)
	}
}
