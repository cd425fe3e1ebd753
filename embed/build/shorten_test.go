package main

import (
	"bytes"
	"testing"
)

// Instructions as bytes (core specification 2.0, section 5.4): what they become.
func TestShorter(t *testing.T) {
	address := func(n byte) string { return "\x20\x01\xad\x42" + string([]byte{n}) + "\x7c\xa7" } // local.get 1, widen, i64.const n, add, wrap
	for _, c := range []struct{ what, from, to string }{
		{"a load adds the constant itself", address(16) + "\x29\x03\x08", "\x20\x01\x29\x03\x18"},
		{"so does a store, behind its value", address(16) + "\x20\x02\x42\x01\x7c\x37\x03\x00", "\x20\x01\x20\x02\x42\x01\x7c\x37\x03\x10"},
		{"a value that is loaded has its own address", address(8) + address(16) + "\x29\x03\x00\x37\x03\x00", "\x20\x01\x20\x01\x29\x03\x10\x37\x03\x08"},
		{"an address that is stored stays a sum", "\x20\x02\xa7" + address(16) + "\x36\x02\x00", "\x20\x02\xa7\x20\x01\x41\x10\x6a\x36\x02\x00"},
		{"an address that is kept stays a sum", address(16) + "\x21\x03", "\x20\x01\x41\x10\x6a\x21\x03"},
		{"no sum with nothing", address(0) + "\x21\x03", "\x20\x01\x21\x03"},
		{"nothing is known across a block", address(16) + "\x02\x40\x0b\x29\x03\x00", "\x20\x01\x41\x10\x6a\x02\x40\x0b\x29\x03\x00"},
		{"another local may lie anywhere", "\x20\x02\xad\x42\x10\x7c\xa7\x29\x03\x08", "\x20\x02\xad\x42\x10\x7c\xa7\x29\x03\x08"},
		{"a step down could pass zero", "\x20\x01\xad\x42\x78\x7c\xa7\x29\x03\x08", "\x20\x01\xad\x42\x78\x7c\xa7\x29\x03\x08"},
	} {
		ins, err := instructions([]byte(c.from))
		if err != nil {
			t.Fatalf("%s: %v", c.what, err)
		}
		var got []byte
		for _, n := range shorter(ins) {
			got = n.append(got)
		}
		if !bytes.Equal(got, []byte(c.to)) {
			t.Errorf("%s: % x, want % x", c.what, got, c.to)
		}
	}
}
