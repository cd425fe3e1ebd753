package engine

import "batterboard/schedule"

// ChangedView is what the little forms behind "Something changed" choose from.
type ChangedView struct {
	Works  []ChangedWork  `json:"works"`  // not finished, soonest first
	Orders []ChangedOrder `json:"orders"` // not here yet, or with work waiting behind
	Holds  []ChangedHold  `json:"holds"`  // not signed
	Crews  []ChangedCrew  `json:"crews"`
	Places []Choice       `json:"places"`
	Ahead  []Choice       `json:"ahead"` // what new work may be put in front of, by date
	All    []Choice       `json:"all"`   // what it may come behind: also what is done, newest last
	Days   []ChangedDay   `json:"days"`  // the coming working days
	Back   schedule.Day   `json:"back,omitzero"`
	Finish schedule.Day   `json:"finish,omitzero"` // the last day of the plan as it is
}

// ChangedCrew says how much work of one person a day of the crew is, in minutes.
type ChangedCrew struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	PerDay int32  `json:"perDay"`
}

type ChangedWork struct {
	ID     string         `json:"id"`
	Name   string         `json:"name"`
	Crew   string         `json:"crew"`
	Who    string         `json:"who"`
	Trade  string         `json:"trade"`
	When   string         `json:"when"`
	Place  string         `json:"place"`
	Labour schedule.Range `json:"labour"`
	PerDay int32          `json:"perDay"` // minutes of one person that one day of its crew is
	Behind []string       `json:"behind"` // what directly waits for it and has not begun
}

type ChangedOrder struct {
	ID    string       `json:"id"`
	Name  string       `json:"name"`
	Who   string       `json:"who"`
	When  string       `json:"when"`
	Day   schedule.Day `json:"day"` // when it comes, as planned
	Here  bool         `json:"here"`
	Later []Day        `json:"later"` // working days after that, or from today where it has come
	Needs []Choice     `json:"needs"` // work behind it that has not begun
}

type ChangedHold struct {
	ID     string        `json:"id"`
	Name   string        `json:"name"`
	When   string        `json:"when"`
	Visits []VisitChoice `json:"visits"` // windows one may move the visit to
}

type ChangedDay struct {
	Day     Day `json:"day"`
	Outdoor int `json:"outdoor"` // how much outdoor work lies on it
}

// changedDays is how far ahead the chips for bad weather go.
const changedDays = 8

func (s *sheet) changedView() *ChangedView {
	v := &ChangedView{Back: s.site.Back, Finish: lastDay(0, s.plan.Finish)}
	for _, id := range s.byStart() {
		l := s.lines[id]
		if l.Start >= schedule.Never {
			continue
		}
		named := Choice{ID: id, Name: s.name(id) + " · " + s.lineDays(id)}
		v.All = append(v.All, named)
		switch a, h, o := s.acts[id], s.holds[id], s.orders[id]; {
		case a != nil && a.Finished == 0:
			if a.Labour.Typical > 0 {
				v.Works = append(v.Works, s.changedWork(a, l))
			}
			if a.Started == 0 {
				v.Ahead = append(v.Ahead, named)
			}
		case h != nil && h.Result != schedule.Pass:
			v.Holds = append(v.Holds, ChangedHold{ID: id, Name: h.Name, When: s.holdStatus(h, l), Visits: s.laterVisits(h, l)})
			v.Ahead = append(v.Ahead, named)
		case o != nil:
			if x := s.changedOrder(o, l); !x.Here || len(x.Needs) > 0 {
				v.Orders = append(v.Orders, x)
			}
		}
	}
	for _, c := range s.site.Crews {
		v.Crews = append(v.Crews, ChangedCrew{ID: c.ID, Name: c.Name, PerDay: int32(s.dayOfCrew(c.ID)) * max(c.Size, 1)})
	}
	for _, p := range s.site.Places {
		v.Places = append(v.Places, Choice{ID: p.ID, Name: p.Name})
	}
	for d := s.today(); d < s.today()+30 && len(v.Days) < changedDays; d++ {
		if s.siteDay(d) {
			v.Days = append(v.Days, ChangedDay{Day: s.day(d), Outdoor: s.outdoorOn(d)})
		}
	}
	return v
}

func (s *sheet) changedWork(a *schedule.Activity, l *schedule.Line) ChangedWork {
	w := ChangedWork{ID: a.ID, Name: a.Name, Crew: a.Crew, Who: or(s.crewName(a.Crew), s.w.Say("nobody")), Trade: s.trade(a.Crew),
		When: s.days(l.Start, l.Finish), Place: a.Place, Labour: a.Labour, PerDay: int32(s.minutesPerDay(a.ID)) * s.hands(a)}
	for _, k := range s.from[a.ID] {
		if b := s.acts[k.To]; !s.done(k.To) && s.isNode(k.To) && (b == nil || b.Started == 0) {
			w.Behind = append(w.Behind, k.To)
		}
	}
	return w
}

func (s *sheet) changedOrder(o *schedule.Order, l *schedule.Line) ChangedOrder {
	v := ChangedOrder{ID: o.ID, Name: o.Goods, Who: o.Supplier, When: s.orderStatus(o, l), Day: max(l.Start.Day(), s.today()), Here: o.Arrived != 0}
	v.Later = s.nextDays(v.Day, 6)
	for _, k := range s.from[o.ID] {
		if a := s.acts[k.To]; a != nil && a.Started == 0 && a.Finished == 0 {
			v.Needs = append(v.Needs, Choice{ID: a.ID, Name: a.Name})
		}
	}
	return v
}

// nextDays are the n working days of the site after d.
func (s *sheet) nextDays(d schedule.Day, n int) (out []Day) {
	for x := d + 1; x < d+60 && len(out) < n; x++ {
		if s.siteDay(x) {
			out = append(out, s.day(x))
		}
	}
	return out
}

// laterVisits are the windows a visit may be moved to: those one may call in for, but the present one.
func (s *sheet) laterVisits(h *schedule.Hold, l *schedule.Line) (out []VisitChoice) {
	for _, v := range s.visitChoices(h, l) {
		if v.At != l.Start {
			out = append(out, v)
		}
	}
	return out
}

// dayOfCrew is the working time of a crew's usual day, never zero.
func (s *sheet) dayOfCrew(crew string) int64 { return longestDay(s.hours(crew)) }

func (s *sheet) outdoorOn(d schedule.Day) (n int) {
	for i := range s.site.Activities {
		a := &s.site.Activities[i]
		if l := s.lines[a.ID]; a.Outdoor && a.Finished == 0 && l != nil && l.Start < schedule.Never {
			if _, _, on := s.onDay(a.Crew, l, d); on {
				n++
			}
		}
	}
	return n
}
