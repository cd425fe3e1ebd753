package opsync

import (
	"cmp"
	"encoding/json"
	"slices"
)

// AsideLink is a link set aside because it closes a circle with links that stood before it: somebody
// has to say which of them is wrong. Circle lists the nodes from To round to From.
type AsideLink struct {
	ID, From, To string
	Op           OpID // who last wrote its ends
	Circle       []string
}

// Aside returns the links set aside, in the order they were written.
func (s *State) Aside() []AsideLink {
	links, aside := s.fold.links()
	if len(aside) == 0 { // as a rule, and every screen asks
		return nil
	}
	next := map[string][]string{}
	for _, t := range links {
		from, to := t.ends()
		next[from] = append(next[from], to)
	}
	var list []AsideLink
	for _, t := range aside {
		from, to := t.ends()
		list = append(list, AsideLink{t.id, from, to, t.written().ID, path(next, to, from)})
	}
	return list
}

func asideThings(aside []*thing) []*thing {
	list := slices.Clone(aside)
	slices.SortFunc(list, func(a, b *thing) int { return cmp.Compare(a.id, b.id) })
	return list
}

// links parts the links into those that stand, in the document's order, and those set aside. Links
// are taken in the order their ends were last written: the one written later yields (SPEC L1).
func (f *fold) links() (stand, aside []*thing) {
	if f.parted == nil {
		stand, aside = partLinks(f.list("link"))
		f.parted = &parted{stand, aside}
	}
	return f.parted.stand, f.parted.aside
}

type parted struct{ stand, aside []*thing }

func partLinks(all []*thing) (stand, aside []*thing) {
	if !circular(all) {
		return all, nil
	}
	byAge := slices.Clone(all)
	slices.SortFunc(byAge, func(a, b *thing) int {
		return cmp.Or(a.written().compare(b.written()), cmp.Compare(a.id, b.id))
	})
	next := map[string][]string{}
	out := map[*thing]bool{}
	for _, t := range byAge {
		from, to := t.ends()
		if from == "" || to == "" {
			continue
		}
		if path(next, to, from) != nil {
			out[t] = true
			aside = append(aside, t)
			continue
		}
		next[from] = append(next[from], to)
	}
	return slices.DeleteFunc(all, func(t *thing) bool { return out[t] }), aside
}

// ends returns what a link joins; empty while one end is missing.
func (t *thing) ends() (from, to string) {
	_ = json.Unmarshal(t.value("from"), &from) // of the wrong shape: no end, so no circle
	_ = json.Unmarshal(t.value("to"), &to)
	return from, to
}

// written is the operation that last wrote one of a link's ends.
func (t *thing) written() *Op {
	last := t.touches[len(t.touches)-1].op
	found := false
	for i := range t.fields {
		r := &t.fields[i]
		if r.name != "from" && r.name != "to" {
			continue
		}
		if w, ok := r.standing(); ok && (!found || last.before(w.op)) {
			last, found = w.op, true
		}
	}
	return last
}

// circular says whether the links close any circle: they do if taking away, again and again, what
// nothing points to leaves something over.
func circular(links []*thing) bool {
	next, in := map[string][]string{}, map[string]int{}
	for _, t := range links {
		if from, to := t.ends(); from != "" && to != "" {
			next[from] = append(next[from], to)
			in[to]++
			in[from] += 0
		}
	}
	var free []string
	for n, k := range in {
		if k == 0 {
			free = append(free, n)
		}
	}
	gone := 0
	for ; len(free) > 0; gone++ {
		n := free[len(free)-1]
		free = free[:len(free)-1]
		for _, m := range next[n] {
			if in[m]--; in[m] == 0 {
				free = append(free, m)
			}
		}
	}
	return gone < len(in)
}

// path returns the nodes of one way from a to b along next, nil when there is none; a itself when
// they are the same. Breadth first in the order of next, so that everybody names the same circle.
func path(next map[string][]string, a, b string) []string {
	from := map[string]string{a: ""}
	for queue := []string{a}; len(queue) > 0; queue = queue[1:] {
		if queue[0] == b {
			var nodes []string
			for n := b; n != ""; n = from[n] {
				nodes = append(nodes, n)
			}
			slices.Reverse(nodes)
			return nodes
		}
		for _, m := range next[queue[0]] {
			if _, seen := from[m]; !seen {
				from[m] = queue[0]
				queue = append(queue, m)
			}
		}
	}
	return nil
}
