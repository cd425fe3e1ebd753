// Tells what a file is by its bytes, as the server does (server/paperscheck.go): a name can say anything.

export type Kept = "application/pdf" | "image/png" | "image/jpeg" | "text/plain";

/** The endings of files of each type. */
export const ENDINGS: Record<Kept, string> = { "application/pdf": "pdf", "image/png": "png", "image/jpeg": "jpg", "text/plain": "txt" };

/** Brands of the ISO base media format (ISO/IEC 23008-12, annex B) that stand for pictures in HEVC. */
const HEIC = ["heic", "heix", "heim", "heis", "hevc", "hevx", "mif1", "msf1"];

/** typeOf tells the type; "picture" is one that is drawn anew before it is kept, "" none that is kept. */
export function typeOf(bytes: Uint8Array): Kept | "picture" | "heic" | "" {
  const head = String.fromCharCode(...bytes.subarray(0, 16));
  if (head.startsWith("%PDF-")) return "application/pdf";
  if (head.startsWith("\x89PNG\r\n\x1a\n")) return "image/png";
  if (head.startsWith("\xff\xd8\xff")) return "image/jpeg";
  if (head.slice(4, 8) === "ftyp") return HEIC.includes(head.slice(8, 12)) ? "heic" : "picture";
  if (head.startsWith("GIF8") || head.startsWith("BM") || (head.startsWith("RIFF") && head.slice(8, 12) === "WEBP")) return "picture";
  return readsAsText(bytes) ? "text/plain" : "";
}

/** readsAsText: UTF-8 without controls but those of lines, and no page or drawing that a browser might run. */
function readsAsText(bytes: Uint8Array): boolean {
  try {
    const text = new TextDecoder("utf-8", { fatal: true }).decode(bytes);
    return /^[^\0-\x08\x0b\x0e-\x1f\x7f-\x9f]*$/.test(text) && /^[ \t\r\n\f]*[^< \t\r\n\f]/.test(text);
  } catch {
    return false;
  }
}

/** wholePDF looks for the end of a PDF, as the server does. */
export function wholePDF(bytes: Uint8Array): boolean {
  const end = String.fromCharCode(...bytes.subarray(-1024));
  const table = end.lastIndexOf("startxref");
  return table >= 0 && end.includes("%%EOF", table);
}

/** What makes a picture in a PNG; some browsers write more, which the server does not take. */
const PICTURE = ["IHDR", "PLTE", "IDAT", "IEND", "tRNS", "gAMA", "cHRM", "sRGB", "iCCP", "cICP", "sBIT", "bKGD", "pHYs"];

/** plainPNG leaves out of a PNG what is not the picture. */
export function plainPNG(bytes: ArrayBuffer): ArrayBuffer {
  const view = new DataView(bytes);
  const parts = [bytes.slice(0, 8)];
  for (let at = 8; at + 12 <= bytes.byteLength; ) {
    const next = at + 12 + view.getUint32(at);
    const name = String.fromCharCode(...new Uint8Array(bytes, at + 4, 4));
    if (PICTURE.includes(name)) parts.push(bytes.slice(at, next));
    at = next;
  }
  const out = new Uint8Array(parts.reduce((n, p) => n + p.byteLength, 0));
  let at = 0;
  for (const p of parts) { out.set(new Uint8Array(p), at); at += p.byteLength; }
  return out.buffer;
}
