package words

// Silence, and a crew's word taken.
func init() {
	add(map[string]string{
		"field.doneAt": "share said",
		"act.silent":   "{who} is silent about {day}: call them", "act.silentToday": "{who} never answered for today: call them",
		"button.word": "Take their word", "said.word": "Taken: {what}, {when}. {shift}",
		"log.word.late": "{what} comes {b} minutes late: {a}", "log.word.done": "{what} said {b} % done: {a}",
	}, map[string]string{
		"field.doneAt": "avance dicho",
		"act.silent":   "{who} no responde sobre el {day}: llámeles", "act.silentToday": "{who} no respondió para hoy: llámeles",
		"button.word": "Tomarles la palabra", "said.word": "Tomado: {what}, {when}. {shift}",
		"log.word.late": "{what} llega {b} minutos tarde: {a}", "log.word.done": "{what} dijo {b} % hecho: {a}",
	})
}
