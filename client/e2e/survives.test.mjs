// Everything survives: no signal, a killed tab, a killed server, a new version.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { Front } from "./rig/front.mjs";
import { sameBytes } from "./rig/phone.mjs";
import { en } from "./rig/words.mjs";

story("reload without signal, tab killed, server killed and restarted", async ({ phone, server }) => {
  const marit = await phone();
  await marit.packed();

  marit.wire.cut();
  await marit.page.reload();
  await marit.onScreen("today");
  await writeDiary(marit, "Rain since five, tarp over the door");
  await marit.unsent(1);
  const saved = await marit.siteBytes();

  await marit.killTab();
  await marit.home();
  await marit.unsent(1);
  assert.equal(await marit.siteBytes(), saved, "what was shown as saved is there after the tab was killed");

  await server.kill();
  await server.up();
  marit.wire.mend();
  await marit.sent();
  const dov = await phone();
  await dov.home();
  assert.match(await sameBytes(marit, dov), /Rain since five/);

  // The plug is pulled right after the server said it has it.
  await writeDiary(dov, "Tarp holds");
  await dov.sent();
  await server.kill();
  await server.up();
  await marit.sent();
  assert.match(await sameBytes(marit, dov), /Tarp holds/);
});

story("a phone that is full says so, keeps what it had, and goes on when there is room", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  const before = await marit.siteBytes();
  await marit.page.workers()[0].evaluate(() => {
    const put = IDBObjectStore.prototype.put;
    IDBObjectStore.prototype.put = function (...what) {
      if (this.name === "ops") throw new DOMException("no room", "QuotaExceededError");
      return put.apply(this, what);
    };
    globalThis.room = () => { IDBObjectStore.prototype.put = put; };
  });
  await marit.go("#/more", "more");
  await marit.field(en.more.diaryLine).fill("Does not fit");
  await marit.tap(en.more.diaryAdd);
  await marit.sees(en.trouble.noRoom);
  await marit.tap(en.ok);
  assert.equal(await marit.siteBytes(), before, "nothing that is not saved is shown");
  await marit.page.workers()[0].evaluate(() => globalThis.room());
  await writeDiary(marit, "Fits again");
  await marit.sent(); // over a connection that the fresh planner has opened anew
  const dov = await phone();
  await dov.home();
  const site = await sameBytes(marit, dov);
  assert.match(site, /Fits again/);
  assert.doesNotMatch(site, /Does not fit/);
});

story("a new version asks before it is used", async ({ phone, server }) => {
  const front = await Front.before(server);
  const marit = await phone();
  marit.wire.server = front;
  await marit.packed();

  front.version = "next";
  await marit.page.evaluate(async () => { await (await navigator.serviceWorker.getRegistration()).update(); });
  await marit.sees(en.updates.ready);
  // Nothing has reloaded: what was on the screen is still there, and "later" keeps it there.
  await marit.page.evaluate(() => { window.thumb = "still here"; });
  await marit.tap(en.updates.later);
  assert.equal(await marit.page.evaluate(() => window.thumb), "still here");

  await marit.page.reload();
  await marit.onScreen("today");
  await marit.sees(en.updates.ready);
  await Promise.all([marit.page.waitForEvent("load"), marit.tap(en.updates.use)]);
  await marit.onScreen("today");
  assert.equal(await marit.page.getByText(en.updates.ready).count(), 0);
  await front.close();
});

async function writeDiary(phone, line) {
  await phone.go("#/more", "more");
  await phone.field(en.more.diaryLine).fill(line);
  await phone.tap(en.more.diaryAdd);
  await phone.page.waitForFunction(() => document.querySelector("main textarea")?.value === "");
}
