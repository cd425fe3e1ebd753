import { signal } from "@preact/signals";
import { en, type Words } from "./en";
import { es } from "./es";

export type Lang = "en" | "es";
const all: Record<Lang, Words> = { en, es };

export const lang = signal<Lang>("en");
/** t is the words of the language chosen on this phone. */
export const t = (): Words => all[lang.value];

export function chooseLang(wish: string) {
  lang.value = wish.startsWith("es") ? "es" : "en";
  document.documentElement.lang = lang.value;
}
