package schedule_test

import (
	"os"
	"testing"

	"batterboard/schedule"
)

// BenchmarkOdds is 5,000 runs of the Old Laundry on its morning.
func BenchmarkOdds(b *testing.B) {
	doc, err := os.ReadFile("../client/engine/demo/old-laundry.json")
	if err != nil {
		b.Fatal(err)
	}
	site, err := schedule.ParseSite(doc)
	if err != nil {
		b.Fatal(err)
	}
	now := schedule.DateOf(2027, 4, 6).At(6*60 + 40)
	b.ReportAllocs()
	for range b.N {
		schedule.Odds(site, now, 1, 5000)
	}
}

// BenchmarkOddsRun is one run of it.
func BenchmarkOddsRun(b *testing.B) {
	doc, err := os.ReadFile("../client/engine/demo/old-laundry.json")
	if err != nil {
		b.Fatal(err)
	}
	site, err := schedule.ParseSite(doc)
	if err != nil {
		b.Fatal(err)
	}
	dice := schedule.NewDice(site, schedule.DateOf(2027, 4, 6).At(6*60+40), 1)
	b.ReportAllocs()
	b.ResetTimer()
	for n := range b.N {
		dice.Again(uint64(n))
	}
}
