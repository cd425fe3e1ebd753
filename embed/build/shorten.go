package main

import (
	"encoding/binary"
	"fmt"
)

// The Go compiler for WebAssembly computes every place on its stack in 64 bits: pointer, widened, plus
// a constant, narrowed again. A load or store can add the constant itself. shorten says it that way,
// which is a tenth less code to send, to compile and to run. Nothing else about the program changes.
//
// The two agree to the bit: widening an unsigned number and narrowing the sum is addition modulo 2^32
// (core specification 2.0, sections 4.3.2 and 4.3.3). A load or store adds without the modulus; they
// differ only where the stack's pointer lies less than the constant below 4 GiB, where no stack of ours is.
func shorten(wasm []byte) ([]byte, error) {
	code, err := codeOf(wasm)
	if err != nil {
		return nil, err
	}
	var out []byte
	err = bodies(code, func(head, code []byte) error {
		ins, err := instructions(code)
		if err != nil {
			return err
		}
		body := append([]byte(nil), head...)
		for _, n := range shorter(ins) {
			body = n.append(body)
		}
		out = append(binary.AppendUvarint(out, uint64(len(body))), body...)
		return nil
	})
	if err != nil {
		return nil, err
	}
	count, _ := binary.Uvarint(code)
	return withSection(wasm, codeSection, append(binary.AppendUvarint(nil, count), out...)), nil
}

const codeSection = 10

func codeOf(wasm []byte) (code []byte, err error) {
	err = sections(wasm, func(id byte, _, from, to int) error {
		if id == codeSection {
			code = wasm[from:to]
		}
		return nil
	})
	if err == nil && code == nil {
		err = errShape
	}
	return code, err
}

// bodies calls f for each function with the list of its locals and its instructions.
func bodies(code []byte, f func(head, code []byte) error) error {
	r := &reader{b: code}
	for count := r.u(); count > 0; count-- {
		body := &reader{b: r.next(int(r.u()))}
		for n := body.u(); n > 0 && !body.bad; n-- {
			body.u()
			body.next(1)
		}
		if r.bad || body.bad {
			return errShape
		}
		if err := f(body.b[:body.i], body.b[body.i:]); err != nil {
			return err
		}
	}
	return nil
}

// reader reads numbers; past the end it is bad and gives zeros.
type reader struct {
	b   []byte
	i   int
	bad bool
}

func (r *reader) u() uint64 {
	v, n := binary.Uvarint(r.b[r.i:])
	if n <= 0 {
		r.bad = true
		return 0
	}
	r.i += n
	return v
}

func (r *reader) s() int64 {
	v, n := sleb(r.b[r.i:])
	if n <= 0 {
		r.bad = true
		return 0
	}
	r.i += n
	return v
}

func (r *reader) next(n int) []byte {
	if n < 0 || n > len(r.b)-r.i {
		r.bad = true
		return make([]byte, min(max(n, 0), 8))
	}
	r.i += n
	return r.b[r.i-n : r.i]
}

// WebAssembly's instructions that we name, and the first and last of a kind.
const (
	opBlock, opLoop, opIf, opElse, opEnd     = 0x02, 0x03, 0x04, 0x05, 0x0b
	opBr, opBrIf, opBrTable, opReturn        = 0x0c, 0x0d, 0x0e, 0x0f
	opCall, opCallIndirect, opDrop, opSelect = 0x10, 0x11, 0x1a, 0x1b
	opGet, opSet, opTee                      = 0x20, 0x21, 0x22
	opGlobalGet, opGlobalSet                 = 0x23, 0x24
	opI64Load, opI64Store                    = 0x29, 0x37
	opLoad, opLoadEnd, opStore, opStoreEnd   = 0x28, 0x35, 0x36, 0x3e
	opMemorySize, opMemoryGrow               = 0x3f, 0x40
	opI32, opI64, opF32, opF64               = 0x41, 0x42, 0x43, 0x44
	opNumeric, opNumericEnd                  = 0x45, 0xc4
	opAdd32, opSub32, opAdd64                = 0x6a, 0x6b, 0x7c
	opWrap, opWiden                          = 0xa7, 0xad
	opMore                                   = 0xfc
	stackPointer                             = 1 // Go keeps its stack's pointer in local 1
)

// instruction is one with its operands: a number (index, constant, depth), for loads and stores the
// alignment and then the offset, for the rest what follows the opcode as it stands.
type instruction struct {
	op   byte
	a, b int64
	rest []byte
}

func instructions(code []byte) (out []instruction, err error) {
	for r := (&reader{b: code}); r.i < len(code); {
		n := instruction{op: r.next(1)[0]}
		switch op, from := n.op, r.i; {
		case op >= opBlock && op <= opIf, op == opMemorySize, op == opMemoryGrow:
			n.a = int64(r.next(1)[0])
		case op == opBr, op == opBrIf, op == opCall, op >= opGet && op <= opGlobalSet:
			n.a = int64(r.u())
		case op == opI32, op == opI64:
			n.a = r.s()
		case op >= opLoad && op <= opStoreEnd:
			n.a, n.b = int64(r.u()), int64(r.u())
		case op == opBrTable:
			for k := r.u() + 1; k > 0 && !r.bad; k-- {
				r.u()
			}
			n.rest = code[from:r.i]
		case op == opCallIndirect:
			r.u()
			r.u()
			n.rest = code[from:r.i]
		case op == opF32:
			n.rest = r.next(4)
		case op == opF64:
			n.rest = r.next(8)
		case op == opMore:
			switch kind := r.u(); {
			case kind == 8, kind == 10:
				r.next(2)
			case kind == 11:
				r.next(1)
			case kind > 7:
				return nil, fmt.Errorf("%w: instruction fc %d", errShape, kind)
			}
			n.rest = code[from:r.i]
		case op <= 1, op == opElse, op == opEnd, op == opReturn, op == opDrop, op == opSelect, op >= opNumeric && op <= opNumericEnd:
		default:
			return nil, fmt.Errorf("%w: instruction %x", errShape, op)
		}
		if r.bad {
			return nil, errShape
		}
		out = append(out, n)
	}
	return out, nil
}

// append writes an instruction, each number as short as it goes.
func (n instruction) append(b []byte) []byte {
	b = append(b, n.op)
	switch op := n.op; {
	case op >= opBlock && op <= opIf, op == opMemorySize, op == opMemoryGrow:
		return append(b, byte(n.a))
	case op == opBr, op == opBrIf, op == opCall, op >= opGet && op <= opGlobalSet:
		return binary.AppendUvarint(b, uint64(n.a))
	case op == opI32, op == opI64:
		return putSleb(b, n.a)
	case op >= opLoad && op <= opStoreEnd:
		return binary.AppendUvarint(binary.AppendUvarint(b, uint64(n.a)), uint64(n.b))
	}
	return append(b, n.rest...)
}

// effect says how many values an instruction takes from WebAssembly's stack and how many it leaves
// (core specification 2.0, section 3.3). ok is false for what goes elsewhere, or counts differently.
func (n instruction) effect() (takes, leaves int, ok bool) {
	switch op := n.op; {
	case op == opDrop, op == opSet, op == opGlobalSet:
		return 1, 0, true
	case op == opSelect:
		return 3, 1, true
	case op == opGet, op == opGlobalGet, op >= opI32 && op <= opF64:
		return 0, 1, true
	case op == opTee, op >= opLoad && op <= opLoadEnd:
		return 1, 1, true
	case op >= opStore && op <= opStoreEnd:
		return 2, 0, true
	case op == 0x45, op == 0x50, op >= 0x67 && op <= 0x69, op >= 0x79 && op <= 0x7b, op >= 0x8b && op <= 0x91, op >= 0x99 && op <= 0x9f, op >= 0xa7 && op <= opNumericEnd:
		return 1, 1, true // tests for zero, bit counts, roots and rounding, conversions
	case op >= opNumeric && op <= 0xa6:
		return 2, 1, true
	}
	return 0, 0, false
}

// maxFold keeps an offset far below what an address could lack to 4 GiB.
const maxFold = 1 << 24

func shorter(ins []instruction) (out []instruction) {
	for i := 0; i < len(ins); i++ {
		far, ok := stackAddress(ins[i:])
		if !ok {
			out = append(out, ins[i])
			continue
		}
		i += 4
		out = append(out, instruction{op: opGet, a: stackPointer})
		if user := userOf(ins, i+1); user >= 0 && ins[user].b+far < maxFold {
			ins[user].b += far
		} else if far > 0 {
			out = append(out, instruction{op: opI32, a: far}, instruction{op: opAdd32})
		}
	}
	return out
}

// stackAddress is the constant of "stack pointer, widened, plus a constant, narrowed".
func stackAddress(ins []instruction) (int64, bool) {
	if len(ins) < 5 || ins[0].op != opGet || ins[0].a != stackPointer || ins[1].op != opWiden || ins[2].op != opI64 ||
		ins[3].op != opAdd64 || ins[4].op != opWrap || ins[2].a < 0 || ins[2].a >= maxFold {
		return 0, false
	}
	return ins[2].a, true
}

// userOf is the load or store that takes as its address the value that lies on top before ins[from].
func userOf(ins []instruction, from int) int {
	above := 0 // values above it
	for j := from; j < len(ins); j++ {
		takes, leaves, ok := ins[j].effect()
		if !ok {
			return -1
		}
		if above < takes {
			if op := ins[j].op; op >= opLoad && op <= opLoadEnd || op >= opStore && op <= opStoreEnd && above == 1 {
				return j
			}
			return -1
		}
		above += leaves - takes
	}
	return -1
}
