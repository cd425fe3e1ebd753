// Package lean reads and writes JSON for the phone, where encoding/json with the fmt package behind it
// would be a seventh of everything that has to be loaded before the first tap.
//
// It does what encoding/json does for the types we use, with the same tags (name, omitempty, omitzero,
// "-") and interfaces (TextMarshaler, TextUnmarshaler, json.Marshaler, json.Unmarshaler), except that
//   - names of fields are matched exactly, capitals included;
//   - nothing is escaped for HTML: json.RawMessage goes out with the very bytes it came in;
//   - numbers read into an interface are json.Number, so nothing is rounded;
//   - there are no floating-point numbers, channels, embedded structs or cycles: they panic.
//
// Tests compare it with encoding/json over the types of this program and over strangers' bytes.
// Its input is a stranger's: it never recurses deeper than MaxDepth and never allocates more than a
// small multiple of the input.
package lean

import (
	"encoding/json"
	"errors"
	"reflect"
	"strings"
	"sync"
)

// MaxDepth bounds nesting. A site is four deep, a week of hours two more.
const MaxDepth = 100

var (
	errSyntax = errors.New("this is not JSON")
	errDepth  = errors.New("this JSON is nested too deep")
	errShape  = errors.New("a value of another kind than expected")
)

// RawMessage and Number are encoding/json's, so that types need not change.
type (
	RawMessage = json.RawMessage
	Number     = json.Number
)

var (
	rawType    = reflect.TypeFor[json.RawMessage]()
	numberType = reflect.TypeFor[json.Number]()
)

// A field is one member of a struct as it is written.
type field struct {
	name      string
	index     int
	omitEmpty bool
	omitZero  bool
}

// fieldsOf reads a struct's tags once. The cache only saves time: it never changes an answer.
var known sync.Map

func fieldsOf(t reflect.Type) []field {
	if f, ok := known.Load(t); ok {
		return f.([]field)
	}
	var out []field
	for i := range t.NumField() {
		sf := t.Field(i)
		if !sf.IsExported() {
			continue
		}
		if sf.Anonymous {
			panic("lean: embedded struct in " + t.String())
		}
		name, rest, _ := strings.Cut(sf.Tag.Get("json"), ",")
		if name == "-" && rest == "" {
			continue
		}
		if name == "" {
			name = sf.Name
		}
		f := field{name: name, index: i}
		for rest != "" {
			var opt string
			opt, rest, _ = strings.Cut(rest, ",")
			f.omitEmpty = f.omitEmpty || opt == "omitempty"
			f.omitZero = f.omitZero || opt == "omitzero"
		}
		out = append(out, f)
	}
	known.Store(t, out)
	return out
}
