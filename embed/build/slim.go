package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"os"
)

// slim makes a Go program for the browser smaller on the wire, without changing what it does.
//
// A Go binary carries tables that name the file, line and function of every instruction, for stack
// traces. The linker has no switch to leave them out, and they are a third of what a phone would load
// before it can plan. slim empties them: a trace in the browser then shows no names, everything else
// is as it was (the tables that the garbage collector and growing stacks need stay). It then cuts the
// memory image into fewer pieces: the linker writes one for every run of zeros, 60,000 of them.
//
// The layout of the tables is that of Go 1.20 to 1.26 (runtime/symtab.go, pcHeader; runtime2.go,
// _func). Another magic number or shape is an error, and the caller ships the program as it is.
func slim(wasm []byte) ([]byte, error) {
	mem, err := memoryImage(wasm)
	if err != nil {
		return nil, err
	}
	if err := dropTraces(mem); err != nil {
		return nil, err
	}
	return withData(wasm, pieces(mem)), nil
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

const (
	inlineTable = 2  // PCDATA_InlTreeIndex: which inlined call an instruction belongs to, for traces
	funcFixed   = 44 // bytes of _func before its own tables
)

// dropTraces empties the names, files, lines and inlining of the function table.
func dropTraces(mem []byte) error {
	h := -1
	for from := 0; ; {
		i := bytes.Index(mem[from:], tableMagic)
		if i < 0 {
			break
		}
		if i += from; i+72 <= len(mem) && mem[i+6] == 1 && mem[i+7] == 8 { // quantum and pointer size of wasm
			if h >= 0 {
				return fmt.Errorf("%w: two function tables", errShape)
			}
			h = i
		}
		from = i + 1
	}
	if h < 0 {
		return fmt.Errorf("%w: no function table", errShape)
	}
	word := func(k int) int { return int(binary.LittleEndian.Uint64(mem[h+8*k:])) }
	funcs, names, tables, list := word(1), h+word(4), h+word(7), h+word(8)
	if !(h+72 <= names && names <= tables && tables <= list && funcs > 0 && list+8*funcs <= len(mem)) {
		return errShape
	}
	used := make([]bool, list-tables)
	for f := range funcs {
		at := list + int(binary.LittleEndian.Uint32(mem[list+8*f+4:]))
		if err := dropFunc(mem, at, names, tables, used); err != nil {
			return err
		}
	}
	for i, keep := range used {
		if !keep {
			mem[tables+i] = 0
		}
	}
	clear(mem[names:tables])
	copy(mem[names+1:], runtimeName)
	return nil
}

// The runtime tells its own goroutines by a name that begins so; all its functions keep this one.
const runtimeName = "runtime.hidden"

// dropFunc empties one function's entry and marks the tables it keeps.
func dropFunc(mem []byte, at, names, tables int, used []bool) error {
	if at+funcFixed > len(mem) || names+len(runtimeName)+2 > tables {
		return errShape
	}
	u32 := func(off int) []byte { return mem[at+off : at+off+4] }
	name := names + int(binary.LittleEndian.Uint32(u32(4)))
	own := name < tables && bytes.HasPrefix(mem[name:], []byte("runtime."))
	clear(u32(4)) // name
	if own {
		mem[at+4] = 1
	}
	clear(mem[at+20 : at+28]) // file and line tables
	clear(mem[at+32 : at+40]) // compilation unit, first line
	keep := [][]byte{u32(16)} // stack depth
	n := int(binary.LittleEndian.Uint32(u32(28)))
	if n > 16 || at+funcFixed+4*n > len(mem) {
		return errShape
	}
	for k := range n {
		if e := u32(funcFixed + 4*k); k == inlineTable {
			clear(e)
		} else {
			keep = append(keep, e)
		}
	}
	for _, e := range keep {
		if off := int(binary.LittleEndian.Uint32(e)); off != 0 {
			if err := mark(mem[tables:tables+len(used)], used, off); err != nil {
				return err
			}
		}
	}
	return nil
}

// mark walks one table: pairs of value and distance, ended by a zero value that is not the first.
func mark(table []byte, used []bool, off int) error {
	for i, first := off, true; ; first = false {
		if i >= len(table) {
			return errShape
		}
		v, n := binary.Uvarint(table[i:])
		if n <= 0 {
			return errShape
		}
		m := 0
		if end := v == 0 && !first; !end {
			if _, m = binary.Uvarint(table[i+n:]); m <= 0 {
				return errShape
			}
		}
		for k := i; k < i+n+m; k++ {
			used[k] = true
		}
		if i += n + m; m == 0 {
			return nil
		}
	}
}

// hole is how many zeros are worth a new segment: its head takes about eight bytes, and zeros
// compress to nothing. Larger holes than this only make the file longer before compression.
const hole = 64

// pieces cuts the memory image into data segments, leaving out long runs of zeros.
func pieces(mem []byte) []byte {
	var body []byte
	count, from := 0, 0
	flush := func(to int) {
		if to > from {
			count++
			body = append(putSleb(append(body, 0, 0x41), int64(from)), 0x0b)
			body = append(binary.AppendUvarint(body, uint64(to-from)), mem[from:to]...)
		}
	}
	for i := 0; i < len(mem); {
		if mem[i] != 0 {
			i++
			continue
		}
		j := i
		for j < len(mem) && mem[j] == 0 {
			j++
		}
		if j-i >= hole {
			flush(i)
			from = j
		}
		i = j
	}
	flush(len(mem))
	return append(binary.AppendUvarint(nil, uint64(count)), body...)
}

// withData is the program with another data section.
func withData(wasm, body []byte) []byte {
	out := append([]byte(nil), wasm[:8]...)
	_ = sections(wasm, func(id byte, start, _, to int) error {
		if id != dataSection {
			out = append(out, wasm[start:to]...)
			return nil
		}
		out = append(binary.AppendUvarint(append(out, dataSection), uint64(len(body))), body...)
		return nil
	})
	return out
}
