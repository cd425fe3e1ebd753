package opsync

import (
	"encoding/json"
	"strconv"
	"strings"

	"batterboard/schedule"
)

// A shape says whether a canonical value is what a field of schema 1 holds. One value of the wrong
// shape would make the whole document unreadable and lock everybody out of the site: the hub refuses
// such operations, and a document made from a log that has one leaves the value out (SPEC D5).
type shape func(raw []byte) bool

func into[T any](raw []byte) bool {
	var v T
	return json.Unmarshal(raw, &v) == nil
}

// fitsIn says whether a value is a whole number of so many bits.
func fitsIn(bits int) shape {
	return func(raw []byte) bool {
		if raw[0] != '-' && (raw[0] < '0' || raw[0] > '9') {
			return false
		}
		_, err := strconv.ParseInt(string(raw), 10, bits)
		return err == nil
	}
}

var (
	text    shape = func(raw []byte) bool { return raw[0] == '"' && len(raw) <= schedule.MaxText }
	yes     shape = func(raw []byte) bool { return raw[0] == 't' || raw[0] == 'f' }
	small   shape = fitsIn(32)
	whole   shape = fitsIn(64)
	day     shape = into[schedule.Day]
	minute  shape = into[schedule.Minute]
	texts   shape = into[[]string]
	week    shape = into[schedule.Week]
	extra   shape = into[schedule.Extra]
	figures shape = into[schedule.Range]
	twice   shape = into[schedule.Twice]
	shares  shape = into[[]int32]
)

// shapes has every field of the site document; a test holds it against schedule.Site.
var shapes = map[string]map[string]shape{
	Head: {"plain": yes, "name": text, "address": text, "wayIn": text, "contact": text, "phone": text, "geo": text, "country": text, "zone": text,
		"lang": text, "units": text, "start": day, "hours": week, "noise": week, "back": day, "weather": shares, "answerBy": small,
		"profile": text, "boardSeen": text, "baseSeen": yes, "edition": text},
	"crew": {"pos": small, "name": text, "trade": text, "contact": text, "phone": text, "email": text,
		"lang": text, "size": small, "teams": small, "own": yes, "hours": week, "saturday": extra,
		"overtime": extra, "stands": texts, "noShow": small, "quiet": texts, "twice": twice},
	"place": {"pos": small, "name": text, "room": small, "floor": text, "carries": small},
	"activity": {"pos": small, "name": text, "scope": text, "also": text, "scopeAlso": text, "crew": text, "with": texts, "place": text,
		"whole": yes, "labour": figures, "hands": small, "cover": yes, "outdoor": yes, "twice": yes, "noisy": yes,
		"bring": text, "ready": text, "notBefore": minute, "mustBy": day, "done": small, "doneAt": minute,
		"started": minute, "finished": minute, "laid": minute, "booking": text, "toldStart": minute,
		"toldFinish": minute, "cautions": texts, "acked": text, "ackedAt": minute, "gate": yes, "closes": yes},
	"link": {"from": text, "to": text, "kind": text, "lag": small, "clock": yes, "why": text, "wait": text, "thick": small},
	"hold": {"pos": small, "name": text, "code": text, "agency": text, "phone": text, "ready": texts,
		"photos": small, "taken": small, "notice": small, "cutoff": small, "hours": week,
		"calledIn": minute, "visit": minute, "result": text, "resultAt": minute, "said": text,
		"fails": small, "laid": minute, "failPct": small, "parts": texts, "passed": texts, "fee": whole, "feeAgain": whole},
	"order": {"pos": small, "goods": text, "quantity": text, "supplier": text, "phone": text,
		"lead": small, "ordered": day, "due": day, "arrived": day, "short": text, "stands": text,
		"weightKg": small, "cost": whole, "laid": minute, "gate": text, "reserved": day, "wide": yes},
	"away":    {"crew": text, "from": day, "to": day, "why": text},
	"shut":    {"from": day, "to": day, "why": text, "outdoor": yes},
	"opening": {"crew": text, "day": day, "from": small, "to": small, "cost": whole},
	"text": {"kind": text, "crew": text, "day": day, "on": texts, "told": texts, "why": text, "sent": minute,
		"queued": minute, "via": text, "failed": text, "answer": text, "wish": day, "body": text},
	"wording": {"text": text},
	"note":    {"day": day, "on": text, "said": text, "by": text, "crew": text, "seen": yes, "word": text, "count": small},
	"answer":  {"value": text},
	"photo": {"at": minute, "on": text, "by": text, "said": text, "file": text, "small": text, "wide": small,
		"high": small, "share": yes, "taken": minute, "latitude": small, "longitude": small},
	"paper":   {"at": minute, "on": text, "by": text, "name": text, "type": text, "file": text, "size": small, "share": yes},
	"reading": {"at": minute, "place": text, "of": text, "temp": small, "humidity": small, "moisture": small, "by": text, "said": text},
	"settled": {"why": text, "by": text, "at": minute},
}

// caps bound the lists of a document, so that two phones that each add the last one allowed do not
// lock everybody out: what is beyond, at the end of the list, is not shown.
var caps = map[string]int{"crew": schedule.MaxCrews, "place": schedule.MaxPlaces,
	"activity": schedule.MaxActivities, "link": schedule.MaxLinks, "hold": schedule.MaxHolds,
	"order": schedule.MaxOrders, "away": schedule.MaxDated, "shut": schedule.MaxDated,
	"opening": schedule.MaxDated, "text": schedule.MaxTexts, "wording": schedule.MaxWordings, "note": schedule.MaxNotes, "photo": schedule.MaxPhotos, "paper": schedule.MaxPapers, "answer": schedule.MaxAnswers,
	"reading": schedule.MaxReadings, "settled": schedule.MaxSettled}

// lowered has the known fields in small letters: encoding/json takes NAME for name.
var lowered = func() map[string]map[string]bool {
	m := map[string]map[string]bool{}
	for kind, fields := range shapes {
		m[kind] = map[string]bool{}
		for name := range fields {
			m[kind][strings.ToLower(name)] = true
		}
	}
	return m
}()

// fits says whether a value may stand in the document. A field of a later program fits, unless it
// would be read as one we know.
func fits(kind, name string, value []byte) bool {
	if known := shapes[kind][name]; known != nil {
		return known(value)
	}
	lower := strings.ToLower(name)
	return !lowered[kind][lower] && lower != "id"
}

// checkShapes refuses an operation with a value of the wrong shape.
func (o *Op) checkShapes() error {
	for _, e := range o.body {
		for _, f := range e.set {
			if f.value != nil && !fits(e.thing, f.name, f.value) {
				return refuse(WhyForm, "the value of "+e.thing+" "+e.id+", "+f.name+", is not of the kind that field holds")
			}
		}
	}
	return nil
}
