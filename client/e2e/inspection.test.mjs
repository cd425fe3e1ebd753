// The third moment: the board is on the truck, and a visit fails. Nothing behind it may start, and
// the finish says what that costs.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("a failed inspection keeps the board shut and moves the finish", async ({ phone }) => {
  // Friday: the framing is up, the walls are open, the inspector can come.
  const marit = await phone();
  await marit.packed();
  marit.wire.cut();

  // Friday afternoon: the walls are done, both visits are called in.
  await marit.setClock("2027-04-09T16:40:00-07:00");
  for (const id of ["frame-ceiling", "rough-electric", "data-cables", "vent-patch", "fireblock"]) await finish(marit, id);
  const electricDay = await callIn(marit, "rough-electrical");
  await marit.setClock(`2027-04-${electricDay}T17:30:00-07:00`);
  await hear(marit, "rough-electrical", en.holds.passed);
  await marit.page.locator('[data-hold="rough-electrical"].signed').waitFor();
  const framingDay = await callIn(marit, "framing");
  const finishBefore = await finishLine(marit);
  await marit.go("#/holds/board-ceiling-1", "holds");
  const board = marit.screen("holds");
  const lineBefore = await board.locator(".title p").first().innerText();

  // The inspector has been.
  await marit.setClock(`2027-04-${framingDay}T17:30:00-07:00`);
  await hear(marit, "framing", en.holds.failed, "Nail plates missing at the wet wall");
  const framing = board.locator('[data-hold="framing"]');
  await framing.getByText("Nail plates missing at the wet wall").waitFor();
  assert.notEqual(await board.locator(".title p").first().innerText(), lineBefore, "the board's earliest day has moved");
  assert.match(await framing.getAttribute("class"), /failed/);

  // Whoever is about to start the board anyway is asked first whether all of it is signed.
  await marit.go("#/block/board-ceiling-1", "block");
  await marit.tap(en.block.start);
  await marit.page.getByRole("dialog").getByText(/Is it signed\?/).waitFor();
  await marit.tap(en.ok);

  assert.notEqual(await finishLine(marit), finishBefore, "the finish shows what the failed visit costs");
  await marit.go("#/strings", "strings");
  const bar = marit.page.locator('[data-bar="framing"]').first();
  assert.match(await bar.getAttribute("class"), /failed/);
  marit.wire.mend();
  await marit.sent();
});

async function finishLine(phone) {
  await phone.go("#/strings", "strings");
  return phone.page.locator(".strings-head .finish").innerText();
}

async function finish(phone, id) {
  await phone.go(`#/block/${id}`, "block");
  await phone.page.locator(".facts-list").waitFor();
  await acknowledge(phone);
  const button = phone.button(en.block.finish);
  await phone.tap(button);
  await button.waitFor({ state: "detached" });
}

/** callIn agrees on the first visit there is, and returns its day of the month. */
async function callIn(phone, hold) {
  await phone.go("#/holds/board-ceiling-1", "holds");
  const card = phone.page.locator(`[data-hold="${hold}"]`);
  await phone.tap(new RegExp(`^${en.holds.callIn}`), card);
  const visit = card.getByRole("group").getByRole("button").first();
  const day = /\d+/.exec(await visit.innerText())[0].padStart(2, "0");
  await phone.tap(visit);
  await phone.page.locator(`[data-hold="${hold}"].calledIn`).waitFor();
  return day;
}

/** hear marks what the inspector said. */
async function hear(phone, hold, what, list = "") {
  await phone.go("#/holds/board-ceiling-1", "holds");
  const card = phone.page.locator(`[data-hold="${hold}"]`);
  await phone.tap(new RegExp(`^${en.holds.result.replace("?", "\\?")}`), card);
  await phone.field(en.holds.list, card).fill(list);
  await phone.tap(new RegExp(`^${what}`), card);
}

/** acknowledge reads a stop caution, by name, where there is one. */
async function acknowledge(phone) {
  const stop = phone.page.getByLabel(en.block.ack);
  if (!(await stop.count())) return;
  await stop.check();
  await phone.field(en.block.ackName).fill("Marit");
  await phone.tap(en.save, phone.page.locator(".cautions"));
  await phone.page.locator(".cautions .green").waitFor();
}
