// How fast the screen is, on a phone four times as slow as this machine. Prints, judges nothing.
// Every figure is the median of several rounds; "the phone" is the whole page process, worker too.
import { launch } from "./rig/browser.mjs";
import { Phone } from "./rig/phone.mjs";
import { Server } from "./rig/server.mjs";
import { slow } from "./rig/slow.mjs";
import { en } from "./rig/words.mjs";

const ROUNDS = 7;
const RATE = 4;

const browser = await launch();
const server = await Server.start();
try {
  await tapToWeek();
  await nextVisits();
  await firstVisit();
} finally {
  await browser.close();
  await server.stop();
}

/** tapToWeek: from the tap on "show the ways" to the first way on the screen, to the last word of the
 * search, and from "take this way" to the new week. */
async function tapToWeek() {
  const phone = await opened();
  phone.wire.cut();
  const times = { first: [], last: [], taken: [], undone: [], asked: [] };
  const factor = [];
  for (let round = 0; round < ROUNDS; round++) {
    await phone.go("#/cant/electric", "cant");
    await phone.press(/Tuesday 6 April/, phone.screen("cant"));
    const { stop, rate } = await slowed(phone);
    factor.push(rate);
    const began = performance.now();
    times.first.push(await clickUntil(phone, phone.button(en.cant.find), '[data-way]'));
    await phone.page.locator('.proof[data-more="no"]').waitFor({ timeout: 120_000, state: "attached" });
    times.last.push(performance.now() - began);
    const take = phone.page.locator("[data-way]").first().getByRole("button", { name: en.ways.takeNamed("") });
    times.taken.push(await clickUntil(phone, take, 'main[data-screen="today"]'));
    await stop();
    times.undone.push(await clickUntil(phone, phone.page.locator("button.undo"), 'main[data-busy="no"]'));
    await phone.onScreen("today");
    // The days of a crew are foreseen while they are picked; hours are not: here the question begins with the tap.
    await phone.go("#/changed/longer/rough-electric", "changed");
    await phone.tap(`+ ${en.changed.days(1)}`);
    const { stop: again } = await slowed(phone);
    times.asked.push(await clickUntil(phone, phone.button(en.cant.find), '[data-way]'));
    await again();
    await phone.page.locator('.proof[data-more="no"]').waitFor({ timeout: 120_000, state: "attached" });
  }
  console.log(`a phone ${median(factor).toFixed(1)} times as slow (measured), offline, demo site:`);
  print("tap to the first way", times.first);
  print("the same, nothing foreseen", times.asked);
  print("tap to the last word on the ways", times.last);
  print("take a way to the new week", times.taken);
  await phone.away();
}

/** nextVisits: opening the app without signal, until Today is there and the planner has spoken. */
async function nextVisits() {
  const phone = await opened();
  phone.wire.cut();
  const seen = [], fresh = [];
  for (let round = 0; round < ROUNDS; round++) {
    await phone.killTab();
    await phone.page.goto("about:blank");
    const cdp = await phone.context.newCDPSession(phone.page);
    await cdp.send("Emulation.setCPUThrottlingRate", { rate: RATE });
    await watch(phone, { seen: 'main[data-screen="today"]', fresh: 'main[data-screen="today"][data-fresh="yes"]' });
    await phone.home();
    const marks = await phone.page.evaluate(() => window.bbMarks);
    seen.push(marks.seen);
    fresh.push(marks.fresh);
  }
  console.log(`next visit offline (page at ${RATE}x, worker not slowed):`);
  print("Today as last seen, to be tapped", seen);
  print("Today from the planner", fresh);
  await phone.away();
}

/** firstVisit: nothing kept, slow 4G as Lighthouse has it (150 ms, 1.6 Mbit/s down, 0.75 up). */
async function firstVisit() {
  const paint = [], usable = [], fresh = [];
  for (let round = 0; round < 3; round++) {
    const phone = await Phone.on(browser, server);
    const cdp = await phone.context.newCDPSession(phone.page);
    await cdp.send("Network.enable");
    await cdp.send("Network.emulateNetworkConditions", { offline: false, latency: 150, downloadThroughput: 1.6e6 / 8, uploadThroughput: 0.75e6 / 8 });
    await cdp.send("Emulation.setCPUThrottlingRate", { rate: RATE });
    await watch(phone, { usable: "main[data-screen]", fresh: 'main[data-screen="today"][data-fresh="yes"]' });
    await phone.home();
    const marks = await phone.page.evaluate(() => window.bbMarks);
    paint.push(marks.paint);
    usable.push(marks.usable);
    fresh.push(marks.fresh);
    await phone.away();
  }
  console.log(`first visit, slow 4G, page at ${RATE}x (worker not slowed, its download is):`);
  print("first contentful paint", paint);
  print("the app is there", usable);
  print("Today from the planner", fresh);
}

async function opened() {
  const phone = await Phone.on(browser, server);
  await phone.packed();
  return phone;
}

/** watch notes when a selector first matches and when something is first painted, in the page itself,
 * from the start of the navigation. By the timeline of the document: the stories hold performance.now. */
async function watch(phone, selectors) {
  await phone.page.addInitScript((wanted) => {
    window.bbMarks = {};
    const look = () => {
      for (const [name, selector] of Object.entries(wanted)) {
        if (!(name in window.bbMarks) && document.querySelector(selector)) window.bbMarks[name] = document.timeline.currentTime;
      }
    };
    new PerformanceObserver((list) => {
      for (const e of list.getEntriesByName("first-contentful-paint")) window.bbMarks.paint = e.startTime;
    }).observe({ type: "paint", buffered: true });
    new MutationObserver(look).observe(document, { subtree: true, childList: true, attributes: true });
  }, selectors);
}

/** clickUntil is the time from a click until the selector matches, by this program's clock: the page's
 * own stands still, since the stories fix the day. A few milliseconds of talk with the browser are in it. */
async function clickUntil(phone, target, selector) {
  const began = performance.now();
  await target.first().dispatchEvent("click");
  await phone.page.locator(selector).first().waitFor({ timeout: 120_000 });
  return performance.now() - began;
}

/** slowed slows the page process and measures by how much, with the same sums before and after. */
async function slowed(phone) {
  const sums = () => phone.page.evaluate(() => {
    const began = performance.now();
    let x = 1;
    for (let i = 0; i < 3e7; i++) x = (x * 31 + i) | 0;
    return [performance.now() - began, x][0];
  });
  const plain = await sums();
  const stop = await slow(browser, RATE);
  return { stop, rate: (await sums()) / plain };
}

function median(list) { return [...list].sort((a, b) => a - b)[list.length >> 1]; }

function print(what, list) {
  const sorted = [...list].sort((a, b) => a - b);
  console.log(`  ${what.padEnd(36)} median ${median(list).toFixed(0)} ms   (${sorted[0].toFixed(0)} to ${sorted.at(-1).toFixed(0)})`);
}
