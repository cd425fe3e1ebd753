import assert from "node:assert/strict";
import { test } from "node:test";
import { CREW_LIFE, lasting, OWN_LIFE, stillGood } from "./lasting";

const day = 86_400_000;
const now = Date.UTC(2027, 2, 1, 6, 40); // by the server

for (const [name, life, ends] of [["a crew's page", CREW_LIFE, 120], ["the owner's calendar", OWN_LIFE, 400]] as const) {
  const given = { url: "https://site.example.net/c/abc", until: now + ends * day };

  test(`${name}: a phone whose clock is years ahead keeps the address it has just got`, () => {
    for (const ahead of [0, 1, ends - 1, ends + 1, 3 * 365, 20 * 365]) {
      const clock = now + ahead * day;
      const kept = JSON.stringify(lasting(given, life, clock));
      assert.equal(stillGood(kept, clock)?.url, given.url, `${ahead} days ahead`);
      assert.equal(stillGood(kept, clock + (ends - 3) * day)?.url, given.url, `${ahead} days ahead, near its end`);
    }
  });

  test(`${name}: a clock that is right, or behind, believes the server`, () => {
    for (const behind of [0, 400, 4000]) {
      const kept = lasting(given, life, now - behind * day);
      assert.equal(kept.until, given.until);
      assert.equal(stillGood(JSON.stringify(kept), given.until + 1), undefined);
    }
  });

  test(`${name}: with a clock ahead it is let go before the server ends it`, () => {
    const clock = now + 5 * 365 * day;
    assert.equal(stillGood(JSON.stringify(lasting(given, life, clock)), clock + ends * day), undefined);
  });
}

test("what was never kept, or is no link, is none", () => {
  for (const text of ["", "{", "null", "7", "{}", `{"url":"x"}`]) assert.equal(stillGood(text, now), undefined, text);
});
