package opsync

import (
	"bytes"
	"compress/flate"
	"encoding/base64"
	"encoding/binary"
	"io"
)

// A snapshot is many operations packed: their heads as short numbers, column by column, without the
// hashes that the reader works out again, then their bodies as they are; all deflated (RFC 1951) and in
// base64. What comes out is byte for byte what went in: an operation has one way of writing.
//
//	uvarint  number of operations
//	5 times  uvarint  length of a column, then the column:
//	  flags    a byte each, the sum of those below
//	  devices  uvarint each
//	  walls    varint each: the stamp's milliseconds, less those of the operation before
//	  more     what the flags announce, in the order of the flags:
//	    1   first of its device here: uvarint number (otherwise one more than the last of the device),
//	        and above 1 the 16 bytes of the hash before it
//	    2   uvarint needs
//	    4   uvarint the stamp's count (otherwise 0)
//	    8   uvarint milliseconds the own clock is behind the stamp (otherwise 0)
//	    16  uvarint entries of seen; each uvarint device, uvarint number (otherwise none)
//	    32  seen is everything in this snapshot so far that the author has not named in it: the usual
//	        thing for a phone that is online
//	  bodies   from ,"k": on, each with a line feed behind it
const (
	packFirst = 1 << iota
	packNeeds
	packCount
	packClock
	packSeen
	packAll
)

// columns of a snapshot
const (
	colFlags = iota
	colDevices
	colWalls
	colMore
	colBodies
	numColumns
)

// snapshotMessages packs operations into messages, at a level of package flate. seals, when there is one,
// says the seals of those from…to-1.
func snapshotMessages(ops []*Op, level int, seals func(from, to int) []string) [][]byte {
	var out [][]byte
	for from := 0; from < len(ops); {
		n, size := from, 0
		for n < len(ops) && (n == from || size+len(ops[n].Raw) <= snapshotPart) {
			size += len(ops[n].Raw)
			n++
		}
		b := snapshotMessage(ops[from:n], level)
		if seals != nil {
			b = appendSeals(b, seals(from, n))
		}
		out = append(out, append(b, '}'))
		from = n
	}
	return out
}

// snapshotMessage is one message but for its end.
func snapshotMessage(ops []*Op, level int) []byte {
	p := packer{progress: newProgress()}
	for _, o := range ops {
		p.op(o)
	}
	var z bytes.Buffer
	w, _ := flate.NewWriter(&z, level) // a valid level, and into memory: nothing fails
	_, _ = w.Write(binary.AppendUvarint(nil, uint64(p.n)))
	for _, c := range p.cols {
		_, _ = w.Write(binary.AppendUvarint(nil, uint64(len(c))))
		_, _ = w.Write(c)
		_ = w.Flush() // each column has its own statistics
	}
	_ = w.Close()
	b := append(begin(msgSnapshot), `,"z":"`...)
	b = base64.StdEncoding.AppendEncode(b, z.Bytes())
	return append(b, '"')
}

// openSnapshot returns the operations of a snapshot message.
func openSnapshot(packed string, words map[string]string) ([]*Op, error) {
	z, err := base64.StdEncoding.DecodeString(packed)
	if err != nil {
		return nil, errPacked
	}
	b, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(z)), MaxSnapshotBytes+1))
	if err != nil {
		return nil, errPacked
	}
	if len(b) > MaxSnapshotBytes {
		return nil, refuse(WhyLimit, "a packed message of more than "+count(MaxSnapshotBytes>>20)+" MB")
	}
	return unpack(b, words)
}
