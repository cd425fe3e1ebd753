package main

import (
	"fmt"
	"hash/fnv"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// looksEvery is how often dev looks for changed files. Reading the times of some hundred files
// takes about a millisecond, and it works the same on every system and on mounted folders.
const looksEvery = 400 * time.Millisecond

// dev serves the demo, and builds and serves again whenever a source file changes. A build that
// fails leaves the last good server running.
func (t *tool) dev(args []string) error {
	w, err := t.where("dev", args)
	if err != nil {
		return err
	}
	seen, running := t.fingerprint(), func() {}
	defer func() { running() }()
	for first := true; ; first = false {
		if err := t.all(quick); err == nil {
			running()
			running = t.background(w, first)
		} else {
			fmt.Println("build:", err)
		}
		if seen = t.waitForChange(seen); t.ctx.Err() != nil {
			return nil
		}
	}
}

// background starts the server and returns how to stop it.
func (t *tool) background(w where, hello bool) (stop func()) {
	inner, cancel := contextOf(t)
	c := inner.serve(w, hello)
	if err := c.Start(); err != nil {
		fmt.Println("build:", err)
	}
	done := make(chan struct{})
	go func() { c.Wait(); close(done) }()
	return func() { cancel(); <-done }
}

func (t *tool) waitForChange(seen uint64) uint64 {
	tick := time.NewTicker(looksEvery)
	defer tick.Stop()
	for {
		select {
		case <-t.ctx.Done():
			return seen
		case <-tick.C:
			if now := t.fingerprint(); now != seen {
				return now
			}
		}
	}
}

var watchedEndings = []string{".go", ".ts", ".tsx", ".css", ".html", ".mjs", ".json", ".svg"}

// fingerprint sums up names, sizes and times of the source files.
func (t *tool) fingerprint() uint64 {
	h := fnv.New64a()
	for _, dir := range []string{"schedule", "sync", "server", "client", "embed"} {
		filepath.WalkDir(t.path(dir), func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return nil // gone between listing and looking: the next look sees it
			}
			if d.IsDir() && (d.Name() == "node_modules" || d.Name() == "dist" || strings.HasPrefix(d.Name(), ".")) {
				return fs.SkipDir
			}
			if info, err := d.Info(); err == nil && slices.Contains(watchedEndings, filepath.Ext(path)) {
				fmt.Fprintln(h, path, info.Size(), info.ModTime().UnixNano())
			}
			return nil
		})
	}
	return h.Sum64()
}
