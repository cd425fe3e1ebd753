package engine

import (
	"slices"
	"strings"
	"testing"

	"batterboard/client/engine/words"
	"batterboard/schedule"
)

// An empty blank takes along what joined it to its line, and a line with nothing in it goes.
func TestEmptyBlanks(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"{site}, {address}: can you come?", "Old Laundry: can you come?"},
		{"{address}, {site}: can you come?", "Old Laundry: can you come?"},
		{"{site}: {day}, {time}.", "Old Laundry: Tuesday."},
		{"Please confirm by {day}: {contact}", "Please confirm by Tuesday"},
		{"{address}: come {day}.", "come Tuesday."},
		{"Way in: {address}\nOn {day}", "On Tuesday"},
		{"Hello.\n{address} {contact}", "Hello."},
	} {
		if got := fillBlanks(c.text, blanks{"site": "Old Laundry", "day": "Tuesday"}); got != c.want {
			t.Errorf("%q became %q, not %q", c.text, got, c.want)
		}
	}
}

// A newcomer has written neither address nor way in nor a number: every kind of text still reads as a sentence.
func TestTextsOfABareSite(t *testing.T) {
	for _, code := range words.Codes {
		for _, x := range sixty(func(third int, now schedule.Minute) *sheet { return sixtySheet(t, third, now, code) }) {
			site := *x.s.site
			site.Name, site.Address, site.WayIn, site.Contact, site.Phone = "", "", "", "", ""
			bare := *x.s
			bare.site = &site
			body := bare.bodyOf(words.In(code), x.l)
			if x.l.kind == "ask" && !strings.Contains(body, map[string]string{"en": "can you come?", "es": "¿puede venir?"}[code]) {
				t.Errorf("%s asks nothing:\n%s", code, body)
			}
			for _, bad := range []string{", :", ", ,", " ,", " :", "  ", "at ,", "en ,", "\x00"} {
				if strings.Contains(body, bad) {
					t.Errorf("%s, %s has %q:\n%s", x.l.kind, code, bad, body)
				}
			}
			if strings.HasSuffix(body, ":") {
				t.Errorf("%s, %s ends in the middle:\n%s", x.l.kind, code, body)
			}
		}
	}
}

// A text that was sent does not say that nobody has asked.
func TestSentTextsSayWhatIsTrue(t *testing.T) {
	sent := 0
	texts := show(t, openDemo(t, "en"), "texts", "").Texts
	for _, c := range texts.Ask {
		if c.Sent {
			sent++
		}
		if c.Sent == strings.Contains(c.Why, "nobody has asked") {
			t.Errorf("%s, sent %v: %s", c.Name, c.Sent, c.Why)
		}
	}
	if sent == 0 {
		t.Error("the demo has no text that was sent and waits for an answer")
	}
}

// The sheet for the wall is read from top to bottom: the inspector of the afternoon stands before the owner's evening.
func TestWeekGoesByTheClock(t *testing.T) {
	days := show(t, openDemo(t, "en"), "week", "").Week.Days
	i := slices.IndexFunc(days, func(d WeekDay) bool { return d.Day.Day == day("2027-04-09") })
	if i < 0 {
		t.Fatalf("no Friday in %+v", days)
	}
	all := strings.Join(days[i].Lines, "\n")
	if visit, evening := strings.Index(all, "Framing"), strings.Index(all, "Dry check"); visit < 0 || visit > evening {
		t.Errorf("Friday reads\n%s", all)
	}
}
