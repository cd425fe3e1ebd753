package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"batterboard/client/engine/demo"
	"batterboard/schedule"
	opsync "batterboard/sync"

	"github.com/rs/xid"
)

// demoDevice wrote the demo site's first operations. No phone ever is it.
const demoDevice = 1

// openDemo returns the demo site of this store, making it when there is none: the document of
// client/engine/demo, with its dates shifted by whole weeks so that today lies in the middle of the job.
func (s *store) openDemo(today schedule.Day, now time.Time) (site string, err error) {
	if site, err = s.text("meta/demo"); err != nil || site != "" {
		return site, err
	}
	doc, err := shiftDemo(demo.Document(), today)
	if err != nil {
		return "", err
	}
	site = xid.New().String()
	if err := s.importSite(site, doc, "demo", now); err != nil {
		return "", err
	}
	return site, s.write(pair{[]byte("meta/demo"), []byte(site)})
}

// importSite makes a site from a document, as the operations of device 1, called name.
func (s *store) importSite(site string, doc []byte, name string, now time.Time) error {
	edits, err := opsync.EditsFromDocument(doc)
	if err != nil {
		return err
	}
	log := opsync.NewLog()
	var pairs []pair
	for i, part := range opsync.SplitEdits(edits) {
		raw, err := log.Write(demoDevice, now.UnixMilli(), opsync.KindEdit, name, part)
		if err != nil {
			return fmt.Errorf("write part %d: %w", i+1, err)
		}
		pairs = append(pairs, pair{opKey(site, uint64(i)), raw})
		if n := siteName(raw); n != "" {
			pairs = append(pairs, pair{nameKey(site), []byte(n)})
		}
	}
	author := xid.New().String() // a device without a token: nobody can be it
	pairs = append(pairs, record(siteKey(site), siteRecord{Made: now.Unix(), Next: demoDevice + 1}),
		record(seatKey(site, author), seatRecord{Num: demoDevice, Role: opsync.Viewer, Name: name}))
	return s.writeMany(pairs)
}

// writeMany stores more than fits into one commit. The last pairs are what makes the rest visible.
func (s *store) writeMany(pairs []pair) error {
	for len(pairs) > 0 {
		n, size := 0, 0
		for n < len(pairs) && (n == 0 || size+len(pairs[n].value) < maxCommit/2) {
			size += len(pairs[n].value)
			n++
		}
		if err := s.write(pairs[:n]...); err != nil {
			return err
		}
		pairs = pairs[n:]
	}
	return nil
}

// shiftDemo moves every date of the document by whole weeks, so that the file's own "demoToday" comes
// to lie on or up to six days before today: what the file says has happened lies never in the future.
func shiftDemo(doc []byte, today schedule.Day) ([]byte, error) {
	d := json.NewDecoder(strings.NewReader(string(doc)))
	d.UseNumber()
	var top map[string]any
	if err := d.Decode(&top); err != nil {
		return nil, fmt.Errorf("read the demo: %w", err)
	}
	text, _ := top["demoToday"].(string)
	mid, err := schedule.ParseDay(text)
	if err != nil || mid == 0 {
		return nil, fmt.Errorf("the demo's demoToday is %q", text)
	}
	delete(top, "demoToday")
	weeks := int32(today-mid) / 7
	if int32(today-mid)%7 < 0 {
		weeks--
	}
	return json.Marshal(shifted(top, weeks*7))
}

// shifted moves whatever is wholly a date or a moment, and the date that ends a text's ID.
func shifted(v any, days int32) any {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			v[k] = shifted(x, days)
		}
	case []any:
		for i, x := range v {
			v[i] = shifted(x, days)
		}
	case string:
		return shiftText(v, days)
	}
	return v
}

func shiftText(s string, days int32) string {
	if m, err := schedule.ParseMinute(s); err == nil && m != 0 {
		return (m + schedule.Minute(days)*schedule.MinutesPerDay).String()
	}
	head, tail := "", s
	if i := strings.LastIndexByte(s, '/'); i >= 0 {
		head, tail = s[:i+1], s[i+1:]
	}
	if d, err := schedule.ParseDay(tail); err == nil && d != 0 {
		return head + (d + schedule.Day(days)).String()
	}
	return s
}
