// Labels of papers. They come with the code that shows papers, not with the first paint.
import type { Why } from "../papers";

export const papersEn = {
  list: "Papers", add: "Add a paper", adding: "Keeping it…",
  name: "Name", crews: "Crews may see it on their pages", open: "Save and open", share: "Send on", coming: "Comes when there is signal", getting: "Getting it…",
  about: (of: string) => `About ${of}`, wholeSite: "About the whole site",
  opened: (name: string) => `${name} is saved on this phone. Open it from its downloads.`,
  changed: "What came is not what was added, so it was not opened. Ask whoever added it to add it again.",
  why: {
    empty: "This file is empty. Nothing was added. If it lies in a cloud, open it there first, then choose it again.",
    large: "This file is too large, so nothing was added. A PDF has at most 12 MB, a text 3 MB: save it with smaller pictures, or only the pages that matter here.",
    kind: "This kind of file is not kept, so nothing was added. PDF, pictures and plain text can be added. Save it as PDF, then choose that.",
    cut: "This PDF ends in the middle, so nothing was added. Get it again from where it came, then choose it.",
    heic: "This picture is in a form (HEIC) that this phone cannot read, so nothing was added. On the phone that took it, open Batterboard and add it there, or send it to yourself as JPEG. A screenshot of it works too.",
    unreadable: "This phone could not read that file. Nothing was added. If it lies in a cloud, wait for signal and open it there first; otherwise choose another one.",
  } as Record<Why, string>,
};

export const papersEs: typeof papersEn = {
  list: "Documentos", add: "Agregar un documento", adding: "Guardando…",
  name: "Nombre", crews: "Las cuadrillas pueden verlo en su página", open: "Guardar y abrir", share: "Enviar a otra app", coming: "Llega cuando haya señal", getting: "Trayéndolo…",
  about: (of: string) => `Sobre ${of}`, wholeSite: "Sobre toda la obra",
  opened: (name: string) => `${name} está guardado en este teléfono. Ábralo desde sus descargas.`,
  changed: "Lo que llegó no es lo que se agregó, así que no se abrió. Pida a quien lo agregó que lo agregue otra vez.",
  why: {
    empty: "Este archivo está vacío. No se agregó nada. Si está en una nube, ábralo primero ahí y elíjalo otra vez.",
    large: "Este archivo es demasiado grande y no se agregó nada. Un PDF tiene como mucho 12 MB y un texto 3 MB: guárdelo con imágenes más pequeñas, o solo las páginas que hacen falta aquí.",
    kind: "Este tipo de archivo no se guarda y no se agregó nada. Se pueden agregar PDF, imágenes y texto simple. Guárdelo como PDF y elija ese.",
    cut: "Este PDF se corta a la mitad y no se agregó nada. Consígalo otra vez de donde vino y elíjalo.",
    heic: "Esta imagen está en un formato (HEIC) que este teléfono no puede leer y no se agregó nada. Abra Batterboard en el teléfono que la tomó y agréguela ahí, o envíesela como JPEG. También sirve una captura de pantalla.",
    unreadable: "Este teléfono no pudo leer ese archivo. No se agregó nada. Si está en una nube, espere a tener señal y ábralo primero ahí; si no, elija otro.",
  },
};
