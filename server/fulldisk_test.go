//go:build linux

package main

import (
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	opsync "batterboard/sync"
)

// A real disk runs full: a small one in memory, which only root may mount. The server takes nothing new
// and says so, goes on reading and serving, and goes on writing when there is room again.
func TestARealDiskRunsFull(t *testing.T) {
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=220m"); err != nil {
		t.Skipf("a small disk cannot be mounted here (%v): only root may; the guard alone is tested by TestAFullDiskMakesNoStore", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(disk, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	w := newWorld(t)
	w.stop()
	w.dir = filepath.Join(disk, "data")
	w.start()
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	anna.set("note", "1.1", "said", "before")
	anna.untilSent()

	ballast := filepath.Join(disk, "ballast")
	fill(t, ballast)
	if status, no := annaB.ask("GET", "/health", nil); status != http.StatusInsufficientStorage || !strings.Contains(no["error"].(string), "nearly full") {
		t.Errorf("health: %d %v", status, no)
	}
	if status, no := annaB.ask("POST", "/api/invite", map[string]any{"site": site, "role": "viewer"}); status != http.StatusInsufficientStorage {
		t.Errorf("an invitation: %d %v", status, no)
	}
	anna.set("note", "1.2", "said", "while it is full")
	anna.untilClosed() // the server cannot take it, and says so; the phone keeps it
	if anna.in.Unsent() != 1 {
		t.Errorf("%d changes wait on the phone", anna.in.Unsent())
	}
	anna.in.Cut()
	// Reading goes on: who is on the site, the whole log for a phone that comes back, the document.
	if got := annaB.must("GET", "/api/devices?site="+site, nil)["devices"].([]any); len(got) != 1 {
		t.Errorf("devices: %v", got)
	}
	reader := annaB.phone(site).connect()
	reader.until("the log", func() bool { return reader.in.Log.State().Has("note", "1.1") })
	reader.cut()
	if doc, err := w.srv.store.document(site); err != nil || !strings.Contains(string(doc), "before") {
		t.Errorf("the document: %s, %v", doc, err)
	}
	// A store that is opened now refuses with a sentence and touches nothing.
	if _, err := openStore(filepath.Join(disk, "another")); !errors.Is(err, errFull) {
		t.Errorf("another store: %v", err)
	}
	if hasStore(filepath.Join(disk, "another")) {
		t.Error("half a store was made")
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	anna.connect()
	anna.untilSent()
	ben := annaB.invited(site, opsync.Viewer, "Ben").phone(site).connect()
	ben.until("what waited", func() bool { return ben.in.Log.State().Has("note", "1.2") })
	w.stop()
	w.start()
	if doc, err := w.srv.store.document(site); err != nil || string(doc) != ben.doc() {
		t.Errorf("after a restart: %s, %v", doc, err)
	}
	w.stop()
	w.dir = t.TempDir() // what the test's end stops
	w.start()
}

// A server is stopped while its disk is full. It ends with a sentence, not by a signal, and what it
// acknowledged is there afterwards.
func TestStoppedWithAFullDisk(t *testing.T) {
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=220m"); err != nil {
		t.Skipf("a small disk cannot be mounted here (%v): only root may", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(disk, syscall.MNT_DETACH); err != nil {
			t.Error(err)
		}
	})
	data := filepath.Join(disk, "data")
	p, base := launch(t, "serve", "--addr", "127.0.0.1:0", "--data", data)
	w := &world{t: t, dir: data, clock: time.Now(), base: base}
	link := p.line(t, "owner link ")
	b := w.browser()
	site := b.must("POST", "/api/pair", map[string]string{"code": link[strings.LastIndex(link, "/")+1:], "name": "Anna"})["site"].(string)
	anna := b.phone(site).connect()
	for i := range 300 { // more than a page of the disk has left over
		anna.set("note", fmt.Sprintf("1.%d", i+1), "said", strings.Repeat("a line ", 300))
	}
	anna.untilSent()
	anna.cut()
	ballast := filepath.Join(disk, "ballast")
	fill(t, ballast)
	go func() {
		for range p.lines {
		}
	}()
	if err := p.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	if err := p.Wait(); p.ProcessState.ExitCode() != 1 {
		t.Errorf("it ended with %v", err)
	}
	if err := os.Remove(ballast); err != nil {
		t.Fatal(err)
	}
	st, err := openStore(data)
	if err != nil {
		t.Fatal(err)
	}
	defer st.close()
	if doc, err := st.document(site); err != nil || string(doc) != anna.doc() || len(st.found) != 0 {
		t.Errorf("%.100s, %v, found %v", doc, err, st.found)
	}
}

// fill writes a file until the disk takes no more.
func fill(t *testing.T, path string) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for b := make([]byte, 1<<20); ; {
		if _, err := f.Write(b); errors.Is(err, syscall.ENOSPC) {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
}
