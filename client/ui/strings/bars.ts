// The words on a bar: always on the part of it that is on the screen, never over a block, as many as fit.
import type { BarAt, Box } from "./layout";

export interface Label { x: number; w: number; text: string; beside: boolean }

const PAD = 14; // px around the words
const REACH = 3; // px a block needs around it
const BESIDE = 8; // px: words so near belong to the bar

/** texts are what a bar may say, the longest first: what to do stays, the name gives way. */
export function texts({ bar, signed }: BarAt): string[] {
  const words = bar.name.split(" ");
  const shorter = words.slice(1).map((_, i) => `${words.slice(0, words.length - 1 - i).join(" ")}…`);
  if (signed) return [bar.name, ...shorter];
  return [...[bar.name, ...shorter].map((name) => `${name} · ${bar.brief}`), bar.brief];
}

/** free are the stretches between two places in which nothing lies over the bar. */
export function free(b: BarAt, taken: Rect[], left: number, right: number): [number, number][] {
  const over = taken.filter((o) => o.y < b.y + b.h && o.y + o.h > b.y && o.x < right && o.x + o.w > left).sort((p, q) => p.x - q.x);
  const gaps: [number, number][] = [];
  let x = left;
  for (const o of over) {
    if (o.x - REACH > x) gaps.push([x, o.x - REACH]);
    x = Math.max(x, o.x + o.w + REACH);
  }
  if (right > x) gaps.push([x, right]);
  return gaps;
}

/** pinned has the words of every bar in the window from left to right, none over another. */
export function pinned(bars: BarAt[], boxes: Box[], left: number, right: number, measure: (text: string) => number): (Label | undefined)[] {
  const taken: Rect[] = [...boxes];
  for (const b of bars) if (!b.signed) taken.push({ ...b, bar: b });
  return bars.map((b) => {
    const label = pin(b, taken.filter((o) => o.bar !== b), left, right, measure);
    if (label) taken.push({ x: label.x, w: label.w, y: b.y, h: b.h, bar: b });
    return label;
  });
}

interface Rect { x: number; w: number; y: number; h: number; bar?: BarAt }

/**
 * pin finds the place of a bar's words in the window: on the bar where they fit, else reaching out beside
 * it. A bar that is not in the window has none.
 */
export function pin(b: BarAt, taken: Rect[], left: number, right: number, measure: (text: string) => number): Label | undefined {
  if (b.x >= right || b.x + b.w <= left) return undefined;
  const gaps = free(b, taken, left, right);
  for (const text of texts(b)) {
    const w = Math.ceil(measure(text)) + PAD;
    let best: Label | undefined;
    for (const [from, to] of gaps) {
      if (to - from < w || from > b.x + b.w + BESIDE || to < b.x - BESIDE) continue;
      const x = Math.max(from, Math.min(b.x, to - w));
      const at = { x, w, text, beside: x < b.x - 1 || x + w > b.x + b.w + 1 };
      if (!best || (best.beside && !at.beside)) best = at;
    }
    if (best) return best;
  }
  return undefined;
}
