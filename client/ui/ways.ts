// The question "what now?" and its answer, which grows while the planner keeps looking. Cards never
// jump under a thumb: what is found later waits behind a button once somebody has begun to read.
import { signal } from "@preact/signals";
import type { Change, WaysView } from "./view";
import { engine } from "./bridge";
import { ask } from "./state";

export const question = signal<Change | undefined>(undefined);
export const shownWays = signal<WaysView | undefined>(undefined);
/** found holds a later answer with other cards than those on the screen. */
export const found = signal<WaysView | undefined>(undefined);

let turn = 0;

export async function findWays(change: Change) {
  const mine = ++turn;
  question.value = change;
  shownWays.value = found.value = undefined;
  const began = performance.now();
  let view = (await ask({ do: "ways", change, screen: "ways" }))?.ways;
  if (mine !== turn || !view) return;
  shownWays.value = view;
  performance.measure("bb.ways.first", { start: began });
  while (view?.more && mine === turn) {
    // Asked past the dialog: when the plan has moved on meanwhile, there is nothing to tell anybody.
    const { view: next } = await engine({ do: "more", token: view.token, screen: "ways" }).catch(() => ({ view: undefined }));
    view = next?.refused ? undefined : next?.ways;
    if (view && mine === turn) grow(view);
  }
  performance.measure("bb.ways.last", { start: began });
}

/** grow changes in place only what does not move anything: the words about proof. */
function grow(next: WaysView) {
  const now = shownWays.value;
  if (!now) return;
  const same = (a: WaysView) => a.cards.map((c) => `${c.key} ${c.finish} ${c.calls} ${c.cost ?? ""}`).join("|");
  if (same(now) === same(next)) {
    shownWays.value = next;
    found.value = undefined;
  } else {
    shownWays.value = { ...now, proof: next.proof, more: next.more, token: next.token };
    found.value = next;
  }
}

export function showFound() {
  shownWays.value = found.value ?? shownWays.value;
  found.value = undefined;
}

/** rest stops looking, so that a tap does not wait behind the search; what is shown stays. */
export function rest() { turn++; }

export function closeWays() {
  turn++;
  question.value = shownWays.value = found.value = undefined;
}
