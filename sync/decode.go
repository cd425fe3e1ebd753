package opsync

import "strconv"

// Decode reads one operation as from a stranger: its one way of writing, every limit, nothing else.
// It does not check what only a log knows: chain, stamp and cause.
func Decode(raw []byte) (*Op, error) { return decode(raw, nil) }

func decode(raw []byte, words map[string]string) (*Op, error) {
	o := &Op{Raw: raw}
	if err := o.decode(&scan{b: raw, words: words}); err != nil {
		return nil, err
	}
	return o, nil
}

// decode reads an operation that has nothing but its bytes.
func (o *Op) decode(s *scan) error {
	if len(o.Raw) > MaxOpBytes {
		return refuse(WhyLimit, "a change is larger than "+strconv.Itoa(MaxOpBytes)+" bytes")
	}
	o.Needs = 1
	if err := o.head(s); err != nil {
		return err
	}
	read := o.rest
	if o.Needs > Schema {
		read = o.later
	}
	if err := read(s); err != nil {
		return err
	}
	if err := s.end(); err != nil {
		return err
	}
	o.Hash = HashOf(o.Raw)
	return nil
}

// head reads what every schema has: who, when, after what.
func (o *Op) head(s *scan) (err error) {
	if s.is(`{"n":`) {
		n, err := s.whole(2, 1000)
		if err != nil {
			return err
		}
		o.Needs = int(n)
		err = s.want(`,"d":`)
		if err != nil {
			return err
		}
	} else if err := s.want(`{"d":`); err != nil {
		return err
	}
	if o.ID, err = s.opID(`,"s":`); err != nil {
		return err
	}
	if err = o.times(s); err != nil {
		return err
	}
	if err = s.want(`,"p":`); err != nil {
		return err
	}
	if o.Prev, err = s.hash(o.ID.Seq == 1); err != nil {
		return err
	}
	if s.is(`,"v":`) {
		return o.seen(s)
	}
	return nil
}

// opID reads two numbers with sep between them.
func (s *scan) opID(sep string) (id OpID, err error) {
	d, err := s.whole(1, MaxDevice)
	if err != nil {
		return id, err
	}
	if err = s.want(sep); err != nil {
		return id, err
	}
	q, err := s.whole(1, MaxSeq)
	return OpID{Device(d), uint32(q)}, err
}

func (o *Op) times(s *scan) (err error) {
	if err = s.want(`,"t":[`); err != nil {
		return err
	}
	if o.Stamp.Wall, err = s.whole(MinWall, MaxWall); err != nil {
		return err
	}
	if err = s.want(`,`); err != nil {
		return err
	}
	if o.Stamp.Count, err = s.whole(0, MaxCount); err != nil {
		return err
	}
	if err = s.want(`]`); err != nil {
		return err
	}
	o.Wall = o.Stamp.Wall
	if s.is(`,"w":`) {
		if o.Wall, err = s.whole(MinWall, MaxWall); err == nil && o.Wall >= o.Stamp.Wall {
			err = refuse(WhyForm, "a clock that is not behind the stamp is not written")
		}
	}
	return err
}

// hash reads a hash of the chain; empty only where it must be.
func (s *scan) hash(empty bool) (string, error) {
	from := s.i
	if _, err := s.quoted(32); err != nil {
		return "", err
	}
	inner := s.b[from+1 : s.i-1]
	if !empty && s.prev != "" && string(inner) == s.prev {
		return s.prev, nil
	}
	h := string(inner) // no word: it never comes again
	if !isHash(h, empty) {
		return "", refuse(WhyForm, "a hash is 32 small hex digits, and only a first change has none before it")
	}
	return h, nil
}

func isHash(h string, empty bool) bool {
	if empty || len(h) != 32 {
		return empty && h == ""
	}
	for i := range len(h) {
		if unhex(h[i]) < 0 {
			return false
		}
	}
	return true
}

func (o *Op) seen(s *scan) error {
	err := s.list(func() error {
		if err := s.want("["); err != nil {
			return err
		}
		id, err := s.opID(",")
		if err != nil {
			return err
		}
		if n := len(o.Seen); n == MaxSeen {
			return refuse(WhyLimit, "a change names more than "+strconv.Itoa(MaxSeen)+" devices")
		} else if n > 0 && o.Seen[n-1].Device >= id.Device || id.Device == o.ID.Device {
			return refuse(WhyForm, "the devices seen are not in order")
		}
		o.Seen = append(o.Seen, id)
		return s.want("]")
	})
	if err == nil && len(o.Seen) == 0 {
		err = refuse(WhyForm, "an empty list of devices seen is not written")
	}
	return err
}

// opKeys are the names of an operation in schema 1; more may follow, sorted, after "b".
var opKeys = map[string]bool{"n": true, "d": true, "s": true, "t": true, "w": true, "p": true,

	"v": true, "k": true, "l": true, "o": true, "b": true}

func (o *Op) rest(s *scan) (err error) {
	if err = s.want(`,"k":`); err != nil {
		return err
	}
	if o.Kind, err = s.name("the kind of a change"); err != nil {
		return err
	}
	if s.is(`,"l":`) {
		if o.Label, err = s.text(MaxLabel); err == nil && o.Label == "" {
			err = refuse(WhyForm, "an empty label is not written")
		}
		if err != nil {
			return err
		}
	}
	if s.is(`,"o":`) {
		text, err := s.text(MaxWord)
		if err != nil {
			return err
		}
		if o.About, err = ParseOpID(text); err != nil {
			return err
		}
	}
	if err = s.want(`,"b":`); err != nil {
		return err
	}
	if err = o.edits(s); err != nil {
		return err
	}
	return s.unknown(opKeys)
}

// later passes over the rest of an operation of a later schema: any members, only in one form.
func (o *Op) later(s *scan) error {
	for !s.is("}") {
		if err := s.want(","); err != nil {
			return err
		}
		if _, err := s.text(MaxWord); err != nil {
			return err
		}
		if err := s.want(":"); err != nil {
			return err
		}
		if err := s.skip(-2); err != nil { // two levels of envelope around values of MaxDepth
			return err
		}
	}
	return nil
}
