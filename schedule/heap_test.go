package schedule

import "testing"

// TestHeap: whatever goes in and out by turns, the least comes out first.
func TestHeap(t *testing.T) {
	seed := uint64(1)
	next := func(n uint64) uint64 { seed = seed*6364136223846793005 + 1442695040888963407; return seed >> 33 % n }
	for range 200 {
		var h heap
		var in []item
		for step := range 60 {
			if len(in) == 0 || step < 40 && next(3) > 0 {
				x := item{class: int8(next(2)), key: int64(next(5)), n: int32(step)}
				h.push(x)
				in = append(in, x)
				continue
			}
			least := 0
			for i := range in {
				a, b := in[i], in[least]
				if a.class < b.class || a.class == b.class && (a.key < b.key || a.key == b.key && a.n < b.n) {
					least = i
				}
			}
			if got := h.pop(); got != in[least] {
				t.Fatalf("%v came out of %v", got, in)
			}
			in = append(in[:least], in[least+1:]...)
		}
	}
}
