package schedule_test

import (
	"strings"
	"testing"

	"batterboard/schedule"
)

// TestWhyNot: for every kind of "no" there is a chain, and it names what stands in the way. Monday is 1 March 2027.
func TestWhyNot(t *testing.T) {
	for _, c := range []struct {
		what, doc, now, id, wish string
		want                     string // when it really starts, then the kinds with who or what, the nearest first
	}{
		{"the crew is busy", `"activities":[{"id":"a","crew":"electric","labour":{"typical":480},"laid":"2027-03-01T08:00"},{"id":"b","crew":"electric","labour":{"typical":60},"laid":"2027-03-04T08:00"}],
			"links":[{"id":"l","from":"a","to":"b"}]`, "2027-03-01T06:40", "b", "2027-03-01T08:00", "2027-03-02T08:00: link a, laid"},
		{"the room is full", `"places":[{"id":"room"}],"activities":[{"id":"a","crew":"electric","place":"room","labour":{"typical":480},"started":"2027-03-01T08:00"},
			{"id":"b","crew":"board","place":"room","labour":{"typical":60}}]`, "2027-03-01T09:00", "b", "2027-03-01T10:00", "2027-03-02T08:00: place a room, fact"},
		{"the crew is away", `"activities":[{"id":"b","crew":"electric","labour":{"typical":60}}],"away":[{"id":"x","crew":"electric","from":"2027-03-01","to":"2027-03-02"}]`,
			"2027-03-01T06:40", "b", "2027-03-01T08:00", "2027-03-03T08:00: calendar electric"},
		{"it rains", `"activities":[{"id":"b","crew":"electric","outdoor":true,"labour":{"typical":60}}],"shut":[{"id":"x","from":"2027-03-01","to":"2027-03-02","outdoor":true}]`,
			"2027-03-01T06:40", "b", "2027-03-01T08:00", "2027-03-03T08:00: weather"},
		{"the owner works in the evening", `"activities":[{"id":"b","crew":"owner","labour":{"typical":60}}]`, "2027-03-01T06:40", "b", "2027-03-01T08:00", "2027-03-01T18:00: "},
		{"a date was set", `"activities":[{"id":"b","crew":"electric","labour":{"typical":60},"notBefore":"2027-03-03T00:00"}]`, "2027-03-01T06:40", "b", "2027-03-01T08:00", "2027-03-03T08:00: notBefore"},
		{"the site has not begun", `"activities":[{"id":"b","crew":"electric","labour":{"typical":60}}]`, "2027-02-22T06:40", "b", "2027-02-24T08:00", "2027-03-01T08:00: start"},
		{"it is over", `"activities":[{"id":"b","crew":"electric","labour":{"typical":60}}]`, "2027-03-02T06:40", "b", "2027-03-01T08:00", "2027-03-02T08:00: now"},
		{"it has begun", `"activities":[{"id":"b","crew":"electric","labour":{"typical":480},"started":"2027-03-01T08:00"}]`, "2027-03-01T09:00", "b", "2027-03-02T08:00", "2027-03-01T08:00: fact"},
		{"it is done", `"activities":[{"id":"b","crew":"electric","labour":{"typical":480},"finished":"2027-03-01T08:00"}]`, "2027-03-02T09:00", "b", "2027-03-03T08:00", "2027-02-26T08:00: fact"},
		{"the inspector needs notice", `"holds":[{"id":"h","notice":2}]`, "2027-03-01T06:40", "h", "2027-03-01T08:00", "2027-03-03T08:00: notice"},
		{"a visit may be moved", `"holds":[{"id":"h","notice":1,"calledIn":"2027-02-26T10:00","visit":"2027-03-04T08:00"}]`, "2027-03-01T06:40", "h", "2027-03-01T08:00", "2027-03-02T08:00: notice"},
		{"behind an agreed visit", `"holds":[{"id":"h","notice":1,"calledIn":"2027-02-26T10:00","visit":"2027-03-04T08:00"}],"activities":[{"id":"b","crew":"electric","labour":{"typical":60}}],"links":[{"id":"l","from":"h","to":"b"}]`,
			"2027-03-01T06:40", "b", "2027-03-02T08:00", "2027-03-04T12:30: link h, visit"},
		{"a visit has begun", `"holds":[{"id":"h","calledIn":"2027-02-26T10:00","visit":"2027-03-01T08:00"}]`, "2027-03-01T09:00", "h", "2027-03-02T08:00", "2027-03-01T08:00: fact"},
		{"goods not ordered", `"orders":[{"id":"o","lead":3}]`, "2027-03-01T06:40", "o", "2027-03-02T08:00", "2027-03-04T08:00: lead"},
		{"goods on their way", `"orders":[{"id":"o","ordered":"2027-02-26","due":"2027-03-05"}]`, "2027-03-01T06:40", "o", "2027-03-02T08:00", "2027-03-05T08:00: lead"},
		{"behind goods", `"orders":[{"id":"o","ordered":"2027-02-26","due":"2027-03-05"}],"activities":[{"id":"b","crew":"electric","labour":{"typical":60}}],"links":[{"id":"l","from":"o","to":"b"}]`,
			"2027-03-01T06:40", "b", "2027-03-02T08:00", "2027-03-05T12:30: link o, lead"},
		{"no time ever", `"activities":[{"id":"b","crew":"electric","with":["owner"],"labour":{"typical":60}}]`, "2027-03-01T06:40", "b", "2027-03-02T08:00", "never: calendar electric"},
		{"behind what finds no time", `"activities":[{"id":"a","crew":"electric","with":["owner"],"labour":{"typical":60}},{"id":"b","crew":"board","labour":{"typical":60}}],"links":[{"id":"l","from":"a","to":"b"}]`,
			"2027-03-01T06:40", "b", "2027-03-02T08:00", "never: link a, calendar electric"},
	} {
		site := small(t, c.doc)
		now, _ := schedule.ParseMinute(c.now)
		wish, _ := schedule.ParseMinute(c.wish)
		e := schedule.EarliestFor(site, now, c.id, wish)
		var chain []string
		for _, r := range e.Chain {
			chain = append(chain, strings.Join(strings.Fields(string(r.Kind)+" "+r.By+" "+r.Who), " "))
		}
		at := "never"
		if e.At < schedule.Never {
			at = e.At.String()
		}
		if got := at + ": " + strings.Join(chain, ", "); got != c.want {
			t.Errorf("%s: %q, want %q", c.what, got, c.want)
		}
	}
}
