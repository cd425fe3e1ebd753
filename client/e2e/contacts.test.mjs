// Names and numbers from an address book: a file with good and bad entries, looked at, taken in one
// act, undone in one; and back into a file.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { LAN } from "./rig/browser.mjs";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

const CARDS = `BEGIN:VCARD
VERSION:4.0
FN:Rosa Lumbre
ORG:New Tile
TEL;TYPE=cell:(213) 555-0110
EMAIL:rosa@example.net
END:VCARD
BEGIN:VCARD
VERSION:3.0
FN:Electric
TEL:ask at the desk
END:VCARD
BEGIN:VCARD
VERSION:2.1
N;ENCODING=QUOTED-PRINTABLE:=C3=91u
END:VCARD
`;

story("the owner brings crews from an address book, without signal, and takes them back", async ({ phone }) => {
  const marit = await phone();
  await marit.packed();
  marit.wire.cut(); // the address book is on the phone, and so is the planner
  await marit.go("#/contacts", "contacts");
  const screen = marit.screen("contacts");
  await screen.locator('input[type="file"]').setInputFiles({ name: "crews.vcf", mimeType: "text/vcard", buffer: Buffer.from(CARDS) });
  const tile = screen.locator('[data-entry="New Tile"]');
  await marit.sees("+1 213 555 0110", tile);
  await marit.sees(/version 2.1/, screen);
  const electric = screen.locator('[data-entry="Electric"]');
  await marit.sees(/is no telephone number/, electric);
  assert.equal(await electric.locator("select").inputValue(), "electric", "an entry with a crew's name fills that crew");
  await electric.locator("select").selectOption("");
  await marit.tap(en.contacts.take(1));
  await marit.onScreen("setup");

  // One undo takes all of it back; then it is taken for good.
  await marit.tap(new RegExp(`^${en.undo}`));
  await marit.go("#/contacts", "contacts");
  const bring = () => screen.locator('input[type="file"]').setInputFiles({ name: "crews.vcf", mimeType: "text/vcard", buffer: Buffer.from(CARDS) });
  await bring();
  assert.equal(await tile.locator("select").inputValue(), "new", "no crew of that name is left");
  await electric.locator("select").selectOption("");
  await marit.tap(en.contacts.take(1));
  await marit.onScreen("setup");
  await marit.go("#/contacts", "contacts");

  // Out again, in both versions and as a table.
  for (const [button, wants] of [[en.contacts.v4, ["VERSION:4.0", "ORG:New Tile", "tel:+12135550110"]], [en.contacts.v3, ["VERSION:3.0", "TEL;TYPE=CELL,VOICE:+12135550110"]], [en.contacts.csv, ["Name,Contact,Phone,E-mail", "New Tile,Rosa Lumbre,+12135550110,rosa@example.net"]]]) {
    const [download] = await Promise.all([marit.page.waitForEvent("download"), marit.tap(button)]);
    const text = readFileSync(await download.path(), "utf8");
    for (const want of wants) assert.ok(text.includes(want), `${button}: ${want} in ${text.slice(0, 300)}`);
  }

});

story("a number is typed as people write it and becomes global; the contact picker where there is one", async ({ phone }) => {
  const marit = await phone();
  await marit.context.addInitScript(() => {
    Object.defineProperty(navigator, "contacts", { value: { select: async (what, how) => (how.multiple && what.includes("tel") ? [{ name: ["Leo Solo"], tel: ["213 555 0111"], email: [] }] : []) } });
  });
  await marit.home();
  await marit.kept(); // the rules of numbers are a file of their own, which comes when it is needed
  await marit.go("#/thing/crew/electric", "thing");
  const field = marit.field(en.field.phone);
  await field.fill("(213) 555-0177");
  await field.blur();
  await marit.page.waitForFunction(() => [...document.querySelectorAll('input[type="tel"]')].some((x) => x.value === "+12135550177"));
  await field.fill("call me");
  await field.blur();
  await marit.sees(en.contacts.badTyped);
  await marit.go("#/contacts", "contacts");
  await marit.tap(en.contacts.pick);
  await marit.sees("+1 213 555 0111", marit.screen("contacts").locator('[data-entry="Leo Solo"]'));
});

story("what is typed while the rules of numbers are on their way stays", async ({ phone }) => {
  const dov = await phone({ host: LAN }); // plain http: no service worker has them already
  await dov.home();
  await dov.go("#/thing/crew/electric", "thing");
  let arrive;
  const arrived = new Promise((done) => { arrive = done; });
  await dov.page.route("**/part.*.js", async (route) => { await arrived; await route.continue(); });
  const asked = dov.page.waitForRequest("**/part.*.js");
  const [number, who] = [dov.field(en.field.phone), dov.field(en.field.contact)];
  await number.fill("(213) 555-0177");
  await who.fill("Rosa Lumbre");
  await asked;
  arrive();
  await dov.page.waitForFunction((input) => input.value === "+12135550177", await number.elementHandle());
  assert.equal(await who.inputValue(), "Rosa Lumbre");
  dov.trouble = dov.trouble.filter((line) => !/opener/i.test(line));
});
