package opsync

import (
	"crypto/sha256"
	"encoding/hex"
	"math/rand/v2"
	"testing"
)

func TestSHA256(t *testing.T) {
	// The examples of NIST, "Descriptions of SHA-256, SHA-384, and SHA-512" (from memory; the library agrees).
	for msg, sum := range map[string]string{
		"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
		"":    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
		"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
	} {
		got := sha256sum([]byte(msg))
		want(t, msg, hex.EncodeToString(got[:]), sum)
	}
	rng := rand.New(rand.NewPCG(256, 1))
	for n := range 400 {
		msg := make([]byte, n)
		for i := range msg {
			msg[i] = byte(rng.Uint32())
		}
		if sha256sum(msg) != sha256.Sum256(msg) {
			t.Fatalf("%d bytes differ", n)
		}
	}
}
