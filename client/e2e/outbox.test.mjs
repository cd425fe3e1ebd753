// The road from a moved date to a crew that knows, and back: several texts in a row, in the owner's own
// words, with a link; and four crews that answer in different ways while the owner is off the air.
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

story("four crews answer in four ways while the owner is off the air", async ({ phone, browser }) => {
  const marit = await phone();
  await marit.packed();
  const links = {};
  for (const crew of ["carpentry", "insulate", "stucco", "electric"]) links[crew] = await marit.crewLink(crew);
  await marit.go("#/today", "today");
  marit.wire.cut();
  await marit.page.locator('[data-wire="off"]').first().waitFor();

  const crew = async (who, answer) => {
    const context = await browser.newContext({ javaScriptEnabled: false, viewport: { width: 360, height: 640 } });
    const page = await context.newPage();
    await page.goto(links[who]);
    await answer(page);
    await page.locator('[name="sure"]').click();
    await page.locator("h1, h2").first().waitFor();
    await context.close();
  };
  let fireblock = "";
  await crew("carpentry", async (page) => { // yes, also to what nobody had asked in person
    const visit = page.locator(".visit").filter({ has: page.locator('[name="visit"][value="fireblock"]') }).first();
    fireblock = await visit.locator('[name="visit"]').first().getAttribute("value");
    await visit.locator('[value="yes"]').click();
  });
  await crew("stucco", async (page) => { // no, in Spanish
    assert.equal(await page.locator("html").getAttribute("lang"), "es");
    const visit = page.locator(".visit").filter({ has: page.locator('[name="visit"][value="brown"]') }).first();
    await visit.locator('[value="no"]').click();
  });
  await crew("insulate", async (page) => { // another day
    const visit = page.locator(".visit").filter({ has: page.locator('[value="other"]') }).first();
    await visit.locator("summary").first().click();
    await visit.locator('input[type="date"]').fill("2027-04-14");
    await visit.locator('[value="other"]').click();
  });
  await crew("electric", async (page) => { // a question
    const visit = page.locator(".visit").filter({ has: page.locator('[value="ask"]') }).first();
    for (const s of await visit.locator("summary").all()) await s.click();
    await visit.locator("textarea").first().fill("Is the panel live?");
    await visit.locator('[value="ask"]').click();
  });

  // Off the air nothing of it is here, and nothing is lost.
  assert.equal(await marit.screen("today").locator(".card.act").filter({ hasText: "Is the panel live?" }).count(), 0);
  await marit.signal();
  const acts = marit.screen("today").locator(".card.act");
  await acts.filter({ hasText: "Is the panel live?" }).first().waitFor();
  await acts.filter({ hasText: /Stucco can't come/ }).first().waitFor();
  await acts.filter({ hasText: /Insulate asks for Wed 14/ }).first().waitFor();
  await marit.go(`#/block/${fireblock}`, "block");
  await marit.page.locator(".how.firm").first().waitFor();

  // The yes needs no text any more. How crews keep their word is the owner's to see, not a second hand's.
  await marit.go("#/texts", "texts");
  assert.equal(await marit.screen("texts").locator('[data-text^="ask/carpentry/"]').filter({ hasText: "Fireblock" }).count(), 0);
  await marit.go("#/thing/crew/stucco", "thing");
  assert.equal(await marit.page.locator("[data-trust]").count(), 0);
});
