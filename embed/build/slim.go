package main

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"
)

// slim makes a Go program for the browser smaller on the wire, without changing what it does.
//
// A Go binary carries tables that name the file, line and function of every instruction, for stack
// traces. The linker has no switch to leave them out, and they are a third of what a phone would load
// before it can plan. slim empties them: a trace in the browser then shows no names, everything else
// is as it was (the tables that the garbage collector and growing stacks need stay). It then says the
// instructions shorter (shorten.go), and lays the memory out as one piece: the linker writes one for
// every run of zeros, 60,000 of them.
//
// The layout of the tables is that of Go 1.20 to 1.26 (runtime/symtab.go, pcHeader, moduledata;
// runtime2.go, _func; internal/abi/symtab.go). Another magic number or shape is an error, and the
// caller ships the program as it is.
func slim(wasm []byte) ([]byte, error) {
	mem, err := memoryImage(wasm)
	if err != nil {
		return nil, err
	}
	if _, err := dropTraces(mem); err != nil {
		return nil, err
	}
	wasm, err = shorten(wasm)
	if err != nil {
		return nil, err
	}
	return withSection(wasm, dataSection, onePiece(mem)), nil
}

// slimFile slims a program in place. A program of a shape we do not know stays as it is: larger, not
// broken; the test of slim fails then and says so.
func slimFile(path string) error {
	wasm, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	small, err := slim(wasm)
	if err != nil {
		fmt.Fprintln(os.Stderr, "the engine is not slimmed:", err)
		return nil
	}
	return os.WriteFile(path, small, 0o644)
}

var errShape = errors.New("slim: not a WebAssembly program of the Go linker as we know it")

const dataSection = 11

// sections calls f for each section with its number and where its body lies.
func sections(wasm []byte, f func(id byte, start, from, to int) error) error {
	if len(wasm) < 8 || string(wasm[:4]) != "\x00asm" {
		return errShape
	}
	for i := 8; i < len(wasm); {
		start := i
		n, size := binary.Uvarint(wasm[i+1:])
		from := i + 1 + size
		if size <= 0 || n > uint64(len(wasm)-from) {
			return errShape
		}
		i = from + int(n)
		if err := f(wasm[start], start, from, i); err != nil {
			return err
		}
	}
	return nil
}

// memoryImage lays the data segments out as the program finds them in its memory.
func memoryImage(wasm []byte) (mem []byte, err error) {
	err = sections(wasm, func(id byte, _, i, to int) error {
		if id != dataSection {
			return nil
		}
		count, n := binary.Uvarint(wasm[i:to])
		i += n
		for range count {
			if i+2 > to || wasm[i] != 0 || wasm[i+1] != 0x41 { // active segment, i32.const
				return errShape
			}
			at, n := sleb(wasm[i+2 : to])
			i += 2 + n
			if n <= 0 || at < 0 || i >= to || wasm[i] != 0x0b {
				return errShape
			}
			size, m := binary.Uvarint(wasm[i+1 : to])
			i += 1 + m
			if m <= 0 || size > uint64(to-i) || at > 1<<28 {
				return errShape
			}
			if end := int(at) + int(size); end > len(mem) {
				mem = append(mem, make([]byte, end-len(mem))...)
			}
			copy(mem[at:], wasm[i:i+int(size)])
			i += int(size)
		}
		return nil
	})
	return mem, err
}

// sleb reads a signed LEB128 number (WebAssembly core specification 2.0, section 5.2.2).
func sleb(b []byte) (v int64, n int) {
	for shift := uint(0); n < len(b) && shift < 64; shift += 7 {
		c := b[n]
		n++
		v |= int64(c&127) << shift
		if c < 128 {
			if c&64 != 0 {
				v |= -1 << (shift + 7)
			}
			return v, n
		}
	}
	return 0, -1
}

func putSleb(b []byte, v int64) []byte {
	for {
		c := byte(v & 127)
		v >>= 7
		if v == 0 && c&64 == 0 || v == -1 && c&64 != 0 {
			return append(b, c)
		}
		b = append(b, c|128)
	}
}

// The magic of the function table since Go 1.20, little endian, with its two zeros.
var tableMagic = []byte{0xf1, 0xff, 0xff, 0xff, 0, 0}

// What one function's entry (_func) has after its fixed part: offsets of tables by instruction, then of
// things that hold for all of it. Those listed here serve traces, debuggers and the interruption of a
// running goroutine at any instruction, which WebAssembly does not have.
const (
	funcFixed = 44 // bytes of the fixed part
	absent    = ^uint32(0)
)

var (
	tracePC   = map[int]bool{0: true, 2: true, 3: true}          // unsafe points, inlined calls, live arguments
	traceFunc = map[int]bool{3: true, 5: true, 6: true, 7: true} // inlining, argument lists, what is live of them, what is wrapped
)

// funcTables is where in the memory image the function table and what it points to lie.
type funcTables struct {
	names, tables, list int // names and files; tables by instruction; the functions, ended by one more
	funcs               int // how many
	things, finder      int // what functions point to; from an instruction to its function
	finderRows          int
}

// findTables finds the function table by its magic, and the rest by what points to it.
func findTables(mem []byte) (t funcTables, err error) {
	h := -1
	for from := 0; ; {
		i := bytes.Index(mem[from:], tableMagic)
		if i < 0 {
			break
		}
		if i += from; i+72 <= len(mem) && mem[i+6] == 1 && mem[i+7] == 8 { // quantum and pointer size of wasm
			if h >= 0 {
				return t, fmt.Errorf("%w: two function tables", errShape)
			}
			h = i
		}
		from = i + 1
	}
	if h < 0 {
		return t, fmt.Errorf("%w: no function table", errShape)
	}
	word := func(at int) int { return int(binary.LittleEndian.Uint64(mem[at:])) }
	t.funcs, t.names, t.tables, t.list = word(h+8), h+word(h+32), h+word(h+56), h+word(h+64)
	if !(h+72 <= t.names && t.names <= t.tables && t.tables <= t.list && t.funcs > 0 && t.list+8*t.funcs <= len(mem)) {
		return t, errShape
	}
	// The runtime's own record (moduledata) begins with the addresses of the header and of the names.
	record := -1
	for at := 0; at+42*8 <= len(mem); at += 8 {
		if word(at) == h && word(at+8) == t.names {
			record = at
			break
		}
	}
	if record < 0 {
		return t, fmt.Errorf("%w: nothing points to the function table", errShape)
	}
	t.finder, t.things = word(record+19*8), word(record+40*8)
	low, high := word(record+20*8), word(record+21*8)
	t.finderRows = (high - low + 4095) / 4096
	if word(record+16*8) != t.list || word(record+10*8) != t.tables || !(t.list < t.things && t.things < t.finder) ||
		high < low || high-low > 1<<31 || t.finder+20*t.finderRows > len(mem) {
		return t, errShape
	}
	return t, nil
}

// dropTraces empties names, files, lines, inlining and arguments in the function table.
func dropTraces(mem []byte) (funcTables, error) {
	t, err := findTables(mem)
	if err != nil {
		return t, err
	}
	d := dropping{mem: mem, at: t, things: map[uint32]bool{}, users: map[string][]int{}}
	for f := range t.funcs {
		at := t.list + int(binary.LittleEndian.Uint32(mem[t.list+8*f+4:]))
		if err := d.function(at); err != nil {
			return t, err
		}
	}
	if err := d.layTables(); err != nil {
		return t, err
	}
	d.dropThings()
	clear(mem[t.names:t.tables])
	copy(mem[t.names+1:], runtimeName)
	return t, nil
}

// The runtime tells its own goroutines by a name that begins so; all its functions keep this one.
const runtimeName = "runtime.hidden"

type dropping struct {
	mem    []byte
	at     funcTables
	users  map[string][]int // a table by instruction, and the places of the offsets that name it
	things map[uint32]bool  // where each thing begins; true: still needed
}

// function empties one function's entry and notes what it keeps.
func (d *dropping) function(at int) error {
	mem, t := d.mem, d.at
	if at+funcFixed > len(mem) || t.names+len(runtimeName)+2 > t.tables {
		return errShape
	}
	u32 := func(off int) []byte { return mem[at+off : at+off+4] }
	name := t.names + int(binary.LittleEndian.Uint32(u32(4)))
	own := name < t.tables && bytes.HasPrefix(mem[name:], []byte("runtime."))
	clear(u32(4)) // name
	if own {
		mem[at+4] = 1
	}
	clear(mem[at+20 : at+28]) // file and line tables
	clear(mem[at+32 : at+40]) // compilation unit, first line
	n, more := int(binary.LittleEndian.Uint32(u32(28))), int(mem[at+43])
	if n > 16 || more > 16 || at+funcFixed+4*(n+more) > len(mem) {
		return errShape
	}
	keep := []int{at + 16} // stack depth
	for k := range n {
		if e := funcFixed + 4*k; tracePC[k] {
			clear(u32(e))
		} else {
			keep = append(keep, at+e)
		}
	}
	for _, e := range keep {
		if off := int(binary.LittleEndian.Uint32(mem[e:])); off != 0 {
			table, err := wholeTable(mem[t.tables:t.list], off)
			if err != nil {
				return err
			}
			d.users[table] = append(d.users[table], e)
		}
	}
	for k := range more {
		e := u32(funcFixed + 4*(n+k))
		if thing := binary.LittleEndian.Uint32(e); thing != absent {
			d.things[thing] = d.things[thing] || !traceFunc[k]
			if traceFunc[k] {
				binary.LittleEndian.PutUint32(e, absent)
			}
		}
	}
	return nil
}

// dropThings empties what only traces pointed to: from where it begins to where the next thing does.
func (d *dropping) dropThings() {
	starts := slices.Sorted(maps.Keys(d.things))
	for i, from := range starts {
		to := from // of the last one nobody knows the end: it stays
		if i+1 < len(starts) {
			to = starts[i+1]
		}
		if a, b := d.at.things+int(from), d.at.things+int(to); !d.things[from] && b <= d.at.finder {
			clear(d.mem[a:b])
		}
	}
}

// longest is more instructions than a function can have: Go counts them in 16 bits.
const longest = 1<<16 - 1

// wholeTable is the table at off: pairs of a value's change and for how many instructions it holds,
// ended by a change of zero that is not the first. What holds last may as well hold for longer than the
// function: then functions of different lengths share a table.
func wholeTable(tables []byte, off int) (string, error) {
	if off >= len(tables) {
		return "", errShape
	}
	r := &reader{b: tables[off:]}
	last := 0
	for first := true; !r.bad; first = false {
		if change := r.u(); change == 0 && !first {
			return string(binary.AppendUvarint(bytes.Clone(r.b[:last]), longest)) + "\x00", nil
		}
		last = r.i
		r.u()
	}
	return "", errShape
}

// layTables writes each table by instruction once, those that most functions use first.
func (d *dropping) layTables() error {
	room := d.mem[d.at.tables:d.at.list]
	clear(room)
	at := 1 // an offset of 0 is no table
	for _, table := range slices.SortedFunc(maps.Keys(d.users), func(a, b string) int {
		return cmp.Or(len(d.users[b])-len(d.users[a]), cmp.Compare(a, b))
	}) {
		if at+len(table) > len(room) {
			return errShape
		}
		copy(room[at:], table)
		for _, e := range d.users[table] {
			binary.LittleEndian.PutUint32(d.mem[e:], uint32(at))
		}
		at += len(table)
	}
	return nil
}

// onePiece is a data section that fills the memory from its first byte that is not zero.
func onePiece(mem []byte) []byte {
	from := len(mem) - len(bytes.TrimLeft(mem, "\x00"))
	body := append(putSleb([]byte{1, 0, 0x41}, int64(from)), 0x0b)
	return append(binary.AppendUvarint(body, uint64(len(mem)-from)), mem[from:]...)
}

// withSection is the program with another body of one section.
func withSection(wasm []byte, which byte, body []byte) []byte {
	out := append([]byte(nil), wasm[:8]...)
	_ = sections(wasm, func(id byte, start, _, to int) error {
		if id != which {
			out = append(out, wasm[start:to]...)
			return nil
		}
		out = append(binary.AppendUvarint(append(out, which), uint64(len(body))), body...)
		return nil
	})
	return out
}
