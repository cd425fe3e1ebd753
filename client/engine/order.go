package engine

import (
	"sort"

	"batterboard/schedule"
)

// order sorts a slice in place, keeping equals as they were. One sort for all types keeps the
// program that every phone loads small: the generic sort is compiled anew for each type.
func order(slice any, less func(i, j int) bool) { sort.SliceStable(slice, less) }

// before is the usual order: by moment, then by ID, so that no two phones differ.
func before(a, b schedule.Minute, x, y string) bool {
	if a != b {
		return a < b
	}
	return x < y
}
