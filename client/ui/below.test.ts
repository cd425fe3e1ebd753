import assert from "node:assert/strict";
import { test } from "node:test";
import type { WayCard } from "./view";
import { laidBelow } from "./below";

const card = (key: string, best = false): WayCard => ({ key, best, finish: "", calls: "", name: key, rows: [], quiet: 0 });
const keys = (cards: WayCard[]) => cards.map((c) => c.key).join(" ");

test("what nobody has seen yet is simply the latest", () => {
  const { cards, old } = laidBelow([card("a", true), card("b")], [card("c", true), card("a")], new Set());
  assert.equal(keys(cards), "c a");
  assert.equal(old.size, 0);
});

test("a card that was seen stays in its place, also when it was beaten; later ones stand below", () => {
  const { cards, old } = laidBelow([card("a", true), card("b"), card("c")], [card("d", true), card("c"), card("b")], new Set(["a"]));
  assert.equal(keys(cards), "a d c b");
  assert.deepEqual([...old], ["a"]);
  assert.equal(cards[0]!.best, false, "the beaten one is not called the best any more");
});

test("nothing above a seen card moves either", () => {
  const { cards, old } = laidBelow([card("a"), card("b", true)], [card("b", true), card("a")], new Set(["b"]));
  assert.equal(keys(cards), "a b");
  assert.equal(old.size, 0);
});

test("two answers later the beaten one is still where it was, once", () => {
  const first = laidBelow([card("a", true)], [card("b", true)], new Set(["a"]));
  const second = laidBelow(first.cards, [card("c", true), card("b")], new Set(["a", "b"]));
  assert.equal(keys(second.cards), "a b c");
});
