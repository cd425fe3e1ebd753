package engine

import (
	"encoding/json"
	"strings"
	"testing"
)

func bring(t *testing.T, e *Engine, people string) *View {
	t.Helper()
	return do(t, e, Request{Do: "people", Screen: "people", Fields: map[string]json.RawMessage{"people": json.RawMessage(people)}}).View
}

func (v *View) person(name string) *Person {
	for i := range v.People.People {
		if p := &v.People.People[i]; p.Name == name {
			return p
		}
	}
	return nil
}

func TestNamesFromAnAddressBookComeInTogether(t *testing.T) {
	e := openDemo(t, "en")
	v := bring(t, e, `[{"name":"New Tile","contact":"Rosa","phone":"+12135550110","email":"rosa@example.net"},{"name":"New Roof"},{"id":"electric","name":"x","email":"sparks@example.net"}]`)
	if v.Refused != "" {
		t.Fatal(v.Refused)
	}
	tile := v.person("New Tile")
	if tile == nil || tile.Contact != "Rosa" || tile.Phone != "+12135550110" || tile.Email != "rosa@example.net" || v.person("New Roof") == nil || tile.ID == v.person("New Roof").ID {
		t.Fatalf("%+v", v.People)
	}
	el := v.person("Electric")
	if el == nil || el.Email != "sparks@example.net" || el.Phone == "" || v.person("x") != nil {
		t.Errorf("what an entry leaves empty, and a crew's own name, stay: %+v", el)
	}
	for _, p := range v.People.People {
		if p.Name == "" || e.sheet.own(p.ID) {
			t.Errorf("%+v is nobody to ring", p)
		}
	}
	// One act, one undo.
	do(t, e, Request{Do: "undo", Screen: "people"})
	w := show(t, e, "people", "")
	if w.person("New Tile") != nil || w.person("New Roof") != nil || w.person("Electric").Email == "sparks@example.net" {
		t.Errorf("after one undo: %+v", w.People)
	}
}

func TestAnAddressBookIsAStranger(t *testing.T) {
	e := openDemo(t, "en")
	before := len(e.phone.Log.Ops())
	for name, people := range map[string]string{
		"nothing": `[]`, "no list": `{"a":1}`, "no JSON": `"x`, "a gone crew": `[{"id":"nobody","name":"x"}]`, "no name": `[{"name":" "}]`, "a number that is none": `[{"name":"Fine"},{"name":"Bad","phone":"call me"}]`,
		"a long name": `[{"name":"` + strings.Repeat("x", 500) + `"}]`, "many": "[" + strings.TrimSuffix(strings.Repeat(`{"name":"n"},`, maxPeople+1), ",") + "]",
	} {
		if name == "no JSON" {
			continue // cannot cross the bridge at all
		}
		if v := bring(t, e, people); v.Refused == "" {
			t.Errorf("%s was taken", name)
		}
	}
	if len(e.phone.Log.Ops()) != before {
		t.Error("something was written")
	}
}
