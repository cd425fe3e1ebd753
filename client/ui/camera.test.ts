import assert from "node:assert/strict";
import { test } from "node:test";
import { spawnSync } from "node:child_process";
import { read, taken, type Taken } from "./camera";
import { chance } from "./chance.test-kit";

/** shot is the beginning of a JPEG with Exif in it, laid out as in Exif 2.3: 4.5.2 (segment), 4.6.2 (directories), 4.6.5 and 4.6.6 (tags). */
function shot(little: boolean, when: string, lat: [string, number[]], lon: [string, number[]]): Buffer {
  const w = (n: number, v: number) => { const b = Buffer.alloc(n); if (little) b.writeUIntLE(v, 0, n); else b.writeUIntBE(v, 0, n); return b; };
  const letters = (s: string, n = s.length + 1) => Buffer.concat([Buffer.from(s, "latin1"), Buffer.alloc(n)], n);
  const entry = (tag: number, type: number, count: number, value: Buffer) => Buffer.concat([w(2, tag), w(2, type), w(4, count), value], 12);
  const list = (...e: Buffer[]) => Buffer.concat([w(2, e.length), ...e, w(4, 0)]);
  const size = (n: number) => 2 + 12 * n + 4;
  const exif = 8 + size(2), gps = exif + size(1), far = gps + size(4);
  const rational = (r: number[]) => Buffer.concat(r.map((n) => w(4, n)));
  const tiff = Buffer.concat([
    Buffer.from(little ? "II*\0" : "MM\0*", "latin1"), w(4, 8),
    list(entry(0x8769, 4, 1, w(4, exif)), entry(0x8825, 4, 1, w(4, gps))),
    list(entry(0x9003, 2, 20, w(4, far + 48))),
    list(entry(1, 2, 2, letters(lat[0], 4)), entry(2, 5, 3, w(4, far)), entry(3, 2, 2, letters(lon[0], 4)), entry(4, 5, 3, w(4, far + 24))),
    rational(lat[1]), rational(lon[1]), letters(when),
  ]);
  const body = Buffer.concat([Buffer.from("Exif\0\0", "latin1"), tiff]);
  const length = Buffer.alloc(2);
  length.writeUInt16BE(body.length + 2);
  return Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xe0, 0, 4, 0, 0, 0xff, 0xe1]), length, body, Buffer.from([0xff, 0xd9])]);
}

const of = (b: Buffer) => read(b.buffer.slice(b.byteOffset, b.byteOffset + b.length) as ArrayBuffer);
const N: [string, number[]] = ["N", [45, 1, 31, 1, 23340, 1000]], W: [string, number[]] = ["W", [122, 1, 40, 1, 35400, 1000]];

test("when and where a camera took a picture", () => {
  const there = { taken: "2027-04-06T13:58", latitude: 45_523_150, longitude: -122_676_500 };
  for (const little of [false, true]) {
    assert.deepEqual(of(shot(little, "2027:04:06 13:58:11", N, W)), there);
    assert.deepEqual(of(shot(little, "2027:04:06 13:58:11", ["S", N[1]], ["E", W[1]])), { ...there, latitude: -45_523_150, longitude: 122_676_500 });
    // A camera without a fix writes 0/0, one without a clock blanks or zeros (4.6.5).
    assert.deepEqual(of(shot(little, "0000:00:00 00:00:00", N, ["W", [0, 0, 0, 0, 0, 0]])), {});
    assert.deepEqual(of(shot(little, "    :  :     :  :  ", ["N", [91, 1, 0, 1, 0, 1]], W)), {});
    assert.deepEqual(of(shot(little, "2027:02:30 08:00:00", ["N", [0, 1, 0, 1, 0, 1]], ["E", [0, 1, 0, 1, 0, 1]])), {}, "no such day, and the place of a camera that has none");
  }
});

test("another reader of Exif sees the same", (t) => {
  const tool = "convert"; // ImageMagick
  if (spawnSync(tool, ["-version"]).status !== 0) return t.skip("ImageMagick is not installed");
  const picture = spawnSync(tool, ["-size", "8x8", "xc:white", "jpg:-"]).stdout as Buffer;
  for (const little of [false, true]) {
    const head = shot(little, "2027:04:06 13:58:11", N, W);
    const whole = Buffer.concat([head.subarray(0, -2), picture.subarray(2)]);
    const said = String(spawnSync(tool, ["jpg:-", "-format", "%[EXIF:DateTimeOriginal]|%[EXIF:GPSLatitude]|%[EXIF:GPSLatitudeRef]|%[EXIF:GPSLongitude]|%[EXIF:GPSLongitudeRef]", "info:-"], { input: whole }).stdout);
    assert.equal(said.replace(/\s/g, ""), "2027:04:0613:58:11|45/1,31/1,23340/1000|N|122/1,40/1,35400/1000|W");
  }
});

test("a stranger's file ends in nothing, not in trouble", async () => {
  const whole = shot(true, "2027:04:06 13:58:11", N, W);
  const good = (v: Taken) => (v.taken === undefined || /^2[01]\d\d-\d\d-\d\dT\d\d:\d\d$/.test(v.taken))
    && (v.latitude === undefined || (Number.isInteger(v.latitude) && Math.abs(v.latitude) <= 90e6 && Number.isInteger(v.longitude) && Math.abs(v.longitude!) <= 180e6));
  for (let n = 0; n <= whole.length; n++) assert.ok(good(await taken(new Blob([whole.subarray(0, n)]))), `cut off at ${n}`);
  for (let seed = 1; seed <= 3000; seed++) {
    const dice = chance(seed);
    const spoilt = Buffer.from(whole);
    for (let k = 1 + dice(4); k > 0; k--) spoilt[dice(spoilt.length)] = dice(256);
    assert.ok(good(await taken(new Blob([spoilt]))), `seed ${seed}`);
  }
});
