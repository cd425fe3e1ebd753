package words

// The set-up by questions, units, and the pace that finished work teaches.
func init() {
	add(map[string]string{
		"refused.length":  "“{value}” is no length for “{what}”: write it like 12' 6\", 12.5 ft, 3.81 m or 381 cm, from {low} to {high}. What you said before is kept.",
		"refused.howMany": "“{value}” does not fit “{what}”: a whole number from {low} to {high}. What you said before is kept.",
		"refused.answers": "With these answers {why} would wait for itself, by a link that was added by hand. Nothing was changed. Take that link out first.",
		"field.answers":   "answers", "log.answers": "plan from the answers: {what}",
		"answers.outcome": "{n} activities, {v} visits, {o} orders. {typical} hours of work ({low} to {high}). Finish about {day}.",
		"answers.new":     "New: {what}.", "answers.gone": "Gone: {what}.", "answers.hours": "{what}: {from} → {to}.",
		"answers.crew": "{what}: {from} → {to}.", "answers.tell": "{who} has heard of it: tell them.",
		"answers.goods": "{what}: {to}.", "answers.other": "{what} changes.",
		"answers.kept":  "{what} stays: you changed it, or something happened to it. Remove it by hand if it is not needed.",
		"pace.title":    "{work}: {who} took {real} where {planned} was planned.",
		"pace.how.one":  "Counted in the hours the crew works, from start to finish, times its people. One finished piece of work counts half.",
		"pace.how.many": "Counted in the hours the crew works, from start to finish, times its people. {n} finished pieces count {share} %.",
		"pace.take":     "Later work of that kind: {percent} % of the hours planned now.",
		"pace.line":     "{what} {from} → {to}", "button.pace": "See the pace",
		"said.paced": "Later hours follow the real pace. {finish}", "said.paceLeft": "The hours stay as they are.",
		"log.pace": "pace of {what}: {a} %", "log.paceLeft": "pace of {what} left as it is",
		"refused.paceOver": "That finished work is not there any more, or its pace was taken already. Nothing was changed.",
	}, map[string]string{
		"refused.length":  "«{value}» no es una medida para «{what}»: escriba 12' 6\", 12.5 ft, 3.81 m o 381 cm, de {low} a {high}. Lo que dijo antes se conserva.",
		"refused.howMany": "«{value}» no sirve para «{what}»: un número entero de {low} a {high}. Lo que dijo antes se conserva.",
		"refused.answers": "Con estas respuestas {why} tendría que esperarse a sí mismo, por un enlace agregado a mano. No se cambió nada. Quite primero ese enlace.",
		"field.answers":   "respuestas", "log.answers": "plan según las respuestas: {what}",
		"answers.outcome": "{n} actividades, {v} visitas, {o} pedidos. {typical} horas de trabajo ({low} a {high}). Termina hacia el {day}.",
		"answers.new":     "Nuevo: {what}.", "answers.gone": "Sale: {what}.", "answers.hours": "{what}: {from} → {to}.",
		"answers.crew": "{what}: {from} → {to}.", "answers.tell": "{who} ya lo sabía: avísele.",
		"answers.goods": "{what}: {to}.", "answers.other": "{what} cambia.",
		"answers.kept":  "{what} se queda: usted lo cambió o ya pasó algo ahí. Quítelo a mano si no hace falta.",
		"pace.title":    "{work}: {who} tardó {real} donde se planearon {planned}.",
		"pace.how.one":  "Contado en las horas en que trabaja la cuadrilla, del inicio al fin, por su gente. Un trabajo terminado cuenta la mitad.",
		"pace.how.many": "Contado en las horas en que trabaja la cuadrilla, del inicio al fin, por su gente. {n} trabajos terminados cuentan {share} %.",
		"pace.take":     "Lo que sigue de ese trabajo: {percent} % de las horas planeadas hoy.",
		"pace.line":     "{what} {from} → {to}", "button.pace": "Ver el ritmo",
		"said.paced": "Las horas que siguen van al ritmo real. {finish}", "said.paceLeft": "Las horas se quedan como están.",
		"log.pace": "ritmo de {what}: {a} %", "log.paceLeft": "ritmo de {what}, sin cambio",
		"refused.paceOver": "Ese trabajo terminado ya no está, o su ritmo ya se tomó. No se cambió nada.",
	})
}
