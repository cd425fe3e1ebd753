package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	opsync "batterboard/sync"
)

// storeOfParts makes a store folder as a killed server leaves it: some sorted tables, and a write-ahead
// log with commits in it. It returns the records that were acknowledged.
func storeOfParts(t *testing.T) (dir string, want map[string]string) {
	t.Helper()
	live := filepath.Join(t.TempDir(), "live")
	f, err := readFile(studio)
	if err != nil {
		t.Fatal(err)
	}
	const first, later = "dc3aqkpksdua2o1s0t0g", "dc3aqkpksdua2o1s0t10"
	now := time.Date(2027, 3, 1, 6, 40, 0, 0, time.UTC)
	st, err := openStore(live)
	if err != nil {
		t.Fatal(err)
	}
	if err := st.importSite(first, f.doc, "import", now); err != nil {
		t.Fatal(err)
	}
	log := opsync.NewLog()
	for i := range 120 { // enough for many blocks of a table
		raw, err := log.Write(1, now.UnixMilli()+int64(i), opsync.KindEdit, strings.Repeat("long label ", 30), []opsync.Edit{
			{Thing: "note", ID: fmt.Sprintf("1.%d", i+1), Set: map[string]json.RawMessage{"said": json.RawMessage(`"here"`)}}})
		if err != nil {
			t.Fatal(err)
		}
		if err := st.write(pair{opKey(later, uint64(i)), raw}); err != nil {
			t.Fatal(err)
		}
		if i == 80 { // what comes after stays in the log
			if err := st.close(); err != nil {
				t.Fatal(err)
			}
			if st, err = openStore(live); err != nil {
				t.Fatal(err)
			}
			if _, err := st.join(first, opsync.Owner, newcomer{name: "Anna"}, now); err != nil {
				t.Fatal(err)
			}
		}
	}
	want = contents(t, st)
	dir = filepath.Join(t.TempDir(), "killed")
	copySparse(t, live, dir)
	if err := st.close(); err != nil {
		t.Fatal(err)
	}
	return dir, want
}

// contents are all records of a store but those that a rebuilt store has anew.
func contents(t *testing.T, st *store) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := st.each("", func(key string, v []byte) error {
		if kind, _, _ := strings.Cut(key, "/"); kind != "meta" && kind != "epoch" && kind != "site" {
			all[key] = string(v)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// copySparse copies a store folder without writing the zeros that its logs end with.
func copySparse(t *testing.T, from, to string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(from, "*"))
	if err == nil {
		err = os.MkdirAll(to, 0o700)
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range files {
		if isDir(path) {
			continue
		}
		raw, err := readUsed(path)
		if err != nil {
			t.Fatal(err)
		}
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		copied := filepath.Join(to, filepath.Base(path))
		if err := errors.Join(os.WriteFile(copied, bytes.TrimRight(raw, "\x00"), 0o600), os.Truncate(copied, info.Size())); err != nil {
			t.Fatal(err)
		}
	}
}

// Our own reading of the files gives what Badger gives.
func TestLookingOverSeesWhatBadgerSees(t *testing.T) {
	dir, want := storeOfParts(t)
	l, err := lookOver(dir, true)
	if err != nil || len(l.damage) != 0 {
		t.Fatal(l.damage, err)
	}
	if len(l.cut) != 0 {
		t.Errorf("%d entries of an unfinished write", len(l.cut))
	}
	got := map[string]string{}
	for _, p := range l.pairs() {
		if kind, _, _ := strings.Cut(string(p.key), "/"); kind != "meta" && kind != "epoch" && kind != "site" {
			got[string(p.key)] = string(p.value)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d records, Badger has %d", len(got), len(want))
	}
	for k, v := range want {
		if got[k] != v {
			t.Errorf("%q is %.60q, Badger has %.60q", k, got[k], v)
		}
	}
}

// One bit flips in one file of a store folder. Whatever bit it is, the store opens with nothing wrong in
// it: either all is there, or the damaged file is named, what can be read is there, and phones are asked
// for the rest. FLIPS=5000 go test -run TestEveryFlip ./server tries more.
func TestEveryFlipIsFoundOrHarmless(t *testing.T) {
	flips := 60
	if n, err := strconv.Atoi(os.Getenv("FLIPS")); err == nil {
		flips = n
	}
	const seed = 20261126
	t.Logf("seed %d, %d flips", seed, flips)
	dice := rand.New(rand.NewPCG(seed, 0))
	dir, want := storeOfParts(t)
	files, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil {
		t.Fatal(err)
	}
	work := t.TempDir()
	count := map[string]int{}
	for i := range flips {
		path := files[i%len(files)]
		raw, err := readUsed(path)
		if err != nil {
			t.Fatal(err)
		}
		used := len(bytes.TrimRight(raw, "\x00"))
		if used == 0 {
			used = len(raw) // all zeros: flip one of them
		}
		if used == 0 {
			continue // an empty file has no bits
		}
		at, bit := dice.IntN(used), byte(1)<<dice.IntN(8)
		name := fmt.Sprintf("seed %d, flip %d: %s, byte %d of %d, bit %02x", seed, i, filepath.Base(path), at, used, bit)
		broken := filepath.Join(work, "store")
		if err := os.RemoveAll(broken); err != nil {
			t.Fatal(err)
		}
		copySparse(t, dir, broken)
		f, err := os.OpenFile(filepath.Join(broken, filepath.Base(path)), os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.WriteAt([]byte{raw[at] ^ bit}, int64(at)); err != nil {
			t.Fatal(err)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		count[flipped(t, name, broken, want)]++
	}
	t.Logf("%v", count)
	if count["found"] == 0 || count["harmless"] == 0 {
		t.Errorf("every kind should have come up: %v", count)
	}
}

// flipped opens a store with one flipped bit and says what came of it.
func flipped(t *testing.T, name, dir string, want map[string]string) string {
	t.Helper()
	st, err := openStore(dir)
	if err != nil {
		t.Errorf("%s: not opened: %v", name, err)
		return "not opened"
	}
	defer st.close()
	got := contents(t, st)
	lost := 0
	for k, v := range want {
		switch w, ok := got[k]; {
		case !ok:
			lost++
		case w != v:
			t.Errorf("%s: wrong data in %q: %.80q", name, k, w)
		}
	}
	for k := range got {
		if _, ok := want[k]; !ok {
			t.Errorf("%s: %q was never stored", name, k)
		}
	}
	if lost == 0 && len(st.found) == 0 {
		return "harmless"
	}
	if len(st.found) == 0 {
		t.Errorf("%s: %d of %d records are gone and nobody says so", name, lost, len(want))
		return "silent"
	}
	// One bit spoils one entry of a log, or one block of a table.
	if lost > 40 {
		t.Errorf("%s: %d of %d records are gone, found %q", name, lost, len(want), st.found)
	}
	for _, site := range []string{"dc3aqkpksdua2o1s0t0g", "dc3aqkpksdua2o1s0t10"} {
		var e epochRecord
		if err := st.read(epochKey(site), &e); err != nil || !e.Restored {
			t.Errorf("%s: phones of %s are not asked for what is missing: %+v %v", name, site, e, err)
		}
	}
	if aside, err := filepath.Glob(filepath.Join(dir, asidePart+"*", "*")); err != nil || len(aside) == 0 {
		t.Errorf("%s: the damaged files are not kept", name)
	}
	return "found"
}

// A store that is being rebuilt is killed between any two steps; the next start finishes the work.
func TestARebuildSurvivesBeingKilled(t *testing.T) {
	dir, want := storeOfParts(t)
	spoil(t, dir, "*.sst")
	now := time.Date(2027, 3, 1, 6, 40, 0, 0, time.UTC)
	l, err := lookOver(dir, true)
	if err != nil || len(l.damage) != 1 {
		t.Fatal(l.damage, err)
	}
	if err := build(filepath.Join(dir, rebuilding), wentBack(l.pairs(), now)); err != nil {
		t.Fatal(err)
	}
	check := func(step, dir string, named bool) {
		t.Helper()
		st, err := openStore(dir)
		if err != nil {
			t.Fatalf("%s: %v", step, err)
		}
		defer st.close()
		if got := contents(t, st); len(got) < len(want)-40 || len(got) > len(want) {
			t.Errorf("%s: %d of %d records", step, len(got), len(want))
		}
		if (len(st.found) > 0) != named {
			t.Errorf("%s: found %q", step, st.found)
		}
		for _, left := range []string{rebuilding, rebuilt, moving} {
			if isDir(filepath.Join(dir, left)) {
				t.Errorf("%s: %s is left", step, left)
			}
		}
	}
	at := func(step string) string {
		d := filepath.Join(t.TempDir(), step)
		copySparse(t, dir, d)
		copySparse(t, filepath.Join(dir, rebuilding), filepath.Join(d, step))
		return d
	}
	half := at(rebuilding)
	if err := os.Remove(filepath.Join(half, rebuilding, "MANIFEST")); err != nil {
		t.Fatal(err)
	}
	check("half built", half, true)
	check("built", at(rebuilt), false)
	aside := at(rebuilt) // some of the old files are aside
	if err := os.MkdirAll(filepath.Join(aside, asidePart+"x"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(aside, "MANIFEST"), filepath.Join(aside, asidePart+"x", "MANIFEST")); err != nil {
		t.Fatal(err)
	}
	check("old files half aside", aside, false)
	up := at(rebuilt) // all old ones are aside, and some of the new ones up
	if err := moveAll(up, filepath.Join(t.TempDir()), storeFile); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(up, rebuilt), filepath.Join(up, moving)); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(up, moving, "MANIFEST"), filepath.Join(up, "MANIFEST")); err != nil {
		t.Fatal(err)
	}
	check("new files half up", up, false)
}

// spoil flips a bit in the middle of the first file of that name.
func spoil(t *testing.T, dir, pattern string) {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(dir, pattern))
	if err != nil || len(all) == 0 {
		t.Fatal("no file", pattern, err)
	}
	raw, err := readUsed(all[0])
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.OpenFile(all[0], os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	at := len(bytes.TrimRight(raw, "\x00")) / 2
	if _, err := f.WriteAt([]byte{raw[at] ^ 4}, int64(at)); err != nil {
		t.Fatal(err)
	}
}

// The server was killed and its disk is damaged. It starts, says what it found, and phones bring back what
// it lost; a phone that comes new gets all of it.
func TestPhonesMendADamagedStore(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	for i := range 30 {
		anna.set("note", fmt.Sprintf("1.%d", i+1), "said", "a line")
	}
	anna.untilSent()
	killed := filepath.Join(t.TempDir(), "killed")
	copySparse(t, w.dir, killed)
	anna.cut()
	w.stop()
	spoil(t, killed, "*.mem")
	w.dir = killed
	w.start()
	if len(w.srv.store.found) != 1 || !strings.Contains(w.srv.store.found[0], ".mem: the ") {
		t.Fatalf("found %q", w.srv.store.found)
	}
	rewear(anna)
	stop := anna.connect().background()
	fresh := annaB.invited(site, opsync.Viewer, "Vic").phone(site).connect()
	fresh.until("all of it", func() bool { return fresh.in.Log.State().Has("note", "1.30") })
	stop()
	if fresh.doc() != anna.doc() {
		t.Error("two documents")
	}
	if fresh.dev <= maxSeats {
		t.Errorf("number %d may have been given before", fresh.dev)
	}
}

// Nothing can be read: the store is left as it is, and the sentence says what to do.
func TestAStoreOfRubbishIsLeftAlone(t *testing.T) {
	dir, _ := storeOfParts(t)
	all, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range all {
		if name := filepath.Base(path); storeFile(name) && name != "MANIFEST" {
			if err := os.WriteFile(path, bytes.Repeat([]byte("rubbish "), 99), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	_, err = openStore(dir)
	if err == nil || !strings.Contains(err.Error(), "batterboard restore") || !strings.Contains(err.Error(), ".sst") {
		t.Errorf("opened: %v", err)
	}
	if raw, err := os.ReadFile(filepath.Join(dir, "KEYREGISTRY")); err != nil || !bytes.HasPrefix(raw, []byte("rubbish")) {
		t.Errorf("it was touched: %.20q %v", raw, err)
	}
}
