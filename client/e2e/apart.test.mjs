// Two phones without signal answer the same question of the set-up, each its own way. Afterwards one answer stands, and
// the plan still has what the other one made: the review asks, shows what would change, and one tap mends it for both.
import assert from "node:assert/strict";
import { sameBytes } from "./rig/phone.mjs";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

const w = en.questions;

story("two phones answer the set-up at once; the review asks, one tap mends the plan", async ({ phone, server }) => {
  const marit = await phone();
  await marit.open(`#/pair/${server.ownerCode()}`);
  await marit.field(en.join.name).fill("Marit");
  await marit.tap(en.join.go);
  await marit.onScreen("today");
  await marit.go("#/thing/site", "thing");
  await marit.field(en.field.name).fill("The cello room");
  await marit.tap(en.save);
  await marit.go("#/questions", "questions");
  await marit.tap(w.make);
  await marit.onScreen("strings");
  await marit.sent();

  const dov = await phone();
  await dov.open(`#/pair/${await marit.letsIn()}`);
  await dov.field(en.join.name).fill("Dov");
  await dov.tap(en.join.go);
  await dov.onScreen("today");
  await sameBytes(marit, dov);

  // Marit's three layers first, Dov's two a moment later: his answer stands.
  marit.wire.cut();
  dov.wire.cut();
  await answers(marit, "Three");
  await marit.unsent(1);
  await answers(dov, "Two");
  await dov.unsent(1);
  marit.wire.mend();
  await marit.sent();
  dov.wire.mend();
  await dov.sent();
  const merged = JSON.parse(await sameBytes(marit, dov));
  assert.equal(merged.answers.find((a) => a.id === "layers").value, "2");
  assert.ok(merged.activities.some((a) => a.id.startsWith("board-3")), "Marit's third layer is in the plan");

  await dov.go("#/review", "review");
  const card = dov.page.locator('[data-question^="apart/"]');
  await card.waitFor();
  await card.getByRole("link").click();
  await dov.onScreen("questions");
  await dov.sees(w.change);
  await dov.sees(/Gone: .*Board, layer 3/);
  await dov.tap(w.take);
  await dov.sees(en.undo);
  await dov.sent();
  const mended = JSON.parse(await sameBytes(marit, dov));
  assert.ok(!mended.activities.some((a) => a.id.startsWith("board-3")), "the third layer is gone on both");
  for (const one of [marit, dov]) {
    await one.go("#/review", "review");
    await one.page.locator("[data-question]").first().waitFor();
    assert.equal(await one.page.locator('[data-question^="apart/"]').count(), 0);
  }
}, { demo: false });

async function answers(phone, layers) {
  await phone.go("#/questions/layers", "questions");
  await phone.press(layers);
  await phone.tap(w.done);
  await phone.sees(w.change);
  await phone.tap(w.take);
  await phone.sees(en.undo);
}
