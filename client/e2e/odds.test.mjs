// How the finish spreads: Marit looks at the odds on her phone, without network, and goes from the
// work that holds it most often to that work.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { en, es } from "./rig/words.mjs";

/** settled waits until all runs are in and gives the dots of each day. */
async function settled(phone) {
  await phone.onScreen("odds");
  await phone.page.waitForFunction(() => document.querySelector('[data-screen="odds"] .odds')?.dataset.more === "no");
  return phone.screen("odds").locator("[data-dots]").evaluateAll((rows) => rows.map((r) => Number(r.dataset.dots)));
}

story("the odds are a hundred dots, offline too", async ({ phone }) => {
  const marit = await phone();
  await marit.packed();
  marit.wire.cut();
  await marit.go("#/more", "more");
  await marit.tap(new RegExp(`^${en.more.odds}`));
  const dots = await settled(marit);
  assert.equal(dots.reduce((a, b) => a + b, 0), 100);
  await marit.sees(/^Half of the runs finish by .*, 4 of 5 by .*, 19 of 20 by .*\.$/);
  await marit.sees(/^A date to tell others: /);
  await marit.sees(/^Made of 5000 runs of the job/);
  const rows = marit.screen("odds").locator("[data-taut] a");
  const name = (await rows.first().locator("b").textContent()) ?? "";
  await rows.first().click();
  await marit.onScreen("block");
  await marit.sees(name, marit.screen("block"));
});

story("the odds in Spanish", async ({ phone }) => {
  const marit = await phone({ locale: "es-MX", words: es });
  await marit.open("#/odds");
  await settled(marit);
  await marit.sees(/^La mitad de las corridas termina a más tardar el /);
  await marit.sees(es.odds.dot);
});

story("from the strings, the finish leads to its odds", async ({ phone }) => {
  const marit = await phone();
  await marit.open("#/strings");
  await marit.onScreen("strings");
  await marit.tap(marit.screen("strings").locator(".finish"));
  await settled(marit);
});
