import assert from "node:assert/strict";
import { test } from "node:test";
import { kilos, pounds, shown, weighed } from "./weight";

test("weights are typed in the site's unit or with the other one behind them", () => {
  assert.equal(weighed("100", "us"), 45);
  assert.equal(weighed("100", "metric"), 100);
  assert.equal(weighed("45 kg", "us"), 45);
  assert.equal(weighed("100 lb", "metric"), 45);
  assert.equal(weighed("45,5 kg", "us"), 46);
  assert.equal(weighed("1,000", "us"), 454);
  assert.equal(weighed(" ", "us"), null);
  for (const bad of ["-5", "heavy", "5 tons", "1,000 lb 3", "0x10", "1e9"]) assert.equal(weighed(bad, "us"), undefined, bad);
});

test("law: every five pounds come back as they were typed, and every kilogram", () => {
  for (let lb = 0; lb <= 20_000; lb += 5) assert.equal(pounds(kilos(lb)), lb);
  for (let kg = 0; kg <= 9_000; kg++) assert.equal(kilos(pounds(kg)), kg);
  assert.equal(shown(3450, "us"), "7605");
  assert.equal(shown(3450, "metric"), "3450");
});
