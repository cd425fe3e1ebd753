// Two windows of one phone are one device: both work, whoever is closed, and nothing is done twice.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { LAN } from "./rig/browser.mjs";
import { until } from "./rig/phone.mjs";
import { en } from "./rig/words.mjs";

story("two windows change things, the one that leads is closed in the middle, the other goes on", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  const first = marit.page;
  const second = await another(marit);
  const before = (await ops(second)).length;

  await writes(marit, first, "Gate is open");
  await writes(marit, second, "Key is in the box");
  await writes(marit, first, "Skip is full");
  assert.equal((await ops(second)).length, before + 3);

  // What one window changes the other shows by itself.
  await shows(marit, first, "#/log", "log");
  await writes(marit, second, "Sand arrived");
  await first.getByText(/Sand arrived/).first().waitFor();

  // The first leads. It saves an act of the second, and is closed before it can say so.
  await shows(marit, second, "#/more", "more");
  await silenced(first);
  await fills(marit, second, "Saved, not answered");
  await saved(second, "Saved, not answered");
  await first.close();
  await done(second);
  assert.equal(count(await ops(second), "Saved, not answered"), 1);

  // The second leads now. A third asks it something it never hears, and it is closed.
  const third = await another(marit);
  await shows(marit, third, "#/more", "more");
  await stuck(second);
  await fills(marit, third, "Never heard");
  await second.close();
  await done(third);
  assert.equal(count(await ops(third), "Never heard"), 1);

  await writes(marit, third, "All of it");
  marit.page = third;
  await marit.sent();
  const all = await ops(third);
  assert.equal(all.length, before + 7);
  assert.deepEqual(numbers(all), numbers(all).map((_, i) => i + 1), "one chain without a gap");
  const dov = await phone();
  await dov.home();
  const site = JSON.parse(await dov.siteBytes());
  for (const line of ["Gate is open", "Key is in the box", "Skip is full", "Sand arrived", "Saved, not answered", "Never heard", "All of it"]) {
    assert.equal(site.notes.filter((n) => n.said === line).length, 1, line);
  }
});

story("a window that leads and does not answer can be overruled", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  const first = marit.page;
  const second = await another(marit);
  const before = (await ops(second)).length;
  await shows(marit, second, "#/more", "more");
  await stuck(first);
  await fills(marit, second, "Anybody there?");
  await second.locator('main[data-screen="elsewhere"]').waitFor();
  await second.getByRole("button", { name: en.elsewhere.use }).click();
  await second.locator('main[data-screen="more"]').waitFor();
  await saved(second, "Anybody there?");
  assert.equal((await ops(second)).length, before + 1);
  marit.page = second;
});

story("two windows over plain http, where there are no locks", async ({ phone }) => {
  const dov = await phone({ host: LAN });
  await dov.home();
  await dov.sent();
  const first = dov.page;
  const second = await another(dov);
  const before = (await ops(second)).length;
  await writes(dov, second, "From the second");
  await writes(dov, first, "From the first");
  await first.close();
  await writes(dov, second, "Alone");
  assert.equal((await ops(second)).length, before + 3);
  dov.page = second;
  await dov.sent();
  dov.trouble = dov.trouble.filter((line) => !/opener/i.test(line));
});

async function another(phone) {
  const page = await phone.context.newPage();
  await page.goto(phone.wire.url + "/");
  await page.locator('main[data-screen="today"][data-fresh="yes"]').waitFor();
  assert.equal(await page.locator('main[data-screen="elsewhere"]').count(), 0);
  return page;
}

async function shows(phone, page, hash, screen) {
  phone.page = page;
  await phone.go(hash, screen);
}

/** fills writes a line of the diary; done waits until the screen has the answer. */
async function fills(phone, page, line) {
  phone.page = page;
  await phone.field(en.more.diaryLine).fill(line);
  await phone.tap(en.more.diaryAdd);
}
const done = (page) => page.waitForFunction(() => document.querySelector("main textarea")?.value === "");

async function writes(phone, page, line) {
  await shows(phone, page, "#/more", "more");
  await fills(phone, page, line);
  await done(page);
}

/** ops are the operations of this device in the phone's store, as they lie there. */
const ops = (page) => page.evaluate(() => new Promise((found, failed) => {
  const ask = indexedDB.open("batterboard");
  ask.onerror = failed;
  ask.onsuccess = () => {
    const all = ask.result.transaction("ops").objectStore("ops").getAll();
    all.onsuccess = () => { ask.result.close(); found(all.result.map((o) => o.raw)); };
  };
}));

const count = (list, line) => list.filter((raw) => raw.includes(JSON.stringify(line))).length;
const last = (list) => Math.max(...list.map((raw) => JSON.parse(raw).d));
const numbers = (list) => list.map((raw) => JSON.parse(raw)).filter((o) => o.d === last(list)).map((o) => o.s).sort((a, b) => a - b);

const saved = (page, line) => until(async () => count(await ops(page), line) > 0, () => assert.fail(`${line}: not saved`));

/** silenced lets a window do what it is asked, but say nothing about it. */
const silenced = (page) => page.workers()[0].evaluate(() => {
  const say = BroadcastChannel.prototype.postMessage;
  BroadcastChannel.prototype.postMessage = function (word) { if (!word.answer) say.call(this, word); };
});

/** stuck has a window's worker think for ever, from here on: its last word comes just before. */
const stuck = async (page) => {
  const last = page.waitForEvent("console", (m) => m.text() === "stuck");
  void page.workers()[0].evaluate(() => { setTimeout(() => { console.log("stuck"); for (;;); }, 0); }).catch(() => undefined);
  await last;
};
