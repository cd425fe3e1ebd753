package trade

import (
	_ "embed"
	"sync"
)

// Sequence is one order of work that the trade keeps: one of First is done before any of Then begins.
type Sequence struct {
	ID     string   `json:"id"`
	First  []string `json:"first"`
	Then   []string `json:"then"`
	Why    Words    `json:"why"`
	Source string   `json:"source"`
	Mark   Mark     `json:"mark"`
}

//go:embed sequence.json
var sequenceFile []byte

var (
	sequencesRead []Sequence
	readSequences = sync.OnceFunc(func() { Unpack("sequence.json", sequenceFile, &sequencesRead) })
)

// Sequences returns all of them. The caller must not change the slice.
func Sequences() []Sequence {
	readSequences()
	return sequencesRead
}

// Dries names the wait that is usual between two works of these trades, and whether both are of one crew's
// kind: compound after compound, paint after paint, a floor on leveller. Empty: none is.
func Dries(first, then string) string {
	switch {
	case first == "taping" && (then == "taping" || then == "paint"):
		return Coat
	case first == "paint" && then == "paint":
		return "paint"
	case first == "stucco" && then == "stucco":
		return "scratch-brown"
	case first == "stucco" && then == "paint":
		return "stucco-paint"
	case first == "concrete" && then == "carpentry":
		return "curb-frame"
	}
	return ""
}
