package words

// What the odds say about weather.
func init() {
	add(map[string]string{
		"field.twice":      "second visit",
		"odds.weather.one": "{n} piece of outdoor work that weather may stop", "odds.weather.many": "{n} pieces of outdoor work that weather may stop",
		"odds.leftWet": "Left out: goods that come late or short, work found behind a wall, and that you would reshuffle. In a run everybody keeps the order of the plan and is only pushed. It is a guess with open eyes, not a promise.",
	}, map[string]string{
		"field.twice":      "segunda visita",
		"odds.weather.one": "{n} trabajo al aire libre que el clima puede parar", "odds.weather.many": "{n} trabajos al aire libre que el clima puede parar",
		"odds.leftWet": "Queda fuera: material que llega tarde o incompleto, trabajo hallado detrás de un muro, y que usted reacomodaría. En una corrida todos mantienen el orden del plan y solo se corren. Es una conjetura con los ojos abiertos, no una promesa.",
	})
}
