package words

// Something changed: new work, short deliveries, a day to be finished by, a crew's word taken.
func init() {
	add(map[string]string{
		"title.found": "New work: {what}", "title.short": "{what} came short", "title.by": "Finished by {day}", "title.move": "{what} starts {when}",
		"log.way.found": "new work, {what}: way taken", "log.way.short": "{what} came short ({a}): way taken", "log.way.by": "finished by {what}: way taken",
		"short.rest":           "Rest: {what}",
		"refused.missing.what": "What is missing has no name yet. Nothing was changed. Write a word or two, as the supplier would read it.",
		"refused.begun":        "{what} has begun or is done, so nothing can be put in front of it. Nothing was changed. Leave it out, or put the new work behind it.",
		"refused.both":         "{what} cannot come both before and after the new work. Nothing was changed. Leave it out on one side.",
		"refused.noHours":      "{what} has no hours yet. Nothing was changed. Say how long it takes.",
		"refused.byPast":       "{day} is over or is today. Nothing was changed. Choose a later day.",
		"refused.nothingOpen":  "Nothing is left to do, so nothing can finish sooner. Nothing was changed.",

		"effort.now": "now planned: {n}",
	}, map[string]string{
		"title.found": "Trabajo nuevo: {what}", "title.short": "{what} llegó incompleto", "title.by": "Terminado el {day} a más tardar", "title.move": "{what} empieza {when}",
		"log.way.found": "trabajo nuevo, {what}: salida tomada", "log.way.short": "{what} llegó incompleto ({a}): salida tomada", "log.way.by": "terminado el {what} a más tardar: salida tomada",
		"short.rest":           "Resto: {what}",
		"refused.missing.what": "Lo que falta aún no tiene nombre. No se cambió nada. Escriba una o dos palabras, como las leería el proveedor.",
		"refused.begun":        "{what} ya empezó o está hecho, así que nada puede ir delante. No se cambió nada. Déjelo fuera, o ponga el trabajo nuevo detrás.",
		"refused.both":         "{what} no puede ir a la vez antes y después del trabajo nuevo. No se cambió nada. Déjelo fuera de un lado.",
		"refused.noHours":      "{what} aún no tiene horas. No se cambió nada. Diga cuánto dura.",
		"refused.byPast":       "El {day} ya pasó o es hoy. No se cambió nada. Elija un día posterior.",
		"refused.nothingOpen":  "No queda nada por hacer, así que nada puede terminar antes. No se cambió nada.",

		"effort.now": "planeado ahora: {n}",
	})
}
