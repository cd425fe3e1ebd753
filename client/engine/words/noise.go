package words

// Noise hours: when noisy work may be done.
func init() {
	add(map[string]string{
		"because.noise":     "No noisy work before {when}: the noise hours.",
		"forbid.noise":      "{what}: no noisy work before {at}, the noise hours.",
		"could.noise":       "noise allowed sooner, which is not yours to decide",
		"problem.neverLoud": "{what} finds no time: it is noisy, and its crew never works in the noise hours. Check both.",
		"refused.noNoise":   "With no hours on any day noisy work could never be done. Nothing was changed. Leave at least one day, or take the noise hours off.",
		"field.noise":       "noise hours", "text.loud": "{days}, {hours}",
	}, map[string]string{
		"because.noise":     "Sin trabajo ruidoso antes del {when}: las horas de ruido.",
		"forbid.noise":      "{what}: sin trabajo ruidoso antes del {at}, por las horas de ruido.",
		"could.noise":       "que se permita hacer ruido antes, lo que usted no decide",
		"problem.neverLoud": "{what} no encuentra tiempo: hace ruido, y su cuadrilla nunca trabaja en las horas de ruido. Revise ambos horarios.",
		"refused.noNoise":   "Sin horas en ningún día, el trabajo ruidoso nunca podría hacerse. No se cambió nada. Deje al menos un día, o quite las horas de ruido.",
		"field.noise":       "horas de ruido", "text.loud": "{days}, {hours}",
	})
}
