package engine

import "batterboard/schedule"

// answersBy is the hour, on the eve of its day, at which a crew that has not answered counts as silent:
// six in the evening, when one still gets hold of somebody (common practice, no source), or as set.
func (s *sheet) answersBy(d schedule.Day) schedule.Minute {
	if s.site.AnswerBy > 0 {
		return (d - 1).At(s.site.AnswerBy)
	}
	return (d - 1).At(18 * 60)
}

// silenceActs are the crews that were asked for a coming day and have not said a word: a wait before
// the hour, a call after it. Today's are told as long as nobody of them has begun.
func (s *sheet) silenceActs() (out []due) {
	for _, d := range []schedule.Day{s.today(), s.nextTextDay()} {
		hour := s.answersBy(d)
		for _, c := range s.tomorrowCrews(d) {
			texted := s.answerFor(c, d) == "silent"
			if s.crews[c].Own || !texted && !s.unanswered(c, d) || d == s.today() && s.begunOn(c, d) {
				continue
			}
			key := "act.silent"
			if s.now < hour {
				key = "act.answer"
			}
			if !texted && s.now < hour { // the text to them is what comes first
				continue
			}
			day := s.w.Day(d)
			if d == s.today() {
				key = "act.silentToday"
			}
			out = append(out, s.act("answer", textID("tomorrow", c, d), s.w.Say(key, "who", s.crewName(c), "day", day), hour, s.crews[c].Phone))
		}
	}
	return out
}

// unanswered says that a crew was asked for work that begins on d, has not said yes, and said nothing else.
func (s *sheet) unanswered(crew string, d schedule.Day) bool {
	if t := s.texts[textID("tomorrow", crew, d)]; t != nil && t.Answer != "" {
		return false
	}
	for _, id := range s.workOf(crew, d) {
		if a := s.acts[id]; a.Booking == schedule.Asked && a.Crew == crew && a.Started == 0 && s.lines[id].Start.Day() == d {
			return s.openAnswer(crew, d, lastDay(s.lines[id].Start, s.lines[id].Finish)) == nil
		}
	}
	return false
}

// begunOn says that a crew's work of the day is under way: who is there has answered.
func (s *sheet) begunOn(crew string, d schedule.Day) bool {
	for _, id := range s.workOf(crew, d) {
		if s.acts[id].Started != 0 {
			return true
		}
	}
	return false
}
