package words

// What crews send from their pages, and where the site is.
func init() {
	add(map[string]string{
		"crew.photo":      "A photo of {what}.",
		"site.ours":       "Our site",
		"refused.itself":  "{what} cannot wait for itself. Nothing was changed. Choose another.",
		"refused.geo":     "A place is written as two numbers, latitude first: 37.786971, -122.399677. Nothing was changed.",
		"log.people":      "names and numbers of {what} taken from an address book",
		"refused.people":  "These entries cannot be read, or are more than {n} at once. Nothing was changed.",
		"refused.country": "A country is written with two capital letters, like US or MX. Nothing was changed.",
	}, map[string]string{
		"crew.photo":      "Una foto de {what}.",
		"site.ours":       "Nuestra obra",
		"refused.itself":  "{what} no puede esperarse a sí mismo. No se cambió nada. Elija otro.",
		"refused.geo":     "Un lugar se escribe con dos números, primero la latitud: 37.786971, -122.399677. No se cambió nada.",
		"log.people":      "nombres y números de {what} tomados de una agenda",
		"refused.people":  "Estas entradas no se pueden leer, o son más de {n} a la vez. No se cambió nada.",
		"refused.country": "Un país se escribe con dos letras mayúsculas, como US o MX. No se cambió nada.",
	})
}
