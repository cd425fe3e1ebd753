import { test } from "node:test";
import assert from "node:assert/strict";
import { carried, carries, sixtyFourths, thickness } from "./thickness";

// Fractions of an inch and their millimetres: any rule with both scales; 1/2 in is 12.7 mm exactly.
test("a thickness is typed as the tape says it", () => {
  for (const [text, n] of [["1/2", 32], ["½", 32], ['3/4"', 48], ["1 1/8", 72], ["1-1/8 in", 72], ["1⅛", 72], ["0.5", 32], ["0,5", 32], ["12.7 mm", 32], ["12,7mm", 32], ["10 cm", 252], ["4", 256], ["1/64", 1]] as const) {
    assert.equal(sixtyFourths(text, "us"), n, text);
  }
  assert.equal(sixtyFourths("12.7", "metric"), 32);
  assert.equal(sixtyFourths("1/2 in", "metric"), 32);
  assert.equal(sixtyFourths(" ", "us"), null);
  for (const text of ["thick", "1/0", "-1", "1/2/3", "1e9"]) assert.equal(sixtyFourths(text, "us"), undefined, text);
});

test("what is shown is read back as the same", () => {
  for (let n = 1; n < 64 * 13; n++) for (const units of ["us", "metric"]) assert.equal(sixtyFourths(thickness(n, units), units), n, `${n} ${units}`);
  assert.equal(thickness(72, "us"), "1 1/8");
  assert.equal(thickness(128, "us"), "2");
});

test("what a floor carries", () => {
  assert.equal(carried("40", "us"), 40);
  assert.equal(carried("195", "metric"), 40);
  assert.equal(carries(40, "metric"), "195");
  assert.equal(carried("lots", "us"), undefined);
  for (let n = 1; n < 500; n++) assert.equal(carried(carries(n, "metric"), "metric"), n);
});
