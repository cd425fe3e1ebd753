// Every screen in every theme in front of axe: no findings. axe-core checks what a machine can of
// WCAG 2.2 A and AA and its own best practices; contrast here is asked to be 7:1 (WCAG 1.4.6, AAA).
import assert from "node:assert/strict";
import axe from "axe-core";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

const RULES = { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"], rules: { "color-contrast-enhanced": { enabled: true } } };

/** The screens by their address, and how to get to those that have none of their own. */
const SCREENS = [
  ["today", "#/today"], ["cant", "#/cant"], ["changed", "#/changed"], ["changed", "#/changed/found/frame-ceiling"], ["changed", "#/changed/short/clips"], ["changed", "#/changed/weather"], ["strings", "#/strings"], ["block", "#/block/rough-electric"],
  ["holds", "#/holds/board-ceiling-1"], ["holds", "#/holds"], ["texts", "#/texts"], ["texts", "#/texts/row"], ["words", "#/words"], ["words", "#/words/tomorrow.es"], ["more", "#/more"], ["setup", "#/setup"], ["questions", "#/questions"], ["questions", "#/questions/size"], ["questions", "#/questions/own"],
  ["thing", "#/thing/activity/rough-electric"], ["thing", "#/thing/crew/board"], ["thing", "#/thing/hold/framing"], ["thing", "#/thing/site"],
  ["thing", "#/thing/link"], ["thing", "#/thing/order"], ["thing", "#/thing/away"], ["photos", "#/photos"], ["log", "#/log"], ["odds", "#/odds"], ["phone", "#/phone"], ["sites", "#/sites"], ["start", "#/start"],
  ["readings", "#/readings"], ["orders", "#/orders"], ["rules", "#/rules"], ["review", "#/review"], ["week", "#/week"], ["thing", "#/thing/place"],
  ["join", "#/join"], ["look", "#/look"], ["news", "#/news"], ["contacts", "#/contacts"], ["about", "#/about"],
];

for (const theme of ["light", "night", "sun"]) {
  story(`axe finds nothing on any screen, ${theme}`, async ({ phone }) => {
    const marit = await phone({ theme });
    await marit.home();
    const found = [];
    for (const [screen, hash] of SCREENS) {
      await marit.go(hash, screen);
      found.push(...await findings(marit, hash));
    }
    await marit.go("#/cant", "cant");
    await marit.tap(/^Electric(?! B)/, marit.screen("cant"));
    await marit.press(/Tuesday 6 April/, marit.screen("cant"));
    found.push(...await findings(marit, "the days of a crew"));
    await marit.tap(en.cant.find);
    await marit.screen("ways").locator("[data-way]").first().waitFor();
    found.push(...await findings(marit, "ways"));
    await marit.go("#/changed/by", "changed");
    await marit.field(en.changed.byDay).fill("2027-04-14");
    await marit.tap(en.changed.byAsk);
    await marit.screen("ways").locator(".chain").waitFor();
    found.push(...await findings(marit, "a day that nothing reaches"));
    await marit.go("#/photos/framing", "photos");
    const add = marit.page.locator(".take", { hasText: en.papers.add }).locator("input");
    await add.setInputFiles({ name: "Inspection report.pdf", mimeType: "application/pdf", buffer: Buffer.from("%PDF-1.7\nstartxref\n9\n%%EOF\n") });
    await marit.page.locator("[data-paper]").waitFor();
    found.push(...await findings(marit, "papers"));
    await marit.page.locator("[data-paper]").click();
    await marit.page.locator("dialog.large a.btn").waitFor();
    found.push(...await findings(marit, "a paper"));
    await marit.tap(en.photos.close, marit.page.locator("dialog.large"));
    assert.deepEqual(found, []);
  });
}

async function findings(phone, where) {
  const seen = await phone.page.evaluate(() => document.documentElement.dataset.theme);
  await phone.page.evaluate(axe.source);
  const result = await phone.page.evaluate((rules) => window.axe.run(document, rules), RULES);
  return result.violations.flatMap((v) => v.nodes.map((n) => `${where} (${seen}): ${v.id}: ${n.target.join(" ")}: ${n.failureSummary.split("\n").slice(1).join(" ").trim()}`));
}
