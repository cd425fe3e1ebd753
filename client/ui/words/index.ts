// A phone reads one language; the others are files of their own, kept for offline with the rest.
import { signal } from "@preact/signals";
import { en, type Words } from "./en";

export type Lang = "en" | "es";
const more: Record<Exclude<Lang, "en">, () => Promise<Words>> = { es: () => import("./es").then((m) => m.es) };
const all: { en: Words } & Partial<Record<Lang, Words>> = { en };

export const lang = signal<Lang>("en");
/** t is the words of the language chosen on this phone. */
export const t = (): Words => all[lang.value] ?? en;

/** chooseLang fetches the words when they are not here, then speaks them; without them it stays as it is. */
export async function chooseLang(wish: string) {
  const to = wish.startsWith("es") ? "es" : "en";
  if (to !== "en") {
    try { all[to] ??= await more[to](); } catch { return; }
  }
  lang.value = to;
  document.documentElement.lang = to;
}
