import assert from "node:assert/strict";
import { createHash, webcrypto } from "node:crypto";
import { test } from "node:test";
import { plain, sha256 } from "./sha256";

const hex = (b: Uint8Array) => Buffer.from(b).toString("hex");
const text = (s: string) => new TextEncoder().encode(s);

test("the examples of FIPS 180-2, appendix B", () => {
  assert.equal(hex(plain(text("abc"))), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  assert.equal(hex(plain(text("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"))),
    "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
});

test("the same as node's own, at every length around a block, and on a large one", async () => {
  for (const n of [...Array(200).keys(), 4096, 1_000_003]) {
    const b = new Uint8Array(n).map((_, i) => (i * 7919 + n) & 255);
    const want = createHash("sha256").update(b).digest("hex");
    assert.equal(hex(plain(b)), want, `${n} bytes`);
    if (n < 70) assert.equal(await sha256(b.buffer), want);
  }
  assert.ok(webcrypto.subtle);
});
