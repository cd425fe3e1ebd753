package laws_test

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"batterboard/sync/laws"
)

// kept are seeds that once failed.
var kept = []uint64{}

func TestLaws(t *testing.T) { // SPEC S1, M1-M5, W1-W4, L1, U1
	for _, seed := range append(kept, numbers(1, 250)...) {
		if _, err := laws.Check(seed); err != nil {
			t.Fatal(err)
		}
	}
}

func numbers(from, n uint64) (list []uint64) {
	for i := range n {
		list = append(list, from+i)
	}
	return list
}

// digest is what the program in ../lawrun prints as well.
func digest(t *testing.T, n uint64) string {
	sum := sha256.New()
	for seed := uint64(1); seed <= n; seed++ {
		said, err := laws.Check(seed)
		if err != nil {
			t.Fatal(err)
		}
		sum.Write([]byte(said))
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// TestSameBytesAsWebAssembly builds the laws for the browser's engine, runs them under node and
// compares every byte of every state with the native run.
func TestSameBytesAsWebAssembly(t *testing.T) { // SPEC S3
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("no node on this machine: the laws ran natively only")
	}
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	wasm := filepath.Join(t.TempDir(), "laws.wasm")
	build := exec.Command("go", "build", "-o", wasm, "batterboard/sync/lawrun")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	exe := filepath.Join(strings.TrimSpace(string(goroot)), "lib", "wasm", "wasm_exec_node.js")
	run := exec.Command(node, "--stack-size=4096", exe, wasm, "40")
	run.Env = []string{"PATH=" + os.Getenv("PATH")} // the browser's engine has no environment to speak of
	out, err := run.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if got, want := strings.TrimSpace(string(out)), digest(t, 40); got != want {
		t.Errorf("as WebAssembly: %s\nnatively (%s): %s", got, runtime.GOARCH, want)
	}
}
