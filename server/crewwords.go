package main

// crewWords are the labels of a crew's page in one language. They are the server's alone, so that no
// phone has to carry them; the sentences with facts in them are the engine's.
type crewWords struct {
	Code                                                                                 string
	WayIn, Questions, Call, Nothing                                                      string
	Firm, Asked, Pencilled, SaidNo, SaidOther, Today, Also                               string
	Work, Place, Ready, Bring, Before, After, Heed                                       string
	Yes, No, Other, WhichDay, Next, More, Late, Done, Question                           string
	Calendar, Subscribe, Slow, Feed                                                      string
	SureTitle, NotYet, Send, Back                                                        string
	SureYes, SureNo, SureOther, SureLate, SureDone, SureAsk                              string
	ThankYes, ThankNo, ThankOther, ThankNote                                             string
	Map, Photos, Papers, PhotoTitle, PhotoOf, PhotoSend, PhotoPick, PhotoSaid, PhotoNote string
	PhotoBig, PhotoBad, PhotoFull                                                        string
	Stale, Over, Form, Again, Busy, Foreign, TooMany, Closed, GoneTitle, GoneSay         string
}

var crewLanguages = map[string]*crewWords{
	"en": {Code: "en", WayIn: "Way in", Questions: "Questions", Call: "Call", Nothing: "No work is planned for you at the moment.",
		Firm: "Booked: you said yes", Asked: "Please answer: can you come?", Pencilled: "Pencilled in, not booked yet",
		SaidNo: "You said you can't come. You will hear from us.", SaidOther: "You asked for another day:", Today: "Today", Also: "Also there",
		Work: "Work", Place: "Room", Ready: "Will be ready", Bring: "Please bring", Before: "Before you", After: "After you", Heed: "Before you start",
		Yes: "Yes, I'm coming", No: "I can't come", Other: "Another day", WhichDay: "Which day could you come?", Next: "Next",
		More: "Running late, done for today, a question", Late: "I am running late by", Done: "Done for today. So much of it is finished:", Question: "Your question",
		Calendar: "Your calendar", Subscribe: "Put these days into my calendar", Feed: "Work at",
		Slow:      "Calendar programs look for changes only now and then, often once a day. Changes within a day reach you by text.",
		SureTitle: "Is this right?", NotYet: "Nothing has been sent yet.", Send: "Yes, send it", Back: "Back",
		SureYes: "You are coming:", SureNo: "You can't come on these days:", SureOther: "You would rather come on", SureLate: "You are late by (minutes):",
		SureDone: "Done for today; finished so far (%):", SureAsk: "Your question:",
		ThankYes: "Thank you. You are booked.", ThankNo: "Thank you for telling us. You will hear about another day.",
		ThankOther: "Thank you. We will see whether that day works, and tell you. Until then nothing is changed.", ThankNote: "Thank you, it was passed on.",
		Map: "Open in a map", Photos: "Photos", Papers: "Papers", PhotoTitle: "Send a photo", PhotoOf: "Photo of", PhotoSend: "Send the photo", PhotoPick: "A photo (JPEG, up to 14 MB)", PhotoSaid: "A few words with it",
		PhotoNote: "The owner sees it. Where it was taken is taken out of it.",
		PhotoBig:  "That file is too large, so nothing was sent. Up to 14 MB is taken; a phone's camera usually makes less.",
		PhotoBad:  "That is not a photo this page can read, so nothing was sent. It takes JPEG, as phones make it, up to 26 million pixels.",
		PhotoFull: "This page has taken as many photos as it can, so nothing was sent. Please call.",
		Stale:     "The dates have changed since you opened this page, so nothing was sent. These are the dates now; please answer again.",
		Over:      "That work is not on your list any more, so nothing was sent. Below is what is planned now.",
		Form:      "Something was missing or could not be read, so nothing was sent. Please try again.",
		Again:     "An answer from this page has come in already. Below is how things stand; nothing was sent twice.",
		Busy:      "That could not be stored, so nothing was sent. Please try again in a minute, or call.", Foreign: "That came from another page than this one, so nothing was sent. Please answer here.",
		TooMany: "That was a lot at once. Please wait a minute and try again, or call.", Closed: "This page has taken as many answers as it can. Please call.",
		GoneTitle: "This link is not good any more", GoneSay: "Please ask whoever sent it for a new one."},
	"es": {Code: "es", WayIn: "Cómo entrar", Questions: "Preguntas", Call: "Llamar", Nothing: "Por ahora no hay trabajo previsto para usted.",
		Firm: "Reservado: usted dijo que sí", Asked: "Por favor conteste: ¿puede venir?", Pencilled: "Apuntado a lápiz, aún no reservado",
		SaidNo: "Usted dijo que no puede venir. Le avisaremos.", SaidOther: "Usted pidió otro día:", Today: "Hoy", Also: "También estarán",
		Work: "Trabajo", Place: "Lugar", Ready: "Estará listo", Bring: "Por favor traiga", Before: "Antes de usted", After: "Después de usted", Heed: "Antes de empezar",
		Yes: "Sí, voy", No: "No puedo ir", Other: "Otro día", WhichDay: "¿Qué día podría venir?", Next: "Seguir",
		More: "Llego tarde, terminado por hoy, una pregunta", Late: "Llego tarde, por", Done: "Terminado por hoy. Lo hecho hasta ahora:", Question: "Su pregunta",
		Calendar: "Su calendario", Subscribe: "Poner estos días en mi calendario", Feed: "Trabajo en",
		Slow:      "Los calendarios buscan cambios solo de vez en cuando, muchas veces una vez al día. Los cambios del mismo día le llegan por mensaje de texto.",
		SureTitle: "¿Está bien así?", NotYet: "Todavía no se ha enviado nada.", Send: "Sí, enviar", Back: "Volver",
		SureYes: "Usted viene:", SureNo: "Usted no puede venir estos días:", SureOther: "Preferiría venir el", SureLate: "Llega tarde (minutos):",
		SureDone: "Terminado por hoy; hecho hasta ahora (%):", SureAsk: "Su pregunta:",
		ThankYes: "Gracias. Queda reservado.", ThankNo: "Gracias por avisar. Le diremos otro día.",
		ThankOther: "Gracias. Veremos si ese día se puede y le avisaremos. Hasta entonces nada cambia.", ThankNote: "Gracias, ya lo hemos pasado.",
		Map: "Abrir en un mapa", Photos: "Fotos", Papers: "Documentos", PhotoTitle: "Enviar una foto", PhotoOf: "Foto del", PhotoSend: "Enviar la foto", PhotoPick: "Una foto (JPEG, hasta 14 MB)", PhotoSaid: "Unas palabras con la foto",
		PhotoNote: "La ve el dueño. El lugar donde se tomó se quita de la foto.",
		PhotoBig:  "Ese archivo es demasiado grande y no se envió nada. Se aceptan hasta 14 MB; la cámara de un teléfono suele hacer menos.",
		PhotoBad:  "Esta página no puede leer esa foto y no se envió nada. Acepta JPEG, como las hace el teléfono, hasta 26 millones de puntos.",
		PhotoFull: "Esta página ya no puede tomar más fotos y no se envió nada. Por favor llame.",
		Stale:     "Las fechas cambiaron desde que abrió esta página y no se envió nada. Estas son las fechas de ahora; por favor conteste otra vez.",
		Over:      "Ese trabajo ya no está en su lista y no se envió nada. Abajo está lo previsto ahora.",
		Form:      "Faltaba algo o no se pudo leer, y no se envió nada. Por favor inténtelo otra vez.",
		Again:     "Ya llegó una respuesta de esta página. Abajo está cómo quedó; nada se envió dos veces.",
		Busy:      "No se pudo guardar y no se envió nada. Inténtelo en un minuto, o llame.", Foreign: "Eso vino de otra página y no se envió nada. Por favor conteste aquí.",
		TooMany: "Fue mucho a la vez. Espere un minuto e inténtelo otra vez, o llame.", Closed: "Esta página ya no puede tomar más respuestas. Por favor llame.",
		GoneTitle: "Este enlace ya no sirve", GoneSay: "Pida uno nuevo a quien se lo envió."},
}

func crewWordsIn(code string) *crewWords {
	if w := crewLanguages[code]; w != nil {
		return w
	}
	return crewLanguages["en"]
}
