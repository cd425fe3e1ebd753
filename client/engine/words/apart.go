package words

// What two phones did apart.
func init() {
	add(map[string]string{
		"repaired": "{what}: {to}; the way had put it on {from}.",
		"you":      "you", "value.true": "yes", "value.false": "no", "value.own": "own version",
		"value.pass": "passed", "value.fail": "failed", "value.partial": "passed in part", "value.yes": "yes", "value.no": "no", "value.other": "another day",
		"log.way.away.day": "{what} can't make {a}: way taken", "log.way.shut.day": "site shut {a} ({what}): way taken", "log.way.outdoor.day": "no outdoor work {a} ({what}): way taken",
	}, map[string]string{
		"you": "usted", "value.true": "sí", "value.false": "no", "value.own": "versión propia",
		"value.pass": "aprobada", "value.fail": "no aprobada", "value.partial": "aprobada en parte", "value.yes": "sí", "value.no": "no", "value.other": "otro día",
		"log.way.away.day": "{what} no puede venir {a}: salida tomada", "log.way.shut.day": "obra cerrada {a} ({what}): salida tomada", "log.way.outdoor.day": "sin trabajo afuera {a} ({what}): salida tomada",
		"repaired": "{what}: {to}; la salida lo había puesto el {from}.",
	})
}
