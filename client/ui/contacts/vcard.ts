// vCards: 3.0 (RFC 2426) and 4.0 (RFC 6350), which share how lines are folded, escaped and put together.
// A file comes from a stranger: it is bounded before it is taken apart, nothing in it is followed or
// shown as anything but text, and what cannot be read is said by line.
import { clean, type Person } from "./person";

export interface Found { people: Person[]; trouble: Trouble[] }

/** What could not be read, for the screen to put into words: the line, and which of its sentences. */
export interface Trouble { line: number; what: "v21" | "noName" | "cut" | "none" | "many" | "big" }

export const MAX_BYTES = 2 << 20;
export const MAX_PEOPLE = 500;
const MAX_LINE = 10_000; // characters of one unfolded line: a photo is longer, and not wanted

interface Line { at: number; name: string; params: string[]; value: string }

/** readVCards reads all cards of a file. */
export function readVCards(text: string): Found {
  const found: Found = { people: [], trouble: [] };
  if (text.length > MAX_BYTES) return { people: [], trouble: [{ line: 0, what: "big" }] };
  let card: Line[] | undefined;
  let begun = 0;
  for (const line of unfold(text)) {
    const v = line.value.trim().toUpperCase();
    if (line.name === "BEGIN" && v === "VCARD") {
      if (card) found.trouble.push({ line: begun, what: "cut" });
      [card, begun] = [[], line.at];
    } else if (line.name === "END" && v === "VCARD") {
      if (card) take(card, begun, found);
      card = undefined;
    } else if (card && card.length < 500) card.push(line);
    if (found.people.length >= MAX_PEOPLE) {
      found.trouble.push({ line: line.at, what: "many" });
      return found;
    }
  }
  if (card) found.trouble.push({ line: begun, what: "cut" });
  if (!found.people.length && !found.trouble.length) found.trouble.push({ line: 0, what: "none" });
  return found;
}

/** unfold joins folded lines (RFC 6350, section 3.2) and splits name, parameters and value (3.3). */
function* unfold(text: string): Generator<Line> {
  const raw = text.replace(/^\uFEFF/, "").split(/\r\n|\n|\r/);
  for (let i = 0; i < raw.length; i++) {
    let line = raw[i]!;
    const at = i + 1;
    while (i + 1 < raw.length && /^[ \t]/.test(raw[i + 1]!)) {
      const more = raw[++i]!.slice(1);
      if (line.length < MAX_LINE) line += more;
    }
    const one = split(line.slice(0, MAX_LINE), at);
    if (one) yield one;
  }
}

/** split finds the first colon outside quotes; a group in front of the name ("item1.") goes. */
function split(line: string, at: number): Line | undefined {
  let quoted = false;
  let from = 0;
  const head: string[] = [];
  for (let i = 0; i < line.length; i++) {
    const c = line[i];
    if (c === '"') quoted = !quoted;
    else if (!quoted && (c === ";" || c === ":")) {
      head.push(line.slice(from, i));
      from = i + 1;
      if (c === ":") {
        const [name = "", ...params] = head;
        return { at, name: name.replace(/^.*\./, "").trim().toUpperCase(), params: params.map((p) => p.toUpperCase().replaceAll('"', "")), value: line.slice(from) };
      }
    }
  }
  return undefined;
}

function take(card: Line[], at: number, found: Found) {
  const of = (name: string) => card.filter((l) => l.name === name && l.value.trim());
  // 2.1 says "quoted-printable", and nothing else does; what it means depends on a charset besides.
  const old = of("VERSION")[0]?.value.trim() === "2.1" || card.some((l) => l.params.some((p) => p.includes("QUOTED-PRINTABLE")));
  if (old) return void found.trouble.push({ line: at, what: "v21" });
  const text = (name: string) => unescape(of(name)[0]?.value ?? "");
  const org = unescape(parts(of("ORG")[0]?.value ?? "")[0] ?? "");
  const full = text("FN") || spoken(of("N")[0]?.value ?? "");
  const person = clean({ name: org || full, contact: org && full !== org ? full : "", phone: phoneOf(of("TEL")), email: unescape(best(of("EMAIL"))?.value ?? "").replace(/^mailto:/i, "") });
  if (!person.name) return void found.trouble.push({ line: at, what: "noName" });
  found.people.push(person);
}

/** parts splits a structured value at its bare semicolons (RFC 6350, section 3.4). */
const parts = (value: string) => value.match(/(?:\\.|[^;\\])+|(?=;)/g) ?? [];

/** spoken is "given family" out of N, which begins with the family. */
function spoken(n: string): string {
  const all = n.split(/(?<!\\);/).map(unescape);
  return [all[1], all[0]].filter(Boolean).join(" ");
}

/** phoneOf takes a mobile before anything else and a fax never; 4.0 may write a tel: address (RFC 3966). */
function phoneOf(lines: Line[]): string {
  const usable = lines.filter((l) => !has(l, "FAX") && !has(l, "PAGER"));
  const line = usable.find((l) => has(l, "CELL")) ?? best(usable);
  const value = unescape(line?.value ?? "").trim();
  return /^tel:/i.test(value) ? safeDecode(value.slice(4).split(";")[0]!) : value;
}

const has = (l: Line, type: string) => l.params.some((p) => p === type || (p.startsWith("TYPE=") && p.slice(5).split(",").includes(type)));

/** best is what the card prefers: PREF=1 in 4.0, TYPE=PREF in 3.0, else the first. */
function best(lines: Line[]): Line | undefined {
  const rank = (l: Line) => Number(l.params.find((p) => p.startsWith("PREF="))?.slice(5) ?? (has(l, "PREF") ? 1 : 101)) || 101;
  return [...lines].sort((a, b) => rank(a) - rank(b))[0];
}

const unescape = (value: string) => value.replace(/\\([nN;,:\\])/g, (_, c: string) => (c === "n" || c === "N" ? "\n" : c));
const safeDecode = (s: string) => { try { return decodeURIComponent(s); } catch { return s; } };

// ---- writing

const escape = (s: string) => s.replace(/[\\;,]/g, "\\$&").replace(/\r?\n/g, "\\n");
const bytes = new TextEncoder();

/** fold breaks after 75 octets at whole characters; what goes on begins with a blank that counts. */
function fold(line: string): string {
  let out = "";
  let room = 75;
  for (const c of line) {
    const n = bytes.encode(c).length;
    if (n > room) { out += "\r\n "; room = 74; }
    out += c;
    room -= n;
  }
  return out + "\r\n";
}

/** writeVCards writes people as vCards 4.0, or 3.0 for address books that know no other. */
export function writeVCards(people: Person[], version: "3.0" | "4.0"): string {
  return people.map((p) => {
    const lines = ["BEGIN:VCARD", `VERSION:${version}`, `FN:${escape(p.contact || p.name)}`, `N:${escape(p.contact || p.name)};;;;`, `ORG:${escape(p.name)}`];
    if (p.phone) lines.push(version === "4.0" ? `TEL;VALUE=uri;TYPE="voice,cell":tel:${p.phone.replace(/[^\d+]/g, "")}` : `TEL;TYPE=CELL,VOICE:${escape(p.phone)}`);
    if (p.email) lines.push(version === "4.0" ? `EMAIL:${escape(p.email)}` : `EMAIL;TYPE=INTERNET:${escape(p.email)}`);
    lines.push("END:VCARD");
    return lines.map(fold).join("");
  }).join("");
}
