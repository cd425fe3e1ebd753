package words

// Pictures and papers.
func init() {
	add(map[string]string{
		"kind.photo": "photo", "said.photo": "Photo kept.", "log.photo": "photo of {what}",
		"photo.say": "Photo: {what}, {when}", "photos.one": "1 photo.", "photos.many": "{n} photos.",
		"refused.photo":      "This picture has no proper name. Nothing was changed. Take it again, or choose it again.",
		"refused.photoPlace": "There is no such place on earth. Nothing was changed. Add the photo without its place.",
		"field.file":         "file", "field.small": "small copy", "field.wide": "width", "field.high": "height", "field.share": "crews may see it", "field.at": "taken",
		"field.latitude": "north or south", "field.longitude": "east or west",

		"kind.paper": "paper", "said.paper": "Kept: {name}.", "log.paper": "paper “{what}”, {a}", "photos.none": "No photos or papers yet.", "papers.one": "1 paper.", "papers.many": "{n} papers.",
		"refused.paper":     "This paper is of a kind, or of a size, that is not kept. Nothing was changed. PDF up to 12 MB, pictures and plain text up to 3 MB can be added.",
		"refused.paperName": "Give the paper a name of up to 120 letters, without strokes like / in it. Nothing was changed.",
		"field.type":        "kind",
	}, map[string]string{
		"kind.photo": "foto", "said.photo": "Foto guardada.", "log.photo": "foto de {what}",
		"photo.say": "Foto: {what}, {when}", "photos.one": "1 foto.", "photos.many": "{n} fotos.",
		"refused.photo":      "Esta foto no tiene un nombre válido. No se cambió nada. Tómela o elíjala otra vez.",
		"refused.photoPlace": "Ese lugar no existe en la tierra. No se cambió nada. Agregue la foto sin el lugar.",
		"field.file":         "archivo", "field.small": "copia pequeña", "field.wide": "ancho", "field.high": "alto", "field.share": "las cuadrillas pueden verla", "field.at": "tomada",
		"field.latitude": "norte o sur", "field.longitude": "este u oeste",

		"kind.paper": "documento", "said.paper": "Guardado: {name}.", "log.paper": "documento «{what}», {a}", "photos.none": "Aún no hay fotos ni documentos.", "papers.one": "1 documento.", "papers.many": "{n} documentos.",
		"refused.paper":     "Este documento es de un tipo o de un tamaño que no se guarda. No se cambió nada. Se pueden agregar PDF de hasta 12 MB, e imágenes y texto simple de hasta 3 MB.",
		"refused.paperName": "Dé al documento un nombre de hasta 120 letras, sin barras como /. No se cambió nada.",
		"field.type":        "tipo",
	})
}
