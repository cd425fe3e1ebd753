package schedule

// item is a node waiting its turn; the smallest key comes first, then the smallest node.
type item struct {
	class int8
	key   int64
	n     int32
}

func (a item) before(b item) bool {
	switch {
	case a.class != b.class:
		return a.class < b.class
	case a.key != b.key:
		return a.key < b.key
	}
	return a.n < b.n
}

// heap is a binary heap of items.
type heap []item

func (h *heap) push(x item) {
	*h = append(*h, x)
	s := *h
	for i := len(s) - 1; i > 0; {
		up := (i - 1) / 2
		if !s[i].before(s[up]) {
			return
		}
		s[i], s[up] = s[up], s[i]
		i = up
	}
}

func (h *heap) pop() item {
	s := *h
	top, last := s[0], len(s)-1
	s[0] = s[last]
	s = s[:last]
	*h = s
	for i := 0; ; {
		low := i
		for c := 2*i + 1; c <= 2*i+2 && c < len(s); c++ {
			if s[c].before(s[low]) {
				low = c
			}
		}
		if low == i {
			return top
		}
		s[i], s[low] = s[low], s[i]
		i = low
	}
}
