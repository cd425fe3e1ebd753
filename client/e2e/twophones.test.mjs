// Two phones, one site, no signal: both change it, both hold the same afterwards, and what one wrote
// over the other is seen and settled by a person.
import assert from "node:assert/strict";
import { sameBytes } from "./rig/phone.mjs";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("both phones change the plan offline; the same bytes; the clash is seen and chosen", async ({ phone, server }) => {
  const marit = await phone();
  await marit.open(`#/pair/${server.ownerCode()}`);
  await marit.field(en.join.name).fill("Marit");
  await marit.tap(en.join.go);
  await marit.onScreen("today");
  await fillFromTemplate(marit);
  await marit.sent();

  // The code is typed as it is read out, small letters and all.
  const code = await marit.letsIn();
  const dov = await phone();
  await dov.open("#/pair");
  await dov.field(en.join.code).fill(code.toLowerCase().replace("-", " "));
  await dov.field(en.join.name).fill("Dov");
  await dov.tap(en.join.go);
  await dov.onScreen("today");
  const start = JSON.parse(await sameBytes(marit, dov));
  const crew = start.crews.find((c) => !c.own);

  // The code worked once.
  const stranger = await phone();
  await stranger.open(`#/pair/${code}`);
  await stranger.field(en.join.name).fill("Nobody");
  await stranger.tap(en.join.go);
  await stranger.page.getByRole("dialog").waitFor();
  stranger.trouble = []; // the refused request is on the console, rightly

  marit.wire.cut();
  dov.wire.cut();
  await rename(marit, crew.id, "Walls by Wanda");
  await rename(dov, crew.id, "Walls by Tove");
  await addCrew(marit, "Roof ladder team");
  await addCrew(dov, "Window cleaners");
  await marit.unsent(2);
  await dov.unsent(2);

  marit.wire.mend();
  await marit.sent();
  dov.wire.mend();
  await dov.sent();
  const merged = JSON.parse(await sameBytes(marit, dov));
  const names = merged.crews.map((c) => c.name);
  for (const name of ["Roof ladder team", "Window cleaners"]) assert.ok(names.includes(name), `${name} is in ${names}`);
  const kept = merged.crews.find((c) => c.id === crew.id).name;
  const lost = ["Walls by Wanda", "Walls by Tove"].find((name) => name !== kept);

  // Both see what was written over; one of them settles it, and it is settled for both.
  for (const one of [marit, dov]) {
    await one.go("#/log", "log");
    await one.page.locator(".clash").getByText(lost).first().waitFor();
    await one.page.locator(".clash").getByText(kept).first().waitFor();
  }
  await dov.tap(`${en.clash.take}: ${lost}`);
  await dov.page.locator(".clash").waitFor({ state: "detached" });
  await dov.sent();
  const settled = JSON.parse(await sameBytes(marit, dov));
  assert.equal(settled.crews.find((c) => c.id === crew.id).name, lost);
  await marit.go("#/log", "log");
  await marit.page.locator(".clash").waitFor({ state: "detached" });
}, { demo: false });

async function fillFromTemplate(phone) {
  await phone.go("#/setup", "setup");
  await phone.tap(phone.screen("setup").locator("button.toggle").first());
  await phone.field(en.field.start).fill("2027-04-05");
  await phone.tap(en.setup.fill);
  await phone.onScreen("strings");
}

async function rename(phone, id, name) {
  await phone.go(`#/thing/crew/${id}`, "thing");
  await phone.field(en.field.name).fill(name);
  await phone.tap(en.save);
  await phone.onScreen("setup");
}

async function addCrew(phone, name) {
  await phone.go("#/thing/crew", "thing");
  await phone.field(en.field.name).fill(name);
  await phone.tap(en.add);
  await phone.onScreen("setup");
}
