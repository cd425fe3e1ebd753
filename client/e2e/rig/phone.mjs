// A phone in somebody's hand: a screen, a clock, a wire of its own to the server, and the few things
// one does with it. Whatever waits here waits for something to be on the screen, never for time.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { hurt } from "./badday.mjs";
import { Wire } from "./wire.mjs";
import { en } from "./words.mjs";

/** Twenty to seven on the demo's Tuesday, at the site. */
export const MORNING = "2027-04-06T06:40:00-07:00";
/** How long anything may take to be on the screen: a busy machine is slow, and only a failure waits this long. */
export const PATIENCE = 60_000;

export class Phone {
  /** Takes a phone out of the box: nothing of any site is on it yet. */
  static async on(browser, server, { at = MORNING, words = en, locale = "en-US", width = 390, height = 844, theme, host } = {}) {
    const phone = new Phone();
    phone.words = words;
    phone.wire = await Wire.to(server);
    if (host) phone.wire.host = host;
    phone.context = await browser.newContext({
      viewport: { width, height }, hasTouch: width < 700, locale, timezoneId: "America/Los_Angeles",
      deviceScaleFactor: 2, reducedMotion: "reduce", acceptDownloads: true,
    });
    phone.context.setDefaultTimeout(PATIENCE);
    await phone.context.clock.setFixedTime(new Date(at));
    if (theme) await phone.context.addInitScript((name) => localStorage.setItem("bb.theme", name), theme);
    await hurt(phone.context);
    await phone.#newTab();
    return phone;
  }

  taps = 0;
  trouble = [];

  async #newTab() {
    this.page = await this.context.newPage();
    this.page.on("pageerror", (e) => this.trouble.push(String(e.stack ?? e)));
    this.page.on("console", (m) => {
      // A cut wire is no fault of the page, nor is plain http; everything else on the console is.
      if (m.type() === "error" && !/net::ERR_|WebSocket connection to|Cross-Origin-Opener-Policy/.test(m.text())) this.trouble.push(m.text());
    });
  }

  /** open goes to the site as a person does, from the home screen. */
  async open(hash = "") {
    await this.page.goto(this.wire.url + "/" + hash);
    return this;
  }

  /** kept waits until the app would open without network. */
  async kept() {
    await this.page.waitForFunction(() => document.documentElement.dataset.sw === "ready");
    await this.page.waitForFunction(() => navigator.serviceWorker.controller !== null);
    return this;
  }

  /** home opens the site and waits for Today. */
  async home() {
    await this.open();
    return this.onScreen("today");
  }

  /** packed is home, with all on the phone that it needs without signal, and nothing left to send. */
  async packed() {
    await this.home();
    await this.kept();
    await this.sent();
  }

  /** killTab closes the page as a phone does that needs the memory; open starts it afresh. */
  async killTab() {
    await this.page.close();
    await this.#newTab();
  }

  async setClock(at) { await this.context.clock.setFixedTime(new Date(at)); }

  // ---- looking

  button(name, within = this.page) { return within.getByRole("button", { name, exact: typeof name === "string" }); }

  /** field is what one fills in under a label. A label holds its choices too, so it is found by its own words. */
  field(label, within = this.page) {
    const words = new RegExp(`^${label.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")}$`);
    return within.locator("label.field").filter({ has: this.page.locator(".name", { hasText: words }) }).locator("input, select, textarea").first();
  }

  screen(name) { return this.page.locator(`main[data-screen="${name}"]`); }

  async sees(text, within = this.page) {
    await within.getByText(text).first().waitFor();
  }

  /**
   * onScreen waits for a screen as the planner, not the memory of last time, has written it. Two
   * frames pass first: by then a new address has been heard of and the planner asked.
   */
  async onScreen(name) {
    await this.page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
    await this.page.locator(`main[data-screen="${name}"][data-fresh="yes"][data-busy="no"]`).waitFor();
    return this.screen(name);
  }

  // ---- doing

  /** tap presses what a thumb would, a button or a link, and counts. */
  async tap(what, within = this.page) {
    await this.thing(what, within).first().click();
    this.taps++;
  }

  /** thing is a button or link by its name, or whatever locator it is given. */
  thing(what, within = this.page) {
    if (typeof what !== "string" && !(what instanceof RegExp)) return what;
    const name = { name: what, exact: typeof what === "string" }; // "Add" is not "Undo: crew added"
    return within.getByRole("button", name).or(within.getByRole("link", name));
  }

  /** press makes a key of several be down; one that is down already is left so. */
  async press(name, within = this.page) {
    const key = within.getByRole("button", { name });
    await key.waitFor();
    if ((await key.getAttribute("aria-pressed")) !== "true") await this.tap(key);
  }

  /** go opens a screen by its address, as "back" and links do. */
  async go(hash, screen) {
    await this.page.evaluate((to) => new Promise((done) => {
      const was = location.hash;
      location.hash = to;
      if (location.hash === was) done();
      else addEventListener("hashchange", () => done(), { once: true }); // the app has heard of it before us
    }), hash);
    if (screen) await this.onScreen(screen);
  }

  /** tab presses one of the five at the foot of the screen. */
  async tab(name) {
    await this.page.getByRole("navigation").getByRole("link", { name: this.words.tabs[name] }).click();
    this.taps++;
    return this.onScreen(name);
  }

  /** sent waits until everything this phone changed has reached the server, and what the server had is here. */
  async sent() { await this.page.locator('[data-unsent="0"][data-wire="on"][data-coming="no"]').first().waitFor(); }

  /** unsent waits until so many changes are waiting to leave. */
  async unsent(n) { await this.page.locator(`[data-unsent="${n}"]`).first().waitFor(); }

  /** signal mends the wire, and the phone says that it has signal again, as phones do. */
  async signal() {
    this.wire.mend();
    await this.page.evaluate(() => { dispatchEvent(new Event("online")); });
  }

  /** letsIn makes the code that lets one more phone in. */
  async letsIn() {
    await this.go("#/phone", "phone");
    await this.tap(this.words.phone.make);
    return this.page.locator("[data-code]").getAttribute("data-code");
  }

  /** crewLink has the owner make the link of a crew, and returns it with the server's own address. */
  async crewLink(crew) {
    await this.go(`#/thing/crew/${crew}`, "thing");
    await this.tap(this.words.crewLink.make);
    const { pathname } = new URL(await this.page.locator("[data-crew-link]").getAttribute("href"));
    assert.match(pathname, /^\/c\/[a-z2-9]{26}$/);
    return `http://127.0.0.1:${this.wire.server.port}${pathname}`;
  }

  /** backup is the file "save a copy" makes. */
  async backup() {
    await this.go("#/more");
    const [download] = await Promise.all([this.page.waitForEvent("download"), this.tap(new RegExp(this.words.more.backup))]);
    return readFileSync(await download.path(), "utf8");
  }

  /** siteBytes is the site itself out of the backup, as it was written, not as it is understood. */
  async siteBytes() {
    const site = /^"site":(.*),$/m.exec(await this.backup());
    assert.ok(site && site[1] !== "null", "the backup holds the site");
    return site[1];
  }

  /** away ends the phone; anything that went wrong on its console fails the story. */
  async away() {
    await this.context.close();
    await this.wire.close();
    assert.deepEqual(this.trouble, [], "errors on the phone's console");
  }
}

/** until asks again, a moment apart, until the answer is yes. The browser's own waiting takes any promise for a yes. */
export async function until(yes, never) {
  for (const end = performance.now() + PATIENCE; performance.now() < end;) {
    if (await yes()) return;
    await new Promise((go) => setTimeout(go, 50));
  }
  never();
}

/** sameBytes waits until both phones hold the same site, and says where they differ when they never do. */
export async function sameBytes(a, b) {
  let one, other;
  const same = async () => {
    [one, other] = [await a.siteBytes(), await b.siteBytes()];
    return one === other;
  };
  await until(same, () => assert.equal(one, other, "the two phones hold different sites"));
  return one;
}
