package main

import (
	"slices"
	"strings"

	"batterboard/schedule"
)

// called is a thing of a site as somebody in a shell may call it: by its ID, or as the screens do.
type called struct{ id, name string }

func crewsOf(site *schedule.Site) (list []called) {
	for _, c := range site.Crews {
		list = append(list, called{c.ID, c.Name})
	}
	return list
}

// nodesOf is everything that can have something in front of it.
func nodesOf(site *schedule.Site) (list []called) {
	for _, a := range site.Activities {
		list = append(list, called{a.ID, a.Name})
	}
	for _, h := range site.Holds {
		list = append(list, called{h.ID, h.Name})
	}
	for _, o := range site.Orders {
		list = append(list, called{o.ID, o.Goods})
	}
	return list
}

// pick finds the one thing that is meant by word. Where there is none, the sentence offers what looks like it.
func pick(what, word string, list []called) (id string, err error) {
	var meant []called
	for _, n := range list {
		if n.id == word {
			return n.id, nil
		}
		if strings.EqualFold(n.id, word) || strings.EqualFold(n.name, word) {
			meant = append(meant, n)
		}
	}
	switch {
	case len(meant) == 1:
		return meant[0].id, nil
	case len(meant) > 1:
		return "", badInput("there is more than one %s %q; say which: %s", what, word, idsOf(meant))
	case len(list) == 0:
		return "", badInput("there is no %s %q; this site has none yet", what, word)
	}
	if like := alike(word, list); len(like) > 0 {
		return "", badInput("there is no %s %q; did you mean %s?", what, word, idsOf(like))
	}
	if len(list) <= 20 {
		return "", badInput("there is no %s %q; there are %s", what, word, idsOf(list))
	}
	return "", badInput("there is no %s %q; batterboard plan shows what there is", what, word)
}

func idsOf(list []called) string {
	var ids []string
	for _, n := range list {
		ids = append(ids, n.id)
	}
	return strings.Join(ids, ", ")
}

// alike is up to five things whose ID or name is nearly word, or holds it.
func alike(word string, list []called) []called {
	type far struct {
		called
		off int
	}
	var like []far
	word = strings.ToLower(word)
	for _, n := range list {
		id, name := strings.ToLower(n.id), strings.ToLower(n.name)
		off := min(distance(word, id), distance(word, name))
		if len(word) > 2 && (strings.Contains(id, word) || strings.Contains(name, word)) {
			off = 1
		}
		if off <= 1+len(word)/4 {
			like = append(like, far{n, off})
		}
	}
	slices.SortStableFunc(like, func(a, b far) int { return a.off - b.off })
	var best []called
	for _, l := range like[:min(5, len(like))] {
		best = append(best, l.called)
	}
	return best
}

// distance is how many letters must be put in, taken out or changed to make a into b (Levenshtein).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		left := row[0]
		row[0] = i + 1
		for j := range y {
			change := left
			if x[i] != y[j] {
				change++
			}
			left = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(y)]
}
