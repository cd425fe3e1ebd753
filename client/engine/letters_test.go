package engine

import (
	"encoding/json"
	"strings"
	"testing"
)

// What is typed is counted as people count, in letters: a page in Spanish holds as much as one in English, and
// wherever it is typed.
func TestLimitsCountLetters(t *testing.T) {
	e := openDemo(t, "es")
	full := strings.Repeat("ñ", maxLong)
	said(t, e, Request{Do: "note", Said: full})
	said(t, e, Request{Do: "edit", Kind: "activity", ID: "board-ceiling-1", Fields: map[string]json.RawMessage{"scope": raw(full)}})
	refused(t, e, Request{Do: "note", Said: full + "o"}, "como máximo 4000 letras")
	refused(t, e, Request{Do: "edit", Kind: "activity", ID: "board-ceiling-1", Fields: map[string]json.RawMessage{"scope": raw(full + "o")}}, "como máximo 4000 letras")
}
