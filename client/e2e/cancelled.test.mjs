// The first of the three moments: a trade cancels at twenty to seven in the morning, in a basement.
import assert from "node:assert/strict";
import { sameBytes } from "./rig/phone.mjs";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("electric can't come, found out without signal: taken, undone, taken again, then on the other phone", async ({ phone }) => {
  const marit = await phone();
  await marit.packed();
  const before = await marit.siteBytes();

  // The network goes before the app is opened.
  marit.wire.cut();
  await marit.killTab();
  await marit.home();

  marit.taps = 0;
  await askWays(marit);
  const cards = marit.screen("ways").locator("[data-way]");
  await cards.first().waitFor();
  const count = await cards.count();
  assert.ok(count >= 3 && count <= 5, `three to five ways through, not ${count}`);
  for (const text of await cards.allInnerTexts()) {
    assert.match(text, /\b(Mon|Tue|Wed|Thu|Fri|Sat|Sun) \d/, "each way says when the job is finished");
    assert.match(text, /\bcalls?\b/i, "each way says how many must be called");
    assert.match(text, /from (Mon|Tue|Wed|Thu|Fri|Sat|Sun)/, "each way says what moves from when");
  }
  await marit.tap(takeOf(cards.first()));
  assert.ok(marit.taps <= 5, `${marit.taps} taps from opening the app to a new week`);
  await marit.unsent(1);
  await marit.onScreen("today");
  const taken = await marit.siteBytes();
  assert.notEqual(taken, before);

  // The texts to those who must hear are drafted.
  await marit.tab("texts");
  await marit.sees(en.texts.moved);

  await marit.tap(new RegExp(`^${en.undo}`));
  await marit.unsent(2);
  const undone = await marit.siteBytes();
  assert.equal(planOf(undone), planOf(before), "undone, the plan is as it was");

  await marit.tab("today");
  await askWays(marit);
  await marit.tap(takeOf(cards.first()));
  await marit.unsent(3);

  // Signal again: the second phone learns of it without anybody doing anything.
  const dov = await phone();
  await dov.home();
  marit.wire.mend();
  await marit.sent();
  const site = await sameBytes(marit, dov);
  assert.equal(planOf(site), planOf(taken), "the same question has the same answer");
});

story("whoever leaves the ways in mid-search finds the phone free, and the answer still growing later", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  await askWays(marit);
  await marit.screen("ways").locator("[data-way]").first().waitFor();
  // Away at once, and something else is done: it reaches the server and the strip says so.
  await marit.go("#/today", "today");
  await marit.tap(new RegExp(`^${en.today.finish}`), marit.screen("today"));
  await marit.button(new RegExp(`^${en.undo}`)).first().waitFor();
  await marit.sent();
  // Back on the ways the search goes on, asked anew of the plan as it is now, until its last word.
  await marit.go("#/ways", "ways");
  await marit.page.locator('.proof[data-more="no"]').waitFor();
});

/** askWays says that the electric crew cannot make its next visit, Tuesday and Wednesday. */
async function askWays(phone) {
  await phone.tap(en.today.cant);
  await phone.tap(/^Electric(?! B)/, phone.screen("cant"));
  for (const day of [/Tuesday 6 April/, /Wednesday 7 April/]) await phone.press(day, phone.screen("cant"));
  await phone.tap(en.cant.find);
}

/** takeOf is the button of a card; its full name says which way it takes. */
const takeOf = (card) => card.getByRole("button", { name: en.ways.takeNamed("") });

/** planOf is the part of a site that the plan is made from: every activity's place in it. */
function planOf(site) {
  return JSON.stringify(JSON.parse(site).activities.map((a) => [a.id, a.crew, a.laid, a.booking]));
}
