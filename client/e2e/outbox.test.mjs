// The road from a moved date to a crew that knows: several texts in a row, in the owner's own words, with a
// link. How crews answer is told in fourcrews.test.mjs.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("texts one after another keep their place, also when the phone takes the page away", async ({ phone }) => {
  const marit = await phone({ at: "2027-04-06T16:00:00-07:00" });
  await marit.packed();
  marit.wire.cut();
  await marit.tab("texts");
  const drafts = await marit.screen("texts").locator("[data-text]").filter({ has: marit.page.getByRole("button", { name: new RegExp(`^(${en.texts.sent}|${en.texts.gaveOut})`) }) }).count();
  assert.ok(drafts >= 3, `${drafts} texts to send`);
  await marit.tap(en.texts.row(drafts));
  const card = () => marit.screen("texts").locator("[data-text]"); // the page may be another
  const first = await card().getAttribute("data-text");
  await marit.sees(en.texts.at(1, drafts));
  assert.match(await card().getByRole("link", { name: new RegExp(`^${en.texts.open}`) }).getAttribute("href"), /^sms:\+\d+\?body=/);
  await marit.tap(new RegExp(`^${en.texts.next}`));
  await marit.sees(en.texts.at(2, drafts));
  const second = await card().getAttribute("data-text");
  assert.notEqual(second, first);

  // The message program took the screen, the phone threw the page away; back in it is the same text.
  await marit.killTab();
  await marit.open("#/texts/row");
  await marit.onScreen("texts");
  await marit.sees(en.texts.at(2, drafts));
  assert.equal(await card().getAttribute("data-text"), second);
  for (let i = 2; i <= drafts; i++) {
    await marit.tap(i === 3 ? en.texts.skip : new RegExp(`^${en.texts.next}`));
    await marit.sees(i < drafts ? en.texts.at(i + 1, drafts) : en.texts.rowDone);
  }
  await marit.tap(en.texts.all);
  await marit.onScreen("texts");
  // What was sent is not to be sent again; what was skipped still is.
  assert.equal(await marit.button(new RegExp(`^${en.texts.sent}`), marit.page.locator(`[data-text="${first}"]`)).count(), 0);
  await marit.signal();
  await marit.sent();
});

story("a wording of one's own: an unknown blank is refused, the preview counts, both phones have it", async ({ phone }) => {
  const marit = await phone({ at: "2027-04-06T16:00:00-07:00" });
  await marit.open("#/words/tomorrow.en");
  await marit.onScreen("words");
  const area = marit.page.locator("textarea");
  await area.fill("See you {day}, {time}.\nBring: {tools}");
  await marit.page.getByRole("alert").filter({ hasText: "{tools}" }).waitFor();
  assert.ok(await marit.button(en.save).isDisabled());
  await area.fill("See you {day}, {time}.\nWay in: {way in}\nReply YES / NO / another day.");
  await marit.page.locator("[data-preview]").filter({ hasText: /^See you Wednesday 7 April, 8:00 am\.\s*Way in: Side gate/ }).waitFor();
  assert.match(await marit.page.locator("[data-length]").innerText(), /^\d+ letters, 1 message\.$/);
  await marit.tap(en.save);
  await marit.onScreen("words");
  await marit.tab("texts");
  await marit.screen("texts").locator('[data-text^="tomorrow/"] .body').filter({ hasText: "See you Wednesday 7 April" }).first().waitFor();

  // A link for one crew: one tap on its text, and the text carries it.
  const ask = marit.screen("texts").locator('[data-text^="ask/carpentry/"]');
  await ask.locator("summary").last().click();
  await marit.tap(new RegExp(`^${en.texts.link}`), ask);
  await ask.locator(".body").filter({ hasText: /Details: http\S+\/c\/[a-z2-9]{26}/ }).waitFor();
  await marit.tap(new RegExp(`^${en.texts.sent}`), ask);
  await marit.sent();
  const site = await marit.siteBytes();
  assert.ok(!/\/c\/[a-z2-9]{26}/.test(site), "the address is not in the site");
  assert.ok(site.includes("Details: {page}"), "its place is");

  await marit.go("#/words/tomorrow.en", "words");
  await marit.tap(en.wordings.reset);
  await marit.sees("Also there:", marit.page.locator("[data-preview]"));
});
