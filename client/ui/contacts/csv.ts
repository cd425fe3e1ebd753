// Tables of contacts (RFC 4180), as address books and spreadsheets write them: commas, semicolons or
// tabs, in English or Spanish.
import { MAX_BYTES, MAX_PEOPLE, type Found } from "./vcard";
import { clean, type Person } from "./person";

/** readRows takes a table apart. A quote that never ends takes the rest of the file with it, as it says. */
export function readRows(text: string, by: string): string[][] {
  const rows: string[][] = [];
  let row: string[] = [];
  let cell = "";
  let quoted = false;
  const end = () => { row.push(cell); cell = ""; };
  for (let i = 0; i < text.length; i++) {
    const c = text[i]!;
    if (quoted) {
      if (c !== '"') cell += c;
      else if (text[i + 1] === '"') { cell += '"'; i++; }
      else quoted = false;
    } else if (c === '"' && !cell) quoted = true;
    else if (c === by) end();
    else if (c === "\n" || c === "\r") {
      if (c === "\r" && text[i + 1] === "\n") i++;
      end();
      rows.push(row);
      row = [];
    } else cell += c;
  }
  if (cell || row.length) { end(); rows.push(row); }
  return rows;
}

/** Which column is what, by the words that stand over it in either language. */
const HEADS: Record<keyof Person | "given" | "family", RegExp> = {
  name: /^(organi[sz]ation( name| 1 - name)?|company( name)?|firm|crew|empresa|organizaci[oó]n|cuadrilla|name|nombre|display name|full name|nombre completo)$/i,
  contact: /^(contact( person)?|contacto|person|persona)$/i,
  phone: /^(mobile( phone)?|cell( phone)?|phone( number)?( 1 - value)?|primary phone|tel(ephone|[eé]fono)?|m[oó]vil|celular|n[uú]mero)$/i,
  email: /^(e-?mail( address)?( 1 - value)?|correo( electr[oó]nico)?)$/i,
  given: /^(first name|given name|nombre de pila)$/i,
  family: /^(last name|family name|surname|apellidos?)$/i,
};

export function readTable(text: string): Found {
  if (text.length > MAX_BYTES) return { people: [], trouble: [{ line: 0, what: "big" }] };
  const plain = text.replace(/^\uFEFF/, "");
  const first = plain.split(/\r?\n|\r/, 1)[0] ?? "";
  const by = [",", ";", "\t"].sort((a, b) => first.split(b).length - first.split(a).length)[0]!;
  const [head = [], ...rows] = readRows(plain, by);
  const at = (want: RegExp) => head.findIndex((h) => want.test(h.trim()));
  const col = Object.fromEntries(Object.entries(HEADS).map(([k, want]) => [k, at(want)])) as Record<keyof typeof HEADS, number>;
  const found: Found = { people: [], trouble: [] };
  if ((col.name < 0 && col.given < 0 && col.family < 0) || (col.phone < 0 && col.email < 0)) return { people: [], trouble: [{ line: 1, what: "none" }] };
  for (const [i, row] of rows.entries()) {
    if (row.every((c) => !c.trim())) continue;
    if (found.people.length >= MAX_PEOPLE) { found.trouble.push({ line: i + 2, what: "many" }); break; }
    const cell = (k: keyof typeof HEADS) => (col[k] >= 0 ? row[col[k]] ?? "" : "");
    const own = [cell("given"), cell("family")].filter(Boolean).join(" ");
    const person = clean({ name: cell("name") || own, contact: cell("contact") || (cell("name") ? own : ""), phone: cell("phone").split(" ::: ")[0]!, email: cell("email").split(" ::: ")[0]! });
    if (person.name) found.people.push(person);
    else found.trouble.push({ line: i + 2, what: "noName" });
  }
  return found;
}

/**
 * writeTable writes people as a table. Spreadsheets take a cell that begins like a formula for one, so
 * such a cell gets an apostrophe in front; a number's plus is its own.
 */
export function writeTable(people: Person[], heads: string[]): string {
  const cell = (s: string) => {
    const safe = /^[=@\t\r-]/.test(s) || (s.startsWith("+") && !/^\+\d[\d ]*$/.test(s)) ? `'${s}` : s;
    return /[",;\r\n\t]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
  };
  return [heads, ...people.map((p) => [p.name, p.contact, p.phone, p.email])].map((row) => row.map(cell).join(",") + "\r\n").join("");
}
