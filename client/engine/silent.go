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
	by := s.site.AnswerBy
	if by == 0 {
		by = 18 * 60
	}
	return day, crews, s.today().At(by)
}

// Now is the moment the board was drawn at, on the site's clock.
func (b *CrewBoard) Now() schedule.Minute { return b.s.now }

// Visit is one of a page's visits by its ID, nothing when there is none.
func (p CrewPage) Visit(id string) (v CrewVisit) {
	for _, x := range p.Visits {
		if x.ID == id {
			v = x
		}
	}
	return v
}
