// The question "what now?" and its answer, which grows while the planner keeps looking. A card that
// somebody has had before their eyes stays where it is, whatever is found later; below that the list is
// always the latest.
import { signal } from "@preact/signals";
import type { Change, View, WaysView } from "./view";
import { engine } from "./bridge";
import { laidBelow } from "./below";
import { ask } from "./state";

export const question = signal<Change | undefined>(undefined);
export const shownWays = signal<WaysView | undefined>(undefined);
/** beaten are the cards that stay only because they were seen: something better stands below. */
export const beaten = signal<ReadonlySet<string>>(new Set());
/** resting: somebody said stop before the search had its last word. */
export const resting = signal(false);

/** seen are the cards that have been on the screen. */
const seen = new Set<string>();
let turn = 0;

/** ahead is a question put before anybody pressed the button: the answer is there when they do. */
let ahead: { change: string; answer: Promise<WaysView | undefined> } | undefined;

/** foresee asks for the ways through what a form holds now; nothing is written and nothing shown by it. */
export function foresee(change: Change) {
  const answer = engine({ do: "ways", change, screen: "ways" }).then(({ view }) => (view?.refused ? undefined : view?.ways), () => undefined);
  ahead = { change: JSON.stringify(change), answer };
}

/** forget leaves an answer that was asked for ahead to nobody: the form has gone. */
export const forgetAhead = () => { ahead = undefined; };

export async function findWays(change: Change) {
  const mine = ++turn;
  closeWays(mine);
  question.value = change;
  const known = ahead?.change === JSON.stringify(change) ? ahead.answer : undefined;
  ahead = undefined;
  const view = (await known) ?? (await ask({ do: "ways", change, screen: "ways" }))?.ways;
  if (question.value !== change) return;
  if (!view) { question.value = undefined; return; } // refused: nobody is looking any more
  shownWays.value = view;
  if (mine === turn) await keepLooking();
}

/** keepLooking has the planner go on where it rested, for as long as somebody looks at the answer. */
export async function keepLooking() {
  const mine = ++turn;
  resting.value = false;
  let view = shownWays.value;
  while (view?.more && mine === turn) {
    // Asked past the dialog: when the plan has moved on meanwhile, there is nothing to tell anybody.
    const got: { view?: View } = await engine({ do: "more", token: view.token, screen: "ways" }).catch(() => ({}));
    view = got.view?.refused ? undefined : got.view?.ways;
    if (view && mine === turn) grow(view);
  }
}

/** grow keeps what was seen in its place and puts the latest below. A card is taken with the token of
 * this question under its own key, so that what is taken is what was read. */
function grow(next: WaysView) {
  const now = shownWays.value;
  if (!now) return;
  const anew = now.token !== next.token; // the site changed meanwhile: nothing of the old answer holds
  const { cards, old } = anew ? { cards: next.cards, old: new Set<string>() } : laidBelow(now.cards, next.cards, seen);
  if (anew) seen.clear();
  beaten.value = old;
  shownWays.value = { ...next, cards };
}

export const see = (key: string) => { seen.add(key); };

/** stopLooking lets the search rest, so that a tap does not wait behind the search; what is shown stays. */
export function stopLooking() { turn++; }

/** enough is a person's word that these will do. */
export function enough() {
  stopLooking();
  resting.value = true;
}

export function closeWays(next = turn + 1) {
  turn = next;
  question.value = shownWays.value = undefined;
  beaten.value = new Set();
  resting.value = false;
  seen.clear();
}
