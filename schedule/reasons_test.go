package schedule_test

import (
	"slices"
	"sort"
	"testing"

	"batterboard/schedule"
	"batterboard/schedule/check"
	"batterboard/schedule/randsite"
)

// sooner is the last place of work before the one at m; 0 when there is none for a month.
func (c *clockwork) sooner(id string, m schedule.Minute) schedule.Minute {
	n := c.hoursOf(c.site.Activity(id)).n
	for i := c.at(m); i > c.at(m-30*schedule.MinutesPerDay); { // from one open minute back to the one before
		i = sort.Search(i, func(k int) bool { return n[k] >= n[i] }) - 1
		if i < 0 {
			return 0
		}
		if at := c.origin + schedule.Minute(i); c.fits(id, at) != 0 {
			return at
		}
	}
	return 0
}

// TestReasonsBind: what is said to keep work from starting sooner does. Put where it could lie just before, with
// everything else where it is, the checker finds that very link, crew, place or date broken; where a calendar is
// to blame, the crews have no hours in between, and the site has.
func TestReasonsBind(t *testing.T) {
	t.Parallel()
	shape := randsite.Shape{Activities: 12, Holds: 3, Orders: 2, Crews: 3, Places: 2}
	fault := map[schedule.ReasonKind]string{schedule.BecauseStart: "date", schedule.BecauseDate: "date", schedule.BecauseNow: "past",
		schedule.BecauseLink: "link", schedule.BecauseCrew: "crew", schedule.BecausePlace: "place"}
	tried := map[schedule.ReasonKind]int{}
	for n := range sites(10) {
		shape.Odd, shape.Noise = n%2 == 1, n%4 > 1
		site, now := randsite.Site(n, shape)
		plan := schedule.Lay(site, now)
		c := newClockwork(t, site, now)
		for i := range plan.Lines {
			l := plan.Lines[i]
			a, r := site.Activity(l.ID), l.Because
			if a == nil || l.Frozen || l.Start >= schedule.Never || l.Start == l.Finish || l.Start > now+60*schedule.MinutesPerDay {
				continue
			}
			bad := func(why string) {
				show(t, site, plan)
				t.Fatalf("site %d: %s starts %s because of %+v: %s", n, l.ID, l.Start, r, why)
			}
			held := l.Start
			if k := site.Link(r.Link); k != nil && (k.Kind == schedule.FF || k.Kind == schedule.SF) {
				held = l.Finish
			}
			if r.At > held {
				bad("that lets go later")
			}
			hours := c.hoursOf(a).n
			switch r.Kind {
			case schedule.BecauseLaid:
				if anchor := a.Laid; anchor != r.At && (a.Laid != 0 || a.ToldStart != r.At) {
					bad("it was not laid to that")
				}
				continue
			case schedule.BecauseCalendar, schedule.BecauseWeather, schedule.BecauseNoise:
				from, home := max(r.At, now), hours
				home, _ = c.counts(nil, false, false)
				if home[c.at(l.Start)] == home[c.at(from)] {
					bad("the site does not work in between either")
				}
				loud := a.Noisy && site.Noise != nil
				if r.Kind == schedule.BecauseNoise {
					quiet, _ := c.counts(c.crewsOf(a), a.Outdoor, false)
					if !loud || quiet[c.at(l.Start)] == quiet[c.at(from)] || hours[c.at(l.Start)] != hours[c.at(from)] {
						bad("quiet work would not be done there either")
					}
				} else if r.Kind == schedule.BecauseWeather {
					dry, _ := c.counts(c.crewsOf(a), false, loud)
					if !a.Outdoor || dry[c.at(l.Start)] == dry[c.at(from)] {
						bad("nobody would work there in the dry")
					}
				} else if crews := c.crewsOf(a); len(crews) > 0 && !slices.Contains(crews, r.Who) {
					bad("that crew has nothing to do with it")
				}
				if before := c.sooner(l.ID, l.Start); before >= r.At && before != 0 {
					bad("it could lie at " + before.String())
				}
				tried[r.Kind]++
				continue
			}
			before := c.sooner(l.ID, l.Start)
			kind, ok := fault[r.Kind]
			if before == 0 || !ok {
				continue
			}
			p := *plan
			p.Lines = slices.Clone(plan.Lines)
			p.Lines[i].Start, p.Lines[i].Finish = before, c.fits(l.ID, before)
			faults := check.Plan(site, &p)
			found := slices.ContainsFunc(faults, func(f check.Fault) bool {
				switch {
				case f.Kind != kind:
					return false
				case r.Kind == schedule.BecauseLink:
					return f.IDs[0] == r.Link && site.Link(r.Link).From == r.By && site.Link(r.Link).To == l.ID
				case r.Kind == schedule.BecauseCrew:
					return slices.Contains(c.crewsOf(a), r.Who) && slices.Contains(c.crewsOf(site.Activity(r.By)), r.Who)
				case r.Kind == schedule.BecausePlace:
					return a.Place == r.Who && site.Activity(r.By).Place == r.Who
				}
				return slices.Contains(f.IDs, l.ID)
			})
			if !found {
				bad("at " + before.String() + " nothing of that kind is broken: " + said(faults))
			}
			tried[r.Kind]++
		}
	}
	fault[schedule.BecauseCalendar], fault[schedule.BecauseWeather], fault[schedule.BecauseNoise] = "", "", ""
	for kind := range fault {
		if tried[kind] == 0 && !testing.Short() {
			t.Errorf("nothing starts when it does because of %s", kind)
		}
	}
	t.Logf("%v", tried)
}

func said(faults []check.Fault) (s string) {
	for _, f := range faults {
		s += f.String() + "; "
	}
	return s
}
