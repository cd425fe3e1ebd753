package main

import (
	"bytes"
	"encoding/json"
)

// named is the little that we read of an operation's body: see the operation's form in sync/SPEC.md.
type named struct {
	Edits []struct {
		Thing string `json:"thing"`
		Set   struct {
			Name string `json:"name"`
		} `json:"set"`
	} `json:"b"`
}

// siteName returns the site's name when the operation sets it, so that a list of sites can be shown
// without folding their logs. The last one to arrive stands in the list; the phones know better.
func siteName(raw []byte) string {
	if !bytes.Contains(raw, []byte(`"thing":"`+headThing+`"`)) {
		return ""
	}
	var op named
	if err := json.Unmarshal(raw, &op); err != nil {
		return "" // another thing has a name that is no text
	}
	for _, e := range op.Edits {
		if e.Thing == headThing && e.Set.Name != "" {
			return cleanName(e.Set.Name)
		}
	}
	return ""
}

// headThing is the thing whose fields are the site's own.
const headThing = "site"
