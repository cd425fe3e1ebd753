// Crews answer in every way while the owner has no signal: yes, can't, another day, a question, and from the
// site itself late and a photo. Their pages have no script; when the owner is back, the plan and
// Today have heard all of it, and nothing moved that nobody decided.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("crews answer in every way while the owner is without signal", async ({ phone, browser }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  const links = {};
  for (const crew of ["carpentry", "electric", "board", "stucco", "insulate"]) links[crew] = await marit.crewLink(crew);
  const before = await marit.siteBytes();
  await marit.go("#/today", "today");
  marit.wire.cut(); // into the basement

  const context = await browser.newContext({ javaScriptEnabled: false, viewport: { width: 360, height: 640 }, locale: "en-US" });
  const page = await context.newPage();

  // Carpentry says yes, to what nobody had asked it in person.
  const yes = await open(page, links.carpentry, "fireblock");
  await yes.visit.locator('[value="yes"]').click();
  await sure(page, "Thank you. You are booked.");

  // The electricians can't.
  const no = await open(page, links.electric);
  await no.visit.locator('[value="no"]').click();
  await sure(page, "Thank you for telling us.");

  // The board crew reads Spanish and would rather come a day later.
  const other = await open(page, links.board);
  assert.equal(await page.locator("html").getAttribute("lang"), "es");
  const wish = new Date(Date.parse(other.from) + 86_400_000).toISOString().slice(0, 10);
  await other.visit.locator("summary").first().click();
  await other.visit.locator('input[type="date"]').fill(wish);
  await other.visit.locator('[value="other"]').click();
  await sure(page, "Hasta entonces nada cambia.");

  // The plasterers stand in traffic, then send a photo of what they found.
  const late = await open(page, links.stucco);
  await late.visit.locator("summary").last().click();
  await late.visit.locator('select[name="count"]').first().selectOption("30");
  await late.visit.locator('[value="late"]').click();
  await sure(page, "ya lo hemos pasado");
  const send = page.locator('form[enctype="multipart/form-data"]');
  await send.locator("select").selectOption(late.id);
  await send.locator('input[type="file"]').setInputFiles({ name: "wall.jpg", mimeType: "image/jpeg", buffer: await picture(browser) });
  await send.locator('[name="said"]').fill("Behind the sink");
  const taken = page.waitForResponse((answer) => answer.request().method() === "POST"); // the thanks read as those before
  await send.locator("button").click();
  assert.ok((await taken).status() < 400);
  await page.getByText("ya lo hemos pasado").waitFor();

  // The insulators ask something.
  await page.goto(links.insulate);
  const question = page.locator(".visit").filter({ has: page.locator('[value="ask"]') }).first();
  for (const s of await question.locator("summary").all()) await s.click();
  await question.locator("textarea").first().fill("Is the power on?");
  await question.locator('[value="ask"]').click();
  await sure(page, "it was passed on");
  await context.close();

  // Nothing of it is on the phone yet; then there is signal again.
  assert.equal(await marit.siteBytes(), before, "the phone is where it was");
  await marit.go("#/today", "today");
  marit.wire.mend();
  await marit.sent();
  const today = marit.screen("today");
  for (const text of ["30 minutes late", "Behind the sink", "Is the power on?"]) await today.locator(".card.act").filter({ hasText: text }).first().waitFor();
  const asks = today.locator(".card.act").filter({ hasText: /asks for/ }).first();
  await asks.waitFor();
  const cannot = today.locator(".card.act").filter({ hasText: /can.t come/ }).first();
  await cannot.waitFor();

  // The yes is firm; a no and a wish moved nothing.
  const after = JSON.parse(await marit.siteBytes());
  const was = JSON.parse(before);
  const find = (site, id) => site.activities.find((a) => a.id === id);
  assert.equal(find(after, yes.id).booking, "firm");
  for (const v of [no, other, late]) assert.equal(find(after, v.id).laid, find(was, v.id).laid, `${v.id} lies where it lay`);
  assert.equal(after.photos?.find((p) => p.said === "Behind the sink")?.on, late.id);

  // The yes needs no text any more. How crews keep their word is the owner's to see, not a second hand's.
  await marit.go("#/texts", "texts");
  assert.equal(await marit.screen("texts").locator('[data-text^="ask/carpentry/"]').filter({ hasText: "Fireblock" }).count(), 0);
  await marit.go("#/thing/crew/stucco", "thing");
  assert.equal(await marit.page.locator("[data-trust]").count(), 0);

  // The no leads to the ways through, with those days picked, and one is taken.
  await marit.go("#/today", "today");
  await marit.tap(/^See the ways/, cannot);
  await marit.onScreen("cant");
  await marit.screen("cant").locator('.day[aria-pressed="true"]').first().waitFor();
  await marit.tap(en.cant.find);
  const way = marit.screen("ways").locator("[data-way]").first();
  await way.waitFor();
  await marit.tap(way.getByRole("button").last());
  await marit.sent();
  const moved = JSON.parse(await marit.siteBytes());
  assert.notEqual(find(moved, no.id).laid, find(was, no.id).laid, "the electricians' work lies elsewhere now");

  // Their page says so, and an answer to the old days is not taken for one to the new.
  const again = await browser.newContext({ javaScriptEnabled: false, viewport: { width: 360, height: 640 } });
  const old = await again.newPage();
  await old.goto(links.electric);
  const shown = await old.locator(".visit").filter({ has: old.locator(`[name="visit"][value="${no.id}"]`) }).first().locator('[name="shown"]').first().getAttribute("value");
  assert.notEqual(shown, no.shown, "new days on the page");
  const status = await fetch(links.electric, { method: "POST", headers: { "Content-Type": "application/x-www-form-urlencoded" }, body: new URLSearchParams({ visit: no.id, shown: no.shown, do: "yes", sure: "1" }) });
  assert.equal(status.status, 409);
  assert.match(await status.text(), /The dates have changed/);
  await again.close();
});

/** open reads a crew's page and finds a visit that can be answered, the first where none is named. */
async function open(page, link, named) {
  await page.goto(link);
  const all = page.locator(".visit").filter({ has: page.locator('[value="yes"]') });
  const first = (named ? all.filter({ has: page.locator(`[name="visit"][value="${named}"]`) }) : all).first();
  const id = await first.locator('[name="visit"]').first().getAttribute("value");
  const shown = await first.locator('[name="shown"]').first().getAttribute("value");
  const visit = page.locator(".visit").filter({ has: page.locator(`[name="visit"][value="${id}"]`) }).first();
  return { id, shown, from: shown.slice(0, 10), visit };
}

/** sure reads the question whether it is right, and says that it is. */
async function sure(page, thanks) {
  await page.locator('[name="sure"]').click();
  await page.getByText(thanks).first().waitFor();
}

/** picture is a JPEG as a camera makes one. */
async function picture(browser) {
  const page = await browser.newPage({ viewport: { width: 800, height: 600 } });
  await page.setContent("<body style='background: linear-gradient(#864, #48a)'>");
  const jpeg = await page.screenshot({ type: "jpeg" });
  await page.close();
  return jpeg;
}
