import assert from "node:assert/strict";
import { test } from "node:test";
import ICAL from "ical.js";
import { readRows, readTable, writeTable } from "./csv";
import { countryOf } from "./country";
import { global } from "./phone";
import { MAX_BYTES, MAX_PEOPLE, readVCards, writeVCards } from "./vcard";

const crlf = (s: string) => s.trim().replaceAll("\n", "\r\n") + "\r\n";

// Put together after the examples of RFC 6350: section 3.2 (folding), 3.4 (escapes), 6.4.1 (TEL as a URI
// with a preferred one), 6.6.4 (ORG with units).
test("a card of version 4.0", () => {
  const { people, trouble } = readVCards(crlf(`
BEGIN:VCARD
VERSION:4.0
FN:Dr. Rosa
  Lumbre\\, jr.
N:Lumbre;Rosa;;Dr.;
ORG:Rough\\; Wire Co.;North American Division;Marketing
item1.TEL;VALUE=uri;PREF=1;TYPE="voice,home":tel:+1-555-555-0100;ext=5555
TEL;VALUE=uri;TYPE="voice,cell":tel:+1-555-555-0101
EMAIL;PREF=2:b@example.net
EMAIL;PREF=1:a@example.net
NOTE:one\\ntwo
PHOTO:data:image/jpeg;base64,${"A".repeat(20000)}
END:VCARD`));
  assert.deepEqual(trouble, []);
  assert.deepEqual(people, [{ name: "Rough; Wire Co.", contact: "Dr. Rosa Lumbre, jr.", phone: "+1-555-555-0101", email: "a@example.net" }]);
});

// RFC 2426: section 7 shows such cards (FN, ORG, TEL;TYPE=VOICE,MSG,WORK, EMAIL;TYPE=INTERNET,PREF).
test("a card of version 3.0", () => {
  const { people } = readVCards("begin:vcard\nVERSION:3.0\nN:Batts;Ana;;;\nFN:Ana Batts\nTEL;TYPE=FAX:+1-555-555-0109\nTEL;TYPE=VOICE,MSG,WORK:+1-555-555-0110\nEMAIL;TYPE=INTERNET:x@example.net\nEMAIL;TYPE=INTERNET,PREF:ana@example.net\nend:vcard\nBEGIN:VCARD\nVERSION:3.0\nN:Solo;Leo\nTEL:5550111\nEND:VCARD");
  assert.deepEqual(people, [
    { name: "Ana Batts", contact: "", phone: "+1-555-555-0110", email: "ana@example.net" },
    { name: "Leo Solo", contact: "", phone: "5550111", email: "" },
  ]);
});

test("what cannot be read is said, and the rest comes in", () => {
  const good = "BEGIN:VCARD\nVERSION:4.0\nFN:Good\nEND:VCARD\n";
  const old = "BEGIN:VCARD\nVERSION:2.1\nN;ENCODING=QUOTED-PRINTABLE;CHARSET=UTF-8:=C3=91u;Ana\nEND:VCARD\n";
  assert.deepEqual(readVCards(old + good + "BEGIN:VCARD\nTEL:1\nEND:VCARD\nBEGIN:VCARD\nFN:Cut"), {
    people: [{ name: "Good", contact: "", phone: "", email: "" }],
    trouble: [{ line: 1, what: "v21" }, { line: 9, what: "noName" }, { line: 12, what: "cut" }],
  });
  for (const [text, what] of [["", "none"], ["%PDF-1.4", "none"], ["x".repeat(MAX_BYTES + 1), "big"], ["BEGIN:VCARD\nBEGIN:VCARD\nFN:A\nEND:VCARD", "cut"]] as const) {
    assert.equal(readVCards(text).trouble[0]?.what, what);
  }
  assert.deepEqual([readVCards(good.repeat(MAX_PEOPLE + 5)).people.length, readVCards(good.repeat(MAX_PEOPLE + 5)).trouble[0]?.what], [MAX_PEOPLE, "many"]);
});

test("a stranger's card is text of bounded length and nothing else", () => {
  const { people } = readVCards(`BEGIN:VCARD\nFN:<img src=x onerror=alert(1)>\u202e${"n".repeat(5000)}\nTEL:javascript:alert(1)\nEMAIL:a@b.c\\nBcc: d@e.f\nEND:VCARD`);
  assert.equal([...people[0]!.name].length, 80);
  assert.ok(people[0]!.name.startsWith("<img src=x onerror=alert(1)>") && !people[0]!.name.includes("\u202e"));
  assert.equal(people[0]!.email, "");
  assert.equal(global(people[0]!.phone, "US"), undefined);
  // Any bytes: never an error, never more than there is room for. The seed is printed when it fails.
  for (let seed = 1; seed <= 300; seed++) {
    let x = seed;
    const dice = () => (x = (x * 1103515245 + 12345) % 2147483648);
    const bits = ["BEGIN:VCARD", "END:VCARD", "FN:", "TEL", ";", ":", '"', "\\", "\r\n", "\n ", ",", "=", "\u0000", "ñ", "😀", "VERSION:3.0", "TYPE=CELL", "N:;;"];
    const text = Array.from({ length: dice() % 80 }, () => bits[dice() % bits.length]).join("");
    try {
      for (const p of [...readVCards(text).people, ...readTable(text).people]) assert.ok(p.name && !/[\r\n\0]/.test(Object.values(p).join("")));
    } catch (e) { throw new Error(`seed ${seed}: ${JSON.stringify(text)}`, { cause: e }); }
  }
});

test("what we write, we read, and every line keeps the rules", () => {
  const people = [
    { name: "Tableros; Río, y Cía.", contact: "María Ñúñez \\ hijos", phone: "+15555550112", email: "rio@example.net" },
    { name: "ñ😀".repeat(20), contact: "", phone: "", email: "" },
  ];
  for (const version of ["3.0", "4.0"] as const) {
    const text = writeVCards(people, version);
    assert.ok(text.includes(`VERSION:${version}`));
    for (const line of text.split("\r\n")) {
      assert.ok(Buffer.byteLength(line) <= 75, "RFC 6350, section 3.2: at most 75 octets");
      assert.equal(Buffer.from(line).toString(), line, "no character is cut");
    }
    assert.ok(!/[^\r]\n/.test(text) && text.endsWith("\r\n"));
    assert.deepEqual(readVCards(text), { people, trouble: [] });
    // And an independent reader: ical.js knows vCards too.
    const cards = (ICAL.parse(text) as unknown[][]).map((c) => Object.fromEntries((c[1] as unknown[][]).map((p) => [p[0], p[3]])));
    assert.deepEqual(cards.map((c) => [c.fn, c.org, c.email]), people.map((p) => [p.contact || p.name, p.name, p.email || undefined]));
  }
});

test("tables of either language and any sign between", () => {
  assert.deepEqual(readRows('a,"b ""c"", d"\r\n"x\ny",\n', ","), [["a", 'b "c", d'], ["x\ny", ""]]); // RFC 4180, section 2, rules 5 to 7
  assert.deepEqual(readTable('\uFEFFNombre;Teléfono;Correo\r\n"Río; tableros";555 555 0112;rio@example.net\r\n;;\r\n;555;\r\n'), {
    people: [{ name: "Río; tableros", contact: "", phone: "555 555 0112", email: "rio@example.net" }], trouble: [{ line: 4, what: "noName" }],
  });
  assert.deepEqual(readTable("First Name,Last Name,Company,Mobile Phone,E-mail Address\nAna,Batts,Batts & Co,555-555-0110,ana@example.net").people,
    [{ name: "Batts & Co", contact: "Ana Batts", phone: "555-555-0110", email: "ana@example.net" }]);
  assert.equal(readTable("a,b\n1,2").trouble[0]?.what, "none");
});

test("no cell of ours is a formula", () => {
  const text = writeTable([{ name: '=HYPERLINK("http://x")', contact: "@x", phone: "+1 555 555 0112", email: "-1+2" }], ["Name", "Contact", "Phone", "E-mail"]);
  const [, row] = readRows(text, ",");
  assert.deepEqual(row, ["'=HYPERLINK(\"http://x\")", "'@x", "+1 555 555 0112", "'-1+2"]);
  assert.ok(text.endsWith("\r\n"));
});

// ITU-T E.164: a plus and at most 15 digits. The numbers are those set aside for stories where a country
// has such (555-01xx, Ofcom's 020 7946 0xxx), else made up in the country's form; from memory.
test("numbers become global with the site's country in mind", () => {
  for (const [text, country, want] of [
    ["(213) 555-0110", "US", "+12135550110"], ["+1 213 555 0110", "ES", "+12135550110"], ["612 34 56 78", "ES", "+34612345678"], ["0034 612345678", "ES", "+34612345678"],
    ["55 5123 4567", "MX", "+525551234567"], ["020 7946 0018", "GB", "+442079460018"], ["011 44 20 7946 0018", "US", "+442079460018"],
  ] as const) {
    const n = global(text, country);
    assert.equal(n?.e164, want, `${text} in ${country}`);
    assert.match(n!.e164, /^\+[1-9]\d{1,14}$/);
  }
  for (const [text, country] of [["call me", "US"], ["12", "US"], ["213 555 0110", ""], ["+1 213 555 0110 123456", "US"], ["", "US"], ["9".repeat(60), "US"], ["213 555 0110 ext. 7", "US"], ["<b>213 555 0110</b>", "US"]] as const) {
    assert.equal(global(text, country), undefined, text);
  }
  assert.equal(global("555 0110 999", "US")?.sure ?? false, false, "no such area");
});

test("whose numbers are meant", () => {
  assert.equal(countryOf("MX", "America/Los_Angeles", ["en-US"]), "MX");
  assert.equal(countryOf("", "America/Los_Angeles", ["es-ES"]), "US");
  assert.equal(countryOf("", "Nowhere/Land", ["es", "es-CO"]), "CO");
  assert.equal(countryOf(undefined, undefined, ["en"]), "US");
});
