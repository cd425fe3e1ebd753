// Without a finger: the strings with a keyboard alone.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("a block is found, moved and put back with the keyboard only", async ({ phone }) => {
  const marit = await phone({ width: 1100, height: 800 });
  await marit.open("#/strings");
  await marit.onScreen("strings");
  await marit.sent();
  const before = startOf(await marit.siteBytes(), "level");
  await marit.go("#/strings", "strings");

  await tabTo(marit, (at) => at.dataset?.block === "level");
  const said = await focused(marit, "aria-label");
  await marit.page.keyboard.press("ArrowDown");
  await marit.page.waitForFunction((was) => {
    const at = document.activeElement;
    return at?.dataset.block === "level" && at.getAttribute("aria-label") !== was;
  }, said);

  // Undo is reached with the keyboard too.
  await tabTo(marit, (at) => at.classList.contains("undo"));
  await marit.page.keyboard.press("Enter");
  await marit.page.waitForFunction((was) => document.querySelector('[data-block="level"]')?.getAttribute("aria-label") === was, said);
  assert.equal(startOf(await marit.siteBytes(), "level"), before);

  // Opened, the same by buttons.
  await marit.go("#/strings", "strings");
  await tabTo(marit, (at) => at.dataset?.block === "level");
  await marit.page.keyboard.press("Enter");
  await marit.onScreen("block");
  const when = await marit.page.locator(".title p").innerText();
  await tabTo(marit, (at, name) => at.tagName === "BUTTON" && at.textContent.includes(name), en.block.later);
  await marit.page.keyboard.press("Enter");
  await marit.page.waitForFunction((was) => document.querySelector(".title p")?.innerText !== was, when);
  assert.notEqual(startOf(await marit.siteBytes(), "level"), before);
});

const startOf = (site, id) => JSON.parse(site).activities.find((a) => a.id === id).laid;
const focused = (phone, attribute) => phone.page.evaluate((name) => document.activeElement?.getAttribute(name), attribute);

/** tabTo presses Tab until the focus is where it is wanted; a whole round without that fails. */
async function tabTo(phone, wanted, more) {
  for (let presses = 0; presses < 400; presses++) {
    if (await phone.page.evaluate(`(${wanted})(document.activeElement, ${JSON.stringify(more)})`)) return;
    await phone.page.keyboard.press("Tab");
  }
  assert.fail(`not reached with Tab: ${wanted}`);
}
