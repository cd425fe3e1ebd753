// A list that grows under somebody's eyes: what was seen keeps its place.
import type { WayCard } from "./view";

/** laidBelow is the list with the cards seen first, as they stand, then the rest of the latest answer. */
export function laidBelow(now: WayCard[], next: WayCard[], seen: ReadonlySet<string>): { cards: WayCard[]; old: Set<string> } {
  const last = now.reduce((at, c, i) => (seen.has(c.key) ? i : at), -1);
  const kept = now.slice(0, last + 1);
  const old = new Set(kept.filter((c) => !next.some((n) => n.key === c.key)).map((c) => c.key));
  const cards = kept.map((c) => next.find((n) => n.key === c.key) ?? { ...c, best: false });
  return { cards: [...cards, ...next.filter((n) => !kept.some((c) => c.key === n.key))], old };
}
