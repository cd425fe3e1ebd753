import { signal } from "@preact/signals";

export const THEMES = ["light", "night", "sun"] as const;
export type Theme = (typeof THEMES)[number];
const PAPER: Record<Theme, string> = { light: "#f4efe6", night: "#11181d", sun: "#ffffff" };

export const theme = signal<Theme>("light");

export function chooseTheme(wish: string) {
  theme.value = THEMES.find((x) => x === wish) ?? "light";
  document.documentElement.dataset.theme = theme.value;
  document.querySelector('meta[name="theme-color"]')?.setAttribute("content", PAPER[theme.value]);
}
