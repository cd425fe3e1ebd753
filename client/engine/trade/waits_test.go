package trade_test

import (
	"math"
	"testing"

	"batterboard/client/engine/trade"
)

func TestEveryWaitIsWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, w := range trade.Waits() {
		if w.ID == "" || seen[w.ID] {
			t.Errorf("wait %q: no ID, or the ID twice", w.ID)
		}
		seen[w.ID] = true
		if w.After.En == "" || w.After.Es == "" || w.Before.En == "" || w.Before.Es == "" || w.Source == "" || w.Mark == "" {
			t.Errorf("wait %s: something is missing: %+v", w.ID, w)
		}
		if w.Low <= 0 || w.Low > w.Typical || w.Typical > w.High {
			t.Errorf("wait %s: %d, %d, %d min are not in order", w.ID, w.Low, w.Typical, w.High)
		}
		if w.Clock != "always" {
			t.Errorf("wait %s does not run at night: %q", w.ID, w.Clock)
		}
		marked(t, "wait "+w.ID, w.Source, w.Mark)
	}
}

// Worked cases. All from memory: a board maker's drying table, of which these are rows or neighbours.
func TestCoatDries(t *testing.T) {
	for _, c := range []struct {
		tempF, humidity int32
		hours           float64
	}{
		{60, 50, 24}, {70, 50, 17}, {72, 45, 14.5}, {60, 0, 13}, {80, 50, 12}, {100, 50, 6}, {40, 50, 48}, {32, 50, 72}, {70, 20, 11}, {60, 40, 20},
	} {
		s := trade.CoatDries(trade.Air{TempF: c.tempF, Humidity: c.humidity}, 0)
		if got := float64(s.Typical) / 60; math.Abs(got-c.hours) > c.hours*.16 {
			t.Errorf("%d F, %d %%: %.1f h, the table says %.1f", c.tempF, c.humidity, got, c.hours)
		}
		if c.humidity >= 45 && c.tempF >= 60 && c.tempF <= 72 && math.Abs(float64(s.Typical)/60-c.hours) > .3 {
			t.Errorf("%d F, %d %%: %d min, the worked case says %.1f h", c.tempF, c.humidity, s.Typical, c.hours)
		}
		if s.Mark != trade.FromMemory {
			t.Errorf("the formula is marked %s", s.Mark)
		}
	}
}

// The two tables of factors are what their formulas say: saturation pressure by Magnus,
// 6.112 exp(17.62 t / (243.12 + t)), and the room that the air has left to the power of -0.9.
func TestFactorsAreTheirFormula(t *testing.T) {
	psat := func(f float64) float64 { c := (f - 32) / 1.8; return 6.112 * math.Exp(17.62*c/(243.12+c)) }
	for f := int32(32); f <= 100; f++ {
		for h := int32(0); h <= 98; h++ {
			want := 1440 * psat(60) / psat(float64(f)) * math.Pow((1-float64(h)/100)/.5, -.9)
			if got := float64(trade.CoatDries(trade.Air{TempF: f, Humidity: h}, 0).Typical); math.Abs(got-want) > 2 {
				t.Fatalf("%d F, %d %%: %v min, the formula gives %.1f", f, h, got, want)
			}
		}
	}
}

// Warmer never lengthens, wetter and thicker never shorten, whatever is read off the meter.
func TestDryingLaws(t *testing.T) {
	for f := int32(-40); f <= 140; f++ {
		for h := int32(-5); h <= 110; h++ {
			here := trade.CoatDries(trade.Air{TempF: f, Humidity: h}, 0).Typical
			if trade.CoatDries(trade.Air{TempF: f + 1, Humidity: h}, 0).Typical > here ||
				trade.CoatDries(trade.Air{TempF: f, Humidity: h + 1}, 0).Typical < here ||
				trade.CoatDries(trade.Air{TempF: f, Humidity: h}, 5).Typical < here {
				t.Fatalf("%d F, %d %%: %d min breaks a law", f, h, here)
			}
		}
	}
}

// A 4 in slab cured for 7 days: no floor that minds moisture before about day 127 without a test.
// Construction Specifier: 28-30 days for each inch; curing from memory.
func TestSlabDries(t *testing.T) {
	s := trade.SlabDries(4 * 8)
	if day := 7 + s.Typical/(24*60); day != 127 {
		t.Errorf("day %d, want 127", day)
	}
	if low := 7 + s.Low/(24*60); low != 119 {
		t.Errorf("at the low end day %d, want 119", low)
	}
}

func TestFahrenheit(t *testing.T) {
	for c, f := range map[int32]int32{0: 32, 1000: 212, -400: -40, 211: 70, 156: 60, -180: 0, -600: -76} {
		if got := trade.Fahrenheit(c); got != f {
			t.Errorf("%d tenths of a degree Celsius: %d F, want %d", c, got, f)
		}
	}
}

// E05, E01, E02 as they come out of a plan: 14.5 h, a day, 17 h.
func TestWaitsAsPlanned(t *testing.T) {
	for _, c := range []struct{ tempF, humidity, minutes int32 }{{60, 50, 24 * 60}, {70, 50, 17 * 60}, {72, 45, 14*60 + 30}} {
		s, ok := trade.WaitFor(trade.Coat, trade.Air{TempF: c.tempF, Humidity: c.humidity}, 4)
		if got := trade.Rounded(s.Typical); !ok || got != c.minutes {
			t.Errorf("%d F, %d %%: %d min, want %d", c.tempF, c.humidity, got, c.minutes)
		}
	}
	// E17: cured 7 days, then 120 for 4 in.
	s, _ := trade.WaitFor(trade.Slab, trade.Usual, 4*64)
	cure, _ := trade.WaitFor("slab-cure", trade.Usual, 0)
	if day := (cure.Typical + s.Typical) / (24 * 60); day != 127 {
		t.Errorf("a floor on day %d, want 127", day)
	}
	if _, ok := trade.WaitFor("no-such-wait", trade.Usual, 0); ok {
		t.Error("found a wait that is not there")
	}
}

// Warmer, drier and thinner never lengthen any wait there is; PNT-3: below 60 F or above 70 % paint takes
// twice its time (common practice, no source).
func TestAirLaws(t *testing.T) {
	for _, id := range trade.WaitIDs() {
		for f := int32(30); f <= 100; f += 5 {
			for h := int32(0); h <= 100; h += 5 {
				here, ok := trade.WaitFor(id, trade.Air{TempF: f, Humidity: h}, 8)
				warmer, _ := trade.WaitFor(id, trade.Air{TempF: f + 5, Humidity: h}, 8)
				drier, _ := trade.WaitFor(id, trade.Air{TempF: f, Humidity: h - 5}, 8)
				thinner, _ := trade.WaitFor(id, trade.Air{TempF: f, Humidity: h}, 4)
				if !ok || warmer.High > here.High || drier.Typical > here.Typical || thinner.Low > here.Low || here.Low > here.Typical || here.Typical > here.High {
					t.Fatalf("%s at %d F and %d %%: %+v, warmer %+v, drier %+v, thinner %+v", id, f, h, here, warmer, drier, thinner)
				}
			}
		}
		if name := trade.WaitName(id, "es"); name == "" || name == trade.WaitName(id, "en") {
			t.Errorf("wait %s is called %q", id, name)
		}
	}
	cold, _ := trade.WaitFor("paint", trade.Air{TempF: 59, Humidity: 50}, 0)
	damp, _ := trade.WaitFor("paint", trade.Air{TempF: 70, Humidity: 71}, 0)
	usual, _ := trade.WaitFor("paint", trade.Usual, 0)
	if cold.Typical != 480 || damp.Typical != 480 || usual.Typical != 240 {
		t.Errorf("paint: %d cold, %d damp, %d usual", cold.Typical, damp.Typical, usual.Typical)
	}
}

func TestLimits(t *testing.T) {
	for _, id := range []string{"framing-wet", "wood-strip", "wood-plank", "tape-cold", "board-cold", "wood-dry-air", "wood-damp-air", "slab-damp"} {
		f := trade.LimitOf(id)
		if f.Typical <= 0 || f.Low > f.Typical || f.Typical > f.High || f.What.En == "" || f.What.Es == "" || f.Unit == "" {
			t.Errorf("limit %s: %+v", id, f)
		}
		marked(t, "limit "+id, f.Source, f.Mark)
	}
}

// GA-236 as summarised: where it is cold or wet, setting-type compound; it waits on the bag, not the air.
func TestSettingTypeMindsNoAir(t *testing.T) {
	a, _ := trade.WaitFor(trade.CoatSetting, trade.Air{TempF: 45, Humidity: 90}, 8)
	b, _ := trade.WaitFor(trade.CoatSetting, trade.Usual, 4)
	if a != b || a.Typical >= trade.CoatDries(trade.Usual, 4).Typical || trade.Airy(trade.CoatSetting) || !trade.Airy(trade.Coat) || !trade.Airy("paint") {
		t.Errorf("%+v, %+v", a, b)
	}
}
