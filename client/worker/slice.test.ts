import assert from "node:assert/strict";
import { test } from "node:test";
import { fields, items } from "./slice";
import { chance, seeds } from "../ui/chance.test-kit";

test("a signed text comes out as it went in", () => {
  // Escapes and numbers that JSON.parse and JSON.stringify would rewrite.
  const op = '{"d":1,"l":"caf\\u00e9 \\u003c \\" \\\\","n":12345678901234567890,"x":1.0,"y":[ 1 , 2 ]}';
  const reply = `{"ops":[${op},${op}], "meta" : {"v":[[1,2]]},"failed":"","changed":true}`;
  const f = fields(reply);
  assert.deepEqual(items(f.ops!), [op, op]);
  assert.equal(f.meta, '{"v":[[1,2]]}');
  assert.equal(f.changed, "true");
});

test("nothing, and lists of nothing", () => {
  assert.deepEqual(fields("{}"), {});
  assert.deepEqual(items("[]"), []);
  assert.deepEqual(items("[ ]"), []);
  assert.deepEqual(items('["]",[1,[2]],{"a":"}"}]'), ['"]"', "[1,[2]]", '{"a":"}"}']);
});

test("law: every cut piece parses to what the whole parses to", () => {
  for (const seed of seeds(300)) {
    const pick = chance(seed);
    const value = Object.fromEntries(Array.from({ length: pick(6) }, (_, i) => [`k${i}"\\`, anything(pick, 3)]));
    const text = JSON.stringify(value, null, pick(2));
    const cut = Object.fromEntries(Object.entries(fields(text)).map(([k, v]) => [k, JSON.parse(v)]));
    assert.deepEqual(cut, value, `seed ${seed}`);
  }
});

test("a text cut off anywhere ends, with or without an error", () => {
  const whole = '{"ops":[{"d":1,"l":"a\\"b"}],"view":{"x":[1,2]}}';
  for (let n = 0; n < whole.length; n++) {
    try {
      fields(whole.slice(0, n));
    } catch (e) {
      assert.ok(e instanceof Error, `cut at ${n}`);
    }
  }
});

function anything(pick: (n: number) => number, deep: number): unknown {
  switch (pick(deep ? 6 : 4)) {
    case 0: return pick(1_000_000) / 7;
    case 1: return ['', '"', "\\", "\\\\", "é<>&", "\u2028", "]}"][pick(7)];
    case 2: return null;
    case 3: return pick(2) === 0;
    case 4: return Array.from({ length: pick(4) }, () => anything(pick, deep - 1));
    default: return Object.fromEntries(Array.from({ length: pick(4) }, (_, i) => [`${i}}`, anything(pick, deep - 1)]));
  }
}
