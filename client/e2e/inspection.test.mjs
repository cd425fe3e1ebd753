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
  await marit.tap(framing.getByRole("group").getByRole("button").first());
  await framing.getByText(en.holds.state.calledIn).or(framing.getByRole("button", { name: en.holds.result })).first().waitFor();

  await marit.setClock("2027-04-14T15:00:00-07:00");
  const finishBefore = await finishLine(marit);
  await marit.go("#/holds/board-ceiling-1", "holds");
  await marit.tap(new RegExp(en.holds.result.replace("?", "\\?")), framing);
  await framing.getByLabel(en.holds.list).fill("Nail plates missing at the wet wall");
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

/** finishEarlier marks what stands in front of the framing visit as finished, and sets the clock. */
async function finishEarlier(phone, at) {
  await phone.setClock(at);
  for (;;) {
    await phone.go("#/holds/board-ceiling-1", "holds");
    const open = phone.screen("holds").locator('[data-hold="framing"] .behind a[href^="#/block/"]').first();
    if (!(await open.count())) return;
    await phone.tap(open);
    await phone.onScreen("block");
    const stop = phone.page.getByLabel(en.block.ack);
    if (await stop.count()) {
      await stop.check();
      await phone.page.getByLabel(en.block.ackName).fill("Marit");
      await phone.tap(en.save, phone.page.locator(".cautions"));
      await phone.page.locator(".cautions .green").waitFor();
    }
    await phone.tap(en.block.finish);
    await phone.page.getByRole("button", { name: en.block.finish }).waitFor({ state: "detached" });
  }
}
