package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
)

// goTest runs go test and counts. While it runs, a package's result line is printed when the package
// is done, and everything a failed test said; the result lines come once more at the end of all.
func (t *tool) goTest(sum *tally, env []string, mark string, args ...string) error {
	// Go's own ten minutes for a package are not enough for a slow and busy machine.
	c := t.command(".", env, "go", append([]string{"test", "-json", "-count=1", "-timeout=1h"}, args...)...)
	c.Stderr = os.Stderr
	out, err := c.StdoutPipe()
	if err != nil {
		return err
	}
	if err := c.Start(); err != nil {
		return said(err, "go", args)
	}
	r := &goResults{sum: sum, mark: mark, said: map[string][]string{}, failed: map[string]bool{}}
	if err := r.read(out); err != nil {
		return errors.Join(err, c.Wait())
	}
	err = c.Wait()
	if failed := (*exec.ExitError)(nil); errors.As(err, &failed) && sum.failed > 0 {
		return nil // counted already, each with its words
	}
	return err
}

// event is one line of go test -json; see "go doc test2json".
type event struct {
	Action, Package, Test, Output, ImportPath string
}

type goResults struct {
	sum    *tally
	mark   string
	said   map[string][]string // package + test -> its output so far
	failed map[string]bool     // packages in which a test failed
}

func (r *goResults) read(out io.Reader) error {
	lines := bufio.NewScanner(out)
	lines.Buffer(make([]byte, 1<<20), 64<<20)
	for lines.Scan() {
		var e event
		if err := json.Unmarshal(lines.Bytes(), &e); err != nil {
			fmt.Println(lines.Text()) // a tool's own words, not an event
			continue
		}
		r.take(e)
	}
	return lines.Err()
}

func (r *goResults) take(e event) {
	key := e.Package + " " + e.Test
	switch e.Action {
	case "build-output":
		fmt.Print(e.Output)
	case "output":
		r.said[key] = append(r.said[key], e.Output)
	case "pass", "skip":
		if e.Test == "" {
			r.line(key)
		} else if e.Action == "pass" {
			r.sum.passed++
		}
		delete(r.said, key)
	case "fail":
		r.fail(e, key)
		delete(r.said, key)
	}
}

// fail prints what the failed test said. A package that fails without a failed test (it does not
// build, or it was killed) counts as one.
func (r *goResults) fail(e event, key string) {
	if e.Test != "" {
		r.sum.failed++
		r.failed[e.Package] = true
		fmt.Print(strings.Join(r.said[key], ""))
		return
	}
	if !r.failed[e.Package] {
		r.sum.failed++
		fmt.Print(strings.Join(r.said[key], ""))
	}
	r.line(key)
}

// line repeats the package's own result line: "ok  \tbatterboard/schedule\t1.2s".
func (r *goResults) line(key string) {
	for _, text := range r.said[key] {
		for _, start := range []string{"ok ", "FAIL\t", "? ", "\t"} {
			if strings.HasPrefix(text, start) && strings.Contains(text, "\t") {
				text = strings.TrimRight(text, "\n") + r.mark
				r.sum.lines = append(r.sum.lines, text)
				fmt.Println(text)
			}
		}
	}
}
