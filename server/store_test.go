package main

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	opsync "batterboard/sync"
)

// The store is put back to an older copy, as after a broken disk. The phones hand in again what the
// copy lacks, the author's own and what others had seen.
func TestAStoreThatWentBackwards(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	ben := annaB.invited(site, opsync.Second, "Ben").phone(site).connect()
	anna.set("note", "1.1", "said", "in the backup")
	anna.untilSent()
	ben.until("Anna's note", func() bool { return ben.in.Log.State().Has("note", "1.1") })
	anna.cut()
	ben.cut()
	w.web.Close()
	if err := w.srv.store.close(); err != nil {
		t.Fatal(err)
	}
	backup := t.TempDir()
	copyFiles(t, w.dir, backup)

	w.start()
	rewear(anna, ben)
	anna.connect()
	ben.connect()
	for i := range 5 {
		anna.set("note", fmt.Sprintf("1.%d", i+2), "said", "after the backup")
		ben.set("note", fmt.Sprintf("2.%d", i+1), "said", "also after")
	}
	anna.untilSent()
	ben.untilSent()
	anna.until("Ben's", func() bool { return anna.in.Log.State().Has("note", "2.5") })
	ben.until("Anna's", func() bool { return ben.in.Log.State().Has("note", "1.6") })
	anna.cut()
	ben.cut()
	w.stop()

	w.dir = backup
	w.start()
	rewear(anna, ben)
	stop := anna.connect().background() // Ben's phone stays off: Anna's hands in his as well
	fresh := annaB.invited(site, opsync.Viewer, "Vic").phone(site).connect()
	fresh.until("all of both", func() bool {
		return fresh.in.Log.State().Has("note", "1.6") && fresh.in.Log.State().Has("note", "2.5")
	})
	stop()
	if fresh.doc() != anna.doc() {
		t.Error("two documents")
	}
}

// rewear takes the cookies along to the test server's new port.
func rewear(phones ...*phone) {
	for _, p := range phones {
		p.wear(p.token)
	}
}

func copyFiles(t *testing.T, from, to string) {
	t.Helper()
	if err := os.CopyFS(to, os.DirFS(from)); err != nil {
		t.Fatal(err)
	}
}

// One operation on the disk is spoilt. The site opens with what is left, and the phones bring the rest.
func TestASpoiltOperation(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	for i := range 6 {
		anna.set("note", fmt.Sprintf("1.%d", i+1), "said", "a line")
	}
	anna.untilSent()
	anna.cut()
	if err := w.srv.store.write(pair{opKey(site, 2), []byte("spoilt")}); err != nil {
		t.Fatal(err)
	}
	w.forget(site)
	stop := anna.connect().background()
	fresh := annaB.invited(site, opsync.Viewer, "Vic").phone(site).connect()
	fresh.until("all of it", func() bool { return fresh.in.Log.State().Has("note", "1.6") })
	stop()
	if fresh.doc() != anna.doc() {
		t.Error("two documents")
	}
	doc, err := w.srv.store.document(site)
	if err != nil || string(doc) != anna.doc() {
		t.Errorf("exported %s, %v", doc, err)
	}
}

// forget waits until the site has no sockets and drops it from memory.
func (w *world) forget(site string) {
	w.t.Helper()
	w.until(func() bool { return w.sockets(site) == 0 })
	w.later(idleSite)
	w.srv.sites.sweep()
	if len(w.srv.sites.open) != 0 {
		w.t.Fatal("the site is still in memory")
	}
}

func TestALaterFormatIsLeftAlone(t *testing.T) {
	w := newWorld(t)
	if err := w.srv.store.write(pair{[]byte("meta/format"), []byte("2")}); err != nil {
		t.Fatal(err)
	}
	w.srv.store.close()
	_, err := openStore(w.dir)
	if err == nil || !strings.Contains(err.Error(), "format 2") {
		t.Errorf("opened: %v", err)
	}
}

func TestAFullDiskMakesNoStore(t *testing.T) {
	w := newWorld(t)
	w.srv.store.space = func() error { return errFull }
	if err := w.srv.store.write(pair{[]byte("name/x"), []byte("x")}); !errors.Is(err, errFull) {
		t.Errorf("written: %v", err)
	}
	if text, err := w.srv.store.text("name/x"); text != "" || err != nil {
		t.Errorf("%q is there, %v", text, err)
	}
}

// A store made by the first version opens and says the same: testdata/store-1, one site, one owner.
func TestTheFirstStoreOpens(t *testing.T) {
	old := filepath.Join("testdata", "store-1")
	if *update {
		makeFirstStore(t, old)
	}
	dir := filepath.Join(t.TempDir(), "data")
	copyFiles(t, old, dir)
	code, out, errs := shellOut("export", "--data", dir)
	if code != 0 {
		t.Fatal(errs)
	}
	golden(t, "store-1-export", out)
	st, err := openStore(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer st.close()
	// The token of a device of that store; it opens nothing else.
	id, d, err := st.known("dc3aqkpksdua2o1s0t10." + strings.Repeat("A", 43))
	if err != nil || d.Name != "Anna" {
		t.Fatalf("the device is %q %v %v", id, d, err)
	}
	seats, err := st.seatsOf(id)
	if err != nil || len(seats) != 1 || seats[0].Role != opsync.Owner || seats[0].Num != 2 {
		t.Errorf("seats %v, %v", seats, err)
	}
	if err := st.read(siteKey(seats[0].Site), &siteRecord{}); err != nil {
		t.Error(err)
	}
}

// makeFirstStore writes testdata/store-1. It was run once, by the version that made format 1.
func makeFirstStore(t *testing.T, dir string) {
	t.Helper()
	if hasStore(dir) {
		return // never anew: the point is that it is old
	}
	f, err := readFile(studio)
	if err != nil {
		t.Fatal(err)
	}
	st, err := openStore(dir)
	if err != nil {
		t.Fatal(err)
	}
	const site, id = "dc3aqkpksdua2o1s0t0g", "dc3aqkpksdua2o1s0t10"
	now := time.Date(2027, 3, 1, 6, 40, 0, 0, time.UTC)
	hash := sha256.Sum256(make([]byte, secretBytes))
	x := seatRecord{Num: 2, Role: opsync.Owner, Name: "Anna"}
	err = errors.Join(st.importSite(site, f.doc, "import", now), st.write(
		record(deviceKey(id), deviceRecord{Name: "Anna", Hash: hash[:], Made: now.Unix()}),
		record(seatKey(site, id), x), pair{heldKey(id, site), []byte{}},
		record(siteKey(site), siteRecord{Made: now.Unix(), Next: 3})), st.close())
	if err != nil {
		t.Fatal(err)
	}
	os.Remove(filepath.Join(dir, "DISCARD")) // a megabyte of zeros that Badger makes anew
}
