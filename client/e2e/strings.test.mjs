// The picture of the plan on a phone: two weeks and the taut chain at a glance, words that stay on the screen,
// small blocks a thumb can tell apart, and how close one looks kept for next time.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("two weeks and the taut chain are on one screen, and every word on it can be read", async ({ phone }) => {
  const marit = await phone();
  await marit.packed();
  marit.wire.cut();
  await marit.tab("strings");
  const { days, chained } = await seen(marit);
  assert.ok(days >= 13, `${days} days on one screen`);
  assert.ok(chained > 0, "some of the chain's blocks are on it");

  // Wherever one pans, what a hold point says is whole, in the window and on no block.
  for (const left of [0, 90, 333, 9999]) {
    await marit.page.evaluate((x) => { document.querySelector(".strings").scrollLeft = x; }, left);
    await marit.page.waitForFunction(() => {
      const box = document.querySelector(".strings"), window = box.getBoundingClientRect(), days = document.querySelector(".daycol").getBoundingClientRect();
      const labels = [...document.querySelectorAll(".key.bar .lab")].map((el) => ({ at: el.getBoundingClientRect(), el }));
      const blocks = [...document.querySelectorAll(".key.block .lab")].map((el) => el.getBoundingClientRect());
      return labels.length > 0 && labels.every(({ at, el }) => at.left >= days.right - 1 && at.right <= window.right + 1 && el.scrollWidth <= el.clientWidth
        && blocks.every((b) => b.right <= at.left || b.left >= at.right || b.bottom <= at.top || b.top >= at.bottom));
    });
  }

  // The chain is one tap away from anywhere.
  await marit.tap(en.strings.toTaut);
  await marit.page.waitForFunction(() => document.querySelector(".strings").scrollLeft < 9999);
  assert.ok((await seen(marit)).chained > 0);
});

story("a thumb on several small blocks is asked which one; a large one opens at once", async ({ phone }) => {
  const marit = await phone();
  await marit.packed();
  marit.wire.cut();
  await marit.tab("strings");
  await marit.page.locator('[data-block="tape-2"]').tap();
  const which = marit.page.getByRole("dialog");
  await which.getByText(en.strings.which).waitFor();
  const rows = await which.locator("a.row").all();
  assert.ok(rows.length > 1);
  for (const row of rows) assert.ok((await row.boundingBox()).height >= 48, "each is as large as a thumb");
  await which.locator('a[href$="tape-2"]').tap();
  await marit.onScreen("block");
  await marit.page.getByRole("heading", { name: "Second coat" }).waitFor();

  await marit.tab("strings");
  await marit.page.locator('[data-block="rough-electric"]').tap();
  await marit.onScreen("block");
});

story("how close one looks is kept, and the place one looks at as well", async ({ phone }) => {
  const marit = await phone();
  await marit.packed();
  await marit.tab("strings");
  const high = () => marit.page.locator('[data-block="rough-electric"]').evaluate((el) => el.offsetHeight);
  const weeks = await high();
  await marit.tap(en.strings.closer);
  await marit.page.waitForFunction((was) => document.querySelector('[data-block="rough-electric"]').offsetHeight > was, weeks);
  const closer = await high();
  await marit.killTab();
  await marit.open("#/strings");
  await marit.onScreen("strings");
  assert.equal(await high(), closer);
  await marit.tap(en.strings.wider);
  await marit.page.waitForFunction((was) => document.querySelector('[data-block="rough-electric"]').offsetHeight === was, weeks);
});

/** seen counts the days from today on, and the chain's blocks, that are in the window. */
const seen = (phone) => phone.page.evaluate(() => {
  const box = document.querySelector(".strings").getBoundingClientRect();
  const top = document.querySelector(".sheet .top").getBoundingClientRect().bottom;
  const inside = (el) => { const at = el.getBoundingClientRect(); return at.top >= top - 1 && at.bottom <= box.bottom + 1 && at.left < box.right && at.right > box.left; };
  const names = [...document.querySelectorAll(".dayname:not(.folded)")];
  const taut = [...document.querySelectorAll(".key.block")].filter((el) => /no slack/.test(el.getAttribute("aria-label")));
  return { days: names.slice(names.findIndex((el) => el.classList.contains("today"))).filter(inside).length, chained: taut.filter(inside).length };
});
