package opsync

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"batterboard/schedule"
)

// TestShapesKnowEveryFieldOfTheSite holds the table against schedule.Site: every field is in it, and a
// value it lets pass is one that JSON reads into the field.
func TestShapesKnowEveryFieldOfTheSite(t *testing.T) { // SPEC D5
	site := reflect.TypeOf(schedule.Site{})
	seen := map[string]bool{}
	for i := range site.NumField() {
		f := site.Field(i)
		name := jsonName(f)
		if kind := kindOf[name]; kind != "" {
			seen[kind] = true
			checkFields(t, kind, f.Type.Elem())
		} else if name != "id" && name != "format" {
			checkField(t, Head, f)
		}
	}
	for kind := range lists {
		if !seen[kind] {
			t.Errorf("kind %s is not in the site", kind)
		}
		if caps[kind] == 0 {
			t.Errorf("kind %s has no cap", kind)
		}
	}
}

func jsonName(f reflect.StructField) string {
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	return name
}

func checkFields(t *testing.T, kind string, thing reflect.Type) {
	n := 0
	for i := range thing.NumField() {
		if f := thing.Field(i); jsonName(f) != "id" {
			checkField(t, kind, f)
			n++
		}
	}
	if n != len(shapes[kind]) {
		t.Errorf("%s has %d fields, the table %d", kind, n, len(shapes[kind]))
	}
}

func checkField(t *testing.T, kind string, f reflect.StructField) {
	name := jsonName(f)
	fit := shapes[kind][name]
	if fit == nil {
		t.Errorf("no shape for %s.%s", kind, name)
		return
	}
	some := false
	for _, raw := range []string{`"x"`, `""`, `"2027-04-06"`, `"2027-04-06T08:00"`, `"2027-13-06"`, `1`, `-1`, `1.5`, `3000000000`,
		`99999999999999999999`, `true`, `false`, `[]`, `["x"]`, `[1]`, `[["08:00-12:00"]]`, `[["8-12"]]`, `{}`, `{"from":1}`, `{"typical":1}`, `{"typical":"x"}`, `{"from":"x"}`} {
		err := json.Unmarshal([]byte(raw), reflect.New(f.Type).Interface())
		if fit([]byte(raw)) != (err == nil) {
			t.Errorf("%s.%s = %s: the table says %v, JSON says %v", kind, name, raw, !(err == nil), err)
		}
		some = some || err == nil
	}
	if !some {
		t.Errorf("%s.%s: nothing fits", kind, name)
	}
}
