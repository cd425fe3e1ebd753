// The labels of contacts.ts in Spanish: a file of its own, so that a phone that reads English does not load it.
import type { contactsEn } from "./contacts";

type Same<T> = { [K in keyof T]: T[K] extends string ? string : T[K] extends string[] ? string[] : T[K] extends (...args: infer A) => string ? (...args: A) => string : Same<T[K]> };

export const contactsEs: Same<typeof contactsEn> = {
  title: "Nombres y números", row: "De una agenda, o hacia una", rowNote: "contactos de este teléfono, una vCard o una tabla",
  lead: "Traiga nombres, números y correos de sus cuadrillas. Nada se toma antes de que usted lo haya visto.",
  pick: "Elegir de los contactos de este teléfono", file: "Abrir un archivo (vCard o tabla CSV)", none: "No se eligió a nadie.",
  found: (n) => (n === 1 ? "1 entrada" : `${n} entradas`),
  into: "Para", newCrew: "una cuadrilla nueva", skip: "dejarlo fuera", who: "preguntar por", noPhone: "sin número", noEmail: "sin correo",
  bad: (text) => `«${text}» no es un número de teléfono de este país. Se deja fuera; escríbalo con + y el código del país para conservarlo.`,
  badTyped: "Eso no es un número de teléfono de este país. Escríbalo con + y el código del país, como +52 55 5123 4567.",
  unsure: "Este número no parece uno que se asigne. Por favor revíselo.",
  take: (n) => (n === 1 ? "Tomar 1" : `Tomar ${n}`), country: "Los números sin código de país se leen como de:", change: "Cambiar",
  trouble: {
    v21: (line) => `Línea ${line}: una tarjeta de la versión 2.1, que escribe las letras de un modo que no se puede leer con certeza. Expórtela otra vez como vCard 3.0 o 4.0.`,
    noName: (line) => `Línea ${line}: se dejó fuera una entrada sin nombre.`, cut: (line) => `Línea ${line}: se dejó fuera una tarjeta que no termina.`,
    none: () => "No se encontraron contactos en este archivo. Acepta vCards (.vcf) y tablas (.csv) con un título sobre cada columna: un nombre, y un teléfono o un correo.",
    many: (line) => `Desde la línea ${line} no se leyó nada: un archivo trae 500 entradas como máximo.`, big: () => "Este archivo pasa de 2 MB. Tome menos contactos, o deje fuera sus fotos.",
  },
  out: "Hacia una agenda", outNote: "Todas las cuadrillas contratadas con sus números, como archivo para la agenda de un teléfono o una computadora.",
  v4: "vCard 4.0", v3: "vCard 3.0, para agendas antiguas", csv: "Tabla (CSV)", heads: ["Nombre", "Contacto", "Teléfono", "Correo"],
};
