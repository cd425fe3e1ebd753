package template_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"reflect"
	"strings"
	"testing"

	"batterboard/client/engine/template"
	"batterboard/client/engine/trade"
	"batterboard/schedule"
)

var update = flag.Bool("update", false, "write the plans of the sizes anew; read the difference")

// The files beside this test are what the answers of the two sizes come to: a picture of the rules, to be
// read in review.
func TestSizesComeToTheirFiles(t *testing.T) {
	for _, key := range template.Keys {
		for _, lang := range []string{"en", "es"} {
			file := key + ".json"
			if lang == "es" {
				file = key + ".es.json"
			}
			got := lined(t, template.Document(key, lang))
			if *update {
				if err := os.WriteFile(file, got, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got, want) {
				t.Errorf("%s is not what its answers come to; run with -update and read the difference", file)
			}
		}
	}
	if template.Document("three-car", "en") != nil {
		t.Error("a size that is not there has a plan")
	}
}

// lined writes each thing of a site on a line of its own.
func lined(t *testing.T, doc []byte) []byte {
	t.Helper()
	site, err := schedule.ParseSite(doc)
	if err != nil {
		t.Fatal(err)
	}
	for i := range site.Orders { // how much of it is the take-off's, and proved there
		site.Orders[i].Quantity, site.Orders[i].WeightKg = "", 0
	}
	if doc, err = json.Marshal(site); err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := json.Compact(&b, doc); err != nil {
		t.Fatal(err)
	}
	s := strings.ReplaceAll(b.String(), `},{"id"`, "},\n  {\"id\"")
	for _, list := range []string{"crews", "places", "activities", "links", "holds", "orders", "answers"} {
		s = strings.Replace(s, `,"`+list+`":[`, ",\n \""+list+"\": [\n  ", 1)
	}
	return []byte(s + "\n")
}

func read(t *testing.T, file string) *schedule.Site {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	s, err := schedule.ParseSite(b)
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return s
}

// numbersOnly is a site without the words that a language changes.
func numbersOnly(s *schedule.Site) *schedule.Site {
	c := *s
	c.Name, c.Lang = "", ""
	c.Crews = append([]schedule.Crew(nil), c.Crews...)
	for i := range c.Crews {
		c.Crews[i].Name, c.Crews[i].Lang = "", ""
	}
	c.Places = append([]schedule.Place(nil), c.Places...)
	for i := range c.Places {
		c.Places[i].Name = ""
	}
	c.Activities = append([]schedule.Activity(nil), c.Activities...)
	for i := range c.Activities {
		a := &c.Activities[i]
		a.Name, a.Scope, a.Bring, a.Ready = "", "", "", ""
	}
	c.Links = append([]schedule.Link(nil), c.Links...)
	for i := range c.Links {
		c.Links[i].Why = ""
	}
	c.Holds = append([]schedule.Hold(nil), c.Holds...)
	for i := range c.Holds {
		h := &c.Holds[i]
		h.Name, h.Agency, h.Code, h.Ready = "", "", "", make([]string, len(h.Ready))
	}
	c.Orders = append([]schedule.Order(nil), c.Orders...)
	for i := range c.Orders {
		c.Orders[i].Goods, c.Orders[i].Quantity = "", ""
	}
	return &c
}

func TestBothLanguagesAreOneTemplate(t *testing.T) {
	for _, key := range []string{"one-car", "two-car"} {
		en, es := read(t, key+".json"), read(t, key+".es.json")
		if !reflect.DeepEqual(numbersOnly(en), numbersOnly(es)) {
			t.Errorf("%s: English and Spanish differ in more than words", key)
		}
		for i, a := range en.Activities {
			if b := es.Activities[i]; a.Name == b.Name || a.Scope == b.Scope {
				t.Errorf("%s: %s is not translated", key, a.ID)
			}
		}
	}
}

func TestTemplatesStandAlone(t *testing.T) {
	for _, file := range []string{"one-car.json", "one-car.es.json", "two-car.json", "two-car.es.json"} {
		s := read(t, file)
		if n := len(s.Activities); n < 30 || n > 80 {
			t.Errorf("%s: %d activities, want 30 to 80", file, n)
		}
		if p := s.Problems(); len(p) != 0 {
			t.Errorf("%s: %v", file, p)
		}
		// A template is nobody's job yet: no dates, no people, no town.
		for _, a := range s.Activities {
			if a.Started != 0 || a.Finished != 0 || a.Laid != 0 || a.ToldStart != 0 || a.Booking != schedule.Pencilled {
				t.Errorf("%s: %s carries a date or a booking", file, a.ID)
			}
			for _, c := range a.Cautions {
				if _, ok := trade.ByID(c); !ok {
					t.Errorf("%s: %s names the unknown caution %q", file, a.ID, c)
				}
			}
			if r := a.Labour; r.Typical > 0 && (r.Low <= 0 || r.Low > r.Typical || r.High < r.Typical) {
				t.Errorf("%s: %s has labour %+v; low, typical and high must be in order", file, a.ID, r)
			}
		}
		for _, c := range s.Crews {
			if c.Phone != "" || c.Contact != "" || c.Email != "" {
				t.Errorf("%s: crew %s has somebody's contact", file, c.ID)
			}
		}
		if s.Start != 0 || s.Address != "" {
			t.Errorf("%s: has a start or an address", file)
		}
	}
}
