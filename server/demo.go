package main

import (
	"encoding/json"
	"errors"
	"time"

	"batterboard/client/engine/demo"
	"batterboard/schedule"
	opsync "batterboard/sync"

	"github.com/rs/xid"
)

// demoLife is how long one copy of the demo takes new visitors: its days must stay around today.
const demoLife = 2 * 24 * time.Hour

// freshDemo returns the demo site that new visitors get, making a copy when there is none yet or the
// last one is old. Whoever looks at an old one keeps it.
func (s *store) freshDemo(story schedule.Minute, now time.Time) (string, error) {
	site, err := s.text("meta/demo")
	if err != nil {
		return "", err
	}
	var r siteRecord
	err = s.read(siteKey(site), &r)
	if err == nil && now.Sub(time.Unix(r.Made, 0)) < demoLife {
		return site, nil
	}
	if err != nil && !errors.Is(err, errMissing) {
		return "", err
	}
	return s.newDemo(story, now)
}

// newDemo makes a copy of the Old Laundry, with its days and facts as they would be at the moment story.
func (s *store) newDemo(story schedule.Minute, now time.Time) (string, error) {
	laundry, err := demo.At(story)
	if err != nil {
		return "", err
	}
	doc, err := json.Marshal(laundry)
	if err != nil {
		return "", err
	}
	site := xid.New().String()
	if err := s.importSite(site, doc, "demo", now); err != nil {
		return "", err
	}
	return site, s.write(pair{[]byte("meta/demo"), []byte(site)})
}

// importSite makes a site from a document, as the operations of device 1, called name.
func (s *store) importSite(site string, doc []byte, name string, now time.Time) error {
	ops, err := opsOf(doc, name, now)
	if err != nil {
		return err
	}
	var pairs []pair
	for i, raw := range ops {
		pairs = append(pairs, pair{opKey(site, uint64(i)), raw})
		if n := siteName(raw); n != "" {
			pairs = append(pairs, pair{nameKey(site), []byte(n)})
		}
	}
	author := xid.New().String() // a device without a token: nobody can be it
	pairs = append(pairs, record(siteKey(site), siteRecord{Made: now.Unix(), Next: fileDevice + 1}),
		record(seatKey(site, author), seatRecord{Num: fileDevice, Role: opsync.Viewer, Name: name}))
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
