package words

func init() {
	add(map[string]string{
		"rule.apart":     "Set-up",
		"ask.apart.one":  "The set-up was answered on two phones at once. {n} thing of the plan does not fit the answers that stand.",
		"ask.apart.many": "The set-up was answered on two phones at once. {n} things of the plan do not fit the answers that stand.",
		"why.apart":      "Each phone changed the plan for its own answer, and of each question one answer stands. Look at what would change; nothing does before you take it.",
	}, map[string]string{
		"rule.apart":     "Preguntas",
		"ask.apart.one":  "Las preguntas se contestaron en dos teléfonos a la vez. {n} cosa del plan no corresponde a las respuestas que valen.",
		"ask.apart.many": "Las preguntas se contestaron en dos teléfonos a la vez. {n} cosas del plan no corresponden a las respuestas que valen.",
		"why.apart":      "Cada teléfono cambió el plan según su respuesta, y de cada pregunta vale una sola. Vea qué cambiaría; nada cambia antes de que usted lo tome.",
	})
}
