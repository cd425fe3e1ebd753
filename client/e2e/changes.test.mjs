// Everything but a crew that can't come: asked without signal, taken as one act, taken back as one.
import assert from "node:assert/strict";
import { sameBytes } from "./rig/phone.mjs";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

const w = en.changed;

story("without signal: each door leads to ways, one is taken, undo takes it back, the other phone sees it", async ({ phone }) => {
  const marit = await phone();
  await marit.packed();
  const before = await marit.siteBytes();
  marit.wire.cut();

  // From Today: the rough-in takes a day longer. Six taps to a new week.
  await marit.tab("today");
  marit.taps = 0;
  await marit.tap(en.today.changed);
  await marit.tap(new RegExp(`^${w.longer}`));
  await marit.tap(marit.screen("changed").getByRole("button", { name: /^Rough-in/ }));
  await marit.tap(`+ ${w.days(1)}`);
  await take(marit, /Rough-in takes/);
  assert.ok(marit.taps <= 6, `${marit.taps} taps`);
  await marit.unsent(1);
  assert.equal(fields(await marit.siteBytes(), "activities", "rough-electric").labour.typical, 48 * 60);
  await undo(marit, before);

  // At the work: what was found behind the ceiling goes between the frame and the batts.
  await marit.go("#/block/frame-ceiling", "block");
  await marit.tap(new RegExp(`^${w.found}`));
  await marit.field(w.what).fill("Sister the rotten joists");
  await marit.tap(w.days(2));
  await marit.field(w.before).selectOption("batts");
  await take(marit, /New work/);
  await marit.tab("strings");
  await marit.button(/^Carpentry: Sister the rotten joists/).waitFor();
  await undo(marit, before);

  // At the goods: the clips came short.
  await marit.go("#/thing/order/clips", "thing");
  await marit.tap(new RegExp(`^${w.short}`));
  await marit.field(w.missing).fill("40 clips");
  await marit.tap(/Wednesday 14 April/, marit.screen("changed"));
  await take(marit, /came short/);
  const short = JSON.parse(await marit.siteBytes());
  assert.ok(short.orders.some((o) => o.quantity === "40 clips" && o.due === "2027-04-14"), "the rest is an order of its own");
  await undo(marit, before);

  // At the inspection: it moves to another day, or fails.
  await marit.go("#/changed/visit/rough-electrical", "changed");
  await marit.tap(/^Fri 9, afternoon/, marit.screen("changed"));
  await take(marit, /visit Fri 9/, false);
  await undo(marit);
  await marit.go("#/changed/visit/rough-electrical", "changed");
  await marit.tap(w.failed);
  await take(marit, /failed/);
  await undo(marit);

  // Goods that come later, and two days of rain; this one stays.
  await marit.go("#/changed/late/board-goods", "changed");
  await marit.tap(/Friday 16 April/, marit.screen("changed"));
  await take(marit, /comes Fri 16/);
  await undo(marit);
  await marit.go("#/changed/weather", "changed");
  for (const day of [/Wednesday 7 April/, /Thursday 8 April/]) await marit.tap(day, marit.screen("changed"));
  await take(marit, /No outdoor work/);
  await marit.tab("texts");
  await marit.sees(en.texts.moved);

  const dov = await phone();
  await dov.home();
  marit.wire.mend();
  await marit.sent();
  const both = JSON.parse(await sameBytes(marit, dov));
  assert.ok(both.shut.some((s) => s.outdoor && s.from === "2027-04-07" && s.to === "2027-04-08"));
});

story("what would it take: a day that can be reached, one that cannot, and why a wished day is impossible", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  marit.wire.cut();
  await by(marit, "2027-04-29");
  await marit.screen("ways").locator("[data-way]").first().waitFor();
  await by(marit, "2027-04-14");
  await marit.screen("ways").getByText(/Nothing reaches Wed 14 Apr/).waitFor();
  assert.match(await marit.screen("ways").locator(".chain").innerText(), /drying or curing/);

  await marit.go("#/block/batts", "block");
  await marit.page.locator("summary", { hasText: en.block.wish }).click();
  await marit.page.getByLabel(en.block.wishDay).fill("2027-04-07");
  await marit.tap(en.block.couldIt);
  await marit.screen("block").getByText(/Batts cannot start Wed 7/).waitFor();
  assert.ok((await marit.screen("block").locator(".chain li").count()) >= 2, "the chain is told");
  await marit.page.getByLabel(en.block.wishDay).fill("2027-04-15");
  await marit.tap(en.block.couldIt);
  await marit.tap(en.block.moveThere);
  await marit.screen("block").getByText(/Thursday 15 April/).first().waitFor();
});

story("whoever has seen enough says so, and the card read is the card that stays", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  await marit.go("#/changed/longer/rough-electric", "changed");
  await marit.tap(`+ ${w.days(2)}`);
  await marit.tap(en.cant.find);
  const cards = marit.screen("ways").locator("[data-way]");
  await cards.first().waitFor();
  const first = await cards.first().getAttribute("data-way");
  await marit.tap(en.ways.enough);
  await marit.sees(en.ways.rested);
  await marit.tap(en.ways.lookOn);
  await marit.page.locator('.proof[data-more="no"]').waitFor();
  assert.equal(await cards.first().getAttribute("data-way"), first, "what was read first stands first");
  await marit.tap(cards.first().getByRole("button", { name: en.ways.takeNamed("") }));
  await marit.onScreen("today");
});

story("a crew is half an hour late: its word is one tap away from the plan, and one undo", async ({ phone, browser }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  const link = await marit.crewLink("electric");
  const context = await browser.newContext({ javaScriptEnabled: false, locale: "en-US" });
  const page = await context.newPage();
  await page.goto(link);
  const visit = page.locator(".visit").filter({ has: page.locator('[name="visit"][value="rough-electric"]') }).first();
  await visit.locator("details").filter({ has: page.locator('[value="late"]') }).locator("summary").click();
  await visit.locator('select[name="count"]').first().selectOption("30");
  await visit.locator('[value="late"]').click();
  await page.locator('[name="sure"]').click();
  await context.close();

  await marit.go("#/today", "today");
  const act = marit.screen("today").locator(".card.act").filter({ hasText: "30 minutes late" });
  await marit.tap(/^Take their word/, act);
  await marit.page.getByText(/^Taken: Rough-in/).waitFor();
  assert.equal(fields(await marit.siteBytes(), "activities", "rough-electric").notBefore, "2027-04-06T08:30");
  await marit.tab("today");
  await act.waitFor({ state: "detached" });
  await marit.tap(marit.page.locator("button.undo"));
  await marit.tap(/^Seen/, act);
  await act.waitFor({ state: "detached" });
});

async function by(phone, day) {
  await phone.go("#/changed/by", "changed");
  await phone.field(w.byDay).fill(day);
  await phone.tap(w.byAsk);
  await phone.page.locator('.proof[data-more="no"]').waitFor();
}

/** take asks for the ways, where the form has not done so by itself, and takes the first card. */
async function take(phone, title, ask = true) {
  if (ask) await phone.tap(en.cant.find);
  await phone.screen("ways").getByRole("heading", { level: 1, name: title }).waitFor();
  await phone.tap(phone.screen("ways").locator("[data-way]").first().getByRole("button", { name: en.ways.takeNamed("") }));
  await phone.onScreen("today");
}

/** undo takes back, and says whether the plan is what it was before. */
async function undo(phone, before) {
  await phone.tap(phone.page.locator("button.undo"));
  await phone.page.getByText(/^Taken back/).waitFor();
  if (!before) return;
  assert.equal(planOf(await phone.siteBytes()), planOf(before), "undone, the plan is as it was");
}

const fields = (site, list, id) => JSON.parse(site)[list].find((x) => x.id === id);
const planOf = (site) => { const s = JSON.parse(site); return JSON.stringify([s.activities, s.orders, s.holds.map((h) => [h.id, h.visit, h.laid, h.result]), s.links.length, s.shut ?? []]); };
