package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strings"

	badger "github.com/dgraph-io/badger/v4"
)

// Before Badger opens a folder we look its files over ourselves. Badger finds most damage too, but what it
// does then is not what a store of other people's work may do: it cuts a write-ahead log off at the first
// bad entry without a word, forgets tables whose line in the manifest it cannot read, and ends the process
// over an index. We read the same files (format of Badger 4, uncompressed and not encrypted, as
// storeOptions asks for), name what is damaged, and give back every record whose own sum is right.

// looked is what the files of a store hold.
type looked struct {
	damage  []string            // a line each: which file, what is wrong
	records map[string]recordAt // the latest of each key; all of them only when asked for
	keep    bool
	cut     []entry // of writes at the end of a log whose own end is not there
}

// recordAt is one version of a record.
type recordAt struct {
	number uint64
	value  []byte // nil: deleted
}

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// manifestVersion is the one whose files we can read; of another program's we leave the looking to Badger.
const manifestVersion = 8

func (l *looked) found(file, format string, a ...any) {
	l.damage = append(l.damage, filepath.Base(file)+": "+fmt.Sprintf(format, a...))
}

// lookOver reads all files of a store that nobody has open. keep: also give the records.
func lookOver(dir string, keep bool) (*looked, error) {
	l := &looked{keep: keep, records: map[string]recordAt{}}
	tables, known, err := l.manifest(filepath.Join(dir, badger.ManifestFilename))
	if err != nil || !known {
		return l, err
	}
	files, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		path := filepath.Join(dir, f.Name())
		var err error
		switch ext := filepath.Ext(f.Name()); {
		case f.IsDir():
		case ext == ".sst":
			if tables == nil || tables[tableNumber(f.Name())] {
				delete(tables, tableNumber(f.Name()))
				err = l.file(path, l.table)
			} // else one that was being made or thrown away when the process ended
		case ext == ".mem":
			err = l.file(path, l.wal)
		case ext == ".vlog":
			err = l.file(path, l.valueLog)
		case f.Name() == badger.KeyRegistryFileName:
			err = l.file(path, l.keyRegistry)
		}
		if err != nil {
			return nil, err
		}
	}
	var missing []uint64
	for n := range tables { // any order: sorted below
		missing = append(missing, n)
	}
	sort.Slice(missing, func(i, k int) bool { return missing[i] < missing[k] })
	for _, n := range missing {
		l.found(fmt.Sprintf("%06d.sst", n), "is missing")
	}
	return l, nil
}

func tableNumber(name string) (n uint64) {
	if _, err := fmt.Sscanf(name, "%d.sst", &n); err != nil {
		return 0
	}
	return n
}

func (l *looked) file(path string, read func(path string, b []byte)) error {
	b, err := readUsed(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("look over the store: %w", err)
	}
	read(path, b)
	return nil
}

// readUsed reads a file up to where it is nothing but zeros, of which it keeps a few: logs are made 32 MB
// large before anything is in them.
func readUsed(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var b []byte
	part := make([]byte, 32<<10)
	for zeros := 0; ; { // zeros that b would end in
		n, err := io.ReadFull(f, part)
		ended := errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF)
		if err != nil && !ended {
			return nil, err
		}
		zeros += n
		if used := len(bytes.TrimRight(part[:n], "\x00")); used > 0 {
			b = append(append(b, make([]byte, zeros-n)...), part[:used]...)
			zeros = n - used
		}
		switch {
		case ended:
			return append(b, make([]byte, zeros)...), nil
		case zeros >= 2*maxValue:
			return append(b, make([]byte, walHeader)...), nil
		}
	}
}

// manifest reads which tables there are. A nil map: it cannot be told, take all. known is false when the
// file is of a format we do not know, or there is none.
func (l *looked) manifest(path string) (tables map[uint64]bool, known bool, err error) {
	b, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		if tables, err := filepath.Glob(filepath.Join(filepath.Dir(path), "*.sst")); err != nil || len(tables) == 0 {
			return nil, false, err
		}
		l.found(path, "is missing") // Badger would make a new one and throw the tables away
		return nil, true, nil
	}
	if err != nil {
		return nil, false, fmt.Errorf("look over the store: %w", err)
	}
	if len(b) < 8 || string(b[:4]) != "Bdgr" {
		l.found(path, "its beginning is not that of a manifest")
		return nil, true, nil
	}
	if v := binary.BigEndian.Uint32(b[4:]); v != manifestVersion {
		// A flipped bit or another version of Badger: with our tables beside it, it is a flipped bit, and the
		// tables themselves say so, as their sums fit.
		if _, err := os.Stat(filepath.Join(filepath.Dir(path), badger.KeyRegistryFileName)); err != nil {
			return nil, false, nil
		}
		l.found(path, "says it has version %d, and ours is %d", v, manifestVersion)
		return nil, true, nil
	}
	tables = map[uint64]bool{}
	for at := 8; at < len(b); {
		if len(b)-at < 8 {
			l.found(path, "ends in the middle of a line")
			return nil, true, nil
		}
		n, sum := int64(binary.BigEndian.Uint32(b[at:])), binary.BigEndian.Uint32(b[at+4:])
		if n > int64(len(b)-at-8) {
			l.found(path, "ends in the middle of a line")
			return nil, true, nil
		}
		line := b[at+8 : at+8+int(n)]
		if crc32.Checksum(line, castagnoli) != sum {
			l.found(path, "the line at byte %d does not have the sum it should have", at)
			return nil, true, nil
		}
		if !manifestLine(line, tables) {
			l.found(path, "the line at byte %d cannot be understood", at)
			return nil, true, nil
		}
		at += 8 + int(n)
	}
	return tables, true, nil
}

// manifestLine takes one set of changes: protobuf, field 1 repeated a change, in it field 1 the table's
// number and field 2 what happened to it, 0 made, 1 thrown away.
func manifestLine(line []byte, tables map[uint64]bool) bool {
	return protoFields(line, func(field, _ uint64, change []byte) {
		if field != 1 {
			return
		}
		var table, op uint64
		protoFields(change, func(field, n uint64, _ []byte) {
			switch field {
			case 1:
				table = n
			case 2:
				op = n
			}
		})
		if op == 0 {
			tables[table] = true
		} else {
			delete(tables, table)
		}
	})
}

// protoFields walks over the fields of a protobuf message that are numbers or bytes.
func protoFields(b []byte, yield func(field, n uint64, bytes []byte)) bool {
	for len(b) > 0 {
		tag, k := binary.Uvarint(b)
		if k <= 0 {
			return false
		}
		n, j := binary.Uvarint(b[k:])
		if j <= 0 {
			return false
		}
		b = b[k+j:]
		switch tag & 7 {
		case 0:
			yield(tag>>3, n, nil)
		case 2:
			if n > uint64(len(b)) {
				return false
			}
			yield(tag>>3, n, b[:n])
			b = b[n:]
		default:
			return false
		}
	}
	return true
}

// take notes a version of a record. key has eight bytes of version behind it, counted down from the top.
func (l *looked) take(key []byte, meta byte, value []byte) {
	if len(key) <= 8 {
		return
	}
	name := key[:len(key)-8]
	if bytes.HasPrefix(name, []byte("!badger!")) || !l.keep && string(name) != lastCommit {
		return
	}
	v := recordAt{number: math.MaxUint64 - binary.BigEndian.Uint64(key[len(key)-8:])}
	if old, ok := l.records[string(name)]; ok && old.number > v.number {
		return
	}
	if meta&metaDeleted == 0 {
		v.value = append([]byte{}, value...)
	}
	l.records[string(name)] = v
}

// Bits of an entry's first byte.
const (
	metaDeleted = 1 << 0
	metaTxn     = 1 << 6 // part of a transaction
	metaFin     = 1 << 7 // its end
)

// walHeader is in front of a write-ahead log and a value log: the number of an encryption key, zero as we
// have none, and twelve bytes of chance.
const walHeader = 20

// entry is one of a write-ahead log: two bytes, three varints, key, value, sum.
type entry struct {
	meta       byte
	key, value []byte
	size       int
}

// maxValue bounds a value, and so a block, which ends with the value that fills it: the largest of ours is an
// operation (opsync.MaxOpBytes).
const maxValue = 1 << 20

// readEntry reads the entry at the start of b; false when there is none whose sum is right.
func readEntry(b []byte) (e entry, ok bool) {
	if len(b) < 2 {
		return e, false
	}
	at := 2
	var n [3]uint64
	for i := range n {
		v, k := binary.Uvarint(b[at:])
		if k <= 0 {
			return e, false
		}
		n[i], at = v, at+k
	}
	if n[0] == 0 || n[0] > 1<<16 || n[1] > maxValue || uint64(len(b)-at) < n[0]+n[1]+4 {
		return e, false
	}
	k, v := int(n[0]), int(n[1])
	if crc32.Checksum(b[:at+k+v], castagnoli) != binary.BigEndian.Uint32(b[at+k+v:]) {
		return e, false
	}
	return entry{b[0], b[at : at+k], b[at+k : at+k+v], at + k + v + 4}, true
}

// wal reads a write-ahead log. It ends in zeros: the file is made large. A transaction at the end whose
// last entry is missing was being written when the process ended, and nobody was told of it; or that
// entry is damaged. Which of the two it was the tally says (tally.go).
func (l *looked) wal(path string, b []byte) {
	end := len(b)
	for end > 0 && b[end-1] == 0 {
		end--
	}
	if end == 0 || len(b) < walHeader {
		return // just made
	}
	if binary.BigEndian.Uint64(b) != 0 {
		l.found(path, "its beginning is not that of a log")
	}
	b = b[:min(len(b), end+8)] // the last sum may end in zeros
	var open []entry           // of a transaction without its end so far
	bad := 0                   // where the entries that cannot be read begin
	flush := func() {
		for _, e := range open {
			l.take(e.key, e.meta, e.value)
		}
		open = open[:0]
	}
	for at := walHeader; at < end; {
		e, ok := readEntry(b[at:])
		if !ok {
			if bad == 0 {
				bad = at
			}
			at++ // look for where the entries go on
			continue
		}
		if bad != 0 {
			l.found(path, "the %d bytes from %d on do not have the sum they should have", at-bad, bad)
			flush() // its end may be what is damaged
			bad = 0
		}
		at += e.size
		switch {
		case e.meta&metaFin != 0:
			flush()
		case e.meta&metaTxn != 0:
			open = append(open, e)
		default:
			l.take(e.key, e.meta, e.value)
		}
	}
	l.cut = append(l.cut, open...)
}

// valueLog: ours is always empty, as no value is large enough for it.
func (l *looked) valueLog(path string, b []byte) {
	if len(b) >= walHeader && binary.BigEndian.Uint64(b) != 0 {
		l.found(path, "its beginning is not that of a log")
	}
	if len(bytes.TrimRight(b[min(len(b), walHeader):], "\x00")) != 0 {
		l.found(path, "holds something, and nothing was written to it")
	}
}

// keyRegistry: without encryption it is a random number and a greeting.
func (l *looked) keyRegistry(path string, b []byte) {
	if len(b) != 28 || string(b[16:]) != "Hello Badger" {
		l.found(path, "is not what was written to it")
	}
}

// table reads a sorted table: blocks, then an index with its sum. Blocks lie one behind the other, each
// with its own sum at its end, so that they can be read without the index.
func (l *looked) table(path string, b []byte) {
	blocks, ok := indexFits(b)
	if !ok {
		l.found(path, "its index does not have the sum it should have")
		blocks = len(b)
	}
	for at := 0; at < blocks; {
		if n := blockAt(b[at:blocks]); n > 0 {
			l.block(b[at : at+n])
			at += n
			continue
		}
		next := nextBlock(b[:blocks], at)
		if !ok && next == blocks {
			return // what is left is the index, or a last block that is lost with it
		}
		l.found(path, "the %d bytes from %d on do not have the sum they should have", next-at, at)
		at = next
	}
}

// indexFits checks a table's index and says where it begins.
func indexFits(b []byte) (start int, ok bool) {
	sum, rest, ok := tail(b)
	if !ok || len(rest) < 4 {
		return 0, false
	}
	n := int64(binary.BigEndian.Uint32(rest[len(rest)-4:]))
	rest = rest[:len(rest)-4]
	if n > int64(len(rest)) {
		return 0, false
	}
	start = len(rest) - int(n)
	return start, uint64(crc32.Checksum(rest[start:], castagnoli)) == sum
}

// tail takes the sum off the end of a block or table: a protobuf message and its length. Only the kind of
// sum that Badger makes by default is known here: CRC-32C, whose number is left out.
func tail(b []byte) (sum uint64, rest []byte, ok bool) {
	if len(b) < 4 {
		return 0, nil, false
	}
	n := binary.BigEndian.Uint32(b[len(b)-4:])
	b = b[:len(b)-4]
	if n < 2 || n > 6 || int(n) > len(b) {
		return 0, nil, false
	}
	message := b[len(b)-int(n):]
	sum, k := binary.Uvarint(message[1:])
	return sum, b[:len(b)-int(n)], message[0] == 2<<3 && k == len(message)-1
}

// blockAt returns the length of the block that b begins with, 0 when there is none whose sum is right.
func blockAt(b []byte) int {
	for end := range ends(b[:min(len(b), 2*maxValue)]) {
		if sum, body, ok := tail(b[:end]); ok && len(body) > 4 && uint64(crc32.Checksum(body, castagnoli)) == sum {
			return end
		}
	}
	return 0
}

// ends yields where a block may end: behind the length of a sum.
func ends(b []byte) func(yield func(int) bool) {
	return func(yield func(int) bool) {
		for at := 0; ; {
			i := bytes.Index(b[at:], []byte{0, 0, 0})
			if i < 0 {
				return
			}
			at += i
			if at+3 < len(b) && b[at+3] >= 2 && b[at+3] <= 6 && !yield(at+4) {
				return
			}
			at++
		}
	}
}

// nextBlock finds where, behind a damaged block, a good one begins.
func nextBlock(b []byte, at int) int {
	for end := range ends(b[at:]) {
		if next := at + end; next < len(b) && blockAt(b[next:]) > 0 {
			return next
		}
	}
	return len(b)
}

// block takes a block's entries: each says how much of the first one's key it shares.
func (l *looked) block(b []byte) {
	_, body, _ := tail(b)
	n := int64(binary.BigEndian.Uint32(body[len(body)-4:]))
	body = body[:len(body)-4]
	if n*4 > int64(len(body)) {
		return
	}
	offsets := body[len(body)-int(n)*4:]
	body = body[:len(body)-int(n)*4]
	var first []byte
	for i := range int(n) {
		start, end := int64(binary.NativeEndian.Uint32(offsets[i*4:])), int64(len(body))
		if i+1 < int(n) {
			end = int64(binary.NativeEndian.Uint32(offsets[i*4+4:]))
		}
		if start+4 > end || end > int64(len(body)) {
			return
		}
		e := body[start:end]
		shared, own := int(binary.NativeEndian.Uint16(e)), int(binary.NativeEndian.Uint16(e[2:]))
		if shared > len(first) || own+4 > len(e) {
			return
		}
		key := append(append([]byte{}, first[:shared]...), e[4:4+own]...)
		if first == nil {
			first = key
		}
		v := e[4+own:]
		if len(v) < 3 {
			return
		}
		_, k := binary.Uvarint(v[2:])
		if k <= 0 {
			return
		}
		l.take(key, v[0], v[2+k:])
	}
}

// names lists files for a sentence.
func names(lines []string) string { return "\n  " + strings.Join(lines, "\n  ") }
