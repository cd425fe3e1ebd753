// Forms on site: typed with a thumb, broken off by a call, tapped twice. What was typed is never guessed at,
// never lost, and never saved half.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

const F = en.field;

story("numbers and dates are taken as they were meant, or not at all", async ({ phone }) => {
  const nils = await phone();
  await nils.home();

  // Half an hour with a comma is half an hour, as with a point.
  await nils.go("#/thing/activity", "thing");
  await nils.field(F.name).fill("Oil the bench");
  await nils.field(en.block.typical).fill("2,5");
  await nils.field(F.comesAfter).selectOption("paint");
  await nils.tap(en.add);
  await nils.onScreen("setup");
  const site = JSON.parse(await nils.siteBytes());
  const bench = site.activities.find((a) => a.name === "Oil the bench");
  assert.equal(bench.labour.typical, 150);
  assert.ok(site.links.some((k) => k.from === "paint" && k.to === bench.id), "what it comes after is a link");

  // Two and a half people are nobody; the sentence names the field, the form keeps what was typed.
  await nils.go("#/thing/crew", "thing");
  await nils.field(F.name).fill("Bench makers");
  await nils.field(F.size).fill("2.5");
  await nils.tap(en.add);
  await nils.sees(/“2\.5” does not fit “people”/);
  await nils.tap(en.ok);
  assert.equal(await nils.field(F.size).inputValue(), "2.5");

  // A list is typed a line each, with the spaces in it.
  await nils.go("#/thing/hold/rough-electrical", "thing");
  await nils.field(F.readyLines).fill("");
  await nils.field(F.readyLines).pressSequentially("Boxes open to view\nNail plates on\n");
  assert.equal(await nils.field(F.readyLines).inputValue(), "Boxes open to view\nNail plates on\n");
  await nils.tap(en.save);
  await nils.onScreen("setup");
  const hold = JSON.parse(await nils.siteBytes()).holds.find((h) => h.id === "rough-electrical");
  assert.deepEqual(hold.ready, ["Boxes open to view", "Nail plates on"]);

  // 31 February: the browser calls such a field empty, and empty would clear the day.
  await nils.go("#/thing/site", "thing");
  const was = await nils.field(F.start).inputValue();
  await nils.field(F.start).focus();
  await nils.page.keyboard.type("02312027");
  await nils.tap(en.save);
  await nils.sees(en.setup.halfDate(F.start));
  await nils.go("#/today", "today");
  await nils.go("#/thing/site", "thing");
  assert.equal(await nils.field(F.start).inputValue(), was);

  // A day is shut by its box, and open days get the same hours by one tap.
  await nils.page.locator("summary", { hasText: F.hours }).click();
  const day = (name) => nils.page.getByRole("group", { name, exact: true });
  await day("Friday").getByRole("checkbox").uncheck();
  await day("Monday").getByLabel(`Monday ${F.first} ${F.from}`).fill("07:00");
  await nils.tap(F.sameDays);
  await nils.tap(en.save);
  await nils.onScreen("setup");
  const { hours } = JSON.parse(await nils.siteBytes());
  assert.deepEqual(hours[4], []);
  assert.deepEqual(hours[1], hours[0]);
  assert.equal(hours[3][0], "07:00-12:00");
});

story("a form broken off is there again, and a double tap is one tap", async ({ phone }) => {
  const nils = await phone();
  await nils.home();
  await nils.go("#/setup", "setup");
  await nils.go("#/thing/crew", "thing");
  await nils.field(F.name).fill("Bench makers");
  await nils.field(F.contact).fill("Ola <b>&amp;</b>");

  // Reloaded, the tab closed, and the way back: it is still there, and said to be unsaved.
  for (const away of [() => nils.page.reload(), async () => { await nils.killTab(); await nils.open("#/thing/crew"); }, async () => { await nils.go("#/today", "today"); await nils.go("#/thing/crew", "thing"); }]) {
    await away();
    await nils.onScreen("thing");
    await nils.sees(en.setup.typed);
    assert.equal(await nils.field(F.name).inputValue(), "Bench makers");
    assert.equal(await nils.field(F.contact).inputValue(), "Ola <b>&amp;</b>");
  }

  // Both before the first is answered: a slow hand's second tap would be one on the screen that comes after.
  await nils.button(en.add).evaluate((add) => { add.click(); add.click(); });
  await nils.onScreen("setup");
  const crews = JSON.parse(await nils.siteBytes()).crews.filter((c) => c.name === "Bench makers");
  assert.equal(crews.length, 1);
  assert.equal(crews[0].contact, "Ola <b>&amp;</b>", "text is only ever text");

  // Saved is saved: the next form is empty.
  await nils.go("#/thing/crew", "thing");
  assert.equal(await nils.field(F.name).inputValue(), "");
  assert.equal(await nils.page.getByText(en.setup.typed).count(), 0);
});
