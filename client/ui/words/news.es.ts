// The labels of news.ts in Spanish: a file of its own, so that a phone that reads English does not load it.
import type { newsEn } from "./news";

export const newsEs: Record<keyof typeof newsEn, string> = {
  title: "Notificaciones y calendario",
  row: "Notificaciones y calendario", rowNote: "una notificación cuando una cuadrilla contesta; el plan en su calendario",
  push: "Una notificación cuando una cuadrilla contesta",
  lead: "Este teléfono suena cuando una cuadrilla contesta en su página, o no ha contestado a la hora que usted puso, también con Batterboard cerrado.",
  on: "Este teléfono recibe notificaciones", off: "Este teléfono no recibe notificaciones", turnOn: "Enviar notificaciones a este teléfono", turnOff: "No más notificaciones aquí",
  kept: "La notificación dice la cuadrilla y el día, nada más, y va cerrada para este teléfono: la empresa que la lleva no puede leerla.",
  blocked: "Las notificaciones de Batterboard están apagadas en los ajustes de este teléfono. Permítalas ahí y vuelva. Mientras tanto se lo dicen los números al pie de la pantalla.",
  none: "Este navegador no puede avisar con Batterboard cerrado. Los números al pie de la pantalla dicen quién contestó.",
  plain: "Las notificaciones necesitan la dirección segura que empieza con https. Pregunte a quien lleva el servidor. Mientras tanto se lo dicen los números al pie de la pantalla.",
  iphone: "En un iPhone o iPad las notificaciones llegan solo a las apps de la pantalla de inicio: abra el menú de compartir de Safari, elija «Agregar a inicio», abra Batterboard desde ahí y vuelva a esta página. Hace falta iOS 16.4 o posterior.",
  offline: "Hace falta señal un momento: el servidor tiene que saber a dónde avisar.",
  askTitle: "¿Quiere saber al momento cuando una cuadrilla contesta?", askYes: "Ver cómo", askNo: "Ahora no",
  calendar: "El plan en su calendario",
  calLead: "Una dirección con todo el plan, para el calendario de este teléfono o computadora: trabajos, inspecciones, entregas. Quien tenga la dirección puede leer el plan: guárdela para usted.",
  slow: "Los calendarios buscan cambios solo de vez en cuando, muchas veces una vez al día. Lo que cambia hoy se ve aquí, no allí.",
  make: "Crear la dirección", subscribe: "Ponerlo en mi calendario", copy: "Copiar la dirección", copied: "Dirección copiada.",
  lost: "¿La dirección llegó a otras manos?", anew: "Dirección nueva, la anterior termina", drop: "Terminar la dirección", dropped: "La dirección ya no abre nada.",
};
