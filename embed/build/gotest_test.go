package main

import (
	"slices"
	"strings"
	"testing"
)

// What go test -json says of: one pass, one skip, one failure with its words, a package that does
// not build, a package without tests.
const spoken = `{"Action":"start","Package":"a"}
{"Action":"run","Package":"a","Test":"TestX"}
{"Action":"output","Package":"a","Test":"TestX","Output":"=== RUN   TestX\n"}
{"Action":"pass","Package":"a","Test":"TestX","Elapsed":0.1}
{"Action":"skip","Package":"a","Test":"TestY","Elapsed":0}
{"Action":"output","Package":"a","Output":"PASS\n"}
{"Action":"output","Package":"a","Output":"ok  \ta\t0.2s\n"}
{"Action":"pass","Package":"a","Elapsed":0.2}
{"Action":"output","Package":"b","Test":"TestZ","Output":"    z_test.go:3: seed 7\n"}
{"Action":"fail","Package":"b","Test":"TestZ","Elapsed":0.1}
{"Action":"output","Package":"b","Output":"FAIL\n"}
{"Action":"output","Package":"b","Output":"FAIL\tb\t0.1s\n"}
{"Action":"fail","Package":"b","Elapsed":0.1}
{"Action":"output","Package":"c","Output":"FAIL\tc [build failed]\n"}
{"Action":"fail","Package":"c","Elapsed":0,"FailedBuild":"c"}
{"Action":"output","Package":"d","Output":"?   \td\t[no test files]\n"}
{"Action":"skip","Package":"d","Elapsed":0}
`

func TestGoResults(t *testing.T) {
	sum := tally{}
	r := &goResults{sum: &sum, said: map[string][]string{}, failed: map[string]bool{}}
	if err := r.read(strings.NewReader(spoken)); err != nil {
		t.Fatal(err)
	}
	if sum.passed != 1 || sum.failed != 2 {
		t.Errorf("%d passed, %d failed; want 1 passed and 2 failed (TestZ, and c that does not build)", sum.passed, sum.failed)
	}
	want := []string{"ok  \ta\t0.2s", "FAIL\tb\t0.1s", "FAIL\tc [build failed]", "?   \td\t[no test files]"}
	if !slices.Equal(sum.lines, want) {
		t.Errorf("result lines %q, want %q", sum.lines, want)
	}
}

func TestTapCount(t *testing.T) {
	const tap = "TAP version 13\nok 1 - a\n1..1\n# tests 14\n# suites 0\n# pass 12\n# fail 2\n# cancelled 0\n"
	for what, want := range map[string]int{"pass": 12, "fail": 2, "cancelled": 0, "todo": 0} {
		if got := tapCount(tap, what); got != want {
			t.Errorf("%s: %d, want %d", what, got, want)
		}
	}
}
