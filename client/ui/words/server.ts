// Labels of what the server says no to, by its codes (server/answers.go), of the recovery code, and of an
// address without encryption.

export const serverEn = {
  told: {
    stranger: "This phone is not paired here. Open an invitation, or ask for a new one.",
    other: "This phone is not on that site, or is not any more. What it holds of the site is safe on it.",
    role: "Only the owner of the site may do that.",
    tries: "Too many tries. Wait a minute, then try again.",
    code: "This code is not right, was used already, or is older than ten minutes. Ask for a new one.",
    noSeat: "That phone is not on this site.",
    seats: "This site has had as many phones as one site can have. Nobody can be added.",
    codes: "Too many invitations to this site are open already. Use one of them, or wait ten minutes.",
    begun: "This phone has begun as many sites as one phone may.",
    sites: "This server has as many sites as it keeps. Begin the new one on another server; what is on this phone is safe.",
    lastOwner: "A site needs an owner. Invite another one first.",
    nothingToOwn: "There is no site on this server yet. Use the owner link that the server printed when it was started.",
    full: "The server's disk is nearly full. What is stored is safe, but nothing new is taken. Whoever runs the server has to make room.",
    busy: "The server is full at the moment. Your changes are safe on this phone, it will try again.",
    inside: "Something went wrong on the server. Nothing is lost. Try again.",
  } as Record<string, string>,
  recovery: {
    title: "Write this code down",
    lead: "You came in with the recovery code. It is used up. This is the next one; it is shown only now.",
    keep: "Keep it on paper, away from the phone. If all phones are lost, it lets you in again as the owner of every site on this server.",
    done: "I have written it down",
  },
  plain: {
    title: "This address is not encrypted",
    works: "The plan works, and every change is saved on this phone. What does not work at an address that begins with http:",
    lacks: [
      "Opening Batterboard without signal, and putting it on the home screen.",
      "A message on this phone when a crew answers.",
      "Privacy: whoever is on the same network can read along, and could come in as you.",
    ],
    fix: "Whoever runs the server can mend it: start it with --domain and its own name, or put it behind a proxy that speaks https. Then open the address that begins with https. What is saved here goes along once it is sent to the server.",
  },
};

export const serverEs: typeof serverEn = {
  told: {
    stranger: "Este teléfono no está conectado aquí. Abra una invitación o pida una nueva.",
    other: "Este teléfono no está en esa obra, o ya no lo está. Lo que tiene de la obra sigue a salvo en él.",
    role: "Solo el dueño de la obra puede hacer eso.",
    tries: "Demasiados intentos. Espere un minuto y pruebe otra vez.",
    code: "Este código no es correcto, ya se usó o tiene más de diez minutos. Pida uno nuevo.",
    noSeat: "Ese teléfono no está en esta obra.",
    seats: "Esta obra ya tuvo todos los teléfonos que puede tener una obra. No se puede agregar a nadie.",
    codes: "Ya hay demasiadas invitaciones abiertas a esta obra. Use una de ellas o espere diez minutos.",
    begun: "Este teléfono ya empezó todas las obras que puede empezar un teléfono.",
    sites: "Este servidor ya tiene todas las obras que guarda. Empiece la nueva en otro servidor; lo que hay en este teléfono está a salvo.",
    lastOwner: "Una obra necesita un dueño. Invite primero a otro.",
    nothingToOwn: "En este servidor todavía no hay ninguna obra. Use el enlace de dueño que el servidor mostró al arrancar.",
    full: "El disco del servidor está casi lleno. Lo guardado está a salvo, pero no se toma nada nuevo. Quien lleva el servidor tiene que hacer espacio.",
    busy: "El servidor está lleno en este momento. Sus cambios están a salvo en este teléfono y se intentará de nuevo.",
    inside: "Algo falló en el servidor. No se perdió nada. Pruebe otra vez.",
  },
  recovery: {
    title: "Anote este código",
    lead: "Usted entró con el código de rescate. Ese ya no sirve. Este es el siguiente; solo se muestra ahora.",
    keep: "Guárdelo en papel, lejos del teléfono. Si se pierden todos los teléfonos, con él vuelve a entrar como dueño de todas las obras de este servidor.",
    done: "Ya lo anoté",
  },
  plain: {
    title: "Esta dirección no va cifrada",
    works: "El plan funciona y cada cambio se guarda en este teléfono. Lo que no funciona en una dirección que empieza con http:",
    lacks: [
      "Abrir Batterboard sin señal, y ponerlo en la pantalla de inicio.",
      "Una notificación en este teléfono cuando una cuadrilla contesta.",
      "La privacidad: quien esté en la misma red puede leer todo, y podría entrar como si fuera usted.",
    ],
    fix: "Quien lleva el servidor puede arreglarlo: arrancarlo con --domain y su propio nombre, o ponerlo detrás de un proxy que hable https. Después abra la dirección que empieza con https. Lo guardado aquí va también, en cuanto se haya enviado al servidor.",
  },
};
