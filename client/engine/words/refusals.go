package words

// What the server's refusals say, by their code (sync/refusal.go). The English ones say the same as the
// server does; a code that is not here is said as the server said it.
func init() {
	add(map[string]string{
		"rejected.form":   "The server could not read this change, so it was not taken. It is kept here.",
		"rejected.limit":  "This change is larger than what the server takes. It is kept here; say it in fewer words or in parts.",
		"rejected.role":   "This phone may look at the site but not change it, so the change was not taken. Ask the owner for the right to change the plan.",
		"rejected.chain":  "This change does not follow from what the server has of this phone. It is kept here and said anew.",
		"rejected.fork":   "Two phones write under the same number: one of them is a copy of the other. Pair one of them anew.",
		"rejected.stamp":  "This change does not fit what the server has. It is said anew.",
		"rejected.gap":    "A change before this one is missing on the server. This phone hands in again what it has.",
		"rejected.device": "This change was written by another phone, and the server takes it from that one. It is kept here until it has come.",
		"rejected.full":   "The site has reached what the server keeps for one site. Nothing is lost on this phone, but nothing new is taken: ask whoever runs the server.",
		"rejected.schema": "The server speaks another version than this app. Load the app anew to get the current one. Everything is safe on this phone.",
		"rejected.site":   "The server answered for another site or phone. Everything is safe on this phone.",
		"rejected.store":  "The server cannot write to its disk now. Your changes are safe on this phone and will be sent again.",
		"rejected.behind": "This phone had lost changes that the server has. They come again by themselves.",
	}, map[string]string{
		"rejected.form":   "El servidor no pudo leer este cambio, así que no lo tomó. Aquí queda guardado.",
		"rejected.limit":  "Este cambio es más grande de lo que toma el servidor. Aquí queda guardado; dígalo con menos palabras o en partes.",
		"rejected.role":   "Este teléfono puede ver la obra pero no cambiarla, así que el cambio no se tomó. Pida al dueño el permiso de cambiar el plan.",
		"rejected.chain":  "Este cambio no sigue a lo que el servidor tiene de este teléfono. Aquí queda guardado y se dice de nuevo.",
		"rejected.fork":   "Dos teléfonos escriben con el mismo número: uno es copia del otro. Conecte uno de ellos de nuevo con un código.",
		"rejected.stamp":  "Este cambio no encaja con lo que tiene el servidor. Se dice de nuevo.",
		"rejected.gap":    "Al servidor le falta un cambio anterior a este. Este teléfono vuelve a entregar lo que tiene.",
		"rejected.device": "Este cambio lo escribió otro teléfono, y el servidor lo toma de ese. Aquí queda guardado hasta que llegue.",
		"rejected.full":   "La obra llegó al límite de lo que el servidor guarda para una obra. En este teléfono no se pierde nada, pero ya no se toma nada nuevo: hable con quien lleva el servidor.",
		"rejected.schema": "El servidor habla otra versión que esta aplicación. Cárguela de nuevo para tener la actual. Todo está a salvo en este teléfono.",
		"rejected.site":   "El servidor contestó por otra obra u otro teléfono. Todo está a salvo en este teléfono.",
		"rejected.store":  "El servidor no puede escribir en su disco ahora. Sus cambios están a salvo en este teléfono y se enviarán de nuevo.",
		"rejected.behind": "Este teléfono había perdido cambios que el servidor tiene. Vuelven solos.",
	})
}
