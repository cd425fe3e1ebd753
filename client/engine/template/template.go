// Package template holds the sites one can start from: the usual order of work of a one-car and a
// two-car room, in both languages. They are data (one JSON document each, as in an exported site);
// sources.json beside them says where the figures come from.
package template

import _ "embed"

//go:embed one-car.json
var oneCar []byte

//go:embed one-car.es.json
var oneCarES []byte

//go:embed two-car.json
var twoCar []byte

//go:embed two-car.es.json
var twoCarES []byte

// Keys are the templates there are, the smallest first.
var Keys = []string{"one-car", "two-car"}

// Document returns a template in a language, English where there is no other; nil when there is no
// template of that key. Do not change it.
func Document(key, lang string) []byte {
	switch es := lang == "es"; {
	case key == "one-car" && es:
		return oneCarES
	case key == "one-car":
		return oneCar
	case key == "two-car" && es:
		return twoCarES
	case key == "two-car":
		return twoCar
	}
	return nil
}
