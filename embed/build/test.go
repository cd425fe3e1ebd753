package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// tally is what one stage of the test command found.
type tally struct {
	passed, failed int
	lines          []string // result lines, repeated at the very end
}

// A check is one stage. Every stage runs even when one before it failed, unless it cannot.
type check struct {
	name string // for -only
	what string
	do   func(*tally) error
}

// test runs everything that is checked, and ends with the result line of every Go package and the
// sum over all stages.
func (t *tool) test(args []string) error {
	f := flag.NewFlagSet("test", flag.ContinueOnError)
	only := f.String("only", "", "one stage: go, wasm, web or e2e")
	if err := parse(f, args); err != nil {
		return err
	}
	checks, err := t.checks(*only)
	if err != nil {
		return err
	}
	if err := t.all(release); err != nil {
		return err
	}
	sum := tally{}
	for _, c := range checks {
		fmt.Printf("\n== %s\n", c.what)
		part := tally{}
		if err := c.do(&part); err != nil {
			fmt.Println("FAIL:", err)
			part.failed += boolInt(part.failed == 0)
		}
		sum.passed, sum.failed = sum.passed+part.passed, sum.failed+part.failed
		sum.lines = append(sum.lines, part.lines...)
	}
	fmt.Printf("\n== results\n%s\n%d passed, %d failed\n", strings.Join(sum.lines, "\n"), sum.passed, sum.failed)
	if sum.failed > 0 {
		return fmt.Errorf("%d failed", sum.failed)
	}
	return nil
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// checks are the stages in order: what is quick and tells most comes first.
func (t *tool) checks(only string) ([]check, error) {
	all := []check{
		{"go", "Go: format, vet", t.tidy},
		{"go", "Go: tests", t.goTests},
		{"wasm", "Go: the pure packages again, as WebAssembly", t.wasmTests},
		{"web", "TypeScript: types and unit tests", t.webTests},
		{"e2e", "End to end, in Chromium", t.e2e},
	}
	if only == "" {
		return all, nil
	}
	var some []check
	for _, c := range all {
		if c.name == only {
			some = append(some, c)
		}
	}
	if some == nil {
		return nil, fmt.Errorf("%q is no part of it: %w", only, errUsage)
	}
	return some, nil
}

// tidy fails on a file that gofmt would write otherwise and on what vet finds, for both targets.
func (t *tool) tidy(sum *tally) error {
	out, err := t.command(".", nil, "gofmt", append([]string{"-l"}, goFolders...)...).CombinedOutput()
	if err != nil {
		return said(err, "gofmt", nil)
	}
	if len(out) > 0 {
		return fmt.Errorf("not formatted (gofmt -w):\n%s", out)
	}
	sum.passed++
	if err := t.loudly(".", nil, "go", "vet", "./..."); err != nil {
		return err
	}
	sum.passed++
	err = t.loudly(".", []string{"GOOS=js", "GOARCH=wasm"}, "go", "vet", "./schedule/...", "./sync/...", "./client/engine/...", "./client/wasm/...")
	sum.passed += boolInt(err == nil)
	return err
}

var goFolders = []string{"schedule", "sync", "server", "client/engine", "client/wasm", "embed"}

func (t *tool) goTests(sum *tally) error {
	return t.goTest(sum, nil, "", "./...")
}

// wasmTests runs the pure packages as the phone runs them. -short: the laws are the same, over fewer
// random sites, because this machine is three times slower. The loader has room for a few kilobytes
// of environment only, so it gets none but the path to Node.
func (t *tool) wasmTests(sum *tally) error {
	exec, err := t.goroot("lib", "wasm", "go_js_wasm_exec")
	if err != nil {
		return err
	}
	return t.goTest(sum, []string{"GOOS=js", "GOARCH=wasm"}, " (wasm)",
		"-short", "-exec=env -i PATH="+os.Getenv("PATH")+" "+exec, "./schedule/...", "./sync/...", "./client/engine/...")
}

func (t *tool) webTests(sum *tally) error {
	for _, script := range []string{"check", "test"} {
		if err := t.loudly("client", nil, "npm", "run", "--silent", "--if-present", script); err != nil {
			return err
		}
		sum.passed++
	}
	return nil
}

// e2e plays the stories of client/e2e against the built binary. Each file starts servers and
// browsers of its own and stops them; one file at a time, the machine has two cores.
func (t *tool) e2e(sum *tally) error {
	chromium, err := t.browser()
	if err != nil {
		return err
	}
	files, err := filepath.Glob(t.path("client", "e2e", "*.test.mjs"))
	if err != nil || len(files) == 0 {
		return fmt.Errorf("no stories in client/e2e: %v", err)
	}
	return t.nodeTests(sum, "client/e2e", []string{"CHROME_PATH=" + chromium, "BB_BIN=" + t.bin()}, files)
}

// nodeTests runs Node's own test runner: readable on the screen, TAP in a file for the counting.
func (t *tool) nodeTests(sum *tally, dir string, env, files []string) error {
	tap := filepath.Join(os.TempDir(), fmt.Sprintf("batterboard-%d.tap", os.Getpid()))
	defer os.Remove(tap)
	args := []string{"--test", "--test-concurrency=1",
		"--test-reporter=spec", "--test-reporter-destination=stdout",
		"--test-reporter=tap", "--test-reporter-destination=" + tap}
	ran := t.loudly(dir, env, "node", append(args, files...)...)
	text, err := os.ReadFile(tap)
	if err != nil {
		return fmt.Errorf("%v; %w", ran, err)
	}
	sum.passed += tapCount(string(text), "pass")
	sum.failed += tapCount(string(text), "fail") + tapCount(string(text), "cancelled")
	return ran
}

// tapCount reads the closing comment "# pass 12" of Node's TAP.
func tapCount(tap, what string) (n int) {
	for line := range strings.SplitSeq(tap, "\n") {
		if rest, ok := strings.CutPrefix(line, "# "+what+" "); ok {
			fmt.Sscanf(rest, "%d", &n)
		}
	}
	return n
}
