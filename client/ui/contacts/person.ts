// One person as address books have them: what of it a crew's record takes.
export interface Person { name: string; contact: string; phone: string; email: string }

const MOST = { name: 80, contact: 80, phone: 40, email: 120 };

/** clean keeps one line of printable text of each, and no sign that turns the reading direction. */
export function clean(p: Person): Person {
  const one = (s: string, most: number) => [...s.replace(/[\p{C}\p{Zl}\p{Zp}\s]+/gu, " ").trim()].slice(0, most).join("");
  return { name: one(p.name, MOST.name), contact: one(p.contact, MOST.contact), phone: one(p.phone, MOST.phone), email: mail(one(p.email, MOST.email)) };
}

/** mail is an address that can be one, or nothing: a letter that comes back helps nobody. */
const mail = (s: string) => (/^[^\s@<>",;:\\]+@[^\s@<>",;:\\]+\.[^\s@<>",;:\\]+$/.test(s) ? s : "");
