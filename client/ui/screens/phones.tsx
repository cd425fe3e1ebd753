import { useEffect, useRef, useState } from "preact/hooks";
import { encode } from "uqr";
import type { DeviceLine, Invitation } from "../../worker/messages";
import { heard, job, status } from "../bridge";
import { head, refused, said, troubleText, write } from "../state";
import { t } from "../words";
import { path } from "../route";
import { Btn, Row, Section, Title } from "../parts/kit";
import { Field, Toggles } from "../parts/fields";
import { copyText } from "../copy";

const fail = (e: unknown) => { refused.value = troubleText(e); };

/** TEN is how long a code opens, in milliseconds. */
const TEN = 600_000;

export function Phones() {
  const w = t().phone;
  const [role, setRole] = useState("second");
  const [got, setGot] = useState<Invitation & { at: number }>();
  const site = status.value.site;
  const { list, load } = useDevices();
  useEffect(() => setGot(undefined), [site]);
  const roles = (head.value?.role === "owner" ? ["second", "viewer", "owner"] : ["second", "viewer"]).map((id) => ({ id, name: w.roles[id]! }));
  const make = () => job<Invitation>({ to: "invite", role }).then((one) => { if (status.value.site === site) setGot({ ...one, at: Date.now() }); }, fail);
  useNewcomer(list, site, (name) => {
    if (got) said.value = { text: w.came(name) };
    setGot(undefined); // it works once
  });
  const over = () => { setGot(undefined); refused.value = w.over; };
  return (
    <>
      <Title goBack={["more"]} line={got || status.value.known === "revoked" ? undefined : w.lead}>{w.title}</Title>
      {status.value.known === "revoked" ? <Row href={path("pair")} name={t().welcome.join} note={t().welcome.joinNote} />
        : got ? <Code got={got} over={over} /> : head.value?.role === "viewer" ? null : (
        <>
          <h2>{w.role}</h2>
          <Toggles label={w.role} value={role} choices={roles} set={setRole} />
          <div class="foot"><Btn kind="main" onPress={() => void make()}>{w.make}</Btn></div>
          {status.value.link !== "on" && <p class="note">{w.needs}</p>}
        </>
      )}
      <Devices list={list} load={load} />
    </>
  );
}

/** useNewcomer tells of a phone that is on the list and was not when it was last looked at. */
function useNewcomer(list: DeviceLine[], site: string, came: (name: string) => void) {
  const known = useRef({ site, last: 0 });
  const last = Math.max(0, ...list.map((d) => d.num)); // numbers are never given twice
  useEffect(() => {
    const was = known.current;
    if (was.site === site && was.last && last > was.last) came(list.find((d) => d.num === last)!.name);
    if (last || was.site !== site) known.current = { site, last };
  }, [site, last]);
}

function Code({ got, over }: { got: Invitation & { at: number }; over: () => void }) {
  const w = t().phone;
  const url = new URL(got.url, location.href).href;
  useEffect(() => {
    // Asked again and again: a timer stands still while the phone sleeps.
    const timer = setInterval(() => { if (Math.abs(Date.now() - got.at) >= TEN) over(); }, 5_000);
    return () => clearInterval(timer);
  }, [got]);
  return (
    <section class="card code">
      <p>{w.scan}</p>
      <Picture text={url} />
      <p>{w.code}</p>
      <p class="typed" data-code={got.code}>{got.code}</p>
      <p class="soft">{w.ten}</p>
      <Btn onPress={() => void copyText(url).then(() => { said.value = { text: t().news.copied }; }, fail)}>{w.link}</Btn>
    </section>
  );
}

/** Picture draws the code dark on light in every theme: cameras want it so, with four modules of light around it (ISO/IEC 18004). */
function Picture({ text }: { text: string }) {
  const { data, size } = encode(text, { border: 4 });
  const d = data.flatMap((row, y) => row.map((on, x) => (on ? `M${x} ${y}h1v1h-1z` : ""))).join("");
  return <svg class="qr" viewBox={`0 0 ${size} ${size}`} role="img" aria-label={t().phone.scan}><rect class="light" width={size} height={size} /><path d={d} /></svg>;
}

/** useDevices is who is on the site, asked for anew with every word from outside. */
function useDevices() {
  const [list, setList] = useState<DeviceLine[]>([]);
  const asked = useRef(0); // answers may overtake each other: the one asked for last counts
  const { link, site } = status.value;
  const load = () => {
    const mine = ++asked.current;
    return job<DeviceLine[]>({ to: "devices" }).then((d) => { if (mine === asked.current) setList(d.filter((x) => !x.gone)); }, () => undefined);
  };
  useEffect(() => { asked.current++; setList([]); }, [site]);
  useEffect(() => { if (link === "on") void load(); }, [link, site, heard.value]);
  return { list, load };
}

function Devices({ list, load }: { list: DeviceLine[]; load: () => Promise<unknown> }) {
  const w = t().phone;
  if (!list.length) return null;
  const lockOut = (d: DeviceLine) => {
    if (confirm(w.sure(d.name))) job({ to: "revoke", device: d.device }).then(() => { said.value = { text: w.out(d.name) }; return load(); }, fail);
  };
  return (
    <Section name={w.who} count={list.length}>
      {list.map((d) => (
        <div key={d.num} class="acts spread phone">
          <span><b>{d.name}</b> <span class="soft">{[w.roles[d.role] ?? d.role, d.you && w.me].filter(Boolean).join(" · ")}</span></span>
          {d.you ? <Named key={d.name} name={d.name} load={load} />
            : head.value?.role === "owner" && <Btn kind="bad" label={`${w.revoke}: ${d.name}`} onPress={() => lockOut(d)}>{w.revoke}</Btn>}
        </div>
      ))}
    </Section>
  );
}

/** Named gives this phone another name. */
function Named({ name, load }: { name: string; load: () => Promise<unknown> }) {
  const w = t().phone;
  const [open, setOpen] = useState(false);
  const [text, setText] = useState(name);
  const save = () => job({ to: "name", name: text.trim() }).then(() => { write("bb.name", text.trim()); setOpen(false); return load(); }, fail);
  if (!open) return <Btn kind="quiet" onPress={() => setOpen(true)}>{w.rename}</Btn>;
  return (
    <form onSubmit={(e) => { e.preventDefault(); if (text.trim()) void save(); }}>
      <Field label={t().join.name}><input autocomplete="name" maxLength={40} value={text} onInput={(e) => setText(e.currentTarget.value)} /></Field>
      <Btn kind="main" off={!text.trim()} onPress={() => void save()}>{t().save}</Btn>
    </form>
  );
}
