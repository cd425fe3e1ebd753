import { test } from "node:test";
import assert from "node:assert/strict";
import { numeral } from "./number";

test("a comma and a point are the same decimal", () => {
  for (const s of ["2.5", "2,5", " 2,5 ", "2.50"]) assert.equal(numeral(s), 2.5, s);
  assert.equal(numeral(",5"), 0.5);
  assert.equal(numeral("0."), 0);
  assert.equal(numeral("-8"), -8);
  assert.equal(numeral("\u22128"), -8);
});

// Groups of three with either sign: Unicode CLDR, numbers in en-US and es-ES, es-MX (from memory).
test("thousands", () => {
  assert.equal(numeral("1,200.50"), 1200.5);
  assert.equal(numeral("1.200,50"), 1200.5);
  assert.equal(numeral("1,234,567"), 1234567);
  assert.equal(numeral("1 200"), 1200);
  assert.equal(numeral("1,200", true), 1200, "money");
  assert.equal(numeral("$1,200", true), 1200);
  assert.equal(numeral("1,200"), 1.2, "hours");
  assert.equal(numeral("12,50", true), 12.5);
});

test("what is no number", () => {
  for (const s of ["", "soon", "1e9", "2h", "1,2,3", "1.2.3", "--4", "Infinity", "0x10", "1,23.456,7", "9".repeat(13)]) assert.equal(numeral(s), undefined, s);
});
