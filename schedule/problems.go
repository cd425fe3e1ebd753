package schedule

import "sort"

// Problems names what is wrong with the site itself, before any planning: circles, IDs that lead
// nowhere, counts that make no sense, dates in the wrong order. They are sorted, and do not depend on
// the order of the site's slices.
func (s *Site) Problems() []Problem {
	_, found := chooseLinks(s)
	return sorted(append(found, s.oddities()...))
}

// oddities are the problems that are not about links.
func (s *Site) oddities() []Problem {
	p := &problems{site: s}
	p.activities()
	p.others()
	p.unknown()
	return p.found
}

// sorted orders problems by kind, then by what they are about, each once.
func sorted(list []Problem) []Problem {
	sort.SliceStable(list, func(i, j int) bool { return list[i].before(&list[j]) })
	var out []Problem
	for i := range list {
		if i == 0 || list[i-1].before(&list[i]) {
			out = append(out, list[i])
		}
	}
	return out
}

func (p *Problem) before(q *Problem) bool {
	if p.Kind != q.Kind {
		return p.Kind < q.Kind
	}
	for i := range min(len(p.IDs), len(q.IDs)) {
		if p.IDs[i] != q.IDs[i] {
			return p.IDs[i] < q.IDs[i]
		}
	}
	if len(p.IDs) != len(q.IDs) {
		return len(p.IDs) < len(q.IDs)
	}
	return p.Link < q.Link
}

type problems struct {
	site  *Site
	found []Problem
}

func (p *problems) add(bad bool, kind ProblemKind, ids ...string) {
	if bad {
		p.found = append(p.found, Problem{Kind: kind, IDs: ids})
	}
}

// A line whose count lies above these was a slip of the finger.
const (
	maxLabour = 100000 * 60 // minutes of one person: fifty years of work
	maxLead   = 2 * 366     // days
)

func (p *problems) activities() {
	for i := range p.site.Activities {
		a := &p.site.Activities[i]
		l := a.Labour
		p.add(l.Typical < 0 || l.Low < 0 || l.High < 0 || a.Hands < 0 || a.Done < 0, ProblemNegative, a.ID)
		p.add(l.Typical > maxLabour || l.High > maxLabour || a.Done > 100, ProblemTooMuch, a.ID)
		p.add(a.Started != 0 && a.Finished != 0 && a.Finished < a.Started ||
			a.MustBy != 0 && a.NotBefore != 0 && a.MustBy < a.NotBefore.Day() ||
			a.ToldStart != 0 && a.ToldFinish != 0 && a.ToldFinish < a.ToldStart, ProblemDates, a.ID)
		if c := p.site.Crew(a.Crew); c != nil && a.Hands > 0 {
			p.add(a.Hands > max(c.Size, 1)*max(c.Teams, 1), ProblemTooMuch, a.ID, a.Crew)
		}
	}
}

func (p *problems) others() {
	for i := range p.site.Holds {
		h := &p.site.Holds[i]
		p.add(h.Notice < 0 || h.Cutoff < 0 || h.Photos < 0 || h.Fails < 0, ProblemNegative, h.ID)
		p.add(h.Notice > maxLead || h.Cutoff > MinutesPerDay, ProblemTooMuch, h.ID)
		p.add(h.Visit != 0 && h.CalledIn != 0 && h.Visit < h.CalledIn, ProblemDates, h.ID)
	}
	for i := range p.site.Orders {
		o := &p.site.Orders[i]
		p.add(o.Lead < 0, ProblemNegative, o.ID)
		p.add(o.Lead > maxLead, ProblemTooMuch, o.ID)
		p.add(o.Ordered != 0 && (o.Due != 0 && o.Due < o.Ordered || o.Arrived != 0 && o.Arrived < o.Ordered), ProblemDates, o.ID)
	}
	for _, l := range p.site.Links {
		p.add(l.Lag > maxLag || l.Lag < -maxLag, ProblemTooMuch, l.ID)
	}
	for _, a := range p.site.Away {
		p.add(a.From != 0 && a.To != 0 && a.To < a.From, ProblemDates, a.ID)
	}
	for _, d := range p.site.Shut {
		p.add(d.From != 0 && d.To != 0 && d.To < d.From, ProblemDates, d.ID)
	}
	for _, o := range p.site.Openings {
		p.add(o.From >= o.To, ProblemDates, o.ID)
	}
	for _, c := range p.site.Crews {
		p.add(c.Size < 0 || c.Teams < 0, ProblemNegative, c.ID)
		p.add(c.Teams > maxAtOnce, ProblemTooMuch, c.ID)
	}
	for _, pl := range p.site.Places {
		p.add(pl.Room < 0, ProblemNegative, pl.ID)
		p.add(pl.Room > maxAtOnce, ProblemTooMuch, pl.ID)
	}
}

// unknown finds crews and places that something names and nobody is.
func (p *problems) unknown() {
	s := p.site
	crew := func(thing, id string) { p.add(id != "" && s.Crew(id) == nil, ProblemUnknown, thing, id) }
	for i := range s.Activities {
		a := &s.Activities[i]
		crew(a.ID, a.Crew)
		for _, w := range a.With {
			crew(a.ID, w)
		}
		p.add(a.Place != "" && s.Place(a.Place) == nil, ProblemUnknown, a.ID, a.Place)
	}
	for _, a := range s.Away {
		crew(a.ID, a.Crew)
	}
	for _, o := range s.Openings {
		crew(o.ID, o.Crew)
	}
	for _, c := range s.Crews {
		for _, other := range c.Stands {
			crew(c.ID, other)
		}
	}
	for i := range s.Orders {
		o := &s.Orders[i]
		p.add(o.Stands != "" && s.Place(o.Stands) == nil, ProblemUnknown, o.ID, o.Stands)
	}
}

// tied is a link whose ends were found: from and to index the sorted IDs of all nodes.
type tied struct {
	*Link
	from, to int
}

// chooseLinks takes the links in the order of their IDs and sets aside each one that would close a
// circle with those before it. Any two phones set aside the same.
func chooseLinks(s *Site) (good []tied, found []Problem) {
	ids := nodeIDs(s)
	links := make([]*Link, len(s.Links))
	for i := range s.Links {
		links[i] = &s.Links[i]
	}
	sort.SliceStable(links, func(i, j int) bool { return links[i].ID < links[j].ID })
	for _, l := range links {
		t := tied{l, indexOf(ids, l.From), indexOf(ids, l.To)}
		if t.from < 0 {
			found = append(found, Problem{Kind: ProblemUnknown, IDs: []string{l.ID, l.From}, Link: l.ID})
		}
		if t.to < 0 {
			found = append(found, Problem{Kind: ProblemUnknown, IDs: []string{l.ID, l.To}, Link: l.ID})
		}
		if t.from >= 0 && t.to >= 0 {
			good = append(good, t)
		}
	}
	if hasCircle(len(ids), good) {
		var circles []Problem
		good, circles = setAside(ids, good)
		found = append(found, circles...)
	}
	return good, found
}

func setAside(ids []string, links []tied) (good []tied, found []Problem) {
	out := make([][]int, len(ids))
	for _, l := range links {
		if path := pathBetween(out, l.to, l.from); path != nil {
			found = append(found, Problem{Kind: ProblemCircle, IDs: named(ids, path), Link: l.ID})
			continue
		}
		out[l.from] = append(out[l.from], l.to)
		good = append(good, l)
	}
	return good, found
}

func indexOf(ids []string, id string) int {
	if i := sort.SearchStrings(ids, id); i < len(ids) && ids[i] == id {
		return i
	}
	return -1
}

// nodeIDs is the IDs of all activities, holds and orders in order, each once: the planner's nodes.
func nodeIDs(s *Site) []string {
	var ids []string
	for i := range s.Activities {
		ids = append(ids, s.Activities[i].ID)
	}
	for i := range s.Holds {
		ids = append(ids, s.Holds[i].ID)
	}
	for i := range s.Orders {
		ids = append(ids, s.Orders[i].ID)
	}
	sort.Strings(ids)
	n := 0
	for i := range ids {
		if i == 0 || ids[i] != ids[n-1] {
			ids[n] = ids[i]
			n++
		}
	}
	return ids[:n]
}

// hasCircle peels off nodes that wait for nothing; what is left goes round.
func hasCircle(n int, links []tied) bool {
	waits := make([]int, n)
	out := make([][]int, n)
	for _, l := range links {
		waits[l.to]++
		out[l.from] = append(out[l.from], l.to)
	}
	var free []int
	for i, w := range waits {
		if w == 0 {
			free = append(free, i)
		}
	}
	peeled := 0
	for ; peeled < len(free); peeled++ {
		for _, j := range out[free[peeled]] {
			if waits[j]--; waits[j] == 0 {
				free = append(free, j)
			}
		}
	}
	return peeled < n
}

// pathBetween is a way from a to b along the links taken so far, nil when there is none.
func pathBetween(out [][]int, a, b int) []int {
	if a == b {
		return []int{a}
	}
	from := make([]int, len(out)) // 1 + the node before
	from[a] = a + 1
	queue := []int{a}
	for len(queue) > 0 && from[b] == 0 {
		i := queue[0]
		queue = queue[1:]
		for _, j := range out[i] {
			if from[j] == 0 {
				from[j] = i + 1
				queue = append(queue, j)
			}
		}
	}
	if from[b] == 0 {
		return nil
	}
	path := []int{b}
	for i := b; i != a; {
		i = from[i] - 1
		path = append(path, i)
	}
	for i, j := 0, len(path)-1; i < j; i, j = i+1, j-1 {
		path[i], path[j] = path[j], path[i]
	}
	return path
}

func named(ids []string, path []int) []string {
	out := make([]string, len(path))
	for i, n := range path {
		out[i] = ids[n]
	}
	return out
}
