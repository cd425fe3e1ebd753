package main

import (
	"encoding/binary"
	"fmt"
	"os"
	"slices"
)

// pack writes a program of ours so that it is short once it is compressed. Compressors look for runs of
// bytes that were there before; in a program nearly every run is broken by a number that was not: how
// deep to leave, which local, where on the stack. pack puts the instructions into one stream and each
// kind of number into another, writes one sign for what the compiler always says in the same words (a
// call takes thirteen instructions), and leaves out what follows from the rest. client/worker/unpack.ts
// does the way back, and client/build.mjs lets it, in every build: what does not come out byte for byte
// as it went in is not shipped packed.
//
// The packed form is "BBP1", then for each stream its length and its bytes. Numbers are unsigned LEB128;
// zigzag numbers (0, -1, 1, -2...) where they can be negative. The streams, in order:
const (
	sPlan       = iota // sizes: of the program, of the code section, how many functions; then the places of the tables
	sHead              // the program up to its code section, and the number of functions, as they stand
	sTail              // what comes after the code section, without the tables
	sWords             // the tables, column by column
	sLocals            // for each function the list of its locals: number of groups; of each how many, and the type
	sOp                // the signs: opcodes, and those below
	sLocal             // local.get, local.set, local.tee of any local but the stack pointer
	sStackLoad         // offset of a load from the stack: eights twice, others twice plus one
	sStackStore        // the same of a store
	sElsewhere         // offset of a load or store elsewhere
	sCall              // place of the called function among those called last; 255: in the next stream
	sCallNew           // two bytes, the higher first
	sReturn            // zigzag: where a call comes back to, from where it should
	sJump              // zigzag: where a jump goes, from the next place there is
	sTable             // number of entries of a br_table less one
	sTableStep         // zigzag: each entry, from the last plus one
	sI32               // constants, as they stand
	sI64
	sAddressHigh // constants that look like an address: the third byte
	sAddress     // the second byte and the first
	sFunction    // constants that are another function: its number, two bytes, the higher first
	sFrame       // by how much the stack's pointer moves; 0: up by what it moved down last, else plus one
	sLevel       // of br and br_if: how many blocks stay open
	sType        // of block, loop, if
	sRest        // globals, and what has no stream of its own, as it stands
	streams
)

// Signs that are no opcodes.
const (
	signCall      = 0xd0 + iota // the call's thirteen instructions, coming back where it should
	signCallOther               // the same, coming back elsewhere
	signJump                    // i32.const PLACE, local.set 0, br to the loop
	signStart                   // global.get 0, local.set 1, block, loop, as many blocks as the table needs, local.get 0, br_table
	signFrameAdd                // the stack's pointer moves up
	signFrameSub                // and down
	signStackLoad               // local.get 1, i64.load
	signStackGet                // local.get 1
	signStackSet                // local.set 1
	signStackTee                // local.tee 1
	signReturn                  // i64.const of a place in this function
	signAddress                 // i64.const of something that looks like an address
	signFunction                // i64.const of another function
	signEnd       = 0xff        // the function is over
)

// Go names a function by its number plus firstFunction, an instruction in it by 16 bits more.
const (
	firstFunction       = 0x1000
	lowAddress, tooHigh = 60_000, 5_000_000
	rememberedCalls     = 250
	packed              = "BBP1"
	recordWords, cells  = 11, 5 // words of a function's entry before its own; of a row of the finder
)

func pack(wasm []byte) ([]byte, error) {
	p := &packer{}
	var start, from, to, data int
	err := sections(wasm, func(id byte, a, b, c int) error {
		switch id {
		case codeSection:
			start, from, to = a, b, c
		case dataSection:
			data = b
		}
		return nil
	})
	if err != nil || to == 0 || data < to {
		return nil, errShape
	}
	count, n := binary.Uvarint(wasm[from:])
	p.put(sPlan, uint64(len(wasm)), uint64(to-from), count)
	p.s[sHead] = append(wasm[:start:start], wasm[from:from+n]...)
	number := -1
	err = bodies(wasm[from:to], func(head, code []byte) error {
		number++
		return p.function(number, head, code)
	})
	if err != nil {
		return nil, err
	}
	if err := p.tail(wasm[to:], data-to); err != nil {
		return nil, err
	}
	out := []byte(packed)
	for _, s := range p.s {
		out = append(binary.AppendUvarint(out, uint64(len(s))), s...)
	}
	return out, nil
}

type packer struct {
	s      [streams][]byte
	called []int64 // the functions called last, by all of them

	// of the function at hand
	base   int64   // its own name
	open   []byte  // blocks that are open, by opcode
	closed int64   // how many of kind block are behind us
	table  []int64 // the first br_table: from a place to how many blocks end before it
	next   int     // the first place not before here
	frame  int64   // by how much the stack's pointer moved down last
	stack  []bool  // what lies on WebAssembly's stack: is it the stack's pointer?
}

func (p *packer) put(stream int, v ...uint64) {
	for _, v := range v {
		p.s[stream] = binary.AppendUvarint(p.s[stream], v)
	}
}

func (p *packer) signed(stream int, v int64) { p.put(stream, uint64(v<<1)^uint64(v>>63)) }

func (p *packer) sign(b byte) { p.s[sOp] = append(p.s[sOp], b) }

func (p *packer) function(number int, head, code []byte) error {
	p.s[sLocals] = append(p.s[sLocals], head...)
	p.base, p.open, p.closed, p.table, p.next = int64(firstFunction+number)<<16, p.open[:0], 0, p.table[:0], 0
	p.stack, p.frame = p.stack[:0], 0
	ins, err := instructions(code)
	if err != nil {
		return err
	}
	for i := 0; i < len(ins); {
		if n := p.phrase(ins[i:]); n > 0 {
			i += n
			continue
		}
		if err := p.one(ins[i]); err != nil {
			return err
		}
		i++
	}
	p.sign(signEnd)
	return nil
}

// is says whether the instructions begin with these opcodes.
func is(ins []instruction, ops ...byte) bool {
	return len(ins) >= len(ops) && slices.EqualFunc(ins[:len(ops)], ops, func(n instruction, op byte) bool { return n.op == op })
}

// phrase writes one sign for several instructions, and says how many.
func (p *packer) phrase(ins []instruction) int {
	at := func(k int, v int64) bool { return ins[k].a == v }
	switch {
	case is(ins, opGet, opI32, opSub32, opTee, opGlobalSet, opGet, opI64, opI64Store, opI32, opCall, opGlobalGet, opSet, opBrIf) &&
		at(0, 1) && at(1, 8) && at(3, 1) && at(4, 0) && at(5, 1) && ins[7].a == 3 && ins[7].b == 0 && at(8, 0) && at(10, 0) && at(11, 1) &&
		at(12, int64(len(p.open))-1) && ins[6].a>>16 == p.base>>16:
		if back := ins[6].a - p.base - int64(p.next); back == 0 {
			p.sign(signCall)
		} else {
			p.sign(signCallOther)
			p.signed(sReturn, back)
		}
		p.call(ins[9].a)
		p.stack = p.stack[:0]
		return 13
	case is(ins, opI32, opSet, opBr) && at(1, 0) && at(2, int64(len(p.open))-2):
		p.sign(signJump)
		p.signed(sJump, ins[0].a-int64(p.next))
		p.stack = p.stack[:0]
		return 3
	case is(ins, opGlobalGet, opSet, opBlock, opLoop, opBlock) && at(0, 0) && at(1, 1) && at(2, 0x40) && at(3, 0x40) && len(p.open) == 0:
		n := 4
		for is(ins[n:], opBlock) && at(n, 0x40) {
			n++
		}
		if !is(ins[n:], opGet, opBrTable) || !at(n, 0) || lastOf(ins[n+1]) != int64(n-5) {
			return 0
		}
		p.sign(signStart)
		p.open = append(p.open, opBlock, opLoop)
		for range n - 4 {
			p.open = append(p.open, opBlock)
		}
		p.brTable(ins[n+1])
		p.stack = p.stack[:0]
		return n + 2
	case is(ins, opGet, opI32, opSub32, opTee, opGlobalSet), is(ins, opGet, opI32, opAdd32, opTee, opGlobalSet):
		if !at(0, 1) || !at(3, 1) || !at(4, 0) || ins[1].a < 0 {
			return 0
		}
		p.sign(signFrameAdd + ins[2].op - opAdd32)
		if v := ins[1].a; ins[2].op == opAdd32 && v == p.frame {
			p.put(sFrame, 0)
		} else {
			p.put(sFrame, uint64(v+1))
			if ins[2].op == opSub32 {
				p.frame = v
			}
		}
		return 5
	case is(ins, opGet, opI64Load) && at(0, 1) && at(1, 3):
		p.sign(signStackLoad)
		p.stackOffset(sStackLoad, ins[1].b)
		p.stack = append(p.stack, false)
		return 2
	}
	return 0
}

func (p *packer) one(n instruction) error {
	fromStack := func(below int) bool { return len(p.stack) > below && p.stack[len(p.stack)-1-below] }
	sign, pointer := n.op, false
	switch op := n.op; {
	case op >= opBlock && op <= opIf:
		p.s[sType] = append(p.s[sType], byte(n.a))
		p.open = append(p.open, op)
	case op == opEnd:
		p.close()
	case op == opBr, op == opBrIf:
		p.put(sLevel, uint64(int64(len(p.open))-n.a))
	case op == opBrTable:
		p.brTable(n)
	case op == opCall:
		p.call(n.a)
	case op >= opGet && op <= opTee && n.a == stackPointer:
		sign, pointer = signStackGet+op-opGet, op == opGet
	case op >= opGet && op <= opTee:
		p.put(sLocal, uint64(n.a))
	case op >= opLoad && op <= opStoreEnd:
		if n.a != int64(natural[op-opLoad]) {
			return fmt.Errorf("%w: alignment", errShape)
		}
		switch {
		case op <= opLoadEnd && fromStack(0):
			p.stackOffset(sStackLoad, n.b)
		case op >= opStore && fromStack(1):
			p.stackOffset(sStackStore, n.b)
		default:
			p.put(sElsewhere, uint64(n.b))
		}
	case op == opI32:
		p.s[sI32] = putSleb(p.s[sI32], n.a)
	case op == opI64 && n.a>>16 == p.base>>16:
		sign = signReturn
		p.signed(sReturn, n.a-p.base-int64(p.next))
	case op == opI64 && n.a > lowAddress && n.a < tooHigh:
		sign = signAddress
		p.s[sAddressHigh] = append(p.s[sAddressHigh], byte(n.a>>16))
		p.s[sAddress] = append(p.s[sAddress], byte(n.a>>8), byte(n.a))
	case op == opI64 && n.a&0xffff == 0 && n.a>>16 >= firstFunction && n.a>>16 < 1<<15:
		sign = signFunction
		p.s[sFunction] = append(p.s[sFunction], byte(n.a>>24), byte(n.a>>16))
	case op == opI64:
		p.s[sI64] = putSleb(p.s[sI64], n.a)
	default:
		p.s[sRest] = append(p.s[sRest], n.append(nil)[1:]...)
	}
	p.sign(sign)
	takes, leaves, ok := n.effect()
	if !ok {
		takes, leaves = len(p.stack), 0
	}
	p.stack = p.stack[:max(0, len(p.stack)-takes)]
	for range leaves {
		p.stack = append(p.stack, pointer)
	}
	return nil
}

// natural are the alignments that belong to the loads and stores, from i32.load on: what Go writes.
var natural = [...]byte{2, 3, 2, 3, 0, 0, 1, 1, 0, 0, 1, 1, 2, 2, 2, 3, 2, 3, 0, 1, 0, 1, 2}

func (p *packer) stackOffset(stream int, v int64) {
	if v%8 == 0 {
		p.put(stream, uint64(v/8*2))
	} else {
		p.put(stream, uint64(v*2+1))
	}
}

func (p *packer) call(f int64) {
	k := slices.Index(p.called, f)
	if k < 0 {
		p.s[sCall] = append(p.s[sCall], 255)
		p.s[sCallNew] = append(p.s[sCallNew], byte(f>>8), byte(f))
	} else {
		p.s[sCall] = append(p.s[sCall], byte(k))
		p.called = slices.Delete(p.called, k, k+1)
	}
	p.called = slices.Insert(p.called, 0, f)
	p.called = p.called[:min(len(p.called), rememberedCalls)]
}

// close ends a block, and moves to the first place that does not lie before here.
func (p *packer) close() {
	if len(p.open) == 0 {
		return // the function's own end
	}
	if p.open[len(p.open)-1] == opBlock {
		p.closed++
	}
	p.open = p.open[:len(p.open)-1]
	for p.next < len(p.table) && p.table[p.next] < p.closed {
		p.next++
	}
}

// lastOf is the depth that a br_table goes to from everywhere else.
func lastOf(n instruction) int64 {
	r := &reader{b: n.rest}
	for k := r.u(); k > 0; k-- {
		r.u()
	}
	return int64(r.u())
}

func (p *packer) brTable(n instruction) {
	r := &reader{b: n.rest}
	count := r.u()
	p.put(sTable, count)
	first, last := len(p.table) == 0, int64(-1)
	for range count + 1 {
		v := int64(r.u())
		p.signed(sTableStep, v-last-1)
		last = v
		if first {
			p.table = append(p.table, v)
		}
	}
}

// longestRow is more words than a function's entry has.
const longestRow = 64

// tail takes the function table and the finder out of what comes after the code, and writes them column
// by column: where functions and rows of the finder begin, as steps; the rest plus one.
func (p *packer) tail(tail []byte, data int) error {
	head := &reader{b: tail, i: data}
	if head.u() != 1 || head.u() != 0 || head.next(1)[0] != 0x41 {
		return errShape
	}
	at := head.s()
	head.next(1)
	head.u()
	shift := head.i - int(at) // from a place in memory to one in the tail
	if head.bad || at < 0 {
		return errShape
	}
	mem := append(make([]byte, at), tail[head.i:]...)
	t, err := findTables(mem)
	if err != nil {
		return err
	}
	rows, end, err := functionRows(mem, t)
	if err != nil {
		return err
	}
	finderEnd := t.finder + 4*cells*t.finderRows
	list, finder := t.list+shift, t.finder+shift
	p.put(sPlan, uint64(len(tail)), uint64(list), uint64(t.funcs), uint64(finder), uint64(t.finderRows))
	p.s[sTail] = slices.Concat(tail[:list], tail[end+shift:finder], tail[finderEnd+shift:])
	p.steps(rows, 0)
	for c := 1; c < longestRow; c++ {
		for _, row := range rows {
			if c < len(row) {
				p.put(sWords, uint64(row[c]+1)) // absent, all ones, becomes 0
			}
		}
	}
	last := mem[t.list+8*t.funcs:]
	p.put(sWords, uint64(binary.LittleEndian.Uint32(last)), uint64(binary.LittleEndian.Uint32(last[4:])))
	finds := slices.Collect(slices.Chunk(words(mem[t.finder:finderEnd]), cells))
	for c := range cells {
		p.steps(finds, c)
	}
	return nil
}

func words(b []byte) (out []uint32) {
	for ; len(b) >= 4; b = b[4:] {
		out = append(out, binary.LittleEndian.Uint32(b))
	}
	return out
}

// functionRows are the entries of the functions, which must lie one after the other behind their list,
// each filled up to eight bytes.
func functionRows(mem []byte, t funcTables) (rows [][]uint32, end int, err error) {
	at := t.list + 8*(t.funcs+1)
	for f := range t.funcs {
		entry := words(mem[t.list+8*f:][:8])
		if at+funcFixed > len(mem) || int(entry[1]) != at-t.list {
			return nil, 0, errShape
		}
		n := recordWords + int(binary.LittleEndian.Uint32(mem[at+28:])) + int(mem[at+43])
		if n > longestRow || at+4*n+4 > len(mem) {
			return nil, 0, errShape
		}
		row := words(mem[at:][:4*n])
		if row[0] != entry[0] || n%2 == 1 && binary.LittleEndian.Uint32(mem[at+4*n:]) != 0 {
			return nil, 0, errShape
		}
		rows = append(rows, row)
		at += (4*n + 7) / 8 * 8
	}
	if at > t.finder {
		return nil, 0, errShape
	}
	return rows, at, nil
}

// steps writes one column, each word as its zigzag distance from the one above.
func (p *packer) steps(rows [][]uint32, c int) {
	last := uint32(0)
	for _, row := range rows {
		p.signed(sWords, int64(int32(row[c]-last)))
		last = row[c]
	}
}

// packFile writes the packed form of a program beside it, and removes an old one where it cannot.
func packFile(from, to string) error {
	wasm, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	small, err := pack(wasm)
	if err != nil {
		fmt.Fprintln(os.Stderr, "the engine is not packed:", err)
		return os.RemoveAll(to)
	}
	return os.WriteFile(to, small, 0o644)
}
