// Labels of what the trade knows: readings, goods, habits of departments, the plan review, the printed week.
const many = (n: number, one: string, more: string) => `${n} ${n === 1 ? one : more}`;

export const tradeEn = {
  readings: {
    title: "Readings and waits",
    add: "Write down a reading", of: "Measured", where: "Where", warmth: "Warmth", humidity: "Humidity, %", moisture: "Moisture, %", at: "When, if not just now", said: "Remark", keep: "Keep the reading",
    waits: "Waits ahead", now: "in the plan", says: "by the rule", take: "Take them over", ways: "Show the ways through",
    takeOne: "Take it over", own: "Keep the plan's own", setting: "Use setting-type compound", how: "How it is worked out, and where from", past: "Readings", gone: "Take it out",
    effect: "If you take them over",
  },
  orders: {
    title: "Goods", list: "Orders", needs: "What the room takes", needsNone: "Nobody has said how big the room is.", questions: "Answer the questions of the set-up",
    state: { toOrder: "to order", reserved: "held", ordered: "ordered", arrived: "here", short: "came short" } as Record<string, string>,
    order: "Ordered", reserve: "Held, not firm", here: "Counted: it is all here", short: "Something is missing", due: "Promised for", open: "Open the order", add: "Add an order",
    inBefore: "Bring it in before", use: "Write this on the order", make: "Make the order", same: "The order says the same.", locked: "Ordered already: it stays as it is.", details: "How it is worked out, and where from", count: "Count before you sign",
  },
  rules: {
    title: "Which visits are made", habit: "Start from a habit", board: "Is the board looked at?", base: "The base layer is looked at before the next hides it", edition: "Clauses of which code",
    changes: "What would change", nothing: "This is what the site has.", take: "Use this", all: "The same for all visits", allNote: "What you fill in is written to every visit that is not called in yet.", allTake: "Write it to all", holds: "Hold points of this site", more: "Some departments also ask for", add: (what: string) => `Add: ${what}`, own: "Add a hold point", fixed: "called in or signed: stays as it is",
  },
  review: {
    title: "Plan review", leave: "Leave as it is", why: "Why?", settled: "Left as they are", again: "Ask again", look: "Look at it",
  },
  week: {
    title: "Sheet for the wall", print: "Print", before: "Week before", after: "Week after", days: "Who comes", holds: "Must be signed", cautions: "Before starting", contacts: "Whom to ring", nobody: "nobody", shuts: "keeps shut", decides: "decides:", sign: "read by:", ready: "ready:",
  },
  more: {
    readings: "Readings and waits", readingsNote: "meters of the room, drying times, what shortens them", orders: "Goods", ordersNote: "what the room takes, when to order, where it stands",
    rules: "Which visits are made", rulesNote: "inspections by habit: never your town's rule", review: "Plan review", reviewNote: "what a careful planner would ask", week: "Sheet for the wall", weekNote: "one week on one page, to print",
  },
  holds: {
    parts: "Which parts passed?", ahead: "Let the work behind go ahead there",
  },
  field: {
    parts: "Walls or rooms that may pass one by one, a line each", fee: "Fee of a visit", feeAgain: "Fee of another visit", floorKind: "Goods stand on", carries: "The wood floor carries", gateOrder: "What could still cancel it",
    wideGoods: "Comes in through the wide opening only", reserved: "Held since", closes: "Closes the wide opening", wait: "Which wait of the trade", thick: "Thickness", slab: "the ground, or a slab on it", wood: "a wood floor",
  },
  questions: (n: number) => many(n, "question", "questions"),
};

export const tradeEs: typeof tradeEn = {
  readings: {
    title: "Lecturas y esperas",
    add: "Anotar una lectura", of: "Medido", where: "Dónde", warmth: "Temperatura", humidity: "Humedad, %", moisture: "Agua, %", at: "Cuándo, si no fue ahora", said: "Nota", keep: "Guardar la lectura",
    waits: "Esperas que vienen", now: "en el plan", says: "según la regla", take: "Aplicarlas", ways: "Ver las salidas",
    takeOne: "Aplicarla", own: "Dejar la del plan", setting: "Usar pasta de fraguado", how: "Cómo se calcula y de dónde sale", past: "Lecturas", gone: "Quitarla",
    effect: "Si las aplica",
  },
  orders: {
    title: "Material", list: "Pedidos", needs: "Lo que pide el cuarto", needsNone: "Nadie ha dicho cuánto mide el cuarto.", questions: "Contestar las preguntas",
    state: { toOrder: "por pedir", reserved: "apartado", ordered: "pedido", arrived: "aquí", short: "llegó incompleto" },
    order: "Ya está pedido", reserve: "Apartado, no en firme", here: "Contado: está completo", short: "Falta algo", due: "Prometido para", open: "Abrir el pedido", add: "Agregar un pedido",
    inBefore: "Meterlo antes", use: "Anotarlo en el pedido", make: "Hacer el pedido", same: "El pedido dice lo mismo.", locked: "Ya está pedido: queda como está.", details: "Cómo se calcula y de dónde sale", count: "Cuente antes de firmar",
  },
  rules: {
    title: "Qué visitas se hacen", habit: "Partir de una costumbre", board: "¿Se revisa la placa?", base: "La capa base se revisa antes de taparla", edition: "Cláusulas de cuál código",
    changes: "Qué cambiaría", nothing: "Es lo que tiene la obra.", take: "Usar esto", all: "Lo mismo para todas las visitas", allNote: "Lo que llene se anota en cada visita que aún no se ha pedido.", allTake: "Anotarlo en todas", holds: "Inspecciones de esta obra", more: "Algunas oficinas también piden", add: (what: string) => `Agregar: ${what}`, own: "Agregar una inspección", fixed: "pedida o firmada: se queda como está",
  },
  review: {
    title: "Revisión del plan", leave: "Dejarlo así", why: "¿Por qué?", settled: "Se dejaron así", again: "Volver a preguntar", look: "Verlo",
  },
  week: {
    title: "Hoja para la pared", print: "Imprimir", before: "Semana anterior", after: "Semana siguiente", days: "Quién viene", holds: "Falta firmar", cautions: "Antes de empezar", contacts: "A quién llamar", nobody: "nadie", shuts: "mantiene cerrado", decides: "decide:", sign: "leído por:", ready: "listo:",
  },
  more: {
    readings: "Lecturas y esperas", readingsNote: "medidores del cuarto, secados, qué los acorta", orders: "Material", ordersNote: "lo que pide el cuarto, cuándo pedirlo, dónde se queda",
    rules: "Qué visitas se hacen", rulesNote: "inspecciones por costumbre: nunca la regla de su ciudad", review: "Revisión del plan", reviewNote: "lo que preguntaría quien planea con cuidado", week: "Hoja para la pared", weekNote: "una semana en una página, para imprimir",
  },
  holds: {
    parts: "¿Qué partes pasaron?", ahead: "Que el trabajo de atrás siga ahí",
  },
  field: {
    parts: "Muros o cuartos que pueden pasar por separado, uno por línea", fee: "Costo de la visita", feeAgain: "Costo de otra visita", floorKind: "El material se apoya en", carries: "El piso de madera carga", gateOrder: "Qué lo podría cancelar",
    wideGoods: "Solo entra por el vano grande", reserved: "Apartado desde", closes: "Cierra el vano grande", wait: "Cuál espera del oficio", thick: "Grueso", slab: "el suelo, o una losa sobre él", wood: "piso de madera",
  },
  questions: (n: number) => many(n, "pregunta", "preguntas"),
};
