package schedule

// Chance, in whole numbers. Every line has a stream of its own in every run, named by seed, run and the
// line's ID, and every question about a line has its own place in that stream. So a line that is added,
// or a chance that is changed, leaves all other luck as it was: two answers differ by what was changed
// and not by other dice.

// stream is the luck of one line in one run.
type stream uint64

const golden = 0x9e3779b97f4a7c15

// mix scrambles 64 bits so that neighbours have nothing in common (the finalizer of SplitMix64: Steele,
// Lea, Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014; constants from memory).
func mix(z uint64) uint64 {
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

func newStream(seed, run, line uint64) stream {
	return stream(mix(mix(mix(seed+golden)+run*golden) + line))
}

// at is 32 even bits at one place of the stream.
func (s stream) at(place uint64) uint64 { return mix(uint64(s)+(place+1)*golden) >> 32 }

// happens is true in pct of a hundred cases. What happens at one chance happens at every greater one.
func (s stream) happens(place uint64, pct int32) bool {
	return pct > 0 && s.at(place)*100>>32 < uint64(pct)
}

// The places of a line's questions.
const (
	placeLabour = 0  // to 5
	placeFail   = 8  // to placeFail + maxFails - 1
	placeCrew   = 16 // one for each crew
)

// nameOf is a line's number among streams (FNV-1a, 64 bits: Fowler, Noll, Vo; constants from memory).
func nameOf(id string) uint64 {
	h := uint64(0xcbf29ce484222325)
	for i := range len(id) {
		h = (h ^ uint64(id[i])) * 0x100000001b3
	}
	return h
}

// draw is one figure between low and high. Its distribution: lay five even draws between low and high in
// order and take one of them, the first when the typical figure is the low one, the fifth when it is the
// high one, the third when it is in the middle, and in between one of two neighbours so that it comes
// out right on average.
//
// The k-th of five even draws is a Beta(k, 6-k): these are the whole members of the PERT family, whose
// sum of parameters is 6. So the mean is exactly the usual three-point mean (low + 4 typical + high)/6,
// the ends are kept, and there is one hump near the typical figure. With t = (typical-low)/(high-low)
// and a = 1 + 4t = k + f, the variance is ((1-f)·k(6-k) + f·(k+1)(5-k))/252 + f(1-f)/36 of the range
// squared: 1/28 in the middle, 5/252 at the ends. The textbook's 1/36 is a rounding of that family.
//
// Why this one: its mean is the published one, which a triangle's is not, and it needs neither a table
// nor a root, so every machine draws the same minute.
func (r Range) draw(s stream) int64 {
	low, typical, high := r.ends()
	width := uint64(high - low)
	if width == 0 {
		return typical
	}
	var u [5]uint64
	for i := range u {
		u[i] = s.at(placeLabour + uint64(i))
		for j := i; j > 0 && u[j] < u[j-1]; j-- {
			u[j], u[j-1] = u[j-1], u[j]
		}
	}
	four := 4 * uint64(typical-low)
	k := four / width
	if s.at(placeLabour+5)*width>>32 < four%width {
		k++
	}
	return low + int64((width*u[k]+1<<31)>>32)
}

// ends are the figures in order: a low or high that is not set, or lies beyond the typical one, is the
// typical one.
func (r Range) ends() (low, typical, high int64) {
	typical = int64(max(r.Typical, 0))
	low, high = typical, max(int64(r.High), typical)
	if r.Low > 0 {
		low = min(int64(r.Low), typical)
	}
	return low, typical, high
}
