package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
)

// bench measures and prints; it judges nothing. Figures from a machine that is busy with other
// things mean little: look at medians, and compare within one run.
func (t *tool) bench(args []string) error {
	f := flag.NewFlagSet("bench", flag.ContinueOnError)
	only := f.String("only", "", "one part: sizes, server, kills, go, solver, screen or lighthouse")
	if err := parse(f, args); err != nil {
		return err
	}
	if err := t.all(release); err != nil {
		return err
	}
	known := *only == ""
	for _, part := range []struct {
		name string
		do   func() error
	}{
		{"sizes", t.benchSizes}, {"server", t.benchServer}, {"kills", t.benchKills}, {"go", t.benchGo}, {"solver", t.benchSolver},
		{"screen", t.benchScreen}, {"lighthouse", t.benchLighthouse},
	} {
		if *only != "" && *only != part.name {
			continue
		}
		known = true
		fmt.Printf("\n== %s\n", part.name)
		if err := part.do(); err != nil {
			return fmt.Errorf("%s: %w", part.name, err)
		}
	}
	if !known {
		return fmt.Errorf("%q is no part of it: %w", *only, errUsage)
	}
	return nil
}

// benchSizes lists what goes over the air.
func (t *tool) benchSizes() error {
	entries, err := os.ReadDir(t.path("embed", "dist"))
	if err != nil {
		return err
	}
	for _, e := range entries {
		if ext := filepath.Ext(e.Name()); e.Name()[0] == '.' || ext == ".br" || ext == ".gz" {
			continue
		}
		fmt.Printf("%-40s %9s plain %9s gz %9s br\n", e.Name(),
			t.size("embed/dist/"+e.Name()), t.size("embed/dist/"+e.Name()+".gz"), t.size("embed/dist/"+e.Name()+".br"))
	}
	fmt.Printf("%-40s %9s\n", "bin/batterboard", t.size("bin/batterboard"))
	return nil
}

func (t *tool) size(name string) string {
	info, err := os.Stat(t.path(name))
	if err != nil {
		return "-"
	}
	return fmt.Sprintf("%.1f kB", float64(info.Size())/1000)
}

// benchServer starts the binary ten times and asks it for its health: from the start of the program
// to the first answer, and the memory it holds then.
func (t *tool) benchServer() error {
	for _, kind := range [][]string{{"--demo"}, nil} {
		dir, err := os.MkdirTemp("", "batterboard-bench-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(dir)
		var first []time.Duration
		var rest []int
		for range 10 {
			took, kilobytes, err := t.coldStart(append([]string{"serve", "--data", dir}, kind...))
			if err != nil {
				return err
			}
			first, rest = append(first, took), append(rest, kilobytes)
		}
		slices.Sort(first[1:])
		slices.Sort(rest)
		fmt.Printf("serve %-7s first start ever %v; later: median %v, slowest %v to the first answer; at rest %d kB\n",
			strings.Join(kind, " "), first[0].Round(time.Millisecond/10),
			first[5].Round(time.Millisecond/10), first[9].Round(time.Millisecond/10), rest[len(rest)/2])
	}
	return nil
}

func (t *tool) coldStart(args []string) (time.Duration, int, error) {
	port := strconv.Itoa(freePort(8170))
	inner, cancel := contextOf(t)
	defer cancel()
	c := inner.command(".", nil, t.bin(), append(args, "--addr", net.JoinHostPort("127.0.0.1", port))...)
	start := time.Now()
	if err := c.Start(); err != nil {
		return 0, 0, err
	}
	defer func() { cancel(); c.Wait() }()
	for time.Since(start) < 10*time.Second {
		if answer, err := http.Get("http://127.0.0.1:" + port + "/health"); err == nil {
			took := time.Since(start)
			io.Copy(io.Discard, answer.Body)
			answer.Body.Close()
			return took, residentKB(c.Process.Pid), nil
		}
		time.Sleep(time.Millisecond / 2)
	}
	return 0, 0, fmt.Errorf("no answer within 10 s")
}

// residentKB reads VmRSS where the system has /proc, else 0.
func residentKB(pid int) (kb int) {
	status, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	for line := range strings.SplitSeq(string(status), "\n") {
		if rest, ok := strings.CutPrefix(line, "VmRSS:"); ok {
			fmt.Sscanf(rest, "%d", &kb)
		}
	}
	return kb
}

// benchKills kills the server two hundred times while twenty phones write, and counts what was lost.
func (t *tool) benchKills() error {
	return t.loudly(".", []string{"KILLS=200"}, "go", "test", "-count=1", "-timeout=30m", "-v", "-run=^TestKilledWhileWriting$", "./server")
}

func (t *tool) benchGo() error {
	return t.loudly(".", nil, "go", "test", "-run=^$", "-bench=.", "-benchmem", "./schedule/...", "./sync/...", "./client/engine/...", "./server/...")
}

func (t *tool) benchScreen() error {
	chromium, err := t.browser()
	if err != nil {
		return err
	}
	return t.loudly("client/e2e", []string{"CHROME_PATH=" + chromium, "BB_BIN=" + t.bin()}, "node", "bench.mjs")
}

// lighthouseVersion is the last one that runs on Node 20. It is fetched when it is asked for and is
// no dependency of the client.
const lighthouseVersion = "12.2.3"

// benchLighthouse lets Lighthouse look at the demo as a mid-range phone would.
func (t *tool) benchLighthouse() error {
	chromium, err := t.browser()
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "batterboard-bench-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	w := where{addr: net.JoinHostPort("127.0.0.1", strconv.Itoa(freePort(8170))), data: filepath.Join(dir, "demo")}
	stop := t.background(w, false)
	defer stop()
	report := filepath.Join(dir, "report.json")
	err = t.quietly(".", []string{"CHROME_PATH=" + chromium}, "npx", "--yes", "lighthouse@"+lighthouseVersion,
		"http://"+w.addr+"/", "--quiet", "--output=json", "--output-path="+report, "--max-wait-for-load=60000",
		"--chrome-flags=--headless=new --no-sandbox --disable-gpu --no-first-run --disable-background-networking --disable-component-update --disable-sync")
	if err != nil {
		return err
	}
	return showLighthouse(report)
}

func showLighthouse(file string) error {
	text, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	var r struct {
		Categories map[string]struct {
			Title     string
			Score     float64
			AuditRefs []struct{ ID string }
		}
		Audits map[string]struct {
			Title, DisplayValue string
			Score               *float64
		}
	}
	if err := json.Unmarshal(text, &r); err != nil {
		return err
	}
	for _, name := range []string{"performance", "accessibility", "best-practices", "seo"} {
		c := r.Categories[name]
		fmt.Printf("%-16s %3.0f\n", c.Title, c.Score*100)
		for _, ref := range c.AuditRefs {
			if a := r.Audits[ref.ID]; a.Score != nil && *a.Score < 1 {
				fmt.Printf("    %.2f %s %s\n", *a.Score, a.Title, a.DisplayValue)
			}
		}
	}
	for _, id := range []string{"first-contentful-paint", "largest-contentful-paint", "total-blocking-time", "cumulative-layout-shift", "speed-index"} {
		fmt.Printf("%-26s %s\n", r.Audits[id].Title, r.Audits[id].DisplayValue)
	}
	return nil
}
