// The crew's side: another phone, no app, no script. What they say there is on the owner's phone.
import assert from "node:assert/strict";
import axe from "axe-core";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("a crew says yes, then asks for another day, on a page without script", async ({ phone, browser }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  const link = await marit.crewLink("carpentry");

  // Any old phone: no script at all.
  const context = await browser.newContext({ javaScriptEnabled: false, viewport: { width: 360, height: 640 }, locale: "en-US" });
  const page = await context.newPage();
  const [answer] = await Promise.all([page.waitForResponse(link), page.goto(link)]);
  assert.ok((await answer.body()).length < 30_000, "the page is small");
  const visit = page.locator(".visit").filter({ has: page.locator('[value="yes"]') }).first();
  const id = await visit.locator('[name="visit"]').first().getAttribute("value");

  // A yes: pressed, read again, sent.
  await visit.locator('[value="yes"]').click();
  await page.getByText("Nothing has been sent yet.").waitFor();
  await page.getByRole("button", { name: "Yes, send it" }).click();
  await page.getByText("Thank you. You are booked.").waitFor();
  await marit.go(`#/block/${id}`, "block");
  await marit.page.locator(".how.firm").first().waitFor();

  // A question stays on Today until somebody has seen it.
  const same = page.locator(".visit").filter({ has: page.locator(`[name="visit"][value="${id}"]`) }).first();
  await same.locator("summary").last().click();
  await same.locator("textarea").fill("Is there water on site?");
  await same.locator('[value="ask"]').click();
  await page.getByRole("button", { name: "Yes, send it" }).click();
  await page.getByText("it was passed on").waitFor();
  await marit.go("#/today", "today");
  const asked = marit.screen("today").locator(".card.act").filter({ hasText: "Is there water on site?" });
  await marit.tap(/^Seen/, asked);
  await asked.waitFor({ state: "detached" });
  await marit.sent();

  // Then something comes up: two days later would do.
  const first = /^\d{4}-\d\d-\d\d/.exec(await same.locator('[name="shown"]').first().getAttribute("value"))[0];
  const wish = new Date(Date.parse(first) + 2 * 86_400_000).toISOString().slice(0, 10);
  await same.locator("summary").first().click();
  await same.locator('input[type="date"]').fill(wish);
  await same.locator('[value="other"]').click();
  await page.getByRole("button", { name: "Yes, send it" }).click();
  await page.getByText("Until then nothing is changed.").waitFor();

  // On the owner's Today it is an act, and leads to the ways with those days picked.
  await marit.go("#/today", "today");
  const act = marit.screen("today").locator(".card.act").filter({ hasText: "asks for" }).first();
  await act.waitFor();
  await marit.tap(/^See the ways/, act);
  await marit.onScreen("cant");
  const picked = marit.screen("cant").locator('.day[aria-pressed="true"]');
  await picked.first().waitFor();
  assert.match(await picked.first().getAttribute("aria-label"), new RegExp(`\\b${Number(first.slice(8))}\\b`), "the first day they cannot make is picked");
  await marit.tap(en.cant.find);
  await marit.screen("ways").locator("[data-way]").first().waitFor();
  await context.close();
});

story("axe finds nothing on the crews' pages, in both languages", async ({ phone, browser }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  // The site has a place for the map.
  await marit.go("#/thing/site", "thing");
  await marit.screen("thing").locator("summary", { hasText: en.tabs.more }).click();
  await marit.field(en.field.geo).fill("37.786971, -122.399677");
  await marit.tap(en.save);
  await marit.onScreen("setup");
  await marit.sent();
  const context = await browser.newContext({ viewport: { width: 360, height: 640 } });
  const page = await context.newPage();
  const trouble = [];
  page.on("console", (m) => { if (m.type() === "error") trouble.push(m.text()); });
  const found = [];
  for (const crew of ["carpentry", "board"]) {
    const link = await marit.crewLink(crew);
    await page.goto(link);
    assert.equal(await page.locator("script").count(), 0);
    assert.equal(await page.locator("html").getAttribute("lang"), crew === "board" ? "es" : "en");
    assert.equal(await page.locator('a[href^="geo:"]').getAttribute("href"), "geo:37.786971,-122.399677");
    for (const details of await page.locator("summary").all()) await details.click();
    found.push(...await findings(page, crew));
    for (const box of await page.locator("button, .btn, summary, input:not([type=hidden]), select, a").all()) {
      const size = await box.boundingBox();
      assert.ok(size.height >= 48, `${await box.innerText()}: ${size.height} px high`);
    }
    await page.locator('.visit [value="yes"]').first().click();
    found.push(...await findings(page, `${crew}, is this right`));
    await page.locator('[name="sure"]').click();
    found.push(...await findings(page, `${crew}, thank you`));
  }
  assert.deepEqual(found, []);
  assert.deepEqual(trouble, []);
  await context.close();
});

const RULES = { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"], rules: { "color-contrast-enhanced": { enabled: true } } };

async function findings(page, where) {
  await page.evaluate(axe.source);
  const result = await page.evaluate((rules) => window.axe.run(document, rules), RULES);
  return result.violations.flatMap((v) => v.nodes.map((n) => `${where}: ${v.id}: ${n.target.join(" ")}`));
}
