// Who is on the site and who is not any more; what a phone says of itself while the server or the network is not well.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { sameBytes } from "./rig/phone.mjs";
import { en } from "./rig/words.mjs";

story("a phone is locked out, says so as long as it is true, and comes back with what it wrote meanwhile", async ({ phone, server }) => {
  const marit = await phone();
  await enter(marit, server.ownerCode(), "Marit");
  const dov = await phone();
  // The whole link, as it came in a message, instead of the code; first with a letter that no code has.
  const code = await marit.letsIn();
  await enter(dov, `${code.slice(0, -1)}O`, "Dov", true);
  await dov.sees(en.join.misread);
  await dov.tap(en.ok);
  await dov.field(en.join.code).fill(`Come in: ${marit.wire.url}/#/pair/${code.replace("-", "")}`);
  await dov.tap(en.join.go);
  await dov.onScreen("today");
  await marit.page.locator(".phone", { hasText: "Dov" }).waitFor();
  await marit.page.locator("[data-code]").waitFor({ state: "detached" }); // a code that was used is not on the screen

  dov.wire.cut();
  await writeDiary(dov, "Rain at noon");
  await dov.unsent(1);
  marit.page.once("dialog", (sure) => sure.accept());
  await marit.tap(`${en.phone.revoke}: Dov`);
  await marit.page.locator(".phone", { hasText: "Dov" }).waitFor({ state: "detached" });
  await dov.signal();
  const says = `${en.kept.revoked} · ${en.kept.unsent(1)}`;
  await dov.sees(says);
  const asked = dov.page.waitForResponse((answer) => answer.url().endsWith("/api/me") && answer.ok());
  await dov.page.reload();
  await asked;
  await dov.sees(says);

  await dov.go("#/phone", "phone");
  await dov.tap(new RegExp(en.welcome.join));
  await dov.field(en.join.code).fill(await marit.letsIn());
  await dov.field(en.join.name).fill("Dov again");
  await dov.tap(en.join.go);
  await dov.onScreen("today");
  await dov.sent();
  await dov.sees(en.kept.server);
  assert.match(await sameBytes(marit, dov), /Rain at noon/);
  await marit.go("#/phone", "phone");
  await marit.page.locator(".phone", { hasText: "Dov again" }).waitFor();
}, { demo: false });

story("a server that is not well, or a network that wants a login, throws nobody out", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.sent();
  for (const answer of [{ status: 502, contentType: "text/html", body: "Bad gateway" }, { status: 200, contentType: "text/html", body: "<p>Welcome to our Wi-Fi</p>" }]) {
    let told;
    const heard = new Promise((done) => { told = done; });
    await marit.context.route("**/api/me", async (route) => { await route.fulfill(answer); told(); });
    await marit.page.reload();
    await heard;
    await marit.onScreen("today");
    await marit.sent();
    await marit.sees(en.kept.server);
    await marit.context.unroute("**/api/me");
  }
  marit.trouble = marit.trouble.filter((line) => !/502/.test(line)); // what the network said is on the console, rightly
});

async function enter(phone, code, name, refused = false) {
  await phone.open("#/pair");
  await phone.field(en.join.code).fill(code);
  await phone.field(en.join.name).fill(name);
  await phone.tap(en.join.go);
  if (!refused) await phone.onScreen("today");
}

async function writeDiary(phone, line) {
  await phone.go("#/more", "more");
  await phone.field(en.more.diaryLine).fill(line);
  await phone.tap(en.more.diaryAdd);
  await phone.page.waitForFunction(() => document.querySelector("main textarea")?.value === "");
}
