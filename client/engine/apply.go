package engine

import (
	"encoding/json"
	"errors"
	"reflect"
	"strings"

	"batterboard/schedule"
	opsync "batterboard/sync"
)

// This file applies edits to a decoded site, for what-ifs and for looking at an edit before it is
// written. The log's own fold is in sync; a test compares the two.

// list is the list of the site that holds each kind of thing.
func list(site *schedule.Site, kind string) reflect.Value {
	all, _ := fieldOf(reflect.ValueOf(site).Elem(), opsync.ListOf(kind))
	return all
}

// kinds are the things one can add by hand, in the order the set-up shows them.
var kinds = []string{"activity", "crew", "link", "hold", "order", "place", "away", "shut", "opening", "note"}

// thing finds a thing of a site as a settable struct.
func thing(site *schedule.Site, kind, id string) (reflect.Value, bool) {
	if kind == "site" {
		return reflect.ValueOf(site).Elem(), true
	}
	all := list(site, kind)
	if !all.IsValid() {
		return reflect.Value{}, false
	}
	field, _ := all.Type().Elem().FieldByName("ID") // found once: a site has hundreds of links
	for i := range all.Len() {
		if all.Index(i).FieldByIndex(field.Index).String() == id {
			return all.Index(i), true
		}
	}
	return reflect.Value{}, false
}

var errField = errors.New("no such field")

// applied returns a copy of the site with the edits in it. The site itself stays as it is.
func applied(site *schedule.Site, edits []opsync.Edit) (*schedule.Site, error) {
	c := copySite(site)
	for _, e := range edits {
		t, ok := thing(c, e.Thing, e.ID)
		if e.Gone != nil && *e.Gone {
			if ok {
				drop(c, e.Thing, e.ID)
			}
			continue
		}
		if !ok {
			all := list(c, e.Thing)
			if !all.IsValid() {
				return nil, errField
			}
			all.Set(reflect.Append(all, reflect.Zero(all.Type().Elem())))
			t = all.Index(all.Len() - 1)
			t.FieldByName("ID").SetString(e.ID)
		}
		for name, raw := range e.Set {
			if err := setField(t, name, raw); err != nil {
				return nil, err
			}
		}
	}
	return c, nil
}

// copySite copies the lists, so that things can be changed, added and dropped without touching the
// original. Slices within things are shared: setField never writes into them.
func copySite(site *schedule.Site) *schedule.Site {
	c := *site
	v := reflect.ValueOf(&c).Elem()
	for i := range v.NumField() {
		if f := v.Field(i); f.Kind() == reflect.Slice {
			f.Set(reflect.AppendSlice(reflect.MakeSlice(f.Type(), 0, f.Len()+4), f))
		}
	}
	return &c
}

func drop(site *schedule.Site, kind, id string) {
	all := list(site, kind)
	out := reflect.MakeSlice(all.Type(), 0, all.Len())
	for i := range all.Len() {
		if all.Index(i).FieldByName("ID").String() != id {
			out = reflect.Append(out, all.Index(i))
		}
	}
	all.Set(out)
}

// setField sets one field of a thing by its name in the site file; null clears it.
func setField(t reflect.Value, name string, raw json.RawMessage) error {
	f, ok := fieldOf(t, name)
	if !ok {
		return errField
	}
	fresh := reflect.New(f.Type())
	if string(raw) != "null" {
		if err := json.Unmarshal(raw, fresh.Interface()); err != nil {
			return err
		}
	}
	f.Set(fresh.Elem())
	return nil
}

func fieldOf(t reflect.Value, name string) (reflect.Value, bool) {
	typ := t.Type()
	for i := range typ.NumField() {
		tag, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
		if tag == name && tag != "id" {
			return t.Field(i), true
		}
	}
	return reflect.Value{}, false
}

// readSite decodes a folded document. Values that another phone wrote in a form this program cannot
// read are left out field by field: a stranger's value never takes the plan away.
func readSite(doc []byte) *schedule.Site {
	site := new(schedule.Site)
	if json.Unmarshal(doc, site) == nil {
		return site
	}
	*site = schedule.Site{}
	var fields map[string]json.RawMessage
	if json.Unmarshal(doc, &fields) != nil {
		return site
	}
	v := reflect.ValueOf(site).Elem()
	typ := v.Type()
	for i := range typ.NumField() {
		name, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
		raw, ok := fields[name]
		if !ok {
			continue
		}
		if elem := typ.Field(i).Type; elem.Kind() == reflect.Slice && elem.Elem().Kind() == reflect.Struct {
			v.Field(i).Set(readThings(elem, raw))
		} else {
			_ = setField(v, name, raw)
		}
	}
	return site
}

func readThings(typ reflect.Type, raw json.RawMessage) reflect.Value {
	out := reflect.MakeSlice(typ, 0, 0)
	var things []map[string]json.RawMessage
	if json.Unmarshal(raw, &things) != nil {
		return out
	}
	for _, fields := range things {
		t := reflect.New(typ.Elem()).Elem()
		var id string
		if json.Unmarshal(fields["id"], &id) != nil || id == "" {
			continue
		}
		t.FieldByName("ID").SetString(id)
		for name, value := range fields {
			_ = setField(t, name, value)
		}
		out = reflect.Append(out, t)
	}
	return out
}
