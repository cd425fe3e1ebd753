// The labels of trade.ts in Spanish: a file of its own, so that a phone that reads English does not load it.
import type { tradeEn } from "./trade";

const many = (n: number, one: string, more: string) => `${n} ${n === 1 ? one : more}`;

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
