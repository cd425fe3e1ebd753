// A phone on the same Wi-Fi, over plain http: browsers give such a page no service worker, no locks
// and no clipboard. The plan is there all the same, and syncs; only opening without network is not.
import assert from "node:assert/strict";
import { LAN } from "./rig/browser.mjs";
import { sameBytes } from "./rig/phone.mjs";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("a phone on plain http plans and syncs", async ({ phone }) => {
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
  dov.trouble = dov.trouble.filter((line) => !/opener/i.test(line));
});
