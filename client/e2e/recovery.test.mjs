// The owner's phone is lost. The paper from the day the server was set up lets another phone in, in
// Spanish here, and shows the code that goes on the paper next.
import assert from "node:assert/strict";
import axe from "axe-core";
import { story } from "./rig/story.mjs";
import { es } from "./rig/words.mjs";

story("the recovery code lets a new phone in", async ({ phone, server }) => {
  const first = await phone();
  await first.open(`#/pair/${server.ownerCode()}`);
  await first.field(first.words.join.name).fill("Marit");
  await first.tap(first.words.join.go);
  await first.onScreen("today");
  first.wire.cut();

  const paper = /recovery code (\S+)/.exec(server.log)[1];
  const next = await phone({ words: es, locale: "es-US" });
  await next.open(`#/pair/${paper}`);
  await next.field(es.join.name).fill("Marit, teléfono nuevo");
  await next.tap(es.join.go);
  const shown = next.page.locator("[data-recovery]");
  await shown.waitFor();
  const code = await shown.getAttribute("data-recovery");
  assert.match(code, /^([2-9A-Z]{4}-){4}[2-9A-Z]{4}$/);
  assert.notEqual(code, paper);
  await next.page.getByText(es.recovery.keep).waitFor();
  await next.page.evaluate(axe.source);
  const seen = await next.page.evaluate(() => window.axe.run(document));
  assert.deepEqual(seen.violations.map((v) => v.id), []);
  if (process.env.SHOTS) await next.page.screenshot({ path: `${process.env.SHOTS}/recovery.png` });
  await next.tap(es.recovery.done);

  // The paper is used up: whoever finds it hears no, in their own language.
  const late = await phone({ words: es, locale: "es-US" });
  await late.open(`#/pair/${paper}`);
  await late.field(es.join.name).fill("Otro");
  await late.tap(es.join.go);
  await late.page.getByText(es.told.code).waitFor();
}, { demo: false });
