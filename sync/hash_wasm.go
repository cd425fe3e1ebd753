package opsync

func hash256(raw []byte) [32]byte { return sha256sum(raw) }
