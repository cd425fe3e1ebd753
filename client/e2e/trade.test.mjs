// What the trade knows, on the screen: a cold reading lengthens the waits and is taken over, goods go on an
// order, a habit of departments shows what it changes, a question of the review is left with its reason, and
// the week goes on paper.
import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { story } from "./rig/story.mjs";
import { en, es } from "./rig/words.mjs";

const SHOTS = process.env.TRADE_SHOTS; // a folder to look at the screens in

async function shot(phone, name) {
  if (SHOTS) await phone.page.screenshot({ path: `${SHOTS}/${name}.png`, fullPage: false });
}

story("a cold, damp reading proposes longer waits, is taken over, and undone", async ({ phone }) => {
  const marit = await phone();
  await marit.packed();
  marit.wire.cut();
  await marit.go("#/readings", "readings");
  const page = marit.screen("readings");
  const coat = page.locator('[data-wait="tape-1.tape-2"]');
  await coat.getByText("14.5 h", { exact: true }).waitFor();
  await shot(marit, "readings");
  await page.locator("summary", { hasText: en.trade.readings.add }).click();
  await marit.field(`${en.trade.readings.warmth}, °F`, page).fill("55");
  await marit.field(en.trade.readings.humidity, page).fill("70");
  await shot(marit, "readings-form");
  await marit.tap(en.trade.readings.keep, page);
  // 24 h at 60 F and 50 %; 55 F and 70 % come to 45 h (board maker's table, from memory).
  await coat.getByText(/^45\.5 h/).waitFor();
  await shot(marit, "readings-differ");
  await marit.tap(en.trade.readings.take, page);
  await page.locator(".card.best").waitFor({ state: "detached" });
  await coat.getByText("45.5 h", { exact: true }).waitFor();
  await marit.go("#/block/tape-2", "block");
  await marit.screen("block").getByText(/45\.5 h/).first().waitFor();
  await marit.tap(new RegExp(`^${en.undo}`), marit.page.locator(".strip"));
  await marit.screen("block").getByText(/14\.5 h/).first().waitFor();
  marit.wire.mend();
  await marit.sent();
});

story("goods, habits, questions and the sheet for the wall", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.go("#/orders", "orders");
  const orders = marit.screen("orders");
  const need = orders.locator('[data-need="board-goods"]');
  await need.getByText(/36 sheets 4 × 8 ft, layer 3/).first().waitFor();
  await shot(marit, "orders");
  await marit.tap(new RegExp(`^${en.trade.orders.use}`), need);
  await need.getByText(en.trade.orders.same).waitFor();
  await need.scrollIntoViewIfNeeded();
  await shot(marit, "orders-need");

  // Another habit: the screws of the board are no longer looked at, and the list says so before it is so.
  await marit.go("#/rules", "rules");
  const rules = marit.screen("rules");
  await marit.field(en.trade.rules.habit, rules).selectOption("model");
  await rules.getByText(/^No longer: Board screws/).waitFor();
  await shot(marit, "rules");
  await marit.tap(en.trade.rules.take, rules);
  await rules.getByText(en.trade.rules.nothing).waitFor();
  await marit.go("#/holds/tape-1", "holds");
  assert.equal(await marit.page.locator('[data-hold="board-screws"]').count(), 0);

  // A question is left as it is, with a reason; the count on More goes down.
  await marit.go("#/more", "more");
  const badge = marit.screen("more").getByRole("link", { name: new RegExp(en.trade.more.review) }).locator(".badge");
  const before = Number(await badge.innerText());
  await shot(marit, "more");
  await marit.go("#/review", "review");
  const review = marit.screen("review");
  await shot(marit, "review");
  const question = review.locator("[data-question]").first();
  const id = await question.getAttribute("data-question");
  await marit.tap(new RegExp(`^${en.trade.review.leave}`), question);
  await marit.field(en.trade.review.why, question).fill("Seen with Dov on Monday");
  await marit.tap(en.trade.review.leave, question);
  await review.locator(`[data-question="${id}"]`).waitFor({ state: "detached" });
  await marit.go("#/more", "more");
  assert.equal(Number(await badge.innerText()), before - 1);

  // The week on paper: no bars, no buttons, one page.
  await marit.go("#/week", "week");
  await shot(marit, "week");
  await marit.page.emulateMedia({ media: "print" });
  await shot(marit, "week-print");
  assert.equal(await marit.page.locator("nav.bar").isVisible(), false);
  assert.equal(await marit.screen("week").locator(".off-paper").isVisible(), false);
  const pdf = await marit.page.pdf({ format: "Letter" });
  const pages = pdf.toString("latin1").match(/\/Type\s*\/Page\b/g)?.length;
  if (SHOTS) writeFileSync(`${SHOTS}/week.pdf`, pdf);
  assert.equal(pages, 1, "the busiest week of the demo fits on one page of Letter");
  await marit.page.emulateMedia({ media: "screen" });
});

story("the trade in Spanish", async ({ phone }) => {
  const chuy = await phone({ words: es, locale: "es-US" });
  await chuy.home();
  for (const [screen, words] of [["readings", "Deciden la etiqueta"], ["orders", "placas 4 × 8 pies, capa 1"], ["rules", "nunca la regla de su ciudad"], ["review", "Son preguntas, no reglas"], ["week", "Semana del lunes"]]) {
    await chuy.go(`#/${screen}`, screen);
    await chuy.screen(screen).getByText(new RegExp(words)).first().waitFor();
    await shot(chuy, `es-${screen}`);
    assert.doesNotMatch(await chuy.screen(screen).innerText(), /\[[a-z]+\.|\{[a-z]+\}|undefined/);
  }
});
