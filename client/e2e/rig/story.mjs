// A story: a server, a browser, some phones, and what people do with them. Everything is put away
// afterwards; when a story fails, what each phone showed is kept as a picture in shots/.
import { after, test } from "node:test";
import { mkdirSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { launch } from "./browser.mjs";
import { Phone } from "./phone.mjs";
import { Server } from "./server.mjs";

const SHOTS = fileURLToPath(new URL("../shots/", import.meta.url));
const LONGEST = 900_000; // a story that hangs fails, it does not hold up the others

let browser;
after(async () => { await browser?.close(); });

/**
 * story plays one story against a fresh server. play gets { server, phone, browser }: phone(options)
 * takes one more phone out of its box and opens the site on it.
 */
export function story(name, play, options = {}) {
  test(name, { timeout: LONGEST }, async (t) => {
    browser ??= await launch();
    const server = await Server.start(options);
    const phones = [];
    const phone = async (more = {}) => {
      const one = await Phone.on(browser, server, more);
      phones.push(one);
      return one;
    };
    let failed;
    try {
      await play({ server, phone, browser, t });
    } catch (e) {
      failed = e;
      await picture(name, phones);
      for (const p of phones) if (p.trouble.length) console.error("on the phone's console:", p.trouble.join("\n"));
      if (server.log) console.error(`the server said:\n${server.log}`);
    }
    // Whatever goes wrong with one, the others and the server are ended too: what is left running holds up all.
    const ends = [...await Promise.allSettled(phones.map((p) => p.away())), ...await Promise.allSettled([server.stop()])];
    if (failed) throw failed;
    const bad = ends.find((end) => end.status === "rejected");
    if (bad) throw bad.reason;
  });
}

async function picture(name, phones) {
  mkdirSync(SHOTS, { recursive: true });
  for (const [i, p] of phones.entries()) {
    const path = `${SHOTS}${name.replace(/[^a-z0-9]+/gi, "-").toLowerCase()}-${i + 1}.png`;
    await p.page.screenshot({ path }).then(() => console.error(`see ${path}`), () => {});
  }
}
