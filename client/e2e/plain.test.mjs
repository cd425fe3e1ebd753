// A phone on the same Wi-Fi, over plain http: browsers give such a page no service worker, no locks
// and no clipboard. The plan is there all the same, and syncs; only opening without network is not.
import assert from "node:assert/strict";
import { LAN } from "./rig/browser.mjs";
import { sameBytes } from "./rig/phone.mjs";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("a phone on plain http plans and syncs", async ({ phone }) => {
  const dov = await phone({ host: LAN });
  await dov.home();
  assert.equal(await dov.page.evaluate(() => isSecureContext), false);
  await dov.sent();

  dov.wire.cut();
  await dov.go("#/more", "more");
  // What such an address costs is said, and how it is mended.
  await dov.page.getByText(en.plain.title).click();
  for (const line of [en.plain.works, ...en.plain.lacks, en.plain.fix]) await dov.page.getByText(line).waitFor();
  if (process.env.SHOTS) await dov.page.screenshot({ path: `${process.env.SHOTS}/plain.png` });
  await dov.page.getByLabel(en.more.diaryLine).fill("Doors are on the van");
  await dov.tap(en.more.diaryAdd);
  await dov.unsent(1);
  dov.wire.mend();
  await dov.sent();
  const marit = await phone();
  await marit.open("#/more"); // an address on this machine is as good as an encrypted one
  await marit.onScreen("more");
  assert.equal(await marit.page.getByText(en.plain.title).count(), 0);
  await marit.home();
  assert.match(await sameBytes(dov, marit), /Doors are on the van/);
  dov.trouble = dov.trouble.filter((line) => !/opener/i.test(line));
});
