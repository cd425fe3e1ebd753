package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// A program that grows its stack, collects garbage, recovers from panics, runs goroutines and reads
// JSON: everything that leans on the tables that stay.
const busy = `package main

import ("encoding/json"; "fmt"; "runtime"; "strings"; "sync")

type node struct { Name string; Kids []*node }

func grow(n int) int { var pad [64]int; pad[n%64] = n; if n == 0 { return 0 }; return grow(n-1) + pad[n%64]/max(n, 1) }

func caught(i int) (s string) {
	defer func() { s = fmt.Sprint(recover()) }()
	return []string{"a"}[i]
}

func tree(d int) *node { if d == 0 { return nil }; return &node{strings.Repeat("x", d), []*node{tree(d-1), tree(d-1)}} }

func main() {
	fmt.Println(grow(20000), caught(3))
	var wg sync.WaitGroup
	sums := make([]int, 8)
	for i := range sums { wg.Add(1); go func() { defer wg.Done(); for k := range 50 { sums[i] += len(tree(6).Kids) + k; if k%10 == 0 { runtime.GC() } } }() }
	wg.Wait()
	b, err := json.Marshal(tree(3))
	fmt.Println(sums, string(b), err)
}
`

// busyWasm builds it, in a folder of its own.
func busyWasm(t *testing.T) (dir string, wasm []byte) {
	dir = t.TempDir()
	write := func(name, text string) { _ = os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644) }
	write("go.mod", "module busy\n\ngo 1.26\n")
	write("main.go", busy)
	build := exec.Command("go", "build", "-trimpath", "-ldflags=-s -w", "-o", "busy.wasm", ".")
	build.Dir, build.Env = dir, append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOFLAGS=")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	wasm, err := os.ReadFile(filepath.Join(dir, "busy.wasm"))
	if err != nil {
		t.Fatal(err)
	}
	return dir, wasm
}

func TestSlimChangesNothingButTraces(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("no node here")
	}
	dir, wasm := busyWasm(t)
	small, err := slim(wasm)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := slim(small); err != nil || !bytes.Equal(again, small) {
		t.Errorf("slim of slim is another program (%v)", err)
	}
	if err := os.WriteFile(filepath.Join(dir, "slim.wasm"), small, 0o644); err != nil {
		t.Fatal(err)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	run := func(file string) string {
		out, err := exec.Command(node, "--stack-size=8192", filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec_node.js"), filepath.Join(dir, file)).CombinedOutput()
		if err != nil {
			t.Fatalf("%s: %v\n%s", file, err, out)
		}
		return string(out)
	}
	if a, b := run("busy.wasm"), run("slim.wasm"); a != b || !strings.Contains(a, "index out of range") {
		t.Errorf("the slim program says\n%s\nthe other\n%s", b, a)
	}
	if bytes.Contains(small, []byte("main.grow")) || !bytes.Contains(wasm, []byte("main.grow")) {
		t.Error("the names are still in, or never were")
	}
}

// Whatever is not such a program is refused, and never a crash.
func TestSlimRefusesOtherBytes(t *testing.T) {
	for _, b := range []string{"", "\x00asm", "\x00asm\x01\x00\x00\x00", "\x00asm\x01\x00\x00\x00\x0b\x05\x01\x00\x41\x80\x80",
		"\x00asm\x01\x00\x00\x00\x0b\x07\x01\x00\x41\x00\x0b\x01x", "\x00asm\x01\x00\x00\x00\x0b\xff\xff\xff\xff\x7f"} {
		if _, err := slim([]byte(b)); !errors.Is(err, errShape) {
			t.Errorf("%q: %v", b, err)
		}
		if _, err := pack([]byte(b)); !errors.Is(err, errShape) {
			t.Errorf("pack %q: %v", b, err)
		}
	}
}
