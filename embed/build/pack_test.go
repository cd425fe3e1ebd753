package main

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// What the browser unpacks is what was packed, and half of it or damaged bytes end with an error or with
// other bytes, never with a browser that hangs.
func TestPackComesBack(t *testing.T) {
	node, err := exec.LookPath("node")
	root, err2 := findRoot()
	if err != nil || err2 != nil {
		t.Skip("no node here")
	}
	esbuild := filepath.Join(root, "client", "node_modules", ".bin", "esbuild")
	if _, err := os.Stat(esbuild); err != nil {
		t.Skip("no packages installed here")
	}
	dir, wasm := busyWasm(t)
	wasm, err = slim(wasm)
	if err != nil {
		t.Fatal(err)
	}
	small, err := pack(wasm)
	if err != nil {
		t.Fatal(err)
	}
	if a, b := deflated(t, small), deflated(t, wasm); a > b*8/10 {
		t.Errorf("packed it takes %d bytes compressed, else %d: what is it good for?", a, b)
	}
	unpack, script := filepath.Join(dir, "unpack.mjs"), filepath.Join(dir, "run.mjs")
	out, err := exec.Command(esbuild, "--bundle", "--format=esm", "--outfile="+unpack, filepath.Join(root, "client", "worker", "unpack.ts")).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	write := func(name string, b []byte) string {
		name = filepath.Join(dir, name)
		if err := os.WriteFile(name, b, 0o644); err != nil {
			t.Fatal(err)
		}
		return name
	}
	write("run.mjs", []byte(`import fs from "node:fs"; import { unpack } from "./unpack.mjs";
let out; try { out = unpack(fs.readFileSync(process.argv[2])); } catch (e) { out = Buffer.from("refused: " + e.message); }
fs.writeFileSync(process.argv[3], out);`))
	run := func(b []byte) []byte {
		to := filepath.Join(dir, "out")
		if out, err := exec.Command(node, script, write("in", b), to).CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		got, err := os.ReadFile(to)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	if !bytes.Equal(run(small), wasm) {
		t.Error("what comes out is not what went in")
	}
	if !bytes.Equal(run(wasm), wasm) {
		t.Error("a program that is not packed does not come out as it is")
	}
	if got := run(endless()); !bytes.HasPrefix(got, []byte("refused: ")) {
		t.Errorf("a number without an end becomes %q", got)
	}
	const seed = 7
	r := rand.New(rand.NewSource(seed))
	for range 6 {
		if n := r.Intn(len(small)); !bytes.HasPrefix(run(small[:n]), []byte("refused: ")) && n > len(packed) {
			t.Errorf("seed %d: the first %d bytes are taken for all", seed, n)
		}
		bad := bytes.Clone(small)
		for range 20 {
			bad[r.Intn(len(bad))] ^= 1 << r.Intn(8)
		}
		run(bad)
	}
}

// endless is one function with one constant, a place in itself, whose number does not fit anywhere.
func endless() []byte {
	var s [streams][]byte
	s[sPlan] = []byte{100, 50, 1}
	s[sHead] = []byte{0, 1}
	s[sLocals] = []byte{0}
	s[sOp] = []byte{signReturn}
	s[sReturn] = append(bytes.Repeat([]byte{0xff}, 200), 1)
	out := []byte(packed)
	for _, s := range s {
		out = append(binary.AppendUvarint(out, uint64(len(s))), s...)
	}
	return out
}

func deflated(t *testing.T, b []byte) int {
	var out bytes.Buffer
	w, err := flate.NewWriter(&out, 9)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Write(b); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Len()
}
