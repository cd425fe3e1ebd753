package sim

import (
	"cmp"
	"encoding/json"
	"maps"
	"slices"

	"batterboard/sync"
)

// shelf is a phone's store as the browser's database has it: one place for each operation, by device and
// number. What is put in a place that is taken pushes out what was there.
type shelf struct {
	rows []row
	turn int             // whose tab may write: counted up by each that takes over
	acts map[string]bool // acts kept, by the name a screen gave them
	meta []byte
	pics map[string]*pic
}

type row struct {
	id  opsync.OpID
	raw []byte
}

func newShelf() *shelf { return &shelf{acts: map[string]bool{}, pics: map[string]*pic{}} }

func (s *shelf) put(raws [][]byte) {
	for _, raw := range raws {
		o, err := opsync.Decode(raw)
		if err != nil {
			panic("sim: an operation that does not decode is to be kept: " + err.Error())
		}
		i, there := slices.BinarySearchFunc(s.rows, o.ID, func(r row, id opsync.OpID) int {
			return cmp.Or(cmp.Compare(r.id.Device, id.Device), cmp.Compare(r.id.Seq, id.Seq))
		})
		if there {
			s.rows[i].raw = raw
		} else {
			s.rows = slices.Insert(s.rows, i, row{o.ID, raw})
		}
	}
}

func (s *shelf) raws() [][]byte {
	list := make([][]byte, len(s.rows))
	for i, r := range s.rows {
		list[i] = r.raw
	}
	return list
}

func (s *shelf) clone() *shelf {
	pics := map[string]*pic{}
	for name, x := range s.pics {
		pics[name] = &pic{x.sent}
	}
	return &shelf{rows: slices.Clone(s.rows), acts: maps.Clone(s.acts), meta: slices.Clone(s.meta), pics: pics}
}

// labels are those of all operations on the shelf, and of those that the notes keep to be written anew.
func (s *shelf) labels() (list []string) {
	var notes struct{ Again []string }
	if err := json.Unmarshal(s.meta, &notes); err != nil {
		panic("sim: notes that do not read: " + err.Error())
	}
	raws := s.raws()
	for _, raw := range notes.Again {
		raws = append(raws, []byte(raw))
	}
	for _, raw := range raws {
		if o, err := opsync.Decode(raw); err == nil {
			list = append(list, o.Label)
		}
	}
	return list
}
