// A newcomer without signal answers questions instead of taking a template, skips what they do not know, and
// has a plan. Later an answer changes: what that does is shown first, taken with one tap, taken back with one.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { en, es } from "./rig/words.mjs";

const w = en.questions;
const BLOCKS = "[data-block]";

story("a newcomer answers the questions offline and has a plan", async ({ phone }) => {
  const nils = await phone();
  await nils.packed();
  nils.wire.cut();

  await nils.go("#/start", "start");
  await nils.field(en.field.name).fill("The cello room");
  await nils.tap(en.start.go);
  await nils.onScreen("setup");
  await nils.tap(w.title);
  await nils.onScreen("questions");
  await nils.tap(w.begin);

  const page = async (title) => {
    await nils.onScreen("questions");
    await nils.page.getByRole("heading", { level: 1, name: title }).waitFor();
  };
  await page("What is it now?");
  await nils.press("Garage");
  await nils.tap(w.next);
  await page("What shall it be?");
  await nils.press("Sound-isolated room");
  await nils.tap(w.next);

  // Lengths as they come: feet and inches, metres, whatever the tape says. What makes no sense is said, and kept out.
  await page("How big is it, inside?");
  await nils.field("Length").fill("22 ft");
  await nils.field("Length").press("Tab");
  await nils.sees("22' (6.71 m)");
  await nils.field("Width").fill("3,66 m");
  await nils.field("Width").press("Tab");
  await nils.sees("12' (3.66 m)");
  await nils.field("Height").fill("tall");
  await nils.field("Height").press("Tab");
  await nils.sees(/is no length for “Height”/);
  await nils.tap(en.ok);
  await nils.field("Height").fill("9'");
  await nils.field("Height").press("Tab");
  await nils.sees("9' (2.74 m)");
  await nils.tap(w.next);

  // The tab dies in the middle; what was answered is there.
  await page("What is opened or closed?");
  await nils.killTab();
  await nils.open("#/questions");
  await nils.onScreen("questions");
  await nils.sees(w.count(3, 17));
  await nils.sees("22' (6.71 m)");
  await nils.tap(/^How many layers/);
  await page("How many layers of board?");
  await nils.press("Two");
  for (let left = 8; left > 0; left--) { // the rest is skipped, page by page
    await nils.page.getByRole("button", { name: new RegExp(`^(${w.skip}|${w.next}|${w.done})$`) }).click();
    await nils.onScreen("questions");
  }
  await nils.go("#/questions", "questions");
  await nils.page.locator("summary", { hasText: w.assumedTitle }).click();
  await nils.sees(/When was it built\?: I don't know/);
  await nils.tap(w.make);
  await nils.onScreen("strings");
  await nils.page.locator(BLOCKS).first().waitFor();
  const blocks = await nils.page.locator(BLOCKS).count();
  assert.ok(blocks >= 30 && blocks <= 80, `${blocks} pieces of work`);
  assert.equal(await nils.page.locator(`${BLOCKS}[aria-label*="Board, layer 3"]`).count(), 0);

  // Three layers: shown, nothing written, then taken, then taken back.
  await nils.go("#/questions/layers", "questions");
  await nils.press("Three");
  await nils.tap(w.done);
  await nils.sees(w.change);
  await nils.page.reload(); // not taken yet, and still there
  await nils.onScreen("questions");
  await nils.sees(w.change);
  await nils.sees(/New: .*Board, layer 3/);
  await nils.tap(w.take);
  await nils.sees(en.undo);
  await nils.go("#/strings", "strings");
  await nils.page.locator(`${BLOCKS}[aria-label*="Board, layer 3"]`).waitFor();
  await nils.go("#/questions", "questions");
  await nils.go("#/log", "log");
  await nils.tap(new RegExp(en.undo));
  await nils.go("#/strings", "strings");
  await nils.page.locator(`${BLOCKS}[aria-label*="Board, layer 3"]`).waitFor({ state: "detached" });
  assert.equal(await nils.page.locator(BLOCKS).count(), blocks);

  // Signal: all of it reaches the server.
  nils.wire.mend();
  await nils.sent();
});

story("the questions in Spanish, metric", async ({ phone }) => {
  const ana = await phone({ words: es, locale: "es-MX" });
  await ana.packed();
  await ana.go("#/start", "start");
  await ana.field(es.field.name).fill("El estudio");
  await ana.tap(es.start.go);
  await ana.onScreen("setup");
  await ana.go("#/questions/size", "questions");
  await ana.press(es.questions.units.metric);
  await ana.field("Largo").fill("5,2");
  await ana.field("Largo").press("Tab");
  await ana.sees(/5\.20 m \(17' ½/);
  await ana.go("#/questions", "questions");
  await ana.tap(es.questions.make);
  await ana.onScreen("strings");
  await ana.page.locator(`${BLOCKS}[aria-label*="Placa, muros 1"]`).waitFor();
});
