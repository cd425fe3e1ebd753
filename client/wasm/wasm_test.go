//go:build !js

package main

import (
	"bufio"
	"bytes"
	"encoding/base64"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"batterboard/client/engine"
	"batterboard/client/engine/demo"
	"batterboard/schedule"
	opsync "batterboard/sync"
)

// The worker in a dozen lines: one request a line in base64, one reply a line.
const worker = `
const fs = require('fs');
require(process.argv[2]);
const go = new Go();
WebAssembly.instantiate(fs.readFileSync(process.argv[3]), go.importObject).then(({instance}) => {
  go.run(instance);
  for (const line of fs.readFileSync(0, 'utf8').trim().split('\n')) {
    const out = globalThis.batterboard(new Uint8Array(Buffer.from(line, 'base64')));
    process.stdout.write(Buffer.from(out).toString('base64') + '\n');
  }
  process.stdout.write('', () => process.exit(0)); // a pipe takes 64 kB at once: what is left goes out first
});
globalThis.fs ??= fs; globalThis.path ??= require('path');
`

// The law of the phone: the same requests give the same bytes natively and as WebAssembly, plans,
// ways and views included.
func TestWasmAnswersTheSameBytes(t *testing.T) {
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("no node here")
	}
	if testing.Short() {
		t.Skip("-short: building the program for the browser takes a while")
	}
	dir := t.TempDir()
	file, js := filepath.Join(dir, "engine.wasm"), filepath.Join(dir, "worker.cjs")
	build := exec.Command("go", "build", "-trimpath", "-o", file, ".")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if err := os.WriteFile(js, []byte(worker), 0o644); err != nil {
		t.Fatal(err)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	asked := requests(t)
	var in bytes.Buffer
	for _, r := range asked {
		in.WriteString(base64.StdEncoding.EncodeToString(r) + "\n")
	}
	cmd := exec.Command(node, js, filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"), file)
	cmd.Stdin, cmd.Stderr = &in, os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	native := engine.New()
	lines := bufio.NewScanner(bytes.NewReader(out))
	lines.Buffer(nil, 64<<20)
	n := 0
	for ; lines.Scan(); n++ {
		got, err := base64.StdEncoding.DecodeString(lines.Text())
		if err != nil {
			t.Fatal(err)
		}
		if want := native.Serve(asked[n]); !bytes.Equal(want, got) {
			t.Fatalf("%s\nnative\n%s\nwasm\n%s", asked[n][:min(len(asked[n]), 200)], clip(want), clip(got))
		}
	}
	if n != len(asked) {
		t.Fatalf("%d of %d requests were answered", n, len(asked))
	}
}

func clip(b []byte) []byte { return b[:min(len(b), 3000)] }

// requests are a morning on the Old Laundry: every screen, a cancelled trade, its ways to the last
// word, one taken and undone, a failed visit.
func requests(t *testing.T) (out [][]byte) {
	now, err := schedule.ParseMinute("2027-04-06T06:40")
	if err != nil {
		t.Fatal(err)
	}
	add := func(r engine.Request) {
		r.Now, r.Wall = now, int64(now)*60000
		var b bytes.Buffer
		enc := json.NewEncoder(&b)
		enc.SetEscapeHTML(false)
		if err := enc.Encode(r); err != nil {
			t.Fatal(err)
		}
		out = append(out, b.Bytes())
	}
	edits, err := opsync.EditsFromDocument(demo.Document())
	if err != nil {
		t.Fatal(err)
	}
	log := opsync.NewLog()
	open := engine.Request{Do: "open", Site: "laundry", Device: 2, Role: "owner"}
	for _, part := range opsync.SplitEdits(edits) {
		raw, err := log.Write(1, int64(now)*60000, opsync.KindEdit, "import|demo", part)
		if err != nil {
			t.Fatal(err)
		}
		open.Ops = append(open.Ops, raw)
	}
	add(open)
	screens := func() {
		for _, s := range []string{"today", "cant", "strings", "holds", "texts", "setup", "log"} {
			add(engine.Request{Do: "show", Screen: s})
		}
		add(engine.Request{Do: "show", Screen: "block", For: "board-ceiling-1"})
	}
	screens()
	day := now.Day()
	add(engine.Request{Do: "ways", Screen: "ways", Change: &engine.Change{Kind: "away", Crew: "electric", From: day, To: day + 1}})
	token := "2.1/" + now.String()
	for range 6 {
		add(engine.Request{Do: "more", Screen: "ways", Token: token})
	}
	add(engine.Request{Do: "take", Screen: "strings", Token: token, Key: cardKey(t, out)})
	screens()
	add(engine.Request{Do: "undo", Screen: "today"})
	add(engine.Request{Do: "result", ID: "rough-electrical", Key: "fail", Said: "plates missing", Screen: "holds"})
	screens()
	add(engine.Request{Do: "export"})
	return out
}

// cardKey asks a native engine all of the requests so far, and names the first way on the screen.
func cardKey(t *testing.T, asked [][]byte) string {
	e := engine.New()
	key := ""
	for _, ask := range asked {
		var r engine.Reply
		if err := json.Unmarshal(e.Serve(ask), &r); err != nil {
			t.Fatal(err)
		}
		if r.View != nil && r.View.Ways != nil && len(r.View.Ways.Cards) > 0 {
			key = r.View.Ways.Cards[0].Key
		}
	}
	if key == "" {
		t.Fatal("no way was shown")
	}
	return key
}
