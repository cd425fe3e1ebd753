// What cannot be is answered with a sentence, and nothing is lost by it.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("a circle, a negative duration, a date in the wrong order", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  const before = await marit.siteBytes();

  // Taping waits for the board; now the board shall wait for taping.
  await marit.go("#/thing/link", "thing");
  await marit.field(en.field.before).selectOption("tape-1");
  await marit.field(en.field.after).selectOption("board-3");
  await marit.tap(en.add);
  await refusal(marit, /circle/i);
  // What was filled in is still there, to be put right.
  assert.equal(await marit.field(en.field.before).inputValue(), "tape-1");

  await marit.go("#/thing/activity/paint", "thing");
  await marit.field(en.block.typical).fill("-4");
  await marit.tap(en.save);
  await refusal(marit, /hour|negative|less than/i);

  await marit.go("#/thing/away", "thing");
  await marit.field(en.field.crew).selectOption("paint");
  await marit.field(en.field.from).fill("2027-04-20");
  await marit.field(en.field.to).fill("2027-04-12");
  await marit.tap(en.add);
  await refusal(marit, /before|after|order/i);

  assert.equal(await marit.siteBytes(), before, "nothing was changed by what was refused");
});

/** refusal wants the dialog with a whole sentence in it, and reads it away. */
async function refusal(phone, about) {
  const dialog = phone.page.getByRole("dialog");
  await dialog.waitFor();
  const text = await dialog.locator("p").innerText();
  assert.match(text, about);
  assert.match(text, /\.$/, "a whole sentence");
  await phone.tap(en.ok, dialog);
  await dialog.waitFor({ state: "detached" });
}
