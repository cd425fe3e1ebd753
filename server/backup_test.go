package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	opsync "batterboard/sync"
)

// door lets commands in to the world's server.
func (w *world) door() {
	w.t.Helper()
	shut, err := w.srv.openDoor(w.dir)
	if err != nil {
		w.t.Fatal(err)
	}
	w.t.Cleanup(shut)
}

// shell runs a command that has to work.
func (w *world) shell(args ...string) string {
	w.t.Helper()
	code, out, errs := shellOut(args...)
	if code != 0 {
		w.t.Fatalf("%v: status %d, %s", args, code, errs)
	}
	return out
}

// picture puts a picture into the album of a site.
func (w *world) picture(site string, shade uint8) string {
	w.t.Helper()
	m := image.NewGray(image.Rect(0, 0, 8, 8))
	for i := range m.Pix {
		m.Pix[i] = shade
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		w.t.Fatal(err)
	}
	sum := sha256.Sum256(b.Bytes())
	name := hex.EncodeToString(sum[:])
	dir := filepath.Join(w.dir, "photos", site)
	if err := errors.Join(os.MkdirAll(dir, 0o700), os.WriteFile(filepath.Join(dir, name), b.Bytes(), 0o600),
		os.WriteFile(filepath.Join(dir, strings.Repeat("0", 64)+".part"), []byte("half"), 0o600)); err != nil {
		w.t.Fatal(err)
	}
	return name
}

// A server runs, phones write, backups are taken: a folder that grows by what is new, and a file. The disk
// dies. What is restored is the site as it was, the phones bring the rest, and nobody is given a number
// that somebody else may have.
func TestBackupAndRestore(t *testing.T) {
	w := newWorld(t)
	w.door()
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	for i := range 20 {
		anna.set("note", fmt.Sprintf("1.%d", i+1), "said", "before the first backup")
	}
	anna.untilSent()
	one := w.picture(site, 10)
	folder, file := filepath.Join(t.TempDir(), "backups"), filepath.Join(t.TempDir(), "all.backup")
	first := w.shell("backup", "--data", w.dir, "--to", folder)
	if !strings.Contains(first, fullPart) || !strings.Contains(first, "1 new pictures") {
		t.Errorf("the first: %s", first)
	}
	for i := range 5 {
		anna.set("note", fmt.Sprintf("1.%d", i+30), "said", "before the second")
	}
	anna.untilSent()
	two := w.picture(site, 200)
	ben := annaB.invited(site, opsync.Second, "Ben")
	w.shell("backup", "--data", w.dir, "--to", file)
	second := w.shell("backup", "--data", w.dir, "--to", folder)
	if !strings.Contains(second, morePart) || !strings.Contains(second, "1 new pictures") {
		t.Errorf("the second: %s", second)
	}
	before := anna.doc()
	// After the last backup: more changes, a new phone with a number of its own, and one that is taken off.
	vic := annaB.invited(site, opsync.Second, "Vic").phone(site).connect()
	vic.set("note", "3.1", "said", "by a phone that no backup knows")
	vic.untilSent()
	anna.set("note", "1.50", "said", "after all backups")
	anna.untilSent()
	anna.until("Vic's", func() bool { return anna.in.Log.State().Has("note", "3.1") })
	id := ben.must("GET", "/api/me", nil)["device"].(string)
	annaB.must("POST", "/api/revoke", map[string]any{"site": site, "device": id})
	open := annaB.must("POST", "/api/invite", map[string]any{"site": site, "role": "viewer"})["code"]
	anna.cut()
	vic.cut()
	w.stop()
	lost := w.dir

	for name, from := range map[string]string{"folder": folder, "file": file} {
		t.Run(name, func(t *testing.T) {
			data := filepath.Join(t.TempDir(), "data")
			said := w.shell("restore", "--from", from, "--data", data)
			if !strings.Contains(said, "1 sites, 25 changes, 2 pictures") {
				t.Errorf("restored: %s", said)
			}
			doc := w.shell("export", "--json", "--data", data)
			if strings.TrimSpace(doc) != before {
				t.Errorf("another document: %.200s", doc)
			}
			for _, p := range []string{one, two} {
				raw, err := os.ReadFile(filepath.Join(data, "photos", site, p))
				if err != nil || nameOf(raw) != p {
					t.Errorf("picture %.8s: %v", p, err)
				}
			}
			st, err := openStore(data)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := st.useCode(typed(open.(string)), newcomer{name: "Eve"}, w.now()); !errors.Is(err, errCode) {
				t.Errorf("an old invitation: %v", err)
			}
			if err := st.close(); err != nil {
				t.Fatal(err)
			}
			w.dir = data
			w.start()
			again := *anna
			again.wear(anna.token)
			again.open()
			stop := again.connect().background()
			fresh := annaB.invited(site, opsync.Viewer, "Nora").phone(site).connect()
			fresh.until("what was lost", func() bool {
				return fresh.in.Log.State().Has("note", "1.50") && fresh.in.Log.State().Has("note", "3.1")
			})
			stop()
			if fresh.doc() != again.doc() {
				t.Error("two documents")
			}
			if fresh.dev <= vic.dev {
				t.Errorf("number %d was Vic's %d or older", fresh.dev, vic.dev)
			}
			w.stop()
		})
	}
	w.dir = lost
	w.start()
}

// Any backup of a folder can be restored by itself, and rotation leaves the newest ones whole.
func TestBackupsRotate(t *testing.T) {
	w := newWorld(t)
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	folder := filepath.Join(t.TempDir(), "backups")
	const keep = 3
	plan := backupPlan{to: folder, every: 24 * time.Hour, keep: keep}
	var docs []string
	for day := range 11 {
		anna.set("note", fmt.Sprintf("1.%d", day+1), "said", "a line")
		anna.untilSent()
		w.srv.backupNow(plan)
		w.later(23 * time.Hour)
		w.srv.backupNow(plan) // not yet
		w.later(time.Hour)
		docs = append(docs, anna.doc())
		names, err := backups{folder}.files()
		if err != nil {
			t.Fatal(err)
		}
		if w.srv.backupFailed.Load() || len(names) > 2*keep-1 {
			t.Fatalf("day %d: failed %v, %d files", day, w.srv.backupFailed.Load(), len(names))
		}
		for i := range min(keep, day+1) {
			name := names[len(names)-1-i]
			data := filepath.Join(t.TempDir(), "data")
			w.shell("restore", "--from", filepath.Join(folder, name), "--data", data)
			if got := strings.TrimSpace(w.shell("export", "--json", "--data", data)); got != docs[day-i] {
				t.Errorf("day %d: %s is another document", day, name)
			}
		}
	}
	if got := w.browser().must("GET", "/health", nil); got["backup"] != nil {
		t.Errorf("health: %v", got)
	}
	// The folder cannot be written to: the log and /health say so, the server goes on.
	blocked := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(blocked, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	w.srv.backupNow(backupPlan{to: filepath.Join(blocked, "backups"), every: time.Hour, keep: 1})
	if got := w.browser().must("GET", "/health", nil); got["backup"] != "failed" || got["ok"] != true {
		t.Errorf("health: %v", got)
	}
}

// One bit flips anywhere in a backup: it is found and named, or means nothing; nothing is restored by half.
func TestEveryFlipInABackup(t *testing.T) {
	const seed, flips = 20261127, 300
	t.Logf("seed %d", seed)
	dice := rand.New(rand.NewPCG(seed, 0))
	w := newWorld(t)
	w.door()
	annaB, site := w.owner("Anna")
	anna := annaB.phone(site).connect()
	for i := range 10 {
		anna.set("note", fmt.Sprintf("1.%d", i+1), "said", fmt.Sprint("line ", dice.Uint64()))
	}
	anna.untilSent()
	w.picture(site, 77)
	file := filepath.Join(t.TempDir(), "all.backup")
	w.shell("backup", "--data", w.dir, "--to", file)
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	read := func(b []byte) (records []string, err error) {
		_, err = readBackup(bytes.NewReader(b), func(_ backupHead, k, v []byte) error {
			records = append(records, string(k)+"="+string(v))
			return nil
		})
		return records, err
	}
	want, err := read(raw)
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for i := range flips {
		at, bit := dice.IntN(len(raw)), byte(1)<<dice.IntN(8)
		b := bytes.Clone(raw)
		b[at] ^= bit
		got, err := read(b)
		if err == nil && !slices.Equal(got, want) {
			t.Errorf("seed %d, flip %d: byte %d, bit %02x: other records and no error", seed, i, at, bit)
		}
		if err != nil {
			found++
		}
	}
	if found < flips*9/10 {
		t.Errorf("%d of %d flips were found", found, flips)
	}
	for n := range len(raw) {
		if _, err := read(raw[:n]); err == nil {
			t.Errorf("cut off after %d of %d bytes, and taken", n, len(raw))
		}
	}
	broken := filepath.Join(t.TempDir(), "broken.backup")
	raw[len(raw)/2] ^= 8
	if err := os.WriteFile(broken, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	data := filepath.Join(t.TempDir(), "data")
	code, _, errs := shellOut("restore", "--from", broken, "--data", data)
	if code != 1 || !strings.Contains(errs, "nothing was restored") || !strings.Contains(errs, "broken.backup") {
		t.Errorf("status %d, %s", code, errs)
	}
	w.shell("restore", "--from", file, "--data", data) // the same folder: nothing is in the way
}

func FuzzReadBackup(f *testing.F) {
	st, err := startStore(newMemoryShelf(), "", func() error { return nil })
	if err != nil {
		f.Fatal(err)
	}
	var b bytes.Buffer
	if err := st.backup(&b, backupHead{Store: "x"}, ""); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	f.Add([]byte("\x1f\x8b"))
	f.Fuzz(func(t *testing.T, b []byte) {
		n := 0
		sum, err := readBackup(bytes.NewReader(b), func(backupHead, []byte, []byte) error { n++; return nil })
		if err == nil && sum.End.Records != n {
			t.Errorf("%d records, it says %d", n, sum.End.Records)
		}
	})
}

func TestRestoreRefuses(t *testing.T) {
	w := newWorld(t)
	w.door()
	w.owner("Anna")
	folder := filepath.Join(t.TempDir(), "backups")
	for range 3 {
		w.shell("backup", "--data", w.dir, "--to", folder)
		time.Sleep(2 * time.Millisecond) // backups are named by the millisecond
	}
	names, err := backups{folder}.files()
	if err != nil || len(names) != 3 {
		t.Fatal(names, err)
	}
	full := t.TempDir()
	if err := os.WriteFile(filepath.Join(full, "letter.txt"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	gap, lone := filepath.Join(t.TempDir(), "gap"), t.TempDir()
	copyFiles(t, folder, gap)
	if err := errors.Join(os.Remove(filepath.Join(gap, names[1])), os.Rename(filepath.Join(gap, names[2]), filepath.Join(lone, names[2]))); err != nil {
		t.Fatal(err)
	}
	copyFiles(t, folder, filepath.Join(t.TempDir(), "x"))
	skipped := filepath.Join(t.TempDir(), "skipped")
	copyFiles(t, folder, skipped)
	if err := os.Remove(filepath.Join(skipped, names[1])); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		say  string
		args []string
	}{
		{"restore takes --from", nil},
		{"there is no backup at", []string{"--from", filepath.Join(full, "none"), "--data", t.TempDir()}},
		{"there is no backup in", []string{"--from", t.TempDir(), "--data", t.TempDir()}},
		{"is not empty (letter.txt is in it): it was left alone", []string{"--from", folder, "--data", full}},
		{"is not empty", []string{"--from", folder, "--data", w.dir}},
		{"goes on from a backup that is not in", []string{"--from", lone, "--data", t.TempDir()}},
		{"does not go on from the file before it; up to the file before it all is well", []string{"--from", skipped, "--data", t.TempDir()}},
		{"no backup of Batterboard", []string{"--from", filepath.Join(full, "letter.txt"), "--data", t.TempDir()}},
	} {
		if code, _, errs := shellOut(append([]string{"restore"}, c.args...)...); code == 0 || !strings.Contains(errs, c.say) {
			t.Errorf("%v: status %d, %s", c.args, code, errs)
		}
	}
	for say, args := range map[string][]string{
		"say where to with --to": {"--data", w.dir},
		"there is no store in":   {"--data", t.TempDir(), "--to", folder},
		"is there already":       {"--data", w.dir, "--to", filepath.Join(folder, names[0])},
	} {
		if code, _, errs := shellOut(append([]string{"backup"}, args...)...); code != 2 || !strings.Contains(errs, say) {
			t.Errorf("%v: status %d, %s", args, code, errs)
		}
	}
	// A restore that was killed is said to be one, and can be run again.
	half := t.TempDir()
	if err := os.MkdirAll(filepath.Join(half, rebuilding), 0o700); err != nil {
		t.Fatal(err)
	}
	if _, err := openStore(half); err == nil || !strings.Contains(err.Error(), "run it again") {
		t.Errorf("opened: %v", err)
	}
	w.shell("restore", "--from", folder, "--data", half)
	w.shell("access", "--data", half)
}

// The door for commands opens to the secret beside the store, and to nothing else.
func TestTheDoor(t *testing.T) {
	w := newWorld(t)
	h := w.srv.doorHandler(doorKey{At: "127.0.0.1:1", Secret: "s3cret"})
	knock := func(change func(*http.Request)) int {
		q, err := http.NewRequest("POST", "http://127.0.0.1:1/", strings.NewReader(`{"Do":"list"}`))
		if err != nil {
			t.Fatal(err)
		}
		q.Header.Set("Authorization", "Bearer s3cret")
		change(q)
		r := newRecorder()
		h.ServeHTTP(r, q)
		return r.status
	}
	for name, c := range map[string]struct {
		want   int
		change func(*http.Request)
	}{
		"the key":          {200, func(*http.Request) {}},
		"no key":           {403, func(q *http.Request) { q.Header.Del("Authorization") }},
		"another key":      {403, func(q *http.Request) { q.Header.Set("Authorization", "Bearer secret") }},
		"half a key":       {403, func(q *http.Request) { q.Header.Set("Authorization", "Bearer s3c") }},
		"a page":           {403, func(q *http.Request) { q.Header.Set("Origin", "http://127.0.0.1:1") }},
		"another name":     {403, func(q *http.Request) { q.Host = "evil.example:1" }},
		"a GET":            {403, func(q *http.Request) { q.Method = "GET" }},
		"no JSON":          {400, func(q *http.Request) { q.Body = io.NopCloser(strings.NewReader("{")) }},
		"an unknown word":  {422, func(q *http.Request) { q.Body = io.NopCloser(strings.NewReader(`{"Do":"dance"}`)) }},
		"a site not there": {422, func(q *http.Request) { q.Body = io.NopCloser(strings.NewReader(`{"Do":"export","Site":"x"}`)) }},
	} {
		if got := knock(c.change); got != c.want {
			t.Errorf("%s: %d, want %d", name, got, c.want)
		}
	}
	w.door()
	info, err := os.Stat(filepath.Join(w.dir, doorFile))
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the key lies there as %v, %v", info.Mode(), err)
	}
	if code, _, errs := shellOut("export", "--data", w.dir, "--site", "nosuch"); code != 2 || !strings.Contains(errs, "no site yet") {
		t.Errorf("status %d, %s", code, errs)
	}
}

// recorder is httptest's, but one that tells the status of an answer without a body.
type recorder struct {
	head   http.Header
	status int
}

func newRecorder() *recorder { return &recorder{http.Header{}, 200} }

func (r *recorder) Header() http.Header         { return r.head }
func (r *recorder) WriteHeader(status int)      { r.status = status }
func (r *recorder) Write(b []byte) (int, error) { return len(b), nil }

// import and export while the server runs, and a stopped store: the same answers.
func TestFilesWhileServing(t *testing.T) {
	w := newWorld(t)
	w.door()
	if out := w.shell("import", studio, "--data", w.dir); !strings.HasPrefix(out, "site ") || !strings.Contains(out, "owner code ") {
		t.Errorf("imported: %s", out)
	}
	running := w.shell("export", "--data", w.dir)
	w.srv.home = "https://board.example"
	if out := w.shell("access", "owner", "--data", w.dir); !strings.Contains(out, "owner link https://board.example/#/pair/") {
		t.Errorf("owner: %s", out)
	}
	w.stop()
	if stopped := w.shell("export", "--data", w.dir); stopped != running || !strings.Contains(running, "Potter") {
		t.Error("running and stopped say different things")
	}
	w.start()
}
