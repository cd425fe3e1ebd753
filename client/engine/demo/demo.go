// Package demo is the Old Laundry: an invented site to look around in.
package demo

import _ "embed"

//go:embed old-laundry.json
var document []byte

// Document returns the demo site's document. Do not change it.
func Document() []byte { return document }
