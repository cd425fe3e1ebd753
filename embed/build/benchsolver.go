package main

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// The published instances and the general solvers to hold ours against lie beside the project, where
// they lie at all: they are nobody's to copy. BENCH_DATA and BENCH_PEERS name other places.
const (
	publishedBeside = "../shared/psplib"
	peersBeside     = "../shared/peers/rcpsp"
)

// hardGroups are the parameter groups of the j30 set that tell solvers apart; most others are easy.
var hardGroups = []string{"j30/j309_*.sm", "j30/j3013_*.sm", "j30/j3025_*.sm", "j30/j3029_*.sm", "j30/j3041_*.sm", "j30/j3045_*.sm"}

// benchSolver measures the exact search and the breeding of schedules on published instances, natively and
// as WebAssembly, then the general solvers on the same hard ones in the same run.
func (t *tool) benchSolver() error {
	dir := t.beside("BENCH_DATA", publishedBeside)
	if dir == "" {
		fmt.Println("skipped: no published instances at", publishedBeside, "nor at BENCH_DATA")
		return nil
	}
	for _, run := range []struct{ what, set, limit, test string }{
		{"hard j30", strings.Join(hardGroups, " "), "1s", "TestPublished$"},
		{"all j30", "j30/*.sm", "1s", "TestPublished$"},
		{"all j30", "j30/*.sm", "10s", "TestPublished$"},
		{"all j60", "j60/*.sm", "1s", "TestPublished$"},
		{"maximum lags", "", "3s", "TestPublishedMax$"},
		{"j120, bred and climbed", "j120/*.sm", "", "TestPublishedLarge$"},
	} {
		env := []string{"BENCH_DATA=" + dir, "BENCH_SET=" + run.set, "BENCH_TIME=" + run.limit}
		if err := t.published(run.what, run.test, env); err != nil {
			return err
		}
	}
	exec, err := t.goroot("lib", "wasm", "go_js_wasm_exec")
	if err != nil {
		return err
	}
	clean := fmt.Sprintf("-exec=env -i PATH=%s BENCH_DATA=%s BENCH_TIME=1s 'BENCH_SET=%s' %s", os.Getenv("PATH"), dir, strings.Join(hardGroups, " "), exec)
	if err := t.published("hard j30 as WebAssembly under Node", "TestPublished$", []string{"GOOS=js", "GOARCH=wasm"}, clean); err != nil {
		return err
	}
	return t.benchPeers(dir)
}

// published runs one measuring test and prints what it says.
func (t *tool) published(what, test string, env []string, more ...string) error {
	args := append([]string{"test", "-count=1", "-v", "-timeout=0", "-run=" + test}, more...)
	out, err := t.command(".", env, "go", append(args, "./schedule/exact")...).CombinedOutput()
	for s := bufio.NewScanner(strings.NewReader(string(out))); s.Scan(); {
		if _, said, ok := strings.Cut(s.Text(), "_test.go:"); ok {
			_, said, _ = strings.Cut(said, ": ")
			fmt.Printf("%s: %s\n", what, said)
		}
	}
	if err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	return nil
}

// benchPeers gives general solvers the same hard instances, one second each.
func (t *tool) benchPeers(data string) error {
	dir := t.beside("BENCH_PEERS", peersBeside)
	if dir == "" {
		fmt.Println("other solvers skipped: nothing at", peersBeside, "nor at BENCH_PEERS")
		return nil
	}
	var files []string
	for _, set := range hardGroups {
		some, _ := filepath.Glob(filepath.Join(data, set))
		files = append(files, some...)
	}
	tmp, err := os.MkdirTemp("", "batterboard-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	modules := os.Getenv("PEER_NODE_MODULES")
	if modules == "" {
		modules = filepath.Join(tmp, "node_modules")
		if err := t.quietly(".", nil, "npm", "install", "--silent", "--prefix", tmp, "minizinc@4.5.1", "highs@1.15.3"); err != nil {
			fmt.Println("other solvers skipped: npm could not fetch them:", err)
			return nil
		}
	}
	if dir, err = filepath.Rel(t.root, dir); err != nil {
		return err
	}
	var tables []string
	for _, solver := range []string{"chuffed", "highs-npm", "gosat"} {
		table := filepath.Join(tmp, solver+".csv")
		var err error
		if solver == "gosat" {
			err = t.quietly(dir, nil, "bash", append([]string{"gosat/run.sh", "1", table}, files...)...)
		} else {
			err = t.quietly(dir, []string{"PEER_NODE_MODULES=" + modules}, "node",
				append([]string{"peer.cjs", "--solver", solver, "--limit", "1", "--out", table}, files...)...)
		}
		if err != nil {
			fmt.Println(solver, "did not run:", err)
			continue
		}
		tables = append(tables, table)
	}
	if len(tables) == 0 {
		return nil
	}
	return t.loudly(dir, nil, "python3", append([]string{"summary.py"}, tables...)...)
}

// beside is a folder named by a variable of the environment, or one beside the project, or "" when neither is there.
func (t *tool) beside(variable, path string) string {
	dir := os.Getenv(variable)
	if dir == "" {
		dir = t.path(path)
	}
	if _, err := os.Stat(dir); err != nil {
		return ""
	}
	return dir
}
