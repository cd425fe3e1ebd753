// A picture is kept on the phone at once, comes to the others later, and does not say where it was taken.
import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { rmSync } from "node:fs";
import { holds, letsGo, letsOneGo } from "./rig/held.mjs";
import { story } from "./rig/story.mjs";
import { en } from "./rig/words.mjs";

story("a picture taken without signal is seen on the other phone, without the place", async ({ phone, server }) => {
  const marit = await phone();
  await marit.packed();
  const shot = await camera(marit.page);
  assert.ok(shot.includes("Exif"), "the camera writes the place into the picture");
  assert.equal(place(shot), true, "which a reader of Exif finds");

  marit.wire.cut();
  await marit.go("#/holds/framing", "holds");
  const hold = marit.page.locator('[data-hold="framing"]');
  await hold.getByText(/2 of 6/).waitFor();
  await take(hold, shot);
  await shown(hold, 1);
  await hold.getByText(/3 of 6/).waitFor();
  await marit.unsent(1);
  await marit.page.reload();
  await marit.onScreen("holds");
  await shown(hold, 1); // out of the phone's own store
  await marit.go("#/photos", "photos");
  await marit.sees(en.photos.waiting(2)); // the picture and its small copy

  marit.wire.mend();
  await marit.sent();
  await marit.page.getByText(en.photos.waiting(2)).waitFor({ state: "detached" });
  const dov = await phone();
  await dov.open("#/holds/framing");
  await dov.onScreen("holds");
  const there = dov.page.locator('[data-hold="framing"]');
  await shown(there, 1);
  await there.locator(".strip-of button").first().click();
  const large = dov.page.locator("dialog.large img[data-large=yes]");
  await large.waitFor();
  const [wide, high] = await large.evaluate((img) => [img.naturalWidth, img.naturalHeight]);
  assert.deepEqual([wide, high], [2048, 1365], "3000 by 2000, made smaller");
  await dov.field(en.photos.line).fill("Straps on both plates");
  await holds(dov);
  const save = dov.thing(en.save, dov.page.locator("dialog.large"));
  const share = dov.page.locator("dialog.large").getByRole("checkbox");
  await dov.tap(save);
  await share.click();
  await letsOneGo(dov);
  await save.waitFor({ state: "detached" });
  assert.equal(await share.isChecked(), true, "a tick stays when the answer to something before it is drawn");
  await letsGo(dov);
  await dov.tap(en.photos.close, dov.page.locator("dialog.large"));
  await dov.sent();

  const site = JSON.parse(await dov.siteBytes());
  assert.equal(site.photos.length, 1);
  const [photo] = site.photos;
  assert.deepEqual([photo.on, photo.said, photo.share, photo.wide, photo.high], ["framing", "Straps on both plates", true, 2048, 1365]);
  for (const name of [photo.file, photo.small]) {
    const bytes = await served(dov.page, name);
    assert.equal(createHash("sha256").update(bytes).digest("hex"), name, "the name is the hash of the bytes");
    assert.ok(!bytes.includes("Exif") && !bytes.includes("GPS"), "nothing of the camera's notes is left");
    assert.equal(place(bytes), false);
  }

  // The server loses the file. Whoever looks next has it asked for, and a phone that has it hands it in.
  for (const name of [photo.file, photo.small]) rmSync(`${server.folder}/photos/${await siteId(dov.page)}/${name}`);
  const lena = await phone();
  await lena.open("#/holds/framing");
  await lena.onScreen("holds");
  await shown(lena.page.locator('[data-hold="framing"]'), 1);
});

const take = (where, shot) => where.locator("input[type=file]").setInputFiles({ name: "IMG_0001.jpg", mimeType: "image/jpeg", buffer: shot });

/** shown waits until so many pictures are drawn, not only spoken of. */
async function shown(where, n) {
  await where.locator(`.strip-of[data-count="${n}"] img`).nth(n - 1).waitFor();
  await where.page().waitForFunction((count) =>
    [...document.querySelectorAll(".strip-of img")].filter((i) => i.complete && i.naturalWidth > 0).length >= count, n);
}

const siteId = (page) => page.evaluate(() => localStorage.getItem("bb.site"));

async function served(page, name) {
  const list = await page.evaluate(async (file) =>
    [...new Uint8Array(await (await fetch(`/api/photo/${file}?site=${localStorage.getItem("bb.site")}`)).arrayBuffer())], name);
  return Buffer.from(list);
}

/** camera makes a picture as a phone's camera would: large, and with the place in it. */
async function camera(page) {
  const plain = Buffer.from(await page.evaluate(async () => {
    const canvas = document.createElement("canvas");
    canvas.width = 3000;
    canvas.height = 2000;
    const pen = canvas.getContext("2d");
    for (let i = 0; i < 60; i++) {
      pen.fillStyle = `hsl(${i * 6} 60% 50%)`;
      pen.fillRect(i * 50, (i % 7) * 250, 300, 400);
    }
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.9));
    return [...new Uint8Array(await blob.arrayBuffer())];
  }));
  return Buffer.concat([plain.subarray(0, 2), gps(), plain.subarray(2)]);
}

/** gps is an Exif segment with a latitude and a longitude (Exif 2.3, 4.6.6: GPSLatitudeRef to GPSLongitude). */
function gps() {
  const entry = (tag, type, count, value) => { const b = Buffer.alloc(12); b.writeUInt16BE(tag, 0); b.writeUInt16BE(type, 2); b.writeUInt32BE(count, 4); value.copy(b, 8); return b; };
  const long = (n) => { const b = Buffer.alloc(4); b.writeUInt32BE(n); return b; };
  const degrees = (...n) => Buffer.concat(n.flatMap((x) => [long(x), long(1)]));
  const head = Buffer.concat([Buffer.from("MM\0*", "latin1"), long(8)]);
  const first = Buffer.concat([Buffer.from([0, 1]), entry(0x8825, 4, 1, long(26)), long(0)]);
  const at = 26 + 2 + 4 * 12 + 4;
  const place = Buffer.concat([Buffer.from([0, 4]), entry(1, 2, 2, Buffer.from("N\0\0\0", "latin1")), entry(2, 5, 3, long(at)),
    entry(3, 2, 2, Buffer.from("W\0\0\0", "latin1")), entry(4, 5, 3, long(at + 24)), long(0), degrees(12, 34, 56), degrees(65, 43, 21)]);
  const body = Buffer.concat([Buffer.from("Exif\0\0", "latin1"), head, first, place]);
  const length = Buffer.alloc(2);
  length.writeUInt16BE(body.length + 2);
  return Buffer.concat([Buffer.from([0xff, 0xe1]), length, body]);
}

/** place says whether the pointer to a GPS directory (tag 0x8825) is in the first directory of a picture's Exif. */
function place(bytes) {
  const exif = bytes.indexOf("Exif\0\0", 0, "latin1");
  if (exif < 0) return false;
  const tiff = bytes.subarray(exif + 6);
  const first = tiff.readUInt32BE(4);
  for (let i = 0; i < tiff.readUInt16BE(first); i++) if (tiff.readUInt16BE(first + 2 + 12 * i) === 0x8825) return true;
  return false;
}
