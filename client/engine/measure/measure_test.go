package measure_test

import (
	"testing"

	"batterboard/client/engine/measure"
)

// An inch is 25.4 mm and a pound 453.59237 g exactly (NIST SP 811, appendix B, from memory); everything below is arithmetic.
func TestParse(t *testing.T) {
	for _, c := range []struct {
		text  string
		units measure.Units
		mm    int64
	}{
		{`12' 6"`, "us", 3810}, {"12.5 ft", "us", 3810}, {"3.81 m", "us", 3810}, {"3,81 m", "metric", 3810}, {"381 cm", "us", 3810}, {"3810 mm", "us", 3810},
		{`12'6`, "us", 3810}, {"12-6", "us", 3810}, {"12 ft 6 in", "metric", 3810}, {"12½ ft", "us", 3810}, {"12 1/2'", "us", 3810}, {`150"`, "us", 3810},
		{"12", "us", 3658}, {"3.81", "metric", 3810}, {"381", "metric", 3810}, {"3810", "metric", 3810}, {"3 m 81", "metric", 3810}, {"3 m 81 cm", "us", 3810},
		{"12 pies 6 pulgadas", "us", 3810}, {`7' 5 3/8"`, "us", 2270}, {"22'", "us", 6706}, {"0", "us", 0}, {".5 m", "us", 500},
		{"", "us", -1}, {"six", "us", -1}, {"-3 m", "metric", -1}, {"3..4", "us", -1}, {"12 ft 3 m", "us", -1}, {"99999999", "us", -1}, {"1/0 in", "us", -1}, {"5/4 in", "us", -1}, {"12' 6' 3", "us", -1},
	} {
		got, ok := measure.Parse(c.text, c.units)
		if !ok {
			got = -1
		}
		if got != c.mm {
			t.Errorf("%q (%s) reads as %d, want %d", c.text, c.units, got, c.mm)
		}
	}
}

func TestShow(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{measure.Length(3810, "us", "en"), `12' 6"`}, {measure.Length(3810, "metric", "en"), "3.81 m"}, {measure.Length(6706, "us", "en"), "22'"},
		{measure.Length(0, "us", "en"), `0"`}, {measure.Length(13, "us", "en"), `½"`}, {measure.Length(2743, "us", "en"), "9'"}, {measure.Both(3810, "metric", "es"), `3.81 m (12' 6")`},
		{measure.Area(6706*6706, "us", "en"), "484 sq ft"}, {measure.Area(6706*6706, "metric", "es"), "45.0 m²"}, {measure.Weight(32, "us"), "70 lb"}, {measure.Weight(45, "us"), "100 lb"}, {measure.Weight(3450, "us"), "7605 lb"},
		{measure.Weight(60, "metric"), "60 kg"}, {measure.Temp(211, "us"), "70 °F"}, {measure.Temp(-400, "us"), "-40 °F"}, {measure.Temp(-400, "metric"), "-40 °C"},
	} {
		if c.got != c.want {
			t.Errorf("shows %s, want %s", c.got, c.want)
		}
	}
}

// What is shown can be typed again, and comes within the half inch or centimetre it is shown to.
func TestShownIsTyped(t *testing.T) {
	for mm := int64(0); mm < 20_000; mm += 7 {
		for _, u := range []measure.Units{measure.US, measure.Metric} {
			got, ok := measure.Parse(measure.Length(mm, u, "en"), u)
			if d := got - mm; !ok || d > 7 || d < -7 {
				t.Fatalf("%d mm is shown as %s, which reads as %d (%v)", mm, measure.Length(mm, u, "en"), got, ok)
			}
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add(`12' 6"`)
	f.Fuzz(func(t *testing.T, s string) {
		if mm, ok := measure.Parse(s, measure.US); ok && (mm < 0 || mm > 10_000_000) {
			t.Fatalf("%q reads as %d", s, mm)
		}
	})
}

// Every five pounds that somebody writes come back as they were written, though the site keeps whole kilograms.
func TestPoundsComeBack(t *testing.T) {
	for lb := int64(0); lb <= 20_000; lb += 5 {
		if got := measure.Pounds(measure.Kilograms(lb)); got != lb {
			t.Fatalf("%d lb came back as %d", lb, got)
		}
	}
	for kg := int64(0); kg <= 9_000; kg++ {
		if got := measure.Kilograms(measure.Pounds(kg)); got != kg {
			t.Fatalf("%d kg came back as %d", kg, got)
		}
	}
}
