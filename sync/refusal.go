package opsync

import "errors"

// Refusal is an input that is not taken, with a code for machines and a sentence for people. Codes of
// reject messages are part of the wire format and only added to.
type Refusal struct {
	Code string
	Say  string
}

func (r *Refusal) Error() string { return r.Say }

// The codes.
const (
	WhyForm   = "form"   // not an operation, or not in its one way of writing
	WhyLimit  = "limit"  // larger than a limit of this package
	WhyRole   = "role"   // this device may not write
	WhyChain  = "chain"  // does not continue the device's chain
	WhyFork   = "fork"   // another operation has this number: two phones write as one device
	WhyStamp  = "stamp"  // the stamp does not follow from what its author had seen
	WhyGap    = "gap"    // refers to operations that are not here
	WhyDevice = "device" // written by another device
	WhyFull   = "full"   // the site has reached the server's limit
	WhySchema = "schema" // spoken in a version this side does not know
	WhySite   = "site"   // about another site
	WhyStore  = "store"  // the server cannot write to its disk now
	WhyBehind = "behind" // this phone's store lost changes that the server has
)

var (
	// ErrGap: what the operation follows is not in the log yet.
	ErrGap = errors.New("an earlier change is missing, so this one has to wait for it")
	// ErrFork: the log has another operation with this number.
	ErrFork = errors.New("two different changes carry the same number: this device's data is in use twice")
	// ErrNothing: there is nothing to undo, choose or take again.
	ErrNothing = errors.New("nothing is left to do here: it has been changed since")
)

func refuse(code, say string) error { return &Refusal{Code: code, Say: say} }

// codeOf returns the code of an error for the wire.
func codeOf(err error) string {
	var r *Refusal
	switch {
	case errors.As(err, &r):
		return r.Code
	case errors.Is(err, ErrGap):
		return WhyGap
	case errors.Is(err, ErrFork):
		return WhyFork
	}
	return WhyForm
}
