package template_test

import (
	"encoding/json"
	"os"
	"reflect"
	"testing"

	"batterboard/client/engine/trade"
	"batterboard/schedule"
)

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
		h.Name, h.Agency, h.Ready = "", "", make([]string, len(h.Ready))
	}
	c.Orders = append([]schedule.Order(nil), c.Orders...)
	for i := range c.Orders {
		c.Orders[i].Goods = ""
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
		if n := len(s.Activities); n < 30 || n > 70 {
			t.Errorf("%s: %d activities, want 30 to 70", file, n)
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

// source is where one figure of the templates comes from.
type source struct {
	Row        string    `json:"row"`
	Days       []float64 `json:"days"`
	LagMinutes []int32   `json:"lagMinutes"`
	LeadDays   int32     `json:"leadDays"`
	Mark       string    `json:"mark"`
	Source     string    `json:"source"`
}

// Every figure says where it comes from, and the file beside the templates does not go stale: it
// repeats the figure it speaks of.
func TestEveryFigureHasItsOrigin(t *testing.T) {
	b, err := os.ReadFile("sources.json")
	if err != nil {
		t.Fatal(err)
	}
	var from map[string]source
	if err := json.Unmarshal(b, &from); err != nil {
		t.Fatal(err)
	}
	for i, key := range []string{"one-car", "two-car"} {
		s := read(t, key+".json")
		for _, a := range s.Activities {
			o, ok := from[a.ID]
			if !ok || o.Mark == "" || o.Source == "" {
				t.Fatalf("%s: no origin for the days of %s", key, a.ID)
			}
			if got, want := float64(a.Labour.Typical), o.Days[i]*480*float64(max(1, a.Hands)); a.Hands > 0 && got != want {
				t.Errorf("%s: %s has %v minutes of labour, its origin says %v", key, a.ID, got, want)
			}
		}
		for _, l := range s.Links {
			if o, ok := from[l.ID]; l.Lag != 0 && (!ok || o.Source == "" || o.LagMinutes[i] != l.Lag) {
				t.Errorf("%s: the lag of %s has no origin, or another figure", key, l.ID)
			}
		}
		for _, h := range s.Holds {
			if o := from[h.ID]; o.Source == "" || o.Mark == "" {
				t.Errorf("%s: hold point %s has no origin", key, h.ID)
			}
		}
		for _, r := range s.Orders {
			if o := from[r.ID]; o.Source == "" || o.LeadDays != r.Lead {
				t.Errorf("%s: the lead of %s has no origin, or another figure", key, r.ID)
			}
		}
	}
}
