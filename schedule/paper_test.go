package schedule

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// The marks that turn the direction around are those of Unicode Standard Annex 9, table 1 (LRE, RLE, PDF, LRO, RLO,
// LRI, RLI, FSI, PDI, LRM, RLM, ALM).
func TestPaperNames(t *testing.T) {
	for in, want := range map[string]string{
		"Permit 2027-114.pdf":                 "Permit 2027-114",
		"  Approved plans, rev. C.PDF ":       "Approved plans, rev. C",
		`C:\Users\marit\Downloads\note.pdf`:   "note",
		"../../etc/passwd":                    "passwd",
		"..":                                  "",
		".hidden.pdf":                         "hidden",
		"bill\u202efdp.exe":                   "billfdp.exe",
		"Permit: gas, \"old\" & new?.pdf":     "Permit: gas, \"old\" & new?", // browsers turn into "_" what a file system does not take
		"a\u2066b\u2069c\u200ed\u061ce\ufeff": "abcde",
		"two\nlines\x00\x7f\u0085":            "twolines",
		"report \xff\xfe(1).pdf":              "report (1)",
		"<b>bold</b>.pdf":                     "b>",
		"Cotización eléctrica Ñandú.pdf":      "Cotización eléctrica Ñandú",
		"permit.pdf.exe":                      "permit.pdf.exe", // kept, and the ending of its type comes behind it
		strings.Repeat("ñ", 100) + ".pdf":     strings.Repeat("ñ", 60),
		".pdf":                                "",
		"scan 0042.pdf.PDF":                   "scan 0042",
		"..pdf.pdf":                           "pdf",
		".\u00a0.bashrc":                      "bashrc",
		strings.Repeat("x", 118) + ".pdf.pdf": strings.Repeat("x", 118),
	} {
		if got := PaperName(in, PDF); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
	if got := PaperName("plan.png", PDF) + "." + PDF.Ending(); got != "plan.png.pdf" {
		t.Errorf("an ending of another type: %q", got)
	}
	if PaperType("text/html").Ending() != "" {
		t.Error("a page has an ending of ours")
	}
}

// FuzzPaperName: whatever comes in, what comes out is a plain name, and stays as it is when it is cleaned again.
func FuzzPaperName(f *testing.F) {
	f.Add("Permit.pdf")
	f.Add("../a/\u202eb.pdf.pdf")
	f.Fuzz(func(t *testing.T, in string) {
		got := PaperName(in, PDF)
		if len(got) > MaxPaperName || !utf8.ValidString(got) || strings.ContainsAny(got, "/\\\x00\n\r") || strings.HasPrefix(got, ".") {
			t.Errorf("%q: %q", in, got)
		}
		if again := PaperName(got, PDF); again != got {
			t.Errorf("%q: %q, cleaned again %q", in, got, again)
		}
		if again := PaperName(got+".pdf", PDF); again != got {
			t.Errorf("%q: %q, saved and added again %q", in, got, again)
		}
	})
}
