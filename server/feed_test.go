package main

import (
	"encoding/json"
	"net/http"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"batterboard/schedule"
)

// event is a VEVENT as it stands in the feed: name and value of each property, parameters dropped.
type event map[string]string

// readFeed checks the calendar against RFC 5545's own rules and returns its events by UID.
func readFeed(t *testing.T, ics string) map[string]event {
	t.Helper()
	if !strings.HasSuffix(ics, "\r\n") || strings.Count(ics, "\n") != strings.Count(ics, "\r\n") || strings.Count(ics, "\r") != strings.Count(ics, "\r\n") {
		t.Error("section 3.1: lines end with CRLF, and CR and LF stand nowhere else")
	}
	if !utf8.ValidString(ics) {
		t.Error("section 3.1.4: not UTF-8")
	}
	for _, l := range strings.Split(ics, "\r\n") {
		if len(l) > 75 {
			t.Errorf("section 3.1: %d octets in %q", len(l), l)
		}
		if !utf8.ValidString(l) {
			t.Errorf("a character is cut in %q", l)
		}
	}
	lines := strings.Split(strings.TrimSuffix(strings.ReplaceAll(ics, "\r\n ", ""), "\r\n"), "\r\n")
	if lines[0] != "BEGIN:VCALENDAR" || lines[len(lines)-1] != "END:VCALENDAR" {
		t.Error("section 3.4: no calendar")
	}
	head := map[string]int{}
	events, e := map[string]event{}, event(nil)
	for _, l := range lines {
		name, value, ok := strings.Cut(l, ":")
		name, with, _ := strings.Cut(name, ";")
		switch {
		case !ok:
			t.Errorf("section 3.1: no content line: %q", l)
		case l == "BEGIN:VEVENT":
			e = event{}
		case l == "END:VEVENT":
			if events[e["UID"]] != nil {
				t.Errorf("two events with UID %s", e["UID"])
			}
			checkEvent(t, e)
			events[e["UID"]], e = e, nil
		case e != nil:
			if _, twice := e[name]; twice && name != "RELATED-TO" {
				t.Errorf("section 3.6.1: %s twice", name)
			}
			if name == "RELATED-TO" {
				value = strings.TrimPrefix(e[name]+"\n"+with+":"+value, "\n")
			}
			e[name], e[name+";"] = value, with
		default:
			head[name+":"+value]++
			head[name]++
		}
	}
	for _, must := range []string{"VERSION:2.0", "PRODID", "CALSCALE:GREGORIAN", "METHOD:PUBLISH", "REFRESH-INTERVAL:PT1H", "NAME"} {
		if head[must] != 1 {
			t.Errorf("section 3.6 or RFC 7986: %s stands %d times", must, head[must])
		}
	}
	return events
}

var icsMoment = regexp.MustCompile(`^\d{8}T\d{6}Z$`)

func checkEvent(t *testing.T, e event) {
	t.Helper()
	for _, must := range []string{"UID", "DTSTAMP", "DTSTART", "DTEND", "SEQUENCE", "STATUS", "SUMMARY"} { // sections 3.6.1 and 3.8.7
		if e[must] == "" {
			t.Errorf("no %s in %v", must, e)
		}
	}
	for _, at := range []string{"DTSTAMP", "LAST-MODIFIED", "DTSTART", "DTEND"} {
		if e[at+";"] == "VALUE=DATE" && strings.HasPrefix(at, "DT") && at != "DTSTAMP" { // sections 3.3.4 and 3.6.1: both ends are dates then
			if !regexp.MustCompile(`^\d{8}$`).MatchString(e[at]) || e["DTSTART;"] != e["DTEND;"] {
				t.Errorf("%s: %q is no date, or one end of two", at, e[at])
			}
		} else if !icsMoment.MatchString(e[at]) { // section 3.3.5, form 2
			t.Errorf("%s: %q is not UTC", at, e[at])
		}
	}
	if e["DTEND"] <= e["DTSTART"] { // section 3.8.2.2: later than the start; exclusive
		t.Errorf("ends %s, starts %s", e["DTEND"], e["DTSTART"])
	}
	if s := e["STATUS"]; s != "TENTATIVE" && s != "CONFIRMED" && s != "CANCELLED" { // section 3.8.1.11
		t.Errorf("STATUS %q", s)
	}
	for _, name := range []string{"SUMMARY", "DESCRIPTION", "LOCATION"} { // section 3.3.11
		bare := regexp.MustCompile(`\\[\\;,nN]`).ReplaceAllString(e[name], "")
		if strings.ContainsAny(bare, `\;,`) {
			t.Errorf("%s: something is not escaped in %q", name, e[name])
		}
	}
}

func TestACrewsCalendar(t *testing.T) {
	_, _, _, p, c := newCrewWorld(t)
	p.put("activity", "rough", map[string]any{"scope": "Boxes, cable; " + strings.Repeat("größte Höhe ñ ", 20) + "\\ end\nsecond line"})
	p.untilSent()
	status, ics, head := c.get("/days.ics")
	if status != 200 || head.Get("Content-Type") != "text/calendar; charset=utf-8" || head.Get("Cache-Control") != "private, no-cache" {
		t.Fatal(status, head)
	}
	events := readFeed(t, ics)
	if len(events) != 2 {
		t.Fatalf("%d events: %s", len(events), ics)
	}
	starts := map[string]bool{}
	for _, e := range events {
		starts[e["DTSTART"]+"/"+e["DTEND"]] = true
		if e["STATUS"] != "TENTATIVE" || e["SEQUENCE"] != "0" || e["SUMMARY"] != "Old Laundry: Rough-in" || !strings.Contains(e["DESCRIPTION"], `Boxes\, cable\; `) ||
			!strings.Contains(e["DESCRIPTION"], `\\ end\nsecond line`) || e["LOCATION"] != "14 Wash House Lane" {
			t.Errorf("%v", e)
		}
	}
	// 8:00 to 16:30 in Los Angeles, before the clocks change on 14 March 2027 (UTC-8).
	if !starts["20270302T160000Z/20270303T003000Z"] || !starts["20270303T160000Z/20270304T003000Z"] {
		t.Errorf("times: %v", starts)
	}
}

func TestTheCalendarFollowsAndItsSequenceNeverFalls(t *testing.T) {
	w, _, _, p, c := newCrewWorld(t)
	last := map[string]int{}
	read := func(what string) map[string]event {
		t.Helper()
		_, ics, _ := c.get("/days.ics")
		events := readFeed(t, ics)
		for uid, e := range events {
			n, err := strconv.Atoi(e["SEQUENCE"])
			if err != nil || n < last[uid] {
				t.Errorf("%s: SEQUENCE of %s went from %d to %s", what, uid, last[uid], e["SEQUENCE"])
			}
			last[uid] = n
		}
		w.later(time.Minute)
		return events
	}
	first := read("first")
	c.says("yes", nil)
	for uid, e := range read("yes") {
		if e["STATUS"] != "CONFIRMED" || e["SEQUENCE"] != "1" || first[uid] == nil {
			t.Errorf("after the yes: %v", e)
		}
	}
	// Past the change of the clocks: 8:00 is 15:00 UTC then.
	p.put("activity", "rough", map[string]any{"laid": "2027-03-16T08:00"})
	p.untilSent()
	for uid, e := range read("moved") {
		if first[uid] == nil || e["SEQUENCE"] != "2" || !strings.HasSuffix(e["DTSTART"], "T150000Z") {
			t.Errorf("after the move: %v", e)
		}
	}
	p.put("activity", "rough", map[string]any{"labour": map[string]int{"typical": 480}})
	p.untilSent()
	cancelled := 0
	for _, e := range read("shorter") {
		if e["STATUS"] == "CANCELLED" {
			cancelled++
		}
	}
	if cancelled != 1 {
		t.Errorf("%d events cancelled, want 1", cancelled)
	}
	w.later(cancelledFor)
	if n := len(read("two weeks later")); n != 1 {
		t.Errorf("%d events two weeks later", n)
	}
	p.put("activity", "rough", map[string]any{"labour": map[string]int{"typical": 960}, "laid": "2027-04-06T08:00"})
	p.untilSent()
	if n := len(read("long again")); n != 2 {
		t.Errorf("%d events", n)
	}
	w.stop()
	w.start()
	read("after a restart")
}

func TestTheCalendarIsFetchedOnlyWhenItChanged(t *testing.T) {
	w, _, _, p, c := newCrewWorld(t)
	ask := func(tag string) (int, string) {
		t.Helper()
		q, err := http.NewRequest("GET", w.base+"/c/"+c.code+"/days.ics", nil)
		if err != nil {
			t.Fatal(err)
		}
		q.Header.Set("If-None-Match", tag)
		r, err := http.DefaultClient.Do(q)
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		return r.StatusCode, r.Header.Get("ETag")
	}
	_, tag := ask("")
	w.later(3 * time.Hour)
	for _, header := range []string{tag, "W/" + tag, `"x", ` + tag, "*"} {
		if status, _ := ask(header); status != 304 {
			t.Errorf("If-None-Match %s: %d", header, status)
		}
	}
	p.put("activity", "rough", map[string]any{"name": "Rough wiring"})
	p.untilSent()
	if status, other := ask(tag); status != 200 || other == tag {
		t.Errorf("after a change: %d %s", status, other)
	}
}

// An independent reader: ical.js, where the client's packages are installed.
func TestAnotherProgramReadsTheCalendar(t *testing.T) {
	_, anna, site, p, c := newCrewWorld(t)
	scope := "Boxes, cable; " + strings.Repeat("größte Höhe ñ ", 20) + "\\ end\nsecond line"
	p.put("activity", "rough", map[string]any{"scope": scope})
	p.untilSent()
	_, ics, _ := c.get("/days.ics")
	var got []icalEvent
	icalRead(t, ics, &got)
	if len(got) != 2 || got[0].Summary != "Old Laundry: Rough-in" || !strings.HasPrefix(got[0].Description, scope) {
		t.Fatalf("read as %+v", got)
	}
	starts := got[0].Start + got[1].Start
	if !strings.Contains(starts, "2027-03-02T16:00:00.000Z") || !strings.Contains(starts, "2027-03-03T16:00:00.000Z") {
		t.Errorf("starts %s", starts)
	}
	_, own, _ := anna.ownCalendar(site)
	got = nil
	icalRead(t, own, &got)
	tied := 0
	for i, e := range got {
		if e.Related == "FINISHTOSTART  "+got[len(got)-1-i].UID {
			tied++
		}
	}
	if len(got) != 2 || tied != 1 {
		t.Errorf("the owner's calendar is read as %+v", got)
	}
}

func TestASiteWithoutAZoneHasFloatingTimes(t *testing.T) {
	for zone, want := range map[string]string{"": ":20270302T080000", "Nowhere/Land": ":20270302T080000", "America/Los_Angeles": ":20270302T160000Z",
		"Europe/Madrid": ":20270302T070000Z"} {
		day, err := schedule.ParseMinute("2027-03-02T08:00")
		if err != nil {
			t.Fatal(err)
		}
		if got := icsTime(day, zone); got != want {
			t.Errorf("%q: %s, want %s", zone, got, want)
		}
	}
}

// icalEvent is an event as ical.js understood it.
type icalEvent struct{ UID, Summary, Description, Start, End, Related string }

// icalRead has ical.js read a calendar; the test is skipped where it is not installed.
func icalRead(t *testing.T, ics string, into *[]icalEvent) {
	t.Helper()
	module, err := filepath.Abs("../client/node_modules/ical.js")
	if err != nil {
		t.Fatal(err)
	}
	const script = `import(process.argv[1] + "/dist/ical.js").then(async ({ default: ICAL }) => {
		let text = ""; for await (const c of process.stdin) text += c;
		const all = new ICAL.Component(ICAL.parse(text)).getAllSubcomponents("vevent").map((v) => new ICAL.Event(v));
		console.log(JSON.stringify(all.map((e) => ({ uid: e.uid, seq: e.sequence, summary: e.summary, description: e.description,
			start: e.startDate.toJSDate().toISOString(), end: e.endDate.toJSDate().toISOString(),
			related: e.component.getAllProperties("related-to").map((p) => [p.getParameter("reltype"), p.getParameter("gap"), p.getFirstValue()].join(" ")).join("\n") }))));
	}).catch((e) => { console.error(e); process.exit(e.code === "ERR_MODULE_NOT_FOUND" ? 3 : 1); });`
	cmd := exec.Command("node", "--input-type=module", "-e", script, "--", module)
	cmd.Stdin = strings.NewReader(ics)
	out, err := cmd.Output()
	if exit, ok := err.(*exec.ExitError); err != nil && (!ok || exit.ExitCode() == 3) {
		t.Skip("node or ical.js is not here: npm ci in client/ brings it")
	}
	if err != nil {
		t.Fatalf("ical.js cannot read it: %v\n%s", err, ics)
	}
	if err := json.Unmarshal(out, into); err != nil {
		t.Fatal(err)
	}
}
