package main

import (
	"net/http"
	"strconv"

	"batterboard/client/engine"
	"batterboard/schedule"
)

// The owner's calendar: one event for each piece of work, visit and delivery, from its start to its
// end, over nights too, so that what waits for it can be tied to it (RFC 9253).

// relType is how a link is called there. The property stands in the event that comes first and names
// the one that waits, as in the figures of section 4 (from memory, and as other programs read it).
var relType = map[schedule.LinkKind]string{schedule.FS: "FINISHTOSTART", schedule.SS: "STARTTOSTART", schedule.FF: "FINISHTOFINISH", schedule.SF: "STARTTOFINISH"}

func ownUID(site, id string) string { return icsUID(site, "own "+id, 0) } // an ID has no blank: no visit of a crew is called so

// ownFeedOf makes the events of the owner's calendar by UID.
func ownFeedOf(v engine.OwnDays, site string) map[string]feedEvent {
	events := map[string]feedEvent{}
	known := map[string]bool{}
	for _, d := range v.Days {
		known[d.ID] = true
	}
	for _, d := range v.Days {
		if len(events) >= maxFeed {
			break
		}
		state := "TENTATIVE"
		if d.Sure {
			state = "CONFIRMED"
		}
		end := d.End
		if end <= d.Start {
			end = d.Start + 30 // something that takes no time still has to be seen
		}
		lines := []string{"DTSTART" + icsTime(d.Start, v.Zone), "DTEND" + icsTime(end, v.Zone)}
		if d.Whole { // the end of a day is the day after, exclusive (RFC 5545, section 3.6.1)
			lines = []string{"DTSTART;VALUE=DATE:" + icsDate(d.Start.Day()), "DTEND;VALUE=DATE:" + icsDate(d.End.Day()), "TRANSP:TRANSPARENT"}
		}
		about := crewWordsIn(v.Lang).Slow
		if d.Place != "" {
			about = d.Place + "\n" + about
		}
		lines = append(lines, "SUMMARY:"+icsText(d.Name), "DESCRIPTION:"+icsText(about))
		if v.Address != "" {
			lines = append(lines, "LOCATION:"+icsText(v.Address))
		}
		for _, n := range d.Next {
			if rel := relType[n.Kind]; rel != "" && known[n.ID] {
				lines = append(lines, "RELATED-TO;RELTYPE="+rel+icsGap(n.Lag)+":"+ownUID(site, n.ID))
			}
		}
		events[ownUID(site, d.ID)] = feedEvent{Lines: lines, State: state}
	}
	return events
}

func icsDate(d schedule.Day) string {
	y, m, day := d.Date()
	return strconv.Itoa(y*10000 + int(m)*100 + day)
}

// icsGap is the lag or lead of a link as a GAP parameter (RFC 9253, section 6.2; the form is RFC 5545's,
// section 3.3.6). The standard knows no working time: there the minutes are those that are worked.
func icsGap(lag int32) string {
	if lag == 0 {
		return ""
	}
	sign := ""
	if lag < 0 {
		sign, lag = "-", -lag
	}
	h, m := int(lag/60), int(lag%60)
	out := ";GAP=" + sign + "PT"
	if h > 0 {
		out += strconv.Itoa(h) + "H"
	}
	if m > 0 {
		out += strconv.Itoa(m) + "M"
	}
	return out
}

// feedLink makes the address of the owner's calendar.
func (s *server) feedLink(w http.ResponseWriter, q *http.Request) error {
	in, err := s.linkWriter(q)
	if err != nil {
		return err
	}
	code, until, err := s.store.addCrewLink(in.Site, ownCalendar, in.Anew, s.now())
	if err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]any{"url": s.base(q) + "/c/" + code + "/days.ics", "until": until.UnixMilli()})
	return nil
}

// feedUnlink takes the addresses of the owner's calendar back.
func (s *server) feedUnlink(w http.ResponseWriter, q *http.Request) error {
	in, err := s.linkWriter(q)
	if err != nil {
		return err
	}
	if err := s.store.dropCrewLinks(in.Site, ownCalendar); err != nil {
		return err
	}
	writeJSON(w, http.StatusOK, map[string]any{"ok": true})
	return nil
}
