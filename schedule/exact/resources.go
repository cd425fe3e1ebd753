package exact

import "slices"

// makeResources sets facts aside as fixed blocks and returns the pairs of nodes that cannot overlap.
func (s *Solver) makeResources() [][2]int32 {
	var pairs [][2]int32
	seen := map[[2]int32]bool{}
	for _, r := range s.p.Resources {
		q := resource{cap: r.Cap}
		var facts []Use
		for _, u := range mergeUses(r.Uses) {
			switch n := &s.p.Nodes[u.Node]; {
			case u.Demand == 0:
			case n.Fixed:
				facts = append(facts, u)
			case s.shapes[u.Node].slot || n.Dur > 0 || len(n.Places) > 0:
				q.parts = append(q.parts, newPart(u, s.shapes[u.Node]))
				s.impossible = s.impossible || u.Demand > r.Cap && s.takesTime(u.Node)
			}
		}
		q.facts = s.factBlocks(facts, r.Cap)
		if !s.everFull(&q) {
			continue
		}
		q.prepare(s.bound)
		k := int32(len(s.resources))
		s.resources = append(s.resources, q)
		for i, u := range q.parts {
			s.uses[u.Node] = append(s.uses[u.Node], k)
			for _, w := range q.parts[:i] {
				pair := [2]int32{min(w.Node, u.Node), max(w.Node, u.Node)}
				if w.Demand+u.Demand > q.cap && !seen[pair] && s.takesTime(w.Node) && s.takesTime(u.Node) {
					seen[pair] = true
					pairs = append(pairs, pair)
				}
			}
		}
	}
	return pairs
}

// takesTime says whether a node takes time wherever it lies: what takes none may lie inside another.
func (s *Solver) takesTime(v int32) bool {
	for _, at := range s.shapes[v].places {
		if at.Finish <= at.Start {
			return false
		}
	}
	return true
}

// everFull says whether the resource can run short at all.
func (s *Solver) everFull(q *resource) bool {
	sum := int64(0)
	for _, u := range q.parts {
		sum += int64(u.Demand)
	}
	for _, f := range q.facts {
		sum += int64(f.level)
	}
	return len(q.parts) > 0 && sum > int64(q.cap)
}

// mergeUses adds up several uses of one node.
func mergeUses(us []Use) []Use {
	var out []Use
	where := map[int32]int{}
	for _, u := range us {
		if i, ok := where[u.Node]; ok {
			out[i].Demand += u.Demand
			continue
		}
		where[u.Node] = len(out)
		out = append(out, u)
	}
	return out
}

// factBlocks is what the facts take, never more than there is.
func (s *Solver) factBlocks(facts []Use, limit int32) []block {
	type edge struct{ t, rise int32 }
	var es []edge
	for _, u := range facts {
		n := &s.p.Nodes[u.Node]
		if n.Start < n.Finish {
			es = append(es, edge{n.Start, u.Demand}, edge{n.Finish, -u.Demand})
		}
	}
	slices.SortFunc(es, func(a, b edge) int { return int(a.t - b.t) })
	var out []block
	level := int32(0)
	for i := 0; i < len(es); {
		t := es[i].t
		for ; i < len(es) && es[i].t == t; i++ {
			level += es[i].rise
		}
		if level > 0 {
			out = append(out, block{t, es[i].t, min(level, limit)})
		}
	}
	return out
}

// makePairs gives each pair that cannot overlap an ordering literal: true is the first node first.
func (s *Solver) makePairs(pairs [][2]int32) {
	if s.impossible {
		return
	}
	reach := s.reach()
	for _, p := range pairs {
		i, j := p[0], p[1]
		if reach[i][j/64]>>(j%64)&1 == 1 || reach[j][i/64]>>(i%64)&1 == 1 {
			continue
		}
		ij := &bend{s.shapes[i], s.shapes[j], true, false, wait{s.grids[0], 0}, nil}
		ji := &bend{s.shapes[j], s.shapes[i], true, false, wait{s.grids[0], 0}, nil}
		can, could := s.fits(i, j, ij), s.fits(j, i, ji)
		switch {
		case can && could:
			v := s.addVar(0, 1)
			s.addRule(i, j, ij, atLeast(v, 1))
			s.addRule(j, i, ji, atMost(v, 0))
		case can:
			s.addRule(i, j, ij, none)
		case could:
			s.addRule(j, i, ji, none)
		default:
			s.impossible = true
			return
		}
	}
}

// fits says whether j can follow i at all.
func (s *Solver) fits(i, j int32, f *bend) bool { return f.push(s.bound[2*i]) <= -s.bound[2*j+1] }

// reach says which nodes surely start after which are finished, by the finish-to-start arcs.
func (s *Solver) reach() [][]uint64 {
	words := (s.n + 63) / 64
	out := make([][]uint64, s.n)
	next := make([][]int32, s.n)
	for i := range out {
		out[i] = make([]uint64, words)
	}
	for _, a := range s.p.Arcs {
		if a.FromEnd && !a.ToEnd && a.Lag >= 0 && a.After == nil && !s.p.Nodes[a.From].Fixed && !s.p.Nodes[a.To].Fixed {
			next[a.From] = append(next[a.From], a.To)
		}
	}
	for i := range out {
		todo := append([]int32(nil), next[i]...)
		for len(todo) > 0 {
			j := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			if out[i][j/64]>>(j%64)&1 == 0 {
				out[i][j/64] |= 1 << (j % 64)
				todo = append(todo, next[j]...)
			}
		}
	}
	return out
}
