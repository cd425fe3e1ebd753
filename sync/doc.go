// Package opsync keeps one site the same on every phone.
//
// Everything anybody does is an operation (Op) in a Log. A log may be read in any order that keeps
// cause before effect, in any batches and any number of times: State is always the same, byte for
// byte. The log is also the outbox: what the server has not stored yet is handed in when there is a
// connection.
//
// Start with Log (NewLog, Write, Add, State). Phone is a phone's side of the wire around a log, Hub
// the server's side; both are pure state machines without clock, store or socket. The rules they
// keep are numbered in SPEC.md, and the tests name them.
//
// Not in here: planning, storing, sockets, who is allowed in. The hub is told the device and role of
// a connection and believes it.
package opsync
