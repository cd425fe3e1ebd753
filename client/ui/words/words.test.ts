import assert from "node:assert/strict";
import { test } from "node:test";
import { en } from "./en";
import { es } from "./es";
import { papersEn, papersEs } from "./papers";
import { CAUTIONS, TRADES } from "../forms";

// The compiler sees to it that no label is missing; this sees to it that none was left untranslated.
const SAME = new Set(["welcome.title", "no", "look.languages.en", "look.languages.es", "trouble.said", "contacts.v4", "field.no", "field.zone"]);

test("every Spanish label is there and is Spanish", () => walk("", en, es));

function walk(path: string, a: unknown, b: unknown) {
  if (typeof a === "object" && a !== null) {
    assert.deepEqual(Object.keys(b as object), Object.keys(a), `order of ${path || "the words"}`);
    for (const key of Object.keys(a)) walk(path ? `${path}.${key}` : key, a[key as never], (b as never)[key]);
    return;
  }
  const say = (f: unknown) => (typeof f === "function" ? (f as (...n: unknown[]) => string)(2, 3) : String(f));
  if (SAME.has(path)) return;
  assert.ok(say(b).trim(), `${path} is empty`);
  assert.notEqual(say(b), say(a), `${path} is not translated`);
}

test("every label of papers is there and is Spanish", () => walk("", papersEn, papersEs));

test("every trade and caution has its word", () => {
  for (const words of [en, es]) {
    for (const id of TRADES) assert.ok(words.trades[id], id);
    for (const id of CAUTIONS) assert.ok(words.cautions[id], id);
  }
});
