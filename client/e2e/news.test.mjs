// Word from crews while the app is closed, and the owner's calendar. A push service is not to be had
// here: signing up is given a made-up one, and the message is handed to the service worker by the
// browser's own tools, as a push service would. That it arrives sealed is proved in server/push_test.go.
import assert from "node:assert/strict";
import { LAN } from "./rig/browser.mjs";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

const MADE_UP = () => {
  let may = localStorage.getItem("made-up-may") ?? "default"; // nobody has decided yet
  Object.defineProperty(Notification, "permission", { get: () => may });
  Notification.requestPermission = async () => { may = "granted"; localStorage.setItem("made-up-may", may); return may; };
  const key = crypto.subtle.generateKey({ name: "ECDH", namedCurve: "P-256" }, true, ["deriveBits"]);
  const b64 = (b) => btoa(String.fromCharCode(...new Uint8Array(b))).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
  let now = null;
  PushManager.prototype.getSubscription = async () => now;
  PushManager.prototype.subscribe = async (how) => {
    const raw = await crypto.subtle.exportKey("raw", (await key).publicKey);
    const keys = { p256dh: b64(raw), auth: b64(new Uint8Array(16)) };
    const endpoint = "https://push.example.net/made-up";
    now = { endpoint, options: { applicationServerKey: how.applicationServerKey.buffer ?? how.applicationServerKey }, toJSON: () => ({ endpoint, keys }), unsubscribe: async () => { now = null; return true; } };
    globalThis.madeUpAsked = how.userVisibleOnly && how.applicationServerKey.length;
    return now;
  };
};

story("the owner has the phone ring when a crew answers, and comes in by the message", async ({ phone }) => {
  const marit = await phone();
  await marit.context.grantPermissions(["notifications"]);
  await marit.context.addInitScript(MADE_UP);
  await marit.home();
  await marit.kept();

  // Asked only where it is of use: a crew has something to answer. "Show me how" leads there, and is not asked again.
  const bell = marit.page.locator("[data-bell]");
  await marit.tab("texts");
  await bell.waitFor();
  await marit.tap(en.news.askYes, bell);
  await marit.onScreen("news");
  await marit.tap(en.news.turnOn);
  await marit.page.locator('[data-push="on"]').waitFor();
  assert.equal(await marit.page.evaluate(() => globalThis.madeUpAsked), 65, "signed up with the server's key, for messages that are shown");
  await marit.go("#/texts", "texts");
  assert.equal(await bell.count(), 0, "asked once");
  await marit.go("#/news", "news");
  await marit.page.locator('[data-push="on"]').waitFor();

  // The message comes; a tap on it opens Today.
  const site = await marit.page.evaluate(() => localStorage.getItem("bb.site"));
  const said = (text) => JSON.stringify({ v: 1, site, tag: "crew/electric", title: "Old Laundry", text });
  const [first] = await deliver(marit, said("Electric can't come, Tuesday 6 April."), (all) => all.length === 1);
  assert.deepEqual([first.title, first.body, first.tag], ["Old Laundry", "Electric can't come, Tuesday 6 April.", `${site}/crew/electric`]);
  // The next word of the same crew takes its place, and what is no word of ours is shown as nothing but our name.
  await deliver(marit, said("Electric is coming, Tuesday 6 April."), (all) => all.length === 1 && all[0].body.includes("is coming"));
  await deliver(marit, "<b>not ours</b>", (all) => all.length === 2 && all.some((n) => n.title === "Batterboard" && n.body === ""));

  // As the service worker leads in, with the app open and with it closed.
  await marit.page.evaluate((to) => navigator.serviceWorker.dispatchEvent(new MessageEvent("message", { data: { open: to } })), site);
  await marit.onScreen("today");
  await marit.killTab();
  await marit.open(`#/at/${site}`);
  await marit.onScreen("today");
  assert.match(marit.page.url(), /#\/today$/);

  await marit.go("#/news", "news");
  await marit.tap(en.news.turnOff);
  await marit.page.locator('[data-push="off"]').waitFor();
});

story("a phone that cannot be called says why", async ({ phone }) => {
  const ipad = await phone();
  await ipad.context.addInitScript(() => {
    Object.defineProperty(navigator, "userAgent", { value: "Mozilla/5.0 (iPhone; CPU iPhone OS 17_4 like Mac OS X) AppleWebKit/605.1.15 Safari/604.1" });
  });
  await ipad.open("#/news");
  await ipad.onScreen("news");
  await ipad.sees(/Add to Home Screen/);
  assert.equal(await ipad.button(en.news.turnOn).count(), 0);
  const old = await phone();
  await old.context.addInitScript(() => { delete globalThis.PushManager; });
  await old.open("#/news");
  await old.onScreen("news");
  await old.sees(en.news.none);
  const plain = await phone({ host: LAN });
  await plain.open("#/news");
  await plain.onScreen("news");
  await plain.sees(en.news.plain);
});

story("the owner puts the plan into a calendar, and ends its address", async ({ phone, server }) => {
  const marit = await phone();
  await marit.open("#/news");
  await marit.onScreen("news");
  await marit.sent();
  await marit.tap(en.news.make);
  await marit.sees(en.news.slow);
  const url = new URL(await marit.page.locator("[data-feed-link]").innerText());
  assert.match(url.pathname, /^\/c\/[a-z2-9]{26}\/days\.ics$/);
  assert.equal(await marit.page.getByRole("link", { name: en.news.subscribe }).getAttribute("href"), url.href.replace("http:", "webcal:"));
  const fetchIt = () => fetch(`http://127.0.0.1:${server.port}${url.pathname}`);
  const got = await fetchIt();
  const ics = await got.text();
  assert.equal(got.status, 200);
  assert.ok(ics.split("BEGIN:VEVENT").length > 20 && ics.includes("RELTYPE=FINISHTOSTART"), "the whole plan, and what waits for what");
  await marit.page.locator("summary", { hasText: en.news.lost }).click();
  await marit.tap(en.news.drop);
  await marit.sees(en.news.dropped);
  assert.equal((await fetchIt()).status, 404);
});

/**
 * deliver hands the service worker a message as the browser does when one has been unsealed, and waits until
 * notifications of ours are shown that will do. The browser's tools drop such a message now and then, about one
 * in forty; it is then handed over again, as a push service would. A word takes the place of the one before it with
 * the same tag, so twice is once. The browser shows a notification of its own, titled with the address, when it thinks
 * that a message was swallowed; it may think so while one takes another's place.
 */
async function deliver(phone, data, enough) {
  const cdp = await phone.context.newCDPSession(phone.page);
  const registered = new Promise((done) => cdp.on("ServiceWorker.workerRegistrationUpdated", (e) => { if (e.registrations[0]) done(e.registrations[0]); }));
  await cdp.send("ServiceWorker.enable");
  const { registrationId } = await registered;
  let all = [];
  for (let tries = 0; tries < 5; tries++) {
    await cdp.send("ServiceWorker.deliverPushMessage", { origin: phone.wire.url, registrationId, data });
    for (const until = Date.now() + 4000; Date.now() < until;) {
      all = await phone.page.evaluate(async () => {
        await new Promise(requestAnimationFrame);
        return (await (await navigator.serviceWorker.ready).getNotifications()).map((x) => ({ title: x.title, body: x.body, tag: x.tag }));
      });
      const ours = all.filter((x) => ["Old Laundry", "Batterboard"].includes(x.title));
      if (enough(ours)) return ours;
    }
  }
  return assert.fail(`shown: ${JSON.stringify(all)}`);
}
