// A site of one's own: begun without signal under a number the server gave ahead, filled from a
// template, changed, and on the server as soon as there is one.
import assert from "node:assert/strict";
import { sameBytes } from "./rig/phone.mjs";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

const WORKBENCH = '[data-block][aria-label*="Set the workbench"]';

story("a new site from the template, offline, then on a second phone", async ({ phone, server }) => {
  const nils = await phone();
  await nils.packed();
  nils.wire.cut();

  await nils.go("#/start", "start");
  await nils.field(en.field.name).fill("The cello room");
  await nils.tap(en.start.go);
  await nils.onScreen("setup");
  await nils.tap(nils.screen("setup").locator("button.toggle").first());
  await nils.field(en.field.start).fill("2027-05-03");
  await nils.tap(en.setup.fill);
  await nils.onScreen("strings");
  await nils.page.locator("[data-block]").first().waitFor();
  const blocks = await nils.page.locator("[data-block]").count();
  assert.ok(blocks > 20, `a template is a whole job, not ${blocks} blocks`);

  // One crew more, one piece of work more, and a link between them.
  await nils.go("#/thing/crew", "thing");
  await nils.field(en.field.name).fill("Bench makers");
  await nils.tap(en.add);
  await nils.onScreen("setup");
  await nils.go("#/thing/activity", "thing");
  await nils.field(en.field.name).fill("Set the workbench");
  await nils.field(en.field.crew).selectOption({ label: "Bench makers" });
  await nils.field(en.block.typical).fill("6");
  await nils.tap(en.add);
  await nils.onScreen("setup");
  await nils.go("#/strings", "strings");
  await nils.page.locator(WORKBENCH).waitFor();
  assert.equal(await nils.page.locator("[data-block]").count(), blocks + 1);

  // Removed by mistake, and brought back.
  await nils.go("#/strings", "strings");
  await nils.page.locator(WORKBENCH).press("Enter");
  await nils.onScreen("block");
  await nils.tap(new RegExp(en.block.edit));
  await nils.onScreen("thing");
  // The screen may be looking again (each minute, and when the phone is woken) while the thing goes.
  await nils.page.getByRole("button", { name: en.remove }).evaluate((button) => {
    button.click();
    document.dispatchEvent(new Event("visibilitychange"));
  });
  await nils.onScreen("setup");
  await nils.page.locator("summary", { hasText: new RegExp(`^${en.setup.gone}`) }).click();
  await nils.tap(new RegExp(`^${en.restore}: .*Set the workbench`));
  await nils.go("#/strings", "strings");
  await nils.page.locator(WORKBENCH).waitFor();

  // Signal: the site is on the server, and a second phone can be let in.
  nils.wire.mend();
  await nils.sent();
  const code = await nils.letsIn();
  const ida = await phone();
  const looksIn = await demoHeld(ida);
  await ida.open(`#/pair/${code}`);
  await ida.field(en.join.name).fill("Ida");
  await ida.tap(en.join.go);
  await ida.onScreen("today");
  await ida.sent();
  assert.equal(looksIn.asked, 0, "who comes with a code is not shown into the demo site besides");
  const site = JSON.parse(await sameBytes(nils, ida));
  assert.equal(site.name, "The cello room");
  assert.ok(site.activities.some((a) => a.name === "Set the workbench"));
  await server.kill();
  await server.up();
  await ida.sent();
  assert.equal(JSON.parse(await sameBytes(nils, ida)).name, "The cello room", "the server kept it");

  // A third phone is shown in at the demo, and let in at the site before the demo has answered.
  await nils.sent();
  const another = await nils.letsIn();
  const tove = await phone();
  const late = await demoHeld(tove);
  await tove.open();
  await late.came;
  await tove.go(`#/pair/${another}`);
  await tove.field(en.join.name).fill("Tove");
  await tove.tap(en.join.go);
  await tove.onScreen("today");
  const answered = tove.page.waitForResponse("**/api/demo");
  late.release();
  await (await answered).finished();
  await tove.go("#/sites", "sites");
  await tove.page.getByText("Old Laundry").first().waitFor(); // both are on the phone by now
  await tove.sent();
  assert.equal(JSON.parse(await sameBytes(nils, tove)).name, "The cello room", "nobody asked for the other");
});

/** demoHeld keeps the phone's wish to look in at the demo site waiting until it is released. */
async function demoHeld(phone) {
  const held = { asked: 0 };
  const released = new Promise((go) => { held.release = go; });
  let came;
  held.came = new Promise((go) => { came = go; });
  await phone.context.route("**/api/demo", async (route) => {
    held.asked++;
    came();
    await released;
    await route.continue();
  });
  return held;
}
