package words

// Pictures.
func init() {
	add(map[string]string{
		"kind.photo": "photo", "said.photo": "Photo kept.", "log.photo": "photo of {what}",
		"photo.say": "Photo: {what}, {when}", "photos.one": "1 photo.", "photos.many": "{n} photos.",
		"refused.photo": "This picture has no proper name. Nothing was changed. Take it again, or choose it again.",
		"field.file":    "file", "field.small": "small copy", "field.wide": "width", "field.high": "height", "field.share": "crews may see it", "field.at": "taken",
	}, map[string]string{
		"kind.photo": "foto", "said.photo": "Foto guardada.", "log.photo": "foto de {what}",
		"photo.say": "Foto: {what}, {when}", "photos.one": "1 foto.", "photos.many": "{n} fotos.",
		"refused.photo": "Esta foto no tiene un nombre válido. No se cambió nada. Tómela o elíjala otra vez.",
		"field.file":    "archivo", "field.small": "copia pequeña", "field.wide": "ancho", "field.high": "alto", "field.share": "las cuadrillas pueden verla", "field.at": "tomada",
	})
}
