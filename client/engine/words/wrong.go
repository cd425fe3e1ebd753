package words

// What is said to a field that was filled in wrong, and to things that go and come back together.
func init() {
	add(map[string]string{
		"refused.number":       "“{value}” does not fit “{field}”: it takes a number. Nothing was changed. Write digits, like 6 or 2.5.",
		"refused.whole":        "“{value}” does not fit “{field}”: it takes a whole number. Nothing was changed. Round it up or down.",
		"refused.huge":         "That number is far too large for “{field}”. Nothing was changed. Check it.",
		"refused.weight":       "“{value}” is no weight. Nothing was changed. Write it like 100 lb or 45 kg.",
		"refused.week":         "“{value}” are no working hours. Nothing was changed. Each span needs a beginning and a later end on the same day.",
		"refused.noWeek":       "With no hours on any day nobody could ever work. Nothing was changed. Leave at least one day open; for single days add days shut or days away.",
		"refused.noTypical":    "The usual hours of {what} are missing. Nothing was changed. Enter them; least and most can stay empty.",
		"refused.linked":       "{to} waits for {from} already, in the same way. Nothing was changed. Open that link to change its wait.",
		"refused.sameName":     "There is “{name}” already. Nothing was changed. Add a word that tells the two apart.",
		"refused.removeSigned": "{what} is signed and belongs to the site's history. Nothing was changed. If it was marked by mistake, undo that first.",
		"text.more":            "{n} more",
		"said.nowWaits":        "{to} now waits for {from}.", "said.restoredWith": "{what} is back, and with it {with}.",
		"field.weather": "days lost to weather",
	}, map[string]string{
		"refused.number":       "«{value}» no sirve para «{field}»: debe ser un número. No se cambió nada. Escriba cifras, como 6 o 2.5.",
		"refused.whole":        "«{value}» no sirve para «{field}»: debe ser un número entero. No se cambió nada. Redondéelo.",
		"refused.huge":         "Ese número es demasiado grande para «{field}». No se cambió nada. Revíselo.",
		"refused.weight":       "«{value}» no es un peso. No se cambió nada. Escríbalo como 100 lb o 45 kg.",
		"refused.week":         "«{value}» no son horas de trabajo. No se cambió nada. Cada tramo necesita un inicio y un fin posterior el mismo día.",
		"refused.noWeek":       "Sin horas en ningún día nadie podría trabajar nunca. No se cambió nada. Deje abierto al menos un día; para días sueltos agregue días cerrados o ausencias.",
		"refused.noTypical":    "Faltan las horas normales de {what}. No se cambió nada. Póngalas; el mínimo y el máximo pueden quedar vacíos.",
		"refused.linked":       "{to} ya espera a {from}, de la misma manera. No se cambió nada. Abra ese enlace para cambiar su espera.",
		"refused.sameName":     "Ya hay «{name}». No se cambió nada. Agregue una palabra que los distinga.",
		"refused.removeSigned": "{what} está firmado y es parte de la historia de la obra. No se cambió nada. Si se marcó por error, deshágalo primero.",
		"text.more":            "{n} más",
		"said.nowWaits":        "{to} ahora espera a {from}.", "said.restoredWith": "{what} está de vuelta, y con eso {with}.",
		"field.weather": "días perdidos por el clima",
	})
}
