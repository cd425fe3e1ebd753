// SHA-256 (FIPS 180-4). Browsers have it, but only on https:// and localhost; a site that is opened
// over plain http in the same Wi-Fi gets these lines.
export async function sha256(bytes: ArrayBuffer): Promise<string> {
  const subtle = globalThis.crypto?.subtle as SubtleCrypto | undefined;
  return hex(subtle ? new Uint8Array(await subtle.digest("SHA-256", bytes)) : plain(new Uint8Array(bytes)));
}

const hex = (b: Uint8Array) => Array.from(b, (x) => x.toString(16).padStart(2, "0")).join("");

/** primes: the first n; the constants are the fractions of their roots (sections 4.2.2 and 5.3.3). */
function primes(n: number): number[] {
  const list: number[] = [];
  for (let x = 2; list.length < n; x++) if (list.every((p) => x % p)) list.push(x);
  return list;
}
const fraction = (x: number) => ((x - Math.floor(x)) * 2 ** 32) >>> 0;
const K = primes(64).map((p) => fraction(Math.cbrt(p)));
const START = primes(8).map((p) => fraction(Math.sqrt(p)));
const turn = (x: number, n: number) => (x >>> n) | (x << (32 - n));

export function plain(message: Uint8Array): Uint8Array {
  const blocks = new Uint8Array(((message.length + 8) >> 6) * 64 + 64);
  blocks.set(message);
  blocks[message.length] = 0x80;
  const view = new DataView(blocks.buffer);
  view.setUint32(blocks.length - 8, Math.floor(message.length / 2 ** 29));
  view.setUint32(blocks.length - 4, message.length << 3);
  const h = Int32Array.from(START);
  const w = new Int32Array(64);
  for (let at = 0; at < blocks.length; at += 64) block(h, w, view, at);
  const out = new DataView(new ArrayBuffer(32));
  h.forEach((x, i) => out.setInt32(4 * i, x));
  return new Uint8Array(out.buffer);
}

/** block is section 6.2.2. */
function block(h: Int32Array, w: Int32Array, view: DataView, at: number) {
  for (let i = 0; i < 16; i++) w[i] = view.getInt32(at + 4 * i);
  for (let i = 16; i < 64; i++) {
    const a = w[i - 15]!, b = w[i - 2]!;
    w[i] = w[i - 16]! + w[i - 7]! + (turn(a, 7) ^ turn(a, 18) ^ (a >>> 3)) + (turn(b, 17) ^ turn(b, 19) ^ (b >>> 10));
  }
  let [a, b, c, d, e, f, g, z] = h as unknown as [number, number, number, number, number, number, number, number];
  for (let i = 0; i < 64; i++) {
    const t = (z + (turn(e, 6) ^ turn(e, 11) ^ turn(e, 25)) + ((e & f) ^ (~e & g)) + K[i]! + w[i]!) | 0;
    const u = ((turn(a, 2) ^ turn(a, 13) ^ turn(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [z, g, f, e, d, c, b, a] = [g, f, e, (d + t) | 0, c, b, a, (t + u) | 0];
  }
  [a, b, c, d, e, f, g, z].forEach((x, i) => { h[i] = h[i]! + x; });
}
