package main

import (
	"errors"
	"os"
	"regexp"
	"strings"
	"testing"
)

// Every refusal that the app can say in the phone's language has its sentence there, in both: else a Spanish phone
// shows the server's English.
func TestRefusalsAreSaidInBothLanguages(t *testing.T) {
	codes := []string{codeNotKept, codePushService, codeCutOff}
	for _, code := range answerCodes { // any order: each is looked up by itself
		codes = append(codes, code)
	}
	for lang, file := range map[string]string{"English": "server.ts", "Spanish": "server.es.ts"} {
		words, err := os.ReadFile("../client/ui/words/" + file)
		if err != nil {
			t.Fatal(err)
		}
		for _, code := range codes {
			if !regexp.MustCompile(`(?m)^    ` + code + `: "[^"]{20,}`).MatchString(string(words)) {
				t.Errorf("%s has no sentence for %q", lang, code)
			}
		}
	}
}

// A refusal with a reason of its own keeps it, for the log and the shell, and has a code for the app.
func TestReasonsKeepTheirCode(t *testing.T) {
	for _, c := range []struct {
		err  error
		code string
		says string
	}{
		{notAPicture("it is no JPEG"), codeNotKept, "it is no JPEG"},
		{notKept("it is a page"), codeNotKept, "it is a page"},
		{photoTrouble(errPhotoBusy), "photoBusy", "coming in from elsewhere"},
		{photoTrouble(errParts), "photoParts", "half way"},
		{errNoCrew, "noCrew", "does not know this crew"},
	} {
		var no *refusal
		if got := answerCode(c.err); got != c.code {
			t.Errorf("%v has the code %q, not %q", c.err, got, c.code)
		}
		if !errors.As(c.err, &no) || !strings.Contains(no.say, c.says) {
			t.Errorf("%v does not say %q", c.err, c.says)
		}
	}
}
