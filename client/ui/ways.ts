// The question "what now?" and its answer, which grows while the planner keeps looking. Cards never
// jump under a thumb: what is found later waits behind a button once somebody has begun to read.
import { signal } from "@preact/signals";
import type { Change, View, WaysView } from "./view";
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
  const view = (await ask({ do: "ways", change, screen: "ways" }))?.ways;
  if (question.value !== change || !view) return;
  shownWays.value = view;
  if (mine === turn) await keepLooking();
}

/** keepLooking has the planner go on where it rested, for as long as somebody looks at the answer. */
export async function keepLooking() {
  const mine = ++turn;
  let view = found.value ?? shownWays.value;
  while (view?.more && mine === turn) {
    // Asked past the dialog: when the plan has moved on meanwhile, there is nothing to tell anybody.
    const got: { view?: View } = await engine({ do: "more", token: view.token, screen: "ways" }).catch(() => ({}));
    view = got.view?.refused ? undefined : got.view?.ways;
    if (view && mine === turn) grow(view);
  }
}

/** grow changes in place only what moves nothing: the words on a card, never which way a card is. */
function grow(next: WaysView) {
  const now = shownWays.value;
  if (!now) return;
  const keys = (v: WaysView) => v.cards.map((c) => c.key).join(" ");
  if (keys(now) === keys(next)) {
    shownWays.value = next;
    found.value = undefined;
    return;
  }
  // A card is taken with the token it was shown under, so that what is taken is what was read.
  const cards = now.cards.map((c) => next.cards.find((n) => n.key === c.key) ?? c);
  shownWays.value = { ...now, cards, proof: next.proof, more: next.more };
  found.value = next;
}

export function showFound() {
  shownWays.value = found.value ?? shownWays.value;
  found.value = undefined;
}

/** stopLooking lets the search rest, so that a tap does not wait behind the search; what is shown stays. */
export function stopLooking() { turn++; }

export function closeWays() {
  turn++;
  question.value = shownWays.value = found.value = undefined;
}
