// Weights as they are typed: in the site's unit, or with the other one behind the number. The site keeps whole
// kilograms; of the pounds that come to so many the roundest is shown (the same as client/engine/measure).
const POUND = 0.45359237; // kg, NIST Handbook 44, appendix C

export const kilos = (pounds: number): number => Math.round(pounds * POUND);

export function pounds(kg: number): number {
  const near = Math.round(kg / POUND);
  for (const round of [1000, 100, 50, 10, 5]) {
    const lb = Math.round(near / round) * round;
    if (kilos(lb) === kg) return lb;
  }
  return near;
}

/** weighed reads "100", "100 lb", "45 kg" or "45,5 kg": whole kilograms, null for nothing, undefined for what is no weight. */
export function weighed(text: string, units: string): number | null | undefined {
  if (!text.trim()) return null;
  const m = /^\s*(\d{1,9}(?:[.,]\d{1,3})?)\s*(lbs?\.?|pounds?|libras?|kgs?\.?|kilos?)?\s*$/i.exec(text.replace(/(\d),(?=\d{3}\b)/g, "$1")); // 1,000 is a thousand
  if (!m) return undefined;
  const n = Number(m[1]!.replace(",", "."));
  return (m[2] ? /^[lp]/i.test(m[2]) : units !== "metric") ? kilos(n) : Math.round(n);
}

export const shown = (kg: number, units: string): string => String(units === "metric" ? kg : pounds(kg));
