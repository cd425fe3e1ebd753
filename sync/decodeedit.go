package opsync

import (
	"bytes"
	"strconv"
)

// unknown passes over members this program does not know, to the end of the object.
func (s *scan) unknown(known map[string]bool) error {
	if s.is("}") {
		return nil
	}
	if err := s.want(","); err != nil {
		return err
	}
	return s.members("", MaxWord, func(key string) error {
		if known[key] {
			return refuse(WhyForm, "the member "+strconv.Quote(key)+" stands in the wrong place")
		}
		_, err := s.value(0)
		return err
	})
}

func (o *Op) edits(s *scan) error {
	o.body = make([]edit, 0, min(bytes.Count(s.b[s.i:], []byte(`{"thing":`)), MaxEdits))
	return s.list(func() error {
		if len(o.body) == MaxEdits {
			return refuse(WhyLimit, "a change of more than "+strconv.Itoa(MaxEdits)+" things")
		}
		e, err := s.edit()
		if err != nil {
			return err
		}
		if n := len(o.body); n > 0 && o.body[n-1].compare(e) >= 0 {
			return refuse(WhyForm, "the things changed are not in order, or one is there twice")
		}
		o.body = append(o.body, e)
		return nil
	})
}

var editKeys = map[string]bool{"thing": true, "id": true, "gone": true, "fact": true, "set": true}

func (s *scan) edit() (e edit, err error) {
	if err = s.want(`{"thing":`); err != nil {
		return e, err
	}
	if e.thing, err = s.name("the kind of a thing"); err != nil {
		return e, err
	}
	if err = s.want(`,"id":`); err != nil {
		return e, err
	}
	if e.id, err = s.text(MaxID); err != nil {
		return e, err
	}
	if err := checkID(e.thing, e.id); err != nil {
		return e, err
	}
	e.gone = s.is(`,"gone":true`)
	e.here = !e.gone && s.is(`,"gone":false`)
	e.fact = s.is(`,"fact":true`)
	if s.is(`,"set":`) {
		if e.set, err = s.fields(); err != nil {
			return e, err
		}
	}
	if err := e.check(); err != nil {
		return e, err
	}
	return e, s.unknown(editKeys)
}

func (s *scan) fields() (set []field, err error) {
	if n := s.countFields(); n > 0 {
		set = make([]field, 0, n)
	}
	err = s.object(MaxWord, func(name string) error {
		if err := checkName(name, "a field"); err != nil {
			return err
		}
		if len(set) == MaxFields || name == "id" {
			return refuse(WhyLimit, "a change of more than "+strconv.Itoa(MaxFields)+" fields, or of an ID")
		}
		value, err := s.value(0)
		if isNull(value) {
			value = nil
		}
		set = append(set, field{name, value})
		return err
	})
	if err == nil && len(set) == 0 {
		err = refuse(WhyForm, "an empty set of fields is not written")
	}
	return set, err
}

// countFields guesses from the next few bytes how many fields come, to size the list once: most
// changes set one to three.
func (s *scan) countFields() int {
	n := 0
	for _, c := range s.b[s.i:min(s.i+64, len(s.b))] {
		if c == ':' {
			n++
		}
		if c == '}' {
			break
		}
	}
	return min(n, 4)
}

// name reads a word of a letter, then letters and digits.
func (s *scan) name(what string) (string, error) {
	w, err := s.text(MaxWord)
	if err != nil {
		return "", err
	}
	return w, checkName(w, what)
}

func checkName(w, what string) error {
	ok := w != "" && len(w) <= MaxWord && letter(w[0])
	for i := range len(w) {
		ok = ok && (letter(w[i]) || '0' <= w[i] && w[i] <= '9')
	}
	if !ok {
		return refuse(WhyForm, what+" is named with letters and digits, not "+strconv.Quote(w))
	}
	return nil
}

func letter(c byte) bool { return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' }

// checkID checks the ID of a thing. The head of the site is "site".
func checkID(thing, id string) error {
	ok := id != "" && len(id) <= MaxID
	for i := range len(id) {
		c := id[i]
		ok = ok && (letter(c) || '0' <= c && c <= '9' || c == '.' || c == '_' || c == '/' || c == '-')
	}
	if !ok {
		return refuse(WhyForm, "an ID is 1 to "+strconv.Itoa(MaxID)+" letters, digits and . _ / -, not "+strconv.Quote(id))
	}
	if thing == Head && id != Head {
		return refuse(WhyForm, "the head of the site has the ID site")
	}
	return nil
}

// check keeps an edit from saying two things at once, or none.
func (e edit) check() error {
	switch {
	case e.gone && len(e.set) > 0:
		return refuse(WhyForm, "a thing cannot be removed and changed in one go")
	case !e.gone && !e.here && len(e.set) == 0:
		return refuse(WhyForm, "a change of a thing that changes nothing")
	case e.thing == Head && (e.gone || e.here):
		return refuse(WhyForm, "the head of the site cannot be removed")
	}
	return nil
}
