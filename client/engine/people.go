package engine

import (
	"encoding/json"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// maxPeople bounds what one act takes from an address book.
const maxPeople = 50

// peopleView lists the hired crews.
func (s *sheet) peopleView() *PeopleView {
	v := &PeopleView{Country: s.site.Country}
	for i := range s.site.Crews {
		if c := &s.site.Crews[i]; !c.Own {
			v.People = append(v.People, Person{ID: c.ID, Name: c.Name, Trade: c.Trade, Contact: c.Contact, Phone: c.Phone, Email: c.Email})
		}
	}
	return v
}

// people takes names and numbers from an address book, all of them or none: one that is not right
// stops the rest, so that nobody has to find out which came in.
func (e *Engine) people(r Request) {
	if !e.mayWrite() {
		return
	}
	var all []Person
	if err := json.Unmarshal(r.Fields["people"], &all); err != nil || len(all) == 0 || len(all) > maxPeople {
		e.refuse("refused.people", "n", itoa(maxPeople))
		return
	}
	var edits []opsync.Edit
	first, added := e.newID(), 0
	for i, p := range all {
		edit, isNew, ok := e.person(p, first+"-"+itoa(i+1))
		if !ok {
			return
		}
		if isNew {
			edit.Set["pos"] = value(e.nextPos("crew") + int32(added))
			added++
		}
		edits = append(edits, edit)
	}
	if n := len(e.site.Crews); n+added > schedule.MaxCrews {
		e.refuse("refused.full", "n", itoa(n), "what", e.words().Say("kind.crew"))
		return
	}
	e.writeAndSay(r, label{"people", itoa(len(all))}, edits)
}

// person is the edit that one entry makes; what it leaves empty stays as it is.
func (e *Engine) person(p Person, newID string) (edit opsync.Edit, isNew, ok bool) {
	fields := map[string]any{}
	for k, v := range map[string]string{"contact": p.Contact, "phone": p.Phone, "email": p.Email} { // any order: a table
		if v = strings.TrimSpace(v); v != "" {
			fields[k] = v
		}
	}
	id := p.ID
	if isNew = id == ""; isNew {
		id, fields["name"], fields["trade"] = newID, strings.TrimSpace(p.Name), p.Trade
	} else if c := e.sheet.crews[id]; c == nil {
		return edit, false, e.refuse("refused.gone")
	}
	edit, why := e.checked("crew", id, fields)
	if why != "" {
		e.refused = strings.TrimSpace(p.Name+": ") + " " + why
		return edit, false, false
	}
	return edit, isNew, true
}
