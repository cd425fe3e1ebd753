// Telephone numbers as people write them, checked and made global (E.164) by a library that knows the
// numbering plans. It is a file of its own, fetched when a number is typed or brought.
import { parsePhoneNumberFromString, isSupportedCountry, type CountryCode } from "libphonenumber-js/min";

export interface Number { e164: string; shown: string; sure: boolean }

/** global makes a number global; undefined: it cannot be one. sure: the country's plan has such numbers. */
export function global(text: string, country: string): Number | undefined {
  if (text.length > 40) return undefined;
  const home = isSupportedCountry(country) ? (country as CountryCode) : undefined;
  const n = parsePhoneNumberFromString(text, home ? { defaultCountry: home, extract: false } : { extract: false });
  if (!n?.isPossible() || n.ext) return undefined;
  return { e164: n.number, shown: n.formatInternational(), sure: n.isValid() };
}
