// What comes late: the site itself, and answers that find another screen or another site. Each is held
// back here until the other thing has happened.
import assert from "node:assert/strict";
import { LAN } from "./rig/browser.mjs";
import { holds, letsGo } from "./rig/held.mjs";
import { sameBytes, until } from "./rig/phone.mjs";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("a thing of a site that has not come yet is waited for, not missed", async ({ phone }) => {
  const marit = await phone();
  marit.wire.hold();
  await marit.open();
  await marit.sees(en.welcome.arrivesLater);
  await marit.go("#/thing/crew/carpentry");
  await marit.screen("thing").getByText(en.welcome.arrivesLater).waitFor();
  assert.equal(await marit.page.locator("main[data-fresh='yes']").count(), 0, "nothing that is shown counts as the site");
  marit.wire.release();
  await marit.onScreen("thing");
  await marit.field(en.field.name).waitFor();
  assert.notEqual(await marit.field(en.field.name).inputValue(), "");
  assert.equal(await marit.page.getByRole("dialog").count(), 0, "and nobody was told that it is gone");
});

story("who taps twice and goes on adds one thing, and stays where they went", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  await marit.tab("more");
  await marit.go("#/thing/crew", "thing");
  await marit.field(en.field.name).fill("Glaziers");
  await holds(marit);
  await marit.page.getByRole("button", { name: en.add, exact: true }).evaluate((add) => { add.click(); add.click(); });
  await marit.go("#/today");
  await marit.screen("today").waitFor();
  await letsGo(marit);
  await marit.onScreen("today");
  await marit.sent();
  assert.match(marit.page.url(), /#\/today$/, "nobody is fetched back to what they left");
  const site = JSON.parse(await marit.siteBytes());
  assert.equal(site.crews.filter((c) => c.name === "Glaziers").length, 1);
});

story("what is ticked, unticked and ticked again before it is stored ends up ticked", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  await marit.go("#/words", "words");
  const plain = marit.page.getByLabel(en.wordings.plain);
  assert.equal(await plain.isChecked(), false);
  await holds(marit);
  await plain.evaluate((box) => { for (let n = 0; n < 3; n++) box.click(); });
  await letsGo(marit);
  await marit.page.locator('main[data-busy="no"]').waitFor();
  await marit.sent();
  assert.equal(JSON.parse(await marit.siteBytes()).plain, true);
});

story("what waits while another site is opened is kept under its own", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  const demo = await secondSite(marit);

  await marit.tab("more");
  await holds(marit);
  for (const line of ["Gate is open", "Key is in the box"]) { // the second waits for the first to be stored
    await marit.field(en.more.diaryLine).fill(line);
    await marit.tap(en.more.diaryAdd);
  }
  await marit.go("#/sites");
  await marit.tap(new RegExp(`^${en.sites.open}: The shed`));
  await marit.screen("welcome").waitFor(); // the demo has left the screen, its planner not yet
  await letsGo(marit);
  await marit.onScreen("today");
  await marit.sent();
  const lines = (await ops(marit)).filter((o) => /Gate is open|Key is in the box/.test(o.raw));
  assert.deepEqual(lines.map((o) => o.site), [demo, demo]);

  await marit.go("#/sites", "sites");
  await marit.tap(new RegExp(`^${en.sites.open}: .*Laundry`));
  await marit.onScreen("today");
  await marit.sent();
  const { notes } = JSON.parse(await marit.siteBytes());
  for (const line of ["Gate is open", "Key is in the box"]) assert.equal(notes.filter((n) => n.said === line).length, 1, line);
});

story("a phone that is let in while it is still being asked who it is is not thrown out", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  const code = await marit.letsIn();
  const dov = await phone();
  let release;
  const released = new Promise((done) => { release = done; });
  let times = 0;
  await dov.context.route("**/api/me", async (route) => {
    if (++times > 1) return route.continue();
    const answer = await route.fetch(); // a stranger, at this moment
    await released;
    await route.fulfill({ response: answer });
  });
  await dov.open(`#/pair/${code}`);
  await dov.field(en.join.name).fill("Dov");
  await dov.tap(en.join.go);
  await dov.onScreen("today");
  await dov.sent();
  const again = dov.page.waitForResponse((answer) => answer.url().endsWith("/api/me") && answer.ok() && times > 1);
  release();
  await (await again).finished();
  dov.trouble = dov.trouble.filter((line) => !/401/.test(line)); // a stranger's answer is on the console, rightly
  await dov.sees(en.kept.server);
  assert.equal(await dov.page.getByText(en.kept.revoked).count(), 0);
});

story("what comes in while a site is taken off the phone does not stay behind", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  const demo = await secondSite(marit);
  const dov = await phone();
  await dov.home();
  await dov.sent();
  await marit.go("#/sites", "sites");
  await holds(marit);
  marit.page.once("dialog", (sure) => sure.accept());
  await marit.tap(new RegExp(`^${en.sites.forget}: .*Laundry`));
  await dov.tab("more");
  await dov.field(en.more.diaryLine).fill("Anybody there?");
  await dov.tap(en.more.diaryAdd);
  await dov.page.waitForFunction(() => document.querySelector("main textarea")?.value === "");
  await dov.sent();
  await letsGo(marit);
  await marit.page.locator("main h2", { hasText: "Laundry" }).waitFor({ state: "detached" });
  await marit.onScreen("sites");
  await marit.sent();
  assert.deepEqual(await marit.page.locator("main h2").allTextContents(), ["The shed"]);
  assert.equal((await ops(marit)).filter((o) => o.site === demo).length, 0);
});

story("a site taken off the phone stays off, until a code lets the phone in again", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  const dov = await phone();
  await dov.home();
  await dov.sent();
  await marit.go("#/sites", "sites");
  marit.page.once("dialog", (sure) => sure.accept());
  await marit.tap(new RegExp(`^${en.sites.forget}: .*Laundry`));
  await marit.screen("welcome").waitFor();
  await marit.killTab();
  await marit.open();
  await marit.button(new RegExp(`^${en.welcome.demo}`)).waitFor(); // offered once the server has said what it has for this phone
  await marit.screen("welcome").waitFor();

  await marit.go(`#/pair/${await dov.letsIn()}`, "pair");
  await marit.field(en.join.name).fill("Marit");
  await marit.tap(en.join.go);
  await marit.onScreen("today");
  await marit.sent();
  await sameBytes(marit, dov);
  await marit.killTab();
  await marit.open("#/sites");
  await marit.onScreen("sites");
  await marit.page.locator("main h2", { hasText: "Laundry" }).waitFor();
});

story("a tap on what was shown last time counts, though the planner is not there yet", async ({ phone }) => {
  const marit = await phone({ host: LAN }); // plain http: no service worker has its code already
  await marit.home();
  await marit.sent();
  let release;
  const released = new Promise((done) => { release = done; });
  await marit.page.waitForFunction(() => Object.keys(localStorage).some((key) => /^bb[.]view[.].*[.]today$/.test(key)));
  await marit.context.route("**/worker.*.js", async (route) => { await released; await route.continue(); });
  await marit.page.reload();
  await marit.page.locator('main[data-screen="today"][data-fresh="no"]').waitFor();
  const finish = marit.page.getByRole("button", { name: new RegExp(`^${en.today.finish}: `) });
  const running = await finish.count();
  await marit.tap(finish);
  release();
  await until(async () => (await finish.count()) === running - 1 || (await marit.page.getByRole("dialog").count()) > 0, () => assert.fail("nothing came of it"));
  await marit.sent();
  assert.equal(await marit.page.getByRole("dialog").count(), 0);
  marit.trouble = marit.trouble.filter((line) => !/opener/i.test(line));
});

/** secondSite begins another site on the phone, goes back to the demo, and says which that is. */
async function secondSite(phone) {
  const demo = await phone.page.evaluate(() => localStorage.getItem("bb.site"));
  await phone.go("#/start", "start");
  await phone.field(en.field.name).fill("The shed");
  await phone.tap(en.start.go);
  await phone.onScreen("setup");
  await phone.sent();
  await phone.go("#/sites", "sites");
  await phone.tap(new RegExp(`^${en.sites.open}: .*Laundry`));
  await phone.onScreen("today");
  await phone.sent();
  return demo;
}

/** ops are all operations in the phone's store, with the site they lie under. */
const ops = (phone) => phone.page.evaluate(() => new Promise((found, failed) => {
  const ask = indexedDB.open("batterboard");
  ask.onerror = failed;
  ask.onsuccess = () => {
    const all = ask.result.transaction("ops").objectStore("ops").getAll();
    all.onsuccess = () => { ask.result.close(); found(all.result.map(({ site, raw }) => ({ site, raw }))); };
  };
}));
