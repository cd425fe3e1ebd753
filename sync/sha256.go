package opsync

import (
	"encoding/binary"
	"math/bits"
)

// sha256sum is SHA-256 as in FIPS 180-4, sections 4.1.2, 4.2.2, 5 and 6.2. The standard library's
// costs a phone 40 kB of download (packed) for self-tests and a random generator that nobody calls; a
// test holds this one against it. Natively the library's is used, see hash_native.go.
func sha256sum(msg []byte) (sum [32]byte) {
	h := [8]uint32{0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19}
	whole := len(msg) &^ 63
	for i := 0; i < whole; i += 64 {
		sha256block(&h, msg[i:i+64])
	}
	var last [128]byte // the rest, a one bit, zeros, the length in bits
	n := copy(last[:], msg[whole:])
	last[n] = 0x80
	end := 64
	if n >= 56 {
		end = 128
	}
	binary.BigEndian.PutUint64(last[end-8:], uint64(len(msg))*8)
	for i := 0; i < end; i += 64 {
		sha256block(&h, last[i:i+64])
	}
	for i, v := range h {
		binary.BigEndian.PutUint32(sum[4*i:], v)
	}
	return sum
}

func sha256block(h *[8]uint32, b []byte) {
	var w [64]uint32
	for i := range 16 {
		w[i] = binary.BigEndian.Uint32(b[4*i:])
	}
	for i := 16; i < 64; i++ {
		x, y := w[i-2], w[i-15]
		w[i] = (bits.RotateLeft32(x, -17) ^ bits.RotateLeft32(x, -19) ^ x>>10) + w[i-7] +
			(bits.RotateLeft32(y, -7) ^ bits.RotateLeft32(y, -18) ^ y>>3) + w[i-16]
	}
	a, b1, c, d, e, f, g, k := h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7]
	for i := range 64 {
		t1 := k + (bits.RotateLeft32(e, -6) ^ bits.RotateLeft32(e, -11) ^ bits.RotateLeft32(e, -25)) +
			(e&f ^ ^e&g) + sha256k[i] + w[i]
		t2 := (bits.RotateLeft32(a, -2) ^ bits.RotateLeft32(a, -13) ^ bits.RotateLeft32(a, -22)) + (a&b1 ^ a&c ^ b1&c)
		k, g, f, e, d, c, b1, a = g, f, e, d+t1, c, b1, a, t1+t2
	}
	for i, v := range [8]uint32{a, b1, c, d, e, f, g, k} {
		h[i] += v
	}
}

var sha256k = [64]uint32{
	0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
	0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
	0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
	0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
	0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
	0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
	0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
	0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2,
}
