import assert from "node:assert/strict";
import { test } from "node:test";
import { crc32, deflateSync } from "node:zlib";
import { chance } from "./chance.test-kit";
import { plainPNG, typeOf, wholePDF } from "./filetype";

const bytes = (s: string) => Uint8Array.from(s, (c) => c.charCodeAt(0) & 255);
const utf8 = (s: string) => new TextEncoder().encode(s);

// The signatures are those of the specifications (ISO 32000-2 7.5.2, PNG 5.2, T.81 B.1.1.3, ISO/IEC 23008-12 annex B, the WebP
// container) and of https://mimesniff.spec.whatwg.org, 6.1; the names in front say what a file may call itself.
test("a file is what its bytes are, whatever it is called", () => {
  for (const [called, file, type] of [
    ["permit.pdf", bytes("%PDF-1.7\n"), "application/pdf"],
    ["plan.png", bytes("\x89PNG\r\n\x1a\n\0\0\0\rIHDR"), "image/png"],
    ["IMG_1.jpg", bytes("\xff\xd8\xff\xe1"), "image/jpeg"],
    ["IMG_2.HEIC", bytes("\0\0\0\x18ftypheic\0\0\0\0"), "heic"],
    ["IMG_3.heif", bytes("\0\0\0\x18ftypmif1\0\0\0\0"), "heic"],
    ["a.avif", bytes("\0\0\0\x1cftypavif\0\0\0\0"), "picture"],
    ["a.webp", bytes("RIFF\x24\0\0\0WEBPVP8 "), "picture"],
    ["a.gif", bytes("GIF89a"), "picture"],
    ["note.txt", utf8("Delivered: 36 sheets.\r\n\tSe entregó el baño.\n"), "text/plain"],
    ["marked.txt", utf8("\ufeffA note"), "text/plain"],
    ["permit.pdf", utf8("<!DOCTYPE html><script>alert(1)</script>"), ""],
    ["permit.pdf", utf8("\ufeff \n<svg xmlns='http://www.w3.org/2000/svg'/>"), ""],
    ["plans.pdf", bytes("PK\x03\x04\x14\0"), ""],
    ["plans.pdf", bytes("MZ\x90\0\x03\0"), ""],
    ["old.txt", bytes("Ba\xf1o"), ""],
    ["bell.txt", utf8("ding\x07"), ""],
    ["blank.txt", utf8(" \n "), ""],
    ["nothing", new Uint8Array(), ""],
  ] as const) assert.equal(typeOf(file), type, called);
});

test("a PDF has an end", () => {
  assert.ok(wholePDF(bytes("%PDF-1.7\n…\nstartxref\n9\n%%EOF\n")));
  assert.ok(!wholePDF(bytes("%PDF-1.7\n…\nstartxref\n9\n")));
  assert.ok(!wholePDF(bytes("%PDF-1.7\nstartxref\n9\n%%EOF\n" + " ".repeat(2000))));
});

test("a PNG keeps its picture and nothing else", () => {
  const chunk = (name: string, body: Uint8Array) => {
    const out = Buffer.alloc(12 + body.length);
    out.writeUInt32BE(body.length, 0);
    out.write(name, 4, "latin1");
    out.set(body, 8);
    out.writeUInt32BE(crc32(out.subarray(4, 8 + body.length)), 8 + body.length);
    return out;
  };
  const head = chunk("IHDR", bytes("\0\0\0\x01\0\0\0\x01\x08\0\0\0\0")), rows = chunk("IDAT", deflateSync(bytes("\0\x7f"))), end = chunk("IEND", new Uint8Array());
  const first = bytes("\x89PNG\r\n\x1a\n");
  const full = Buffer.concat([first, head, chunk("eXIf", bytes("II*\0 here")), chunk("iDOT", bytes("1234")), chunk("tEXt", bytes("Comment\0at home")), rows, end]);
  const plain = plainPNG(full.buffer.slice(full.byteOffset, full.byteOffset + full.length) as ArrayBuffer);
  assert.deepEqual(Buffer.from(plain), Buffer.concat([first, head, rows, end]));
});

// Any bytes behind any beginning: one of the known answers, at every length, and an end.
test("a stranger's file is something or nothing, never trouble", () => {
  const begins = ["%PDF-", "\x89PNG\r\n\x1a\n", "\xff\xd8\xff", "\0\0\0\x18ftyp", "GIF8", "RIFF", "<", "\ufeff", "", "A note"];
  for (let seed = 1; seed <= 2000; seed++) {
    const dice = chance(seed);
    const file = new Uint8Array([...bytes(begins[dice(begins.length)]!), ...Array.from({ length: dice(90) }, () => dice(256))]);
    const type = typeOf(file);
    assert.ok(["application/pdf", "image/png", "image/jpeg", "text/plain", "picture", "heic", ""].includes(type), `seed ${seed}: ${type}`);
    if (type === "text/plain") assert.equal(new TextEncoder().encode(new TextDecoder("utf-8", { ignoreBOM: true }).decode(file)).join(), file.join(), `seed ${seed}`);
    assert.equal(typeof wholePDF(file), "boolean");
    assert.ok(plainPNG(file.buffer.slice(0) as ArrayBuffer).byteLength <= file.length, `seed ${seed}`);
  }
});
