package main

import (
	"strconv"
	"strings"

	"batterboard/client/engine"
	"batterboard/schedule"
)

// What the server says to a phone that is not looking. The server's alone, like the crews' pages.
var pushWords = map[string]map[string]string{
	"en": {"yes": "{who} is coming, {day}.", "no": "{who} can't come, {day}.", "other": "{who} asks for {wish} instead of {day}.",
		"late": "{who} is running late: {n} minutes.", "done": "{who}: done for today, {n} % of it.", "ask": "{who} has a question.", "photo": "{who} sent a photo.",
		"silent.one": "No answer yet from {who}, who is to come on {day}.", "silent.many": "No answer yet from {n} crews for {day}: {who}.",
		"failed": "A text to {who} could not be sent."},
	"es": {"yes": "{who} viene el {day}.", "no": "{who} no puede venir el {day}.", "other": "{who} pide el {wish} en lugar del {day}.",
		"late": "{who} llega tarde: {n} minutos.", "done": "{who}: terminado por hoy, {n} %.", "ask": "{who} tiene una pregunta.", "photo": "{who} envió una foto.",
		"silent.one": "{who} aún no contesta y debe venir el {day}.", "silent.many": "{n} cuadrillas aún no contestan para el {day}: {who}.",
		"failed": "No se pudo enviar un mensaje a {who}."},
}

// pushSay fills a sentence: pairs of blank and what goes into it.
func pushSay(lang, key string, with ...string) string {
	words, ok := pushWords[lang]
	if !ok {
		words = pushWords["en"]
	}
	for i := 0; i+1 < len(with); i += 2 {
		with[i] = "{" + with[i] + "}"
	}
	return strings.NewReplacer(with...).Replace(words[key])
}

// tellAnswer tells the phones of a site what a crew answered.
func (p *pusher) tellAnswer(site, crew, name string, a engine.CrewAnswer, day schedule.Day) {
	p.tell(site, "crew/"+crew, func(lang string) string {
		return pushSay(lang, a.Do, "who", name, "day", engine.LongDay(lang, day), "wish", engine.LongDay(lang, a.Day), "n", strconv.Itoa(int(a.Count)))
	})
}
