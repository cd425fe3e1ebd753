// The third moment: the board is on the truck, and a visit fails. Nothing behind it may start, and
// the finish says what that costs.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("a failed inspection keeps the board shut and moves the finish", async ({ phone }) => {
  // Friday: the framing is up, the walls are open, the inspector can come.
  const marit = await phone();
  await marit.open();
  await marit.onScreen("today");
  await marit.kept();
  await marit.sent();
  marit.wire.cut();

  await finishEarlier(marit, "2027-04-13T16:40:00-07:00");
  await marit.go("#/holds/board-ceiling-1", "holds");
  const framing = marit.screen("holds").locator('[data-hold="framing"]');
  const board = marit.screen("holds");
  const lineBefore = await board.locator(".title p").first().innerText();

  await marit.tap(new RegExp(`^${en.holds.callIn}`), framing);
  const visit = framing.getByRole("group").getByRole("button").first();
  const day = /\d+/.exec(await visit.innerText())[0];
  await marit.tap(visit);
  await marit.page.locator('[data-hold="framing"].calledIn').waitFor();

  // The inspector has been.
  await marit.setClock(`2027-04-${day}T17:30:00-07:00`);
  const finishBefore = await finishLine(marit);
  await marit.go("#/holds/board-ceiling-1", "holds");
  await marit.tap(new RegExp(en.holds.result.replace("?", "\\?")), framing);
  await marit.field(en.holds.list, framing).fill("Nail plates missing at the wet wall");
  await marit.tap(new RegExp(`^${en.holds.failed}`), framing);
  await framing.getByText("Nail plates missing at the wet wall").waitFor();
  assert.notEqual(await board.locator(".title p").first().innerText(), lineBefore, "the board's earliest day has moved");
  assert.match(await framing.getAttribute("class"), /failed/);

  // Whoever tries to start the board anyway is told what is in front of it.
  await marit.go("#/block/board-ceiling-1", "block");
  await marit.tap(en.block.start);
  await marit.page.getByRole("dialog").getByText(/Framing/).waitFor();
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
  return phone.page.locator(".strings-head p").first().innerText();
}

/** finishEarlier sets the clock and marks as finished what the framing visit waits for. */
async function finishEarlier(phone, at) {
  await phone.setClock(at);
  await phone.go("#/holds/board-ceiling-1", "holds");
  const waits = phone.screen("holds").locator('[data-hold="framing"] .behind a[href^="#/block/"]');
  await waits.first().waitFor();
  for (const hash of await waits.evaluateAll((all) => all.map((a) => a.getAttribute("href")))) {
    await phone.go(hash, "block");
    await phone.page.locator(".facts-list").waitFor();
    const finish = phone.button(en.block.finish);
    if (!(await finish.count())) continue; // done before
    await acknowledge(phone);
    await phone.tap(finish);
    await finish.waitFor({ state: "detached" });
  }
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
