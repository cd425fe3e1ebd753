//go:build !wasm

package opsync

import "crypto/sha256"

func hash256(raw []byte) [32]byte { return sha256.Sum256(raw) }
