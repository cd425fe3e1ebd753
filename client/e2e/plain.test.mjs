// A phone on the same Wi-Fi, over plain http: browsers give such a page no service worker, no locks
// and no clipboard. The plan is there all the same, and syncs; only opening without network is not.
import assert from "node:assert/strict";
import { LAN } from "./rig/browser.mjs";
import { sameBytes } from "./rig/phone.mjs";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("a phone on plain http plans, syncs, and lets one tab work at a time", async ({ phone }) => {
  const dov = await phone({ host: LAN });
  await dov.open();
  await dov.onScreen("today");
  assert.equal(await dov.page.evaluate(() => isSecureContext), false);
  await dov.sent();

  dov.wire.cut();
  await dov.go("#/more", "more");
  await dov.page.getByLabel(en.more.diaryLine).fill("Doors are on the van");
  await dov.tap(en.more.diaryAdd);
  await dov.unsent(1);
  dov.wire.mend();
  await dov.sent();
  const marit = await phone();
  await marit.open();
  await marit.onScreen("today");
  assert.match(await sameBytes(dov, marit), /Doors are on the van/);

  const first = dov.page;
  const second = await dov.context.newPage();
  await second.goto(dov.wire.url + "/");
  await second.locator('main[data-screen="elsewhere"]').waitFor();
  await second.getByRole("button", { name: en.elsewhere.use }).click();
  await second.locator('main[data-screen="today"][data-fresh="yes"]').waitFor();
  await first.locator('main[data-screen="elsewhere"]').waitFor();
  dov.trouble = dov.trouble.filter((line) => !/opener/i.test(line));
});
