package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"log/slog"
	"net/http"
	"sort"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"batterboard/client/engine"
	"batterboard/schedule"
)

// A crew's days as a calendar (RFC 5545; REFRESH-INTERVAL and NAME from RFC 7986). One event a day of
// a visit: two days of work are no event that lasts the night. Times are UTC where the site names its
// zone, so that no VTIMEZONE has to travel, and floating where it does not.
//
// What a program was told before must be known: SEQUENCE counts an event's changes and never falls,
// and an event that is off is shown as cancelled for a while, because some programs keep what merely
// disappears (from memory). So the feed's last state is kept in the store.
const (
	cancelledFor = 14 * 24 * time.Hour
	maxFeed      = 2000 // events remembered for one crew
)

type feedRecord struct {
	Events map[string]feedEvent `json:"events"`
}

// feedEvent is an event as it was last shown.
type feedEvent struct {
	Lines []string `json:"lines"` // without UID, DTSTAMP, SEQUENCE and STATUS
	State string   `json:"state"` // CONFIRMED, TENTATIVE, CANCELLED
	Seq   int      `json:"seq"`
	At    int64    `json:"at"` // seconds since 1970, of its last change
}

func feedKey(site, crew string) []byte { return []byte("feed/" + site + "/" + crew) }

// crewDays serves the calendar.
func (s *server) crewDays(w http.ResponseWriter, q *http.Request) error {
	v, ok, err := s.crewAt(w, q, s.pages)
	if err != nil || !ok {
		return err
	}
	var events map[string]feedEvent
	var name string
	if v.Crew == ownCalendar {
		own := v.site.crewBoard(s.siteNow).OwnDays()
		name, events = own.Site, ownFeedOf(own, v.Site)
	} else {
		p, ok := v.site.crewPage(v.Crew, s.siteNow)
		if !ok {
			return s.noCrew(w)
		}
		name, events = crewWordsIn(p.Lang).Feed+" "+p.Site, feedOf(p, v.Site)
	}
	feed, err := s.store.feed(v.Site, v.Crew, events, s.now())
	if err != nil {
		return err
	}
	body := feed.calendar(name, s.now())
	sum := sha256.Sum256(body)
	tag := `"` + hex.EncodeToString(sum[:12]) + `"`
	h := w.Header()
	h.Set("Content-Type", "text/calendar; charset=utf-8")
	h.Set("Cache-Control", "private, no-cache") // kept by the program that asked, and asked again each time
	h.Set("ETag", tag)
	if noneMatch(q.Header.Get("If-None-Match"), tag) {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	h.Set("Content-Disposition", `inline; filename="days.ics"`)
	if _, err := w.Write(body); err != nil {
		slog.Debug("calendar not sent", "err", err)
	}
	return nil
}

// noneMatch compares as RFC 9110, section 13.1.2 says: weakly, a list, or anything.
func noneMatch(header, tag string) bool {
	for _, t := range strings.Split(header, ",") {
		if t = strings.TrimSpace(t); t == "*" || strings.TrimPrefix(t, "W/") == tag {
			return true
		}
	}
	return false
}

// feedOf makes the events of a crew's page by UID.
func feedOf(p engine.CrewPage, site string) map[string]feedEvent {
	events := map[string]feedEvent{}
	w := crewWordsIn(p.Lang)
	for _, v := range p.Visits {
		state := "TENTATIVE"
		if v.Booking == schedule.Firm && v.Answer == "" {
			state = "CONFIRMED"
		}
		for k, d := range v.Days {
			if len(events) >= maxFeed {
				return events
			}
			about := []string{v.What}
			for _, x := range [][2]string{{w.WayIn, p.WayIn}, {w.Place, v.Place}, {w.Ready, v.Ready}, {w.Bring, v.Bring}, {w.Questions, strings.TrimSpace(p.Contact + " " + p.Phone)}} {
				if x[1] != "" {
					about = append(about, x[0]+": "+x[1])
				}
			}
			end := d.End
			if end <= d.Start {
				end = d.Start + 30 // something that takes no time still has to be seen
			}
			lines := []string{"DTSTART" + icsTime(d.Start, p.Zone), "DTEND" + icsTime(end, p.Zone),
				"SUMMARY:" + icsText(p.Site+": "+v.Name), "DESCRIPTION:" + icsText(strings.Join(append(about, w.Slow), "\n"))}
			if p.Address != "" {
				lines = append(lines, "LOCATION:"+icsText(p.Address))
			}
			events[icsUID(site, v.ID, k)] = feedEvent{Lines: lines, State: state}
		}
	}
	return events
}

// icsUID names day k of a visit for good, whatever date it lies on.
func icsUID(site, visit string, k int) string {
	sum := sha256.Sum256([]byte(site + "\n" + visit + "\n" + strconv.Itoa(k)))
	return hex.EncodeToString(sum[:16]) + "@batterboard.invalid"
}

// icsTime writes a moment of the site's clock: in UTC when its zone is known, else as it is.
func icsTime(m schedule.Minute, zone string) string {
	wall := time.Unix(int64(m)*60, 0).UTC()
	loc, err := time.LoadLocation(zone)
	if zone == "" || err != nil {
		return ":" + wall.Format("20060102T150405")
	}
	return ":" + onClock(wall, loc).UTC().Format("20060102T150405Z")
}

// onClock is the moment at which clocks in loc show what wall does. In the nights in which they change it goes by
// RFC 5545, section 3.3.5: an hour that comes twice is the first of the two, and one that is left out counts by the
// offset before. time.Date promises neither, and would let an event end before it begins.
func onClock(wall time.Time, loc *time.Location) time.Time {
	offset := func(t time.Time) time.Duration {
		_, s := t.In(loc).Zone()
		return time.Duration(s) * time.Second
	}
	before, after := offset(wall.Add(-24*time.Hour)), offset(wall.Add(24*time.Hour))
	first, second := wall.Add(-before), wall.Add(-after)
	if offset(first) != before && offset(second) == after {
		return second
	}
	return first
}

// icsText escapes a TEXT value (RFC 5545, section 3.3.11) and drops what no value may have.
func icsText(s string) string {
	var b strings.Builder
	for _, r := range strings.ToValidUTF8(s, "") {
		switch {
		case r == '\\' || r == ';' || r == ',':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r < ' ' || r == 0x7f:
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// feed takes what is planned now into what the calendar was last told, and keeps it when it changed.
func (s *store) feed(site, crew string, now map[string]feedEvent, at time.Time) (f feedRecord, err error) {
	read := func() error {
		f = feedRecord{}
		err := s.read(feedKey(site, crew), &f)
		if errors.Is(err, errMissing) {
			return nil
		}
		return err
	}
	if err := read(); err != nil || !f.take(now, at) {
		return f, err
	}
	err = s.change(func(records) ([]pair, error) {
		if err := read(); err != nil || !f.take(now, at) { // somebody else may have been here
			return nil, err
		}
		return []pair{record(feedKey(site, crew), f)}, nil
	})
	return f, err
}

// take brings the record up to date and says whether that changed anything.
func (f *feedRecord) take(now map[string]feedEvent, at time.Time) (changed bool) {
	if f.Events == nil {
		f.Events = map[string]feedEvent{}
	}
	for uid, e := range now {
		old, known := f.Events[uid]
		if known && old.State == e.State && strings.Join(old.Lines, "\n") == strings.Join(e.Lines, "\n") {
			continue
		}
		if e.At = at.Unix(); known {
			e.Seq = old.Seq + 1
		} else if len(f.Events) >= maxFeed {
			continue
		}
		f.Events[uid], changed = e, true
	}
	for uid, e := range f.Events {
		if _, on := now[uid]; on || e.State == "CANCELLED" || e.past(at) {
			continue
		}
		e.State, e.Seq, e.At = "CANCELLED", e.Seq+1, at.Unix()
		f.Events[uid], changed = e, true
	}
	return changed
}

// past says that an event is over: work that is done leaves the page, it was not called off.
func (e feedEvent) past(at time.Time) bool {
	for _, l := range e.Lines {
		if end, ok := strings.CutPrefix(l, "DTEND:"); ok {
			t, err := time.Parse("20060102T150405", strings.TrimSuffix(end, "Z"))
			return err == nil && t.Before(at.UTC())
		}
		if end, ok := strings.CutPrefix(l, "DTEND;VALUE=DATE:"); ok {
			t, err := time.Parse("20060102", end)
			return err == nil && t.Before(at.UTC())
		}
	}
	return false
}

// calendar writes the feed. Its bytes depend on what changed and not on when it is asked for, so the
// ETag stays while nothing does.
func (f *feedRecord) calendar(name string, at time.Time) []byte {
	name = icsText(name)
	var b icsLines
	b.add("BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Batterboard//Days//EN", "CALSCALE:GREGORIAN", "METHOD:PUBLISH",
		"NAME:"+name, "X-WR-CALNAME:"+name, "REFRESH-INTERVAL;VALUE=DURATION:PT1H", "X-PUBLISHED-TTL:PT1H")
	uids := make([]string, 0, len(f.Events))
	for uid := range f.Events {
		uids = append(uids, uid)
	}
	sort.Strings(uids)
	for _, uid := range uids {
		e := f.Events[uid]
		if e.State == "CANCELLED" && at.Sub(time.Unix(e.At, 0)) > cancelledFor {
			continue // remembered, for its SEQUENCE, but no longer shown
		}
		stamp := time.Unix(e.At, 0).UTC().Format("20060102T150405Z")
		b.add("BEGIN:VEVENT", "UID:"+uid, "DTSTAMP:"+stamp, "LAST-MODIFIED:"+stamp, "SEQUENCE:"+strconv.Itoa(e.Seq), "STATUS:"+e.State)
		b.add(e.Lines...)
		b.add("END:VEVENT")
	}
	b.add("END:VCALENDAR")
	return []byte(b.String())
}

// icsLines writes content lines, folded after 75 octets at whole characters (RFC 5545, section 3.1).
type icsLines struct{ strings.Builder }

func (b *icsLines) add(lines ...string) {
	for _, l := range lines {
		room := 75
		for len(l) > room {
			cut := room
			for !utf8.RuneStart(l[cut]) {
				cut--
			}
			b.WriteString(l[:cut] + "\r\n ")
			l, room = l[cut:], 74 // the blank that begins a folded line counts
		}
		b.WriteString(l + "\r\n")
	}
}
