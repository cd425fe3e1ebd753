// The permit and the plans: added without signal, handed in while the server is killed in the middle, and on the other
// phone the same to the last byte, also without signal. What is no paper is refused with a sentence.
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { until } from "./rig/phone.mjs";
import { story } from "./rig/story.mjs";
import { en, es } from "./rig/words.mjs";

const sha = (bytes) => createHash("sha256").update(bytes).digest("hex");

story("a permit added without signal is the same on the other phone, though the server was killed", async ({ phone, server }) => {
  const marit = await phone();
  await marit.packed();
  marit.wire.cut();
  await marit.go("#/photos", "photos");
  const permit = pdf(900_000);
  await add(marit, "Permit 2027-114.pdf", permit);
  await marit.sees("Permit 2027-114");
  await marit.sees(/PDF, 900 kB|PDF, 901 kB/);
  await add(marit, "permit.pdf", Buffer.from("<!DOCTYPE html><script>alert(1)</script>"));
  await marit.sees(`permit.pdf: ${en.papers.why.kind}`);
  await understood(marit);
  await add(marit, "plans.pdf", permit.subarray(0, 5000));
  await marit.sees(`plans.pdf: ${en.papers.why.cut}`);
  await understood(marit);
  await add(marit, "IMG_0007.HEIC", Buffer.from("\0\0\0\x18ftypheic\0\0\0\0mif1heic", "latin1"));
  await marit.sees(`IMG_0007.HEIC: ${en.papers.why.heic}`);
  await understood(marit);
  assert.equal(await rows(marit).count(), 1, "what was refused is not in the list");

  await marit.page.reload();
  await marit.onScreen("photos");
  assert.equal(sha(await opened(marit, "Permit 2027-114")), sha(permit), "out of the phone's own store");
  await marit.unsent(1);

  // Of eight pieces the third finds the server dead.
  const pieces = [];
  await marit.context.route(/\/api\/photo\//, async (route, request) => {
    if (request.method() !== "PUT") return route.continue();
    pieces.push(Number(new URL(request.url()).searchParams.get("at")));
    if (pieces.length !== 3) return route.continue();
    await server.kill();
    await route.abort();
    await server.up();
  });
  await marit.sees(en.photos.waiting(1));
  marit.wire.mend();
  await marit.page.getByText(en.photos.waiting(1)).waitFor({ state: "detached" });
  await marit.sent();
  const again = pieces.slice(3);
  assert.ok(pieces[2] > 0 && again[0] === pieces[2], `it goes on where the server's copy ended: ${pieces}`);
  assert.ok(!again.includes(0), `nothing is sent twice: ${pieces}`);

  const dov = await phone();
  await dov.packed();
  await dov.go("#/photos", "photos");
  const row = rows(dov).first();
  await row.waitFor();
  await come(dov, await row.getAttribute("data-paper"));
  dov.wire.cut();
  assert.equal(sha(await opened(dov, "Permit 2027-114")), sha(permit), "it came before anybody looked, and opens without signal");
  await dov.page.reload();
  await dov.onScreen("photos");
  await rows(dov).first().click();
  await dov.field(en.papers.name).fill("Building permit 2027/114");
  await dov.tap(en.save, dov.page.locator("dialog.large"));
  await dov.tap(en.photos.close, dov.page.locator("dialog.large"));
  await dov.sees("Building permit 2027-114");
  dov.wire.mend();
  await dov.sent();
  await marit.sees("Building permit 2027-114");
});

story("a drawing stays sharp, and a crew is given what the owner shares", async ({ phone }) => {
  const marit = await phone();
  await marit.packed();
  await marit.go("#/block/rough-electric", "block");
  const drawing = await drawn(marit.page);
  await add(marit, "Ceiling plan.png", drawing, marit.screen("block"));
  await marit.sees("Ceiling plan");
  const kept = await opened(marit, "Ceiling plan", true);
  assert.equal(kept.subarray(1, 4).toString("latin1"), "PNG", "lines and letters stay a PNG");
  assert.ok(!kept.includes("tEXt") && !kept.includes("at home"), "and lose what was written beside them");
  assert.deepEqual([kept.readUInt32BE(16), kept.readUInt32BE(20)], [4096, 2458], "5000 by 3000, made smaller");
  await rows(marit).first().click();
  await marit.page.locator("dialog.large").getByRole("checkbox").check();
  await marit.tap(en.photos.close, marit.page.locator("dialog.large"));
  await marit.sent();
  const link = await marit.crewLink("electric");
  const crew = await (await fetch(link)).text();
  const at = /<a [^>]*href="([^"]*\/photo\/[0-9a-f]{64})" download>Ceiling plan<\/a><br><span class="soft">(PNG, [^<]*)</.exec(crew);
  assert.ok(at, "the paper is on the crew's page, with its size");
  assert.ok(crew.length < 30_000, `${crew.length} bytes`);
  const given = await fetch(new URL(at[1], link));
  assert.equal(given.headers.get("content-type"), "image/png");
  assert.equal(given.headers.get("content-disposition"), `attachment; filename="Ceiling plan.png"`);
  assert.equal(given.headers.get("x-content-type-options"), "nosniff");
  assert.equal(sha(Buffer.from(await given.arrayBuffer())), sha(kept));
});

story("a paper the server will not have stays on the phone, says so, and is offered again", async ({ phone }) => {
  const marit = await phone();
  await marit.packed();
  const no = (route, request) => (request.method() === "PUT" ? route.fulfill({ status: 415, json: { error: "Not kept.", code: "notKept" } }) : route.continue());
  await marit.context.route(/\/api\/photo\//, no); // a server with an older program
  await marit.go("#/photos", "photos");
  await add(marit, "Delivery note.txt", Buffer.from("36 sheets, two broken\n"));
  await marit.sees(en.photos.untaken(1));
  await marit.sees(en.told.notKept);
  await marit.context.unroute(/\/api\/photo\//, no);
  await marit.page.reload();
  await marit.onScreen("photos");
  await marit.sees("Delivery note");
  const file = await rows(marit).first().getAttribute("data-paper");
  const dov = await phone();
  await dov.home();
  await come(dov, file);
  assert.equal(await marit.page.getByText(en.photos.untaken(1)).count(), 0, "it is there now");
});

story("where a photo was taken is kept only when it is wanted", async ({ phone }) => {
  const marit = await phone({ words: es, locale: "es-US" });
  await marit.packed();
  await marit.go("#/photos", "photos");
  const shot = await camera(marit.page);
  const photo = marit.screen("photos").locator(".take input").first();
  await photo.setInputFiles({ name: "IMG_0001.jpg", mimeType: "image/jpeg", buffer: shot });
  await marit.page.locator('.strip-of[data-count="1"] img').waitFor();
  const keep = marit.page.getByLabel(es.photos.keep);
  assert.equal(await keep.isChecked(), false, "off unless asked for");
  await keep.check();
  await photo.setInputFiles({ name: "IMG_0002.jpg", mimeType: "image/jpeg", buffer: shot });
  await marit.page.locator('.strip-of[data-count="2"] img').nth(1).waitFor();
  assert.equal(await keep.isChecked(), false, "and off again for the next");
  const [first, second] = JSON.parse(await marit.siteBytes()).photos;
  assert.deepEqual([first.taken, first.latitude, first.longitude], [undefined, undefined, undefined]);
  assert.deepEqual([second.taken, second.latitude, second.longitude], ["2027-04-05T16:20", 12_582_222, -65_722_500]);
  assert.equal(first.file, second.file, "the file is the same: nothing of it is in there");
  await marit.go("#/photos", "photos");
  await marit.page.locator(".strip-of button").first().click();
  const large = marit.page.locator("dialog.large");
  assert.equal(await large.getByRole("link").getAttribute("href"), "geo:12.582222,-65.722500"); // RFC 5870
  await marit.sees(/Tomada .*lun 5/, large);
});

story("what is said of a name without a break stays on the screen", async ({ phone }) => {
  const marit = await phone();
  await marit.home();
  await marit.go("#/photos", "photos");
  await add(marit, "Fensteroeffnungen_und_Anschlussfugen_ohne_Leerzeichen_2027.pdf", pdf(2_000));
  const line = marit.page.locator(".slip p", { hasText: "Fensteroeffnungen" });
  await line.waitFor();
  assert.ok(await line.evaluate((el) => el.scrollWidth <= el.clientWidth && el.getBoundingClientRect().right <= innerWidth));
});

/** rows are the papers on the screen. */
const rows = (phone) => phone.page.locator(".papers [data-paper]");

const add = async (phone, name, buffer, within = phone.page) => {
  const input = within.locator(".take", { hasText: phone.words.papers.add }).locator("input");
  await input.setInputFiles({ name, mimeType: "application/octet-stream", buffer });
};

const understood = (phone) => phone.tap(phone.words.ok, phone.page.locator("dialog.refused"));

/** opened is what the phone hands to whatever opens it. */
async function opened(phone, title, picture = false) {
  await rows(phone).filter({ hasText: title }).click();
  const large = phone.page.locator("dialog.large");
  if (picture) await large.locator("img").waitFor();
  const [download] = await Promise.all([phone.page.waitForEvent("download"), phone.tap(phone.words.papers.open, large)]);
  assert.equal(download.suggestedFilename(), `${title}.${picture ? "png" : "pdf"}`);
  await phone.tap(phone.words.photos.close, large);
  return readFileSync(await download.path());
}

/** come waits until a file lies on the phone. */
const come = (phone, file) => until(() => phone.page.evaluate((name) => new Promise((done) => {
  const open = indexedDB.open("batterboard");
  open.onsuccess = () => {
    const line = open.result.transaction("bytes").objectStore("bytes").getAllKeys();
    line.onsuccess = () => { open.result.close(); done(line.result.some((key) => key[1] === name)); };
  };
}), file), () => assert.fail(`${file} has not come`));

/** pdf is a whole PDF of one empty page (ISO 32000-2, 7.5) with an unused stream of so many bytes. */
function pdf(fill) {
  const objects = ["<< /Type /Catalog /Pages 2 0 R >>", "<< /Type /Pages /Kids [3 0 R] /Count 1 >>", "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] >>",
    `<< /Length ${fill} >>\nstream\n${"batterboard ".repeat(Math.ceil(fill / 12)).slice(0, fill)}\nendstream`];
  let text = "%PDF-1.7\n";
  const at = objects.map((body, i) => { const here = text.length; text += `${i + 1} 0 obj\n${body}\nendobj\n`; return here; });
  const table = text.length;
  text += `xref\n0 5\n0000000000 65535 f \n${at.map((n) => `${String(n).padStart(10, "0")} 00000 n \n`).join("")}trailer\n<< /Size 5 /Root 1 0 R >>\nstartxref\n${table}\n%%EOF\n`;
  return Buffer.from(text, "latin1");
}

/** drawn is a plan saved as a picture, with a word beside it that says where it was made. */
async function drawn(page) {
  const plain = Buffer.from(await page.evaluate(async () => {
    const canvas = document.createElement("canvas");
    canvas.width = 5000;
    canvas.height = 3000;
    const pen = canvas.getContext("2d");
    pen.fillStyle = "#fff";
    pen.fillRect(0, 0, 5000, 3000);
    pen.fillStyle = "#000";
    for (let i = 0; i < 40; i++) { pen.fillRect(i * 120, 100, 4, 2800); pen.fillText(`${i} ft 6 in`, i * 120 + 10, 90); }
    const blob = await new Promise((done) => canvas.toBlob(done, "image/png"));
    return [...new Uint8Array(await blob.arrayBuffer())];
  }));
  const body = Buffer.from("tEXtComment\0at home", "latin1");
  const length = Buffer.alloc(4), crc = Buffer.alloc(4);
  length.writeUInt32BE(body.length - 4);
  return Buffer.concat([plain.subarray(0, 33), length, body, crc, plain.subarray(33)]); // readers pass over a text whose sum is wrong
}

/** camera is a camera's JPEG with Exif: DateTimeOriginal, and a latitude and longitude (Exif 2.3, 4.6.5 and 4.6.6). */
async function camera(page) {
  const plain = Buffer.from(await page.evaluate(async () => {
    const canvas = document.createElement("canvas");
    canvas.width = 800;
    canvas.height = 600;
    canvas.getContext("2d").fillRect(100, 100, 300, 300);
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.9));
    return [...new Uint8Array(await blob.arrayBuffer())];
  }));
  const n = (size, v) => { const b = Buffer.alloc(size); b.writeUIntBE(v, 0, size); return b; };
  const entry = (tag, type, count, value) => Buffer.concat([n(2, tag), n(2, type), n(4, count), value], 12);
  const list = (...e) => Buffer.concat([n(2, e.length), ...e, n(4, 0)]);
  const degrees = (...d) => Buffer.concat(d.flatMap((x) => [n(4, x), n(4, 1)]));
  const letter = (c) => Buffer.from(`${c}\0\0\0`, "latin1");
  const exif = 8 + 30, gps = exif + 18, far = gps + 54;
  const body = Buffer.concat([Buffer.from("Exif\0\0MM\0*", "latin1"), n(4, 8), list(entry(0x8769, 4, 1, n(4, exif)), entry(0x8825, 4, 1, n(4, gps))),
    list(entry(0x9003, 2, 20, n(4, far + 48))), list(entry(1, 2, 2, letter("N")), entry(2, 5, 3, n(4, far)), entry(3, 2, 2, letter("W")), entry(4, 5, 3, n(4, far + 24))),
    degrees(12, 34, 56), degrees(65, 43, 21), Buffer.from("2027:04:05 16:20:31\0", "latin1")]);
  return Buffer.concat([plain.subarray(0, 2), Buffer.from([0xff, 0xe1]), n(2, body.length + 2), body, plain.subarray(2)]);
}
