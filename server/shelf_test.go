package main

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"sort"
	"strings"
	"sync"
	"testing"
)

// memoryShelf is a shelf in plain memory: the contract's second witness, and a quick one for tests that
// are not about the disk. A view is a copy of the table of contents; values are never changed in place.
type memoryShelf struct {
	mu  sync.RWMutex
	all map[string][]byte
}

func newMemoryShelf() *memoryShelf { return &memoryShelf{all: map[string][]byte{}} }

func (m *memoryShelf) view(f func(records) error) error {
	m.mu.RLock()
	now := memoryRecords{values: make(map[string][]byte, len(m.all))}
	for k, v := range m.all {
		now.keys, now.values[k] = append(now.keys, k), v
	}
	m.mu.RUnlock()
	sort.Strings(now.keys)
	return f(now)
}

func (m *memoryShelf) put(pairs []pair) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, p := range pairs {
		if len(p.key) == 0 {
			return errors.New("a record without a key")
		}
	}
	for _, p := range pairs {
		if p.value == nil {
			delete(m.all, string(p.key))
		} else {
			m.all[string(p.key)] = bytes.Clone(p.value)
		}
	}
	return nil
}

func (m *memoryShelf) close() error { return nil }

type memoryRecords struct {
	keys   []string
	values map[string][]byte
}

func (m memoryRecords) value(key []byte) ([]byte, error) {
	v, ok := m.values[string(key)]
	if !ok {
		return nil, errMissing
	}
	return bytes.Clone(v), nil
}

func (m memoryRecords) scan(prefix, from []byte, yield func(key, value []byte, err error) error) error {
	start := string(prefix)
	if string(from) > start {
		start = string(from)
	}
	i, _ := slices.BinarySearch(m.keys, start)
	for ; i < len(m.keys) && strings.HasPrefix(m.keys[i], string(prefix)); i++ {
		if err := yield([]byte(m.keys[i]), m.values[m.keys[i]], nil); err != nil {
			return err
		}
	}
	return nil
}

// shelves runs a test on each kind of shelf.
func shelves(t *testing.T, test func(t *testing.T, s shelf)) {
	t.Run("memory", func(t *testing.T) { test(t, newMemoryShelf()) })
	t.Run("badger", func(t *testing.T) {
		st, err := openStore(t.TempDir())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() {
			if err := st.close(); err != nil {
				t.Error(err)
			}
		})
		// What a store writes for itself is none of the contract's.
		if err := st.shelf.put([]pair{{[]byte("meta/format"), nil}}); err != nil {
			t.Fatal(err)
		}
		test(t, st.shelf)
	})
}

// listed is what a scan gives, a line for each, without the tally's own record.
func listed(t *testing.T, s shelf, prefix, from string) (lines []string) {
	t.Helper()
	var start []byte
	if from != "" {
		start = []byte(from)
	}
	err := s.view(func(r records) error {
		return r.scan([]byte(prefix), start, func(key, value []byte, err error) error {
			if string(key) != lastCommit {
				lines = append(lines, fmt.Sprintf("%s=%s", key, value))
			}
			return err
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return lines
}

func same(t *testing.T, what string, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("%s: %q, want %q", what, got, want)
	}
}

func TestTheShelfKeepsItsContract(t *testing.T) {
	put := func(t *testing.T, s shelf, pairs ...string) {
		t.Helper()
		var all []pair
		for _, p := range pairs {
			key, value, has := strings.Cut(p, "=")
			if has {
				all = append(all, pair{[]byte(key), []byte(value)})
			} else {
				all = append(all, pair{key: []byte(key)})
			}
		}
		if err := s.put(all); err != nil {
			t.Fatal(err)
		}
	}
	shelves(t, func(t *testing.T, s shelf) {
		same(t, "an empty shelf", listed(t, s, "", ""))
		put(t, s, "op/b=2", "op/a=1", "op/b/c=3", "oq=4", "op=0")
		same(t, "by prefix, in order", listed(t, s, "op/", ""), "op/a=1", "op/b=2", "op/b/c=3")
		same(t, "from a key on", listed(t, s, "op/", "op/b"), "op/b=2", "op/b/c=3")
		same(t, "from between two keys", listed(t, s, "op/", "op/aa"), "op/b=2", "op/b/c=3")
		same(t, "from behind the last", listed(t, s, "op/", "op/z"))
		same(t, "all", listed(t, s, "", ""), "op=0", "op/a=1", "op/b=2", "op/b/c=3", "oq=4")
		put(t, s, "op/a=5", "op/b", "op/new=", "op/never")
		same(t, "changed, deleted, empty", listed(t, s, "op/", ""), "op/a=5", "op/b/c=3", "op/new=")
		put(t, s, "twice=1", "twice", "twice=2", "again=1", "again")
		same(t, "the later of two counts", listed(t, s, "twice", ""), "twice=2")
		same(t, "a deletion may be the later", listed(t, s, "again", ""))
		if err := s.put([]pair{{[]byte("half"), []byte("1")}, {nil, []byte("no key")}}); err == nil {
			t.Error("a record without a key is taken")
		}
		same(t, "nothing of a write that failed", listed(t, s, "half", ""))

		// A view is of one moment.
		err := s.view(func(r records) error {
			put(t, s, "op/a=6", "op/d=7", "op/b/c")
			if v, err := r.value([]byte("op/a")); err != nil || string(v) != "5" {
				t.Errorf("a later value is seen: %q %v", v, err)
			}
			if _, err := r.value([]byte("op/d")); !errors.Is(err, errMissing) {
				t.Errorf("a later record is seen: %v", err)
			}
			n := 0
			if err := r.scan([]byte("op/"), nil, func(_, _ []byte, err error) error { n++; return err }); err != nil || n != 3 {
				t.Errorf("%d records in the scan, %v", n, err)
			}
			v, err := r.value([]byte("op/a"))
			if err == nil {
				v[0] = 'X' // the caller's own copy
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		same(t, "afterwards", listed(t, s, "op/", ""), "op/a=6", "op/d=7", "op/new=")

		// What yield or the viewer returns comes back, and ends the scan.
		stop, n := errors.New("enough"), 0
		err = s.view(func(r records) error {
			return r.scan(nil, nil, func(_, _ []byte, _ error) error { n++; return stop })
		})
		if !errors.Is(err, stop) || n != 1 {
			t.Errorf("%d records after the first, %v", n, err)
		}
	})
}

// Many writes of chance: the shelf ends as a plain map does, whatever is large, empty or deleted.
func TestTheShelfAgainstAMap(t *testing.T) {
	const seed = 20261126
	t.Logf("seed %d", seed)
	shelves(t, func(t *testing.T, s shelf) {
		dice := rand.New(rand.NewPCG(seed, 0))
		want := map[string]string{}
		for range 200 {
			var pairs []pair
			for range 1 + dice.IntN(20) {
				key := fmt.Sprintf("k/%02d", dice.IntN(60))
				if dice.IntN(4) == 0 {
					pairs = append(pairs, pair{key: []byte(key)})
					delete(want, key)
					continue
				}
				value := bytes.Repeat([]byte{byte(dice.IntN(256))}, dice.IntN(3000)*dice.IntN(2))
				pairs, want[key] = append(pairs, pair{[]byte(key), value}), string(value)
			}
			if err := s.put(pairs); err != nil {
				t.Fatal(err)
			}
		}
		var lines []string
		for k, v := range want {
			lines = append(lines, k+"="+v)
		}
		sort.Strings(lines)
		same(t, "at the end", listed(t, s, "k/", ""), lines...)
	})
}

// The store's own writing and reading, access records and sites, on either shelf.
func TestTheStoreOnEitherShelf(t *testing.T) {
	shelves(t, func(t *testing.T, on shelf) {
		st, err := startStore(on, t.TempDir(), func() error { return nil })
		if err != nil {
			t.Fatal(err)
		}
		f, err := readFile(studio)
		if err != nil {
			t.Fatal(err)
		}
		w := &world{t: t}
		const site = "dc3aqkpksdua2o1s0t0g"
		if err := st.importSite(site, f.doc, "import", w.now()); err != nil {
			t.Fatal(err)
		}
		doc, err := st.document(site)
		if err != nil || !strings.Contains(string(doc), "Potter") {
			t.Errorf("the site is %.80s, %v", doc, err)
		}
		who, err := st.join(site, "owner", newcomer{name: "Anna"}, w.now())
		if err != nil {
			t.Fatal(err)
		}
		if id, _, err := st.known(who.Token); err != nil || id != who.Device {
			t.Error("the token is not known")
		}
		seats, err := st.seatsOf(who.Device)
		if err != nil || len(seats) != 1 || seats[0].Num != 2 {
			t.Errorf("seats %v, %v", seats, err)
		}
		if err := st.revoke(site, who.Device, false); !errors.Is(err, errLastOwner) {
			t.Errorf("the last owner: %v", err)
		}
		st.space = func() error { return errFull }
		if err := st.write(pair{[]byte("name/x"), []byte("x")}); !errors.Is(err, errFull) {
			t.Errorf("with a full disk: %v", err)
		}
		if _, err := st.document(site); err != nil {
			t.Errorf("reading with a full disk: %v", err)
		}
		st.mu.Lock()
		st.closed = true
		st.mu.Unlock()
		st.queue <- struct{}{}
		<-st.stopped
	})
}
