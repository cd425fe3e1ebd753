package engine

import "testing"

// Syntax and bounds after RFC 5870, sections 3.3 and 3.4.2; the first two are its own examples (section 6).
func TestPlacesAsLinks(t *testing.T) {
	for in, want := range map[string]string{"48.2010,16.3695": "geo:48.2010,16.3695", "13.4125,103.8667": "geo:13.4125,103.8667",
		"-37.786971, 122.399677": "geo:-37.786971,122.399677", "90,180": "geo:90,180", "-90.0,-180.00": "geo:-90.0,-180.00",
		"": "", "48.2": "", "91,0": "", "90.1,0": "", "0,180.5": "", "1e1,2": "", "48.2,16.3,183": "", "a,b": "", ".5,1": "", "1.,2": "",
		"48.123456789,1": "", "javascript:1,1": "", "--1,2": "", "1;u=3,2": ""} {
		if got := geoURI(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}
