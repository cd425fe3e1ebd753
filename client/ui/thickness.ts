// Thickness and what a floor carries, as the tape, the can and the drawing say them. The site keeps whole
// sixty-fourths of an inch and whole pounds a square foot.
import { numeral } from "./number";

const INCH = 25.4; // mm exactly: international yard and pound agreement, 1959; NIST SP 811, from memory
const FRACTIONS: Record<string, string> = { "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8" };

/** sixtyFourths reads 1/2, 1 1/8, 0.5, 3/4", 12 mm: null for nothing, undefined for what is no thickness. */
export function sixtyFourths(text: string, units: string): number | null | undefined {
  const s = text.replace(/[½¼¾⅛⅜⅝⅞]/g, (f) => FRACTIONS[f]!).trim();
  if (!s) return null;
  const m = /^(.*?)\s*(in\.?|inch(?:es)?|pulg\.?|"|″|''|mm|cm)?$/i.exec(s)!;
  const n = amount(m[1]!);
  if (n === undefined || n < 0) return undefined;
  const unit = (m[2] ?? (units === "metric" ? "mm" : "in")).toLowerCase();
  return Math.round((unit === "mm" ? n / INCH : unit === "cm" ? (n * 10) / INCH : n) * 64);
}

function amount(s: string): number | undefined {
  const m = /^(?:(\d{1,3})[ -]+)?(\d{1,3})\/(\d{1,3})$/.exec(s.trim());
  if (!m) return numeral(s);
  return Number(m[3]) > 0 ? Number(m[1] ?? 0) + Number(m[2]) / Number(m[3]) : undefined;
}

/** thickness shows 32 as 1/2, and as 12.7 where millimetres are read. */
export function thickness(n: number, units: string): string {
  if (units === "metric") return String(Math.round((n * INCH * 10) / 64) / 10);
  const whole = Math.floor(n / 64);
  let top = n % 64, of = 64;
  while (top && top % 2 === 0) { top /= 2; of /= 2; }
  return [whole || !top ? String(whole) : "", top ? `${top}/${of}` : ""].filter(Boolean).join(" ");
}

const PER_FOOT = 4.882428; // kg a square metre for a pound a square foot: NIST SP 811, appendix B, from memory

export function carried(text: string, units: string): number | null | undefined {
  if (!text.trim()) return null;
  const n = numeral(text);
  return n === undefined ? undefined : Math.round(units === "metric" ? n / PER_FOOT : n);
}

export const carries = (n: number, units: string): string => String(units === "metric" ? Math.round(n * PER_FOOT) : n);
