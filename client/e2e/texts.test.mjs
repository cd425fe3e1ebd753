// The second moment: it is four o'clock and tomorrow's crews must hear.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("tomorrow's texts: one link each, sent, yes; a no leads to the ways", async ({ phone }) => {
  const marit = await phone({ at: "2027-04-06T16:00:00-07:00" });
  await marit.packed();
  marit.wire.cut();
  await marit.tab("texts");

  const cards = marit.screen("texts").locator('[data-text^="tomorrow/"]');
  await cards.first().waitFor();
  const count = await cards.count();
  assert.ok(count >= 2, `${count} crews tomorrow`);
  for (let i = 0; i < count; i++) await checkLink(cards.nth(i));

  // Sent, and a yes.
  const id = await cards.first().getAttribute("data-text");
  const card = marit.page.locator(`[data-text="${id}"]`);
  const crew = id.split("/")[1];
  await marit.tap(new RegExp(`^${en.texts.sent}`), card);
  await marit.tap(card.getByRole("button", { name: en.texts.yes, exact: true }));
  await card.locator('[aria-pressed="true"]', { hasText: en.texts.yes }).waitFor();
  assert.match(await card.locator(".how").first().innerText(), new RegExp(en.booking.firm));

  // They call back: it is a no after all. That leads straight to the days and the ways.
  await marit.tap(card.getByRole("button", { name: en.texts.no, exact: true }));
  await marit.onScreen("cant");
  assert.match(marit.page.url(), new RegExp(`#/cant/${crew}/2027-04-07/2027-04-07$`));
  const days = marit.screen("cant").locator(".days").getByRole("button", { pressed: true });
  await days.first().waitFor();
  assert.match(await days.first().getAttribute("aria-label") ?? await days.first().innerText(), /7/);
  assert.equal(await days.count(), 1, "the day they said no to, and no other");
  await marit.tap(en.cant.find);
  await marit.screen("ways").locator("[data-way]").first().waitFor();
  await marit.signal();
  await marit.sent();
});

/** checkLink holds one card to RFC 5724: sms:, one recipient in E.164, the whole text as body. */
async function checkLink(card) {
  const href = await card.getByRole("link", { name: new RegExp(`^${en.texts.open}`) }).getAttribute("href");
  const [, number, query] = /^sms:(\+\d{8,15})\?(.*)$/.exec(href) ?? assert.fail(`not an sms: link with one recipient: ${href}`);
  assert.ok(!number.includes(","));
  const body = new URLSearchParams(query.replace(/\+/g, "%2B")).get("body");
  const shown = (await card.locator(".body").first().innerText()).trim();
  assert.equal(body.replace(/\r\n/g, "\n").trim(), shown, "the message program gets the text that is shown");
  const lang = await card.locator(".body").first().getAttribute("lang");
  assert.match(body, lang === "es" ? /VOY\b.*NO VOY\b/s : /YES\b.*NO\b/s, "it says how to answer, in the crew's language");
  assert.match(body, /14 Wash House Lane/, "it says where");
}
