package exact

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Limits of the text forms: far above every published file, far below what could hurt.
const (
	maxJobs = 2000
	maxText = 4 << 20
)

// ReadSM reads a single-mode project in the ".sm" text form. Its nodes are the jobs in order, the
// source and the sink included; its horizon is the sum of the durations.
// Source of the form: Kolisch, Sprecher, "PSPLIB - a project scheduling problem library", EJOR 96
// (1997) 205-216, and the files themselves.
func ReadSM(text string) (*Problem, error) {
	r := smReader{p: &Problem{}}
	if len(text) > maxText {
		return nil, errors.New("the project file is larger than 4 MB")
	}
	for n, line := range strings.Split(text, "\n") {
		if err := r.line(strings.TrimSpace(line)); err != nil {
			return nil, fmt.Errorf("line %d: %w", n+1, err)
		}
	}
	return r.done()
}

type smReader struct {
	p         *Problem
	jobs      int
	resources int
	arcsSeen  int
	jobsSeen  int
	caps      bool
	section   string
}

func (r *smReader) line(line string) error {
	switch {
	case strings.HasPrefix(line, "jobs (incl."):
		n, err := r.after(line)
		r.jobs = n
		if err == nil && (n < 1 || n > maxJobs) {
			err = fmt.Errorf("%d jobs; between 1 and %d can be read", n, maxJobs)
		}
		r.p.Nodes = make([]Node, max(0, min(n, maxJobs)))
		return err
	case strings.HasPrefix(line, "- renewable"):
		n, err := r.after(line)
		r.resources = n
		if err == nil && (n < 0 || n > 1000) {
			err = fmt.Errorf("%d resources; at most 1000 can be read", n)
		}
		r.p.Resources = make([]Resource, max(0, min(n, 1000)))
		return err
	case strings.HasPrefix(line, "- nonrenewable"), strings.HasPrefix(line, "- doubly"):
		if n, err := r.after(line); err != nil || n != 0 {
			return errors.New("only resources that renew themselves can be read")
		}
		return nil
	case strings.HasSuffix(line, ":") && strings.ToUpper(line) == line:
		r.section = strings.TrimSuffix(line, ":")
		return nil
	}
	nums, ok := integers(line)
	if !ok || len(nums) == 0 {
		return nil // headings and rulers
	}
	switch r.section {
	case "PRECEDENCE RELATIONS":
		return r.arcs(nums)
	case "REQUESTS/DURATIONS":
		return r.job(nums)
	case "RESOURCEAVAILABILITIES":
		return r.capacities(nums)
	}
	return nil
}

// after is the number behind the colon.
func (r *smReader) after(line string) (int, error) {
	_, tail, _ := strings.Cut(line, ":")
	f := strings.Fields(tail)
	if len(f) == 0 {
		return 0, fmt.Errorf("%q has no number behind the colon", line)
	}
	n, err := strconv.Atoi(f[0])
	if err != nil {
		return 0, fmt.Errorf("%q is not a whole number", f[0])
	}
	return n, nil
}

func (r *smReader) jobNumber(n int) (int32, error) {
	if n < 1 || n > r.jobs {
		return 0, fmt.Errorf("job %d does not exist: there are %d", n, r.jobs)
	}
	return int32(n - 1), nil
}

func (r *smReader) arcs(nums []int) error {
	if len(nums) < 3 || nums[2] != len(nums)-3 {
		return errors.New("a line of successors is: job, modes, how many, then that many jobs")
	}
	from, err := r.jobNumber(nums[0])
	if err != nil {
		return err
	}
	for _, n := range nums[3:] {
		to, err := r.jobNumber(n)
		if err != nil {
			return err
		}
		r.p.Arcs = append(r.p.Arcs, Arc{From: from, To: to, FromEnd: true})
	}
	r.arcsSeen++
	return nil
}

func (r *smReader) job(nums []int) error {
	if len(nums) != 3+r.resources {
		return fmt.Errorf("a line of a job has %d numbers here: job, mode, duration, and its demands", 3+r.resources)
	}
	j, err := r.jobNumber(nums[0])
	if err != nil {
		return err
	}
	if nums[2] < 0 || nums[2] > MaxHorizon {
		return fmt.Errorf("job %d takes %d", nums[0], nums[2])
	}
	r.p.Nodes[j].Dur = int32(nums[2])
	r.jobsSeen++
	return addUses(r.p, j, nums[3:])
}

func addUses(p *Problem, j int32, demands []int) error {
	for k, d := range demands {
		if d < 0 || d > MaxHorizon {
			return fmt.Errorf("a demand of %d", d)
		}
		if d > 0 {
			p.Resources[k].Uses = append(p.Resources[k].Uses, Use{j, int32(d)})
		}
	}
	return nil
}

func (r *smReader) capacities(nums []int) error {
	if len(nums) != r.resources {
		return fmt.Errorf("%d capacities for %d resources", len(nums), r.resources)
	}
	for k, c := range nums {
		if c < 0 || c > MaxHorizon {
			return fmt.Errorf("a capacity of %d", c)
		}
		r.p.Resources[k].Cap = int32(c)
	}
	r.caps = true
	return nil
}

func (r *smReader) done() (*Problem, error) {
	switch {
	case r.jobs == 0:
		return nil, errors.New("this is no project file: it does not say how many jobs there are")
	case r.jobsSeen != r.jobs || r.arcsSeen != r.jobs:
		return nil, fmt.Errorf("the project file ends too early: %d jobs are announced, %d described, %d with successors", r.jobs, r.jobsSeen, r.arcsSeen)
	case !r.caps && r.resources > 0:
		return nil, errors.New("the project file ends before the capacities")
	}
	return finishProblem(r.p)
}

// finishProblem gives a problem without calendars a horizon that no best schedule exceeds: every
// node could wait for the longest of its own duration and the lags out of it.
func finishProblem(p *Problem) (*Problem, error) {
	longest := make([]int64, len(p.Nodes))
	for i, n := range p.Nodes {
		longest[i] = int64(n.Dur)
	}
	for _, a := range p.Arcs {
		if !a.FromEnd {
			longest[a.From] = max(longest[a.From], int64(a.Lag))
		}
	}
	sum := int64(1)
	for _, d := range longest {
		sum += d
	}
	if sum > MaxHorizon {
		return nil, fmt.Errorf("the durations add up to more than %d", MaxHorizon)
	}
	p.Horizon = int32(sum)
	return p, p.check()
}

// integers reads a line of whole numbers.
func integers(line string) ([]int, bool) {
	var out []int
	for _, f := range strings.Fields(line) {
		n, err := strconv.Atoi(f)
		if err != nil {
			return nil, false
		}
		out = append(out, n)
	}
	return out, true
}

// ReadSCH reads a project with minimum and maximum lags in the ".sch" text form: a line with the
// number of activities and of resources, then for each activity its successors with the lags from
// start to start in brackets, then its duration and demands, and last the capacities.
// Source of the form: Schwindt's generator ProGen/max as published with PSPLIB, and the files.
func ReadSCH(text string) (*Problem, error) {
	if len(text) > maxText {
		return nil, errors.New("the project file is larger than 4 MB")
	}
	var rows [][]int
	clean := strings.NewReplacer("[", " ", "]", " ").Replace(text)
	for n, line := range strings.Split(clean, "\n") {
		nums, ok := integers(line)
		if !ok {
			return nil, fmt.Errorf("line %d: only whole numbers and brackets belong here", n+1)
		}
		if len(nums) > 0 {
			rows = append(rows, nums)
		}
	}
	if len(rows) == 0 || len(rows[0]) < 2 {
		return nil, errors.New("this is no project file: its first line must give the activities and the resources")
	}
	n, k := rows[0][0]+2, rows[0][1]
	if n < 2 || n > maxJobs || k < 0 || k > 1000 {
		return nil, fmt.Errorf("line 1: %d activities and %d resources cannot be read", n-2, k)
	}
	if len(rows) < 2+2*n-min(k, 0) && !(k == 0 && len(rows) == 1+2*n) {
		return nil, fmt.Errorf("the project file ends too early: %d lines instead of %d", len(rows), 2+2*n)
	}
	p := &Problem{Nodes: make([]Node, n), Resources: make([]Resource, k)}
	for i := range n {
		if err := schArcs(p, i, rows[1+i]); err != nil {
			return nil, fmt.Errorf("activity %d: %w", i, err)
		}
		if err := schJob(p, i, rows[1+n+i]); err != nil {
			return nil, fmt.Errorf("activity %d: %w", i, err)
		}
	}
	if k > 0 {
		r := smReader{p: p, resources: k}
		if err := r.capacities(rows[1+2*n]); err != nil {
			return nil, err
		}
	}
	return finishProblem(p)
}

func schArcs(p *Problem, i int, row []int) error {
	if len(row) < 3 || row[0] != i || row[2] < 0 || len(row) != 3+2*row[2] {
		return errors.New("a line of successors is: activity, modes, how many, that many activities, that many lags")
	}
	for k := range row[2] {
		to, lag := row[3+k], row[3+row[2]+k]
		if to < 0 || to >= len(p.Nodes) || to == i {
			return fmt.Errorf("%d cannot follow it", to)
		}
		if lag > MaxHorizon || lag < -MaxHorizon {
			return fmt.Errorf("a lag of %d", lag)
		}
		p.Arcs = append(p.Arcs, Arc{From: int32(i), To: int32(to), Lag: int32(lag)})
	}
	return nil
}

func schJob(p *Problem, i int, row []int) error {
	if len(row) != 3+len(p.Resources) || row[0] != i {
		return errors.New("a line of durations is: activity, mode, duration, and its demands")
	}
	if row[2] < 0 || row[2] > MaxHorizon {
		return fmt.Errorf("it takes %d", row[2])
	}
	p.Nodes[i].Dur = int32(row[2])
	return addUses(p, int32(i), row[3:])
}
