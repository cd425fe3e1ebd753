package main

import (
	"net/http"
	"strings"
	"testing"
	"time"
)

// ownLink asks for the address of the owner's calendar.
func (b *browser) ownLink(site string, anew bool) string {
	b.t.Helper()
	return b.must("POST", "/api/feedlink", map[string]any{"site": site, "anew": anew})["url"].(string)
}

func (b *browser) ownCalendar(site string) (int, string, http.Header) {
	b.t.Helper()
	return fetch(b.t, b.ownLink(site, false))
}

func TestTheOwnersCalendarHasEverythingAndHowItHangsTogether(t *testing.T) {
	_, anna, site, p, _ := newCrewWorld(t)
	p.put("order", "panel", map[string]any{"goods": "Panel; 200 A, big", "supplier": "Yard", "due": "2027-03-01", "ordered": "2027-02-20"})
	p.put("hold", "seen", map[string]any{"name": "Rough electric seen"})
	p.put("activity", "tape", map[string]any{"name": "Tape", "crew": "board", "labour": map[string]int{"typical": 240}})
	p.put("link", "l2", map[string]any{"from": "panel", "to": "rough"})
	p.put("link", "l3", map[string]any{"from": "rough", "to": "seen"})
	p.put("link", "l4", map[string]any{"from": "hang", "to": "tape", "kind": "SS", "lag": 90, "clock": true})
	p.put("link", "l5", map[string]any{"from": "hang", "to": "tape", "kind": "FF", "lag": -120})
	p.untilSent()
	status, ics, head := anna.ownCalendar(site)
	if status != 200 || head.Get("Content-Type") != "text/calendar; charset=utf-8" || head.Get("ETag") == "" || head.Get("X-Robots-Tag") == "" {
		t.Fatal(status, head)
	}
	events := readFeed(t, ics)
	by := map[string]event{}
	for _, e := range events {
		by[e["SUMMARY"]] = e
	}
	if len(events) != 5 {
		t.Fatalf("%d events: %s", len(events), ics)
	}
	work, goods, seen, hang := by["Electric: Rough-in"], by[`Yard: Panel\; 200 A\, big`], by["Inspector: Rough electric seen"], by["Tableros: Hang board"]
	if work["DTSTART"] != "20270302T160000Z" || work["DTEND"] != "20270304T003000Z" || work["STATUS"] != "TENTATIVE" {
		t.Errorf("work: %v", work)
	}
	if goods["DTSTART"] != "20270301" || goods["DTEND"] != "20270302" || goods["STATUS"] != "CONFIRMED" { // the end is exclusive
		t.Errorf("delivery: %v", goods)
	}
	if goods["RELATED-TO"] != "RELTYPE=FINISHTOSTART:"+work["UID"] || !strings.Contains(work["RELATED-TO"], "RELTYPE=FINISHTOSTART:"+seen["UID"]) {
		t.Errorf("what waits for what: %q, %q", goods["RELATED-TO"], work["RELATED-TO"])
	}
	tape := by["Tableros: Tape"]["UID"]
	if want := "RELTYPE=STARTTOSTART;GAP=PT1H30M:" + tape + "\nRELTYPE=FINISHTOFINISH;GAP=-PT2H:" + tape; hang["RELATED-TO"] != want {
		t.Errorf("%q, want %q", hang["RELATED-TO"], want)
	}
	// Every name it speaks of is in it.
	for _, e := range events {
		for l := range strings.SplitSeq(e["RELATED-TO"], "\n") {
			if _, uid, ok := strings.Cut(l, ":"); ok && events[uid] == nil {
				t.Errorf("%s is related to %s, which is not there", e["SUMMARY"], uid)
			}
		}
	}
	if strings.Contains(ics, "555") {
		t.Error("a number is in the calendar")
	}
}

func TestTheOwnersCalendarFollows(t *testing.T) {
	w, anna, site, p, c := newCrewWorld(t)
	url := anna.ownLink(site, false)
	read := func() map[string]event {
		t.Helper()
		_, ics, _ := fetch(t, url)
		w.later(time.Minute)
		return readFeed(t, ics)
	}
	first := read()
	if status, page := c.says("yes", nil); status != 200 || !strings.Contains(page, "You are booked") {
		t.Fatal(status, page)
	}
	firm := 0
	for uid, e := range read() {
		if first[uid] == nil {
			t.Errorf("another UID for %s", e["SUMMARY"])
		}
		if e["STATUS"] == "CONFIRMED" {
			firm++
			if e["SEQUENCE"] != "1" {
				t.Errorf("%v", e)
			}
		}
	}
	if firm != 1 {
		t.Errorf("%d confirmed", firm)
	}
	p.put("activity", "rough", map[string]any{"laid": "2027-03-09T08:00"})
	p.untilSent()
	for uid, e := range read() {
		if strings.Contains(e["SUMMARY"], "Rough-in") && (e["DTSTART"] != "20270309T160000Z" || e["SEQUENCE"] != "2" || first[uid] == nil) {
			t.Errorf("after the move: %v", e)
		}
	}
	p.put("activity", "rough", map[string]any{"crew": "me"})
	p.untilSent()
	if n := len(read()); n != 2 {
		t.Errorf("%d events", n)
	}
}

func TestTheOwnersCalendarIsSecret(t *testing.T) {
	w, anna, site, _, c := newCrewWorld(t)
	url := anna.ownLink(site, false)
	code := strings.TrimSuffix(strings.TrimPrefix(url, w.base+"/c/"), "/days.ics")
	if !crewCode(code) {
		t.Fatal(url)
	}
	// It opens nothing else: no page, no answers.
	if status, _, _ := fetch(t, w.base+"/c/"+code); status != 404 {
		t.Errorf("as a crew's page: %d", status)
	}
	before := w.opsOf(site)
	if status, _ := (crewPhone{w, code}).post(map[string][]string{"visit": {"rough"}, "do": {"yes"}, "sure": {"1"}}); status != 404 || w.opsOf(site) != before {
		t.Errorf("as an answer: %d", status)
	}
	// A crew's address opens the crew's days only.
	_, theirs, _ := c.get("/days.ics")
	if strings.Contains(theirs, "Hang board") {
		t.Error("a crew's calendar has another crew's work")
	}
	err := w.srv.store.each("", func(key string, value []byte) error {
		if strings.Contains(key+string(value), code) {
			t.Errorf("%s holds the address", key)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
	// Taking a crew's addresses back leaves it; its own word ends it.
	anna.must("POST", "/api/crewlink/revoke", map[string]any{"site": site, "crew": "elec"})
	if status, _ := anna.ask("POST", "/api/crewlink/revoke", map[string]any{"site": site, "crew": ""}); status != 404 {
		t.Errorf("no crew's addresses taken back: %d", status)
	}
	if status, _, _ := fetch(t, url); status != 200 {
		t.Errorf("ended with a crew's: %d", status)
	}
	second := anna.ownLink(site, true)
	if status, _, _ := fetch(t, url); status != 404 {
		t.Errorf("after a new one: %d", status)
	}
	anna.must("POST", "/api/feedlink/revoke", map[string]any{"site": site})
	if status, _, _ := fetch(t, second); status != 404 {
		t.Errorf("after the end: %d", status)
	}
	last := anna.ownLink(site, false)
	w.later(ownLinkLife)
	if status, _, _ := fetch(t, last); status != 404 {
		t.Errorf("after a year and more: %d", status)
	}
}

func TestGaps(t *testing.T) {
	// RFC 5545, section 3.3.6: hours, then minutes, a sign in front.
	for lag, want := range map[int32]string{0: "", 45: ";GAP=PT45M", 60: ";GAP=PT1H", 4320: ";GAP=PT72H", 485: ";GAP=PT8H5M", -30: ";GAP=-PT30M", -480: ";GAP=-PT8H"} {
		if got := icsGap(lag); got != want {
			t.Errorf("%d: %q, want %q", lag, got, want)
		}
	}
}
