// Package trade holds what every site of this kind knows before anybody has worked on it: what can
// hurt someone, how long things dry, which visits building departments usually make, and how much of
// the usual goods a room takes. The facts are data beside the code, each with its source and a mark that
// says how good it is; the code holds the formulas, in whole numbers.
//
// Start with ByID for a caution, Waits and CoatDries for a wait, Profiles for hold points, Sheets and its
// neighbours for goods. Nothing here is anybody's local rule: the plans, the label, the licensed trade
// and the building department decide. The package reads no files and no clock; its data is part of the
// program.
package trade

import (
	_ "embed"
	"encoding/json"
	"sync"
)

// Words is one text in the languages of the app.
type Words struct {
	En string `json:"en"`
	Es string `json:"es"`
}

// In returns the text in lang, and in English where lang is not one of ours.
func (w Words) In(lang string) string {
	if lang == "es" && w.Es != "" {
		return w.Es
	}
	return w.En
}

// Mark says how good a fact is.
type Mark string

const (
	Published      Mark = "published"       // read in its source
	SecondHand     Mark = "second-hand"     // read in a text that restates the source
	CommonPractice Mark = "common-practice" // what the trade usually does; no source
	FromMemory     Mark = "from-memory"     // not looked up: an estimate the owner can change
)

// Severity says how loudly a caution speaks.
type Severity string

const (
	Stop Severity = "stop" // must be acknowledged by name before the work is marked started
	Warn Severity = "warn"
	Info Severity = "info"
)

// Caution is one thing that can hurt someone, shown where the work is.
type Caution struct {
	ID       string   `json:"id"`
	Text     Words    `json:"text"`
	Defer    Words    `json:"defer"` // who decides
	Severity Severity `json:"severity"`
	Source   string   `json:"source"`
	Mark     Mark     `json:"mark"`
}

//go:embed cautions.json
var cautionsFile []byte

var (
	cautionsRead []Caution
	readCautions = sync.OnceFunc(func() { Unpack("cautions.json", cautionsFile, &cautionsRead) })
)

// Unpack reads a data file that is part of the program. Each is read on first use: a phone that never asks
// does not pay for it at the start. Here that is sync.OnceFunc and a variable: of sync.OnceValue the phone
// would carry a copy for each type.
func Unpack(name string, file []byte, into any) {
	if err := json.Unmarshal(file, into); err != nil {
		panic("this cannot be: " + name + " is part of the program: " + err.Error())
	}
}

// Cautions returns all of them, the standing line about who decides ("advice") last. The caller must
// not change the slice.
func Cautions() []Caution {
	readCautions()
	return cautionsRead
}

// ByID finds one caution. A site may name cautions of a later version; those are not found.
func ByID(id string) (Caution, bool) {
	for _, c := range Cautions() {
		if c.ID == id {
			return c, true
		}
	}
	return Caution{}, false
}
