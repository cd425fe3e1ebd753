package exact

// heap keeps order literals "v >= t" by how often they took part in contradictions lately.
// Scores are whole numbers, so that every machine chooses alike.
type heap struct {
	score []uint64
	place []int32 // where the literal is in order, -1 when not
	order []int32
	of    []int32 // the variable of a literal
	at    []int32 // where the literals of a variable lie, or nowhere
	inc   uint64
}

func newHeap(vars int) heap {
	h := heap{at: make([]int32, vars), inc: 1 << 20}
	for v := range h.at {
		h.at[v] = nowhere
	}
	return h
}

// add makes room for the literals of a variable.
func (h *heap) add(s *Solver, v int32) {
	n := s.literals(2 * v)
	h.at[v] = int32(len(h.score)) - s.first[2*v] - 1
	h.score = append(h.score, make([]uint64, n)...)
	for range n {
		h.place, h.of = append(h.place, -1), append(h.of, v)
	}
}

// bump raises the score of the order literal behind bound x at t.
func (h *heap) bump(s *Solver, x, t int32) {
	v := x >> 1
	if x&1 == 1 {
		t = 1 - t
	}
	if h.at[v] == nowhere {
		h.add(s, v)
	}
	k := h.at[v] + t
	h.score[k] += h.inc
	if h.score[k] > 1<<60 {
		h.rescale()
	}
	if h.place[k] < 0 {
		h.place[k] = int32(len(h.order))
		h.order = append(h.order, k)
	}
	h.rise(h.place[k])
}

// decay lets new scores count a tenth more than old ones.
func (h *heap) decay() { h.inc += h.inc / 10 }

func (h *heap) rescale() {
	for i := range h.score {
		if h.score[i] > 0 {
			h.score[i] = h.score[i]>>40 | 1 // halving keeps the order but for ties
		}
	}
	h.inc = max(h.inc>>40, 1<<10)
	for i := len(h.order)/2 - 1; i >= 0; i-- {
		h.sink(int32(i))
	}
}

// restore puts the literals that step e had decided back.
func (h *heap) restore(s *Solver, e *step) {
	from, to := e.old+1, e.t
	if e.x&1 == 1 {
		from, to = 1-e.t, -e.old
	}
	at := h.at[e.x>>1]
	if at == nowhere {
		return
	}
	for k := at + from; k <= at+to; k++ {
		if h.score[k] > 0 && h.place[k] < 0 {
			h.place[k] = int32(len(h.order))
			h.order = append(h.order, k)
			h.rise(h.place[k])
		}
	}
}

// next is the literal with the best score that is not decided yet.
func (h *heap) next(s *Solver) (v, t int32, ok bool) {
	for len(h.order) > 0 {
		k := h.order[0]
		h.remove()
		v = h.of[k]
		t = k - h.at[v]
		if s.bound[2*v] < t && t <= -s.bound[2*v+1] {
			return v, t, true
		}
	}
	return 0, 0, false
}

func (h *heap) remove() {
	n := len(h.order) - 1
	h.place[h.order[0]] = -1
	if n > 0 {
		h.order[0] = h.order[n]
		h.place[h.order[0]] = 0
	}
	h.order = h.order[:n]
	if n > 1 {
		h.sink(0)
	}
}

// before breaks ties by variable and threshold, so that the order is one.
func (h *heap) before(a, b int32) bool {
	switch {
	case h.score[a] != h.score[b]:
		return h.score[a] > h.score[b]
	case h.of[a] != h.of[b]:
		return h.of[a] < h.of[b]
	}
	return a < b
}

func (h *heap) rise(i int32) {
	k := h.order[i]
	for i > 0 {
		p := (i - 1) / 2
		if !h.before(k, h.order[p]) {
			break
		}
		h.order[i] = h.order[p]
		h.place[h.order[i]] = i
		i = p
	}
	h.order[i] = k
	h.place[k] = i
}

func (h *heap) sink(i int32) {
	k, n := h.order[i], int32(len(h.order))
	for {
		c := 2*i + 1
		if c >= n {
			break
		}
		if c+1 < n && h.before(h.order[c+1], h.order[c]) {
			c++
		}
		if !h.before(h.order[c], k) {
			break
		}
		h.order[i] = h.order[c]
		h.place[h.order[i]] = i
		i = c
	}
	h.order[i] = k
	h.place[k] = i
}
