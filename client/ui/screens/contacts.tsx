// Names and numbers from an address book into the site, and back. What a file brings is looked at here
// first, each entry on its own; then all of them are taken in one act, with one undo.
import { useState } from "preact/hooks";
import type { PeopleView } from "../view";
import { act, carry, head, locked, views } from "../state";
import { back, here, path } from "../route";
import { readTable, writeTable } from "../contacts/csv";
import { countryOf } from "../contacts/country";
import { clean, type Person } from "../contacts/person";
import { global, type Number } from "../contacts/phone";
import { readVCards, writeVCards, type Trouble } from "../contacts/vcard";
import { lang, t } from "../words";
import { Btn, ReadOnly, Section, Title } from "../parts/kit";
import { Pick } from "../parts/fields";

/** An entry with what becomes of it: the crew whose facts it fills, "new", or "" for none. */
interface Entry { p: Person; n: Number | undefined; to: string }

export function Contacts() {
  const v = views.value.people?.people;
  const w = t().contacts;
  const [entries, setEntries] = useState<Entry[]>();
  const [trouble, setTrouble] = useState<Trouble[]>([]);
  if (!v) return <Title goBack={["setup"]}>{w.title}</Title>;
  const country = countryOf(v.country, head.value?.zone, navigator.languages);
  const bring = (people: Person[], what: Trouble[] = []) => {
    setTrouble(what);
    setEntries(people.map((p) => { const n = global(p.phone, country); return { p, n, to: fits(p, n, v) }; }));
  };
  return (
    <>
      <Title goBack={["setup"]}>{w.title}</Title>
      <ReadOnly />
      {!locked.value && (
        <>
          <p>{w.lead}</p>
          <div class="acts spread"><p class="soft">{w.country} {place(country)}</p><a class="btn plain" href={path("thing", "site", "")}>{w.change}</a></div>
          <Sources bring={bring} />
        </>
      )}
      {trouble.map((x) => <p key={`${x.line}${x.what}`} class="note">{w.trouble[x.what](x.line)}</p>)}
      {entries && (entries.length ? <Look v={v} entries={entries} set={setEntries} /> : !trouble.length && <p class="soft">{w.none}</p>)}
      <Out v={v} />
    </>
  );
}

const place = (country: string) => new Intl.DisplayNames([lang.value], { type: "region" }).of(country) ?? country;

/** fits finds the crew an entry is about: the same number, or the same name. */
function fits(p: Person, n: Number | undefined, v: PeopleView): string {
  const name = (s: string | undefined) => (s ?? "").toLocaleLowerCase();
  return v.people.find((c) => (n && c.phone === n.e164) || name(c.name) === name(p.name) || (p.contact && name(c.contact) === name(p.contact)))?.id ?? "new";
}

interface Picker { select(what: string[], how: { multiple: boolean }): Promise<{ name?: string[]; tel?: string[]; email?: string[] }[]> }

function Sources({ bring }: { bring: (people: Person[], trouble?: Trouble[]) => void }) {
  const w = t().contacts;
  const contacts = (navigator as { contacts?: Picker }).contacts;
  const pick = () => contacts!.select(["name", "tel", "email"], { multiple: true })
    .then((all) => bring(all.map((c) => clean({ name: c.name?.[0] ?? c.tel?.[0] ?? "", contact: "", phone: c.tel?.[0] ?? "", email: c.email?.[0] ?? "" })).filter((p) => p.name)), () => undefined);
  const open = async (file: File | undefined) => {
    if (!file) return;
    const text = file.size > 4 << 20 ? "x".repeat(4 << 20) : await file.text();
    const { people, trouble } = /BEGIN:VCARD/i.test(text) ? readVCards(text) : readTable(text);
    bring(people, trouble);
  };
  return (
    <div class="stack">
      {contacts && <Btn kind="main" onPress={() => void pick()}>{w.pick}</Btn>}
      <label class="field"><span class="name">{w.file}</span>
        <input type="file" accept=".vcf,.csv,text/vcard,text/csv" onChange={(e) => { const el = e.currentTarget; void open(el.files?.[0]).finally(() => { el.value = ""; }); }} />
      </label>
    </div>
  );
}

function Look({ v, entries, set }: { v: PeopleView; entries: Entry[]; set: (e: Entry[] | undefined) => void }) {
  const w = t().contacts;
  const choices = [{ id: "new", name: w.newCrew }, ...v.people.map((c) => ({ id: c.id!, name: c.name }))];
  const chosen = entries.filter((e) => e.to);
  const take = async () => {
    const people = chosen.slice(0, 50).map((e) => ({ ...(e.to !== "new" && { id: e.to }), name: e.p.name, contact: e.p.contact, phone: e.n?.e164 ?? "", email: e.p.email }));
    const still = here();
    if (!(await act({ do: "people", fields: { people } }))) return;
    const left = [...entries.filter((e) => !e.to), ...chosen.slice(50)];
    if (chosen.length > 50) return set(left);
    if (!still()) return;
    carry();
    back("setup");
  };
  return (
    <Section name={w.found(entries.length)}>
      {entries.map((e, i) => (
        <article key={i} class="card" data-entry={e.p.name}>
          <p><b>{e.p.name}</b>{e.p.contact && <span class="soft"> · {w.who} {e.p.contact}</span>}</p>
          <p>{[e.n?.shown ?? w.noPhone, e.p.email || w.noEmail].join(" · ")}</p>
          {e.p.phone && !e.n && <p class="rust">{w.bad(e.p.phone)}</p>}
          {e.n && !e.n.sure && <p class="rust">{w.unsure}</p>}
          <Pick label={`${w.into}`} value={e.to} empty={w.skip} choices={choices} set={(to) => set(entries.map((x, k) => (k === i ? { ...x, to } : x)))} />
        </article>
      ))}
      <div class="foot"><Btn kind="main" changes off={!chosen.length} onPress={() => void take()}>{w.take(Math.min(50, chosen.length))}</Btn></div>
    </Section>
  );
}

function Out({ v }: { v: PeopleView }) {
  const w = t().contacts;
  const people = v.people.map((c) => ({ name: c.name, contact: c.contact ?? "", phone: c.phone ?? "", email: c.email ?? "" }));
  const site = (head.value?.site ?? "site").replace(/[^\p{L}\p{N}]+/gu, "-");
  const save = (text: string, type: string, end: string) => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type }));
    link.download = `${site}.${end}`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  };
  return (
    <Section name={w.out}>
      <p>{w.outNote}</p>
      <div class="stack">
        <Btn onPress={() => save(writeVCards(people, "4.0"), "text/vcard;charset=utf-8", "vcf")}>{w.v4}</Btn>
        <Btn onPress={() => save(writeVCards(people, "3.0"), "text/vcard;charset=utf-8", "vcf")}>{w.v3}</Btn>
        <Btn onPress={() => save("\uFEFF" + writeTable(people, w.heads), "text/csv;charset=utf-8", "csv")}>{w.csv}</Btn>
      </div>
    </Section>
  );
}
