package engine

import "batterboard/schedule"

// Silent names the crews that were told of tomorrow and have not answered, and from when on that is
// silence. Nobody is silent about a day they have not heard of.
func (b *CrewBoard) Silent() (day schedule.Day, crews []string, from schedule.Minute) {
	s := b.s
	day = s.today() + 1
	for _, c := range s.tomorrowCrews(day) {
		if s.answerFor(c, day) == "silent" {
			crews = append(crews, s.crewName(c))
		}
	}
	return day, crews, s.answersBy(day)
}

// Now is the moment the board was drawn at, on the site's clock.
func (b *CrewBoard) Now() schedule.Minute { return b.s.now }

// Asks says whether any text is still to be sent by the server, also one whose days do not hold at the
// moment: they may again.
func (b *CrewBoard) Asks() bool {
	for i := range b.s.site.Texts {
		if t := &b.s.site.Texts[i]; t.Queued > t.Sent && t.Failed == "" && t.Day >= b.s.today() {
			return true
		}
	}
	return false
}

// Site is what the site is called.
func (b *CrewBoard) Site() string { return b.s.site.Name }

// Visit is one of a page's visits by its ID, nothing when there is none.
func (p CrewPage) Visit(id string) (v CrewVisit) {
	for _, x := range p.Visits {
		if x.ID == id {
			v = x
		}
	}
	return v
}
