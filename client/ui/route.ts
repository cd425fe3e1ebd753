// Where we are, kept in the address so that the phone's own "back" works: #/holds/board-1
import { signal } from "@preact/signals";
import type { NodeKind } from "./view";

export interface Route { screen: string; rest: string[] }

const read = (): Route => {
  const [screen = "", ...rest] = location.hash.replace(/^#\/?/, "").split("/").map(decode);
  return { screen: screen || "today", rest };
};

const decode = (s: string) => { try { return decodeURIComponent(s); } catch { return s; } };

export const route = signal<Route>(read());
let deep = 0;

addEventListener("hashchange", () => { route.value = read(); });

export const path = (...parts: string[]) => "#/" + parts.map(encodeURIComponent).join("/");

/** pathOf is the screen that opens an activity, a hold or an order. */
export const pathOf = (kind: NodeKind | undefined, id: string) =>
  kind === "hold" ? path("holds", id) : kind === "order" ? path("thing", "order", id) : path("block", id);

export function go(...parts: string[]) {
  deep++;
  location.hash = path(...parts);
}

/** here says later whether the screen is still the one it is now: an answer moves nobody who has gone on meanwhile. */
export function here(): () => boolean {
  const at = route.value;
  return () => route.value === at;
}

/** swap goes on without leaving a step to come back to. */
export function swap(...parts: string[]) {
  history.replaceState(null, "", path(...parts));
  route.value = read();
}

/** back returns to where we came from; opened directly, it goes to the place given. */
export function back(...otherwise: string[]) {
  if (deep > 0) { deep--; history.back(); } else swap(...otherwise);
}
