import { useState } from "preact/hooks";
import type { Choice } from "../view";
import { act, ask, carry, head, locked, refused, troubleText } from "../state";
import { job, status } from "../bridge";
import { here, swap } from "../route";
import { civil } from "../clock";
import { t } from "../words";
import { Btn, Title } from "../parts/kit";
import { Field } from "../parts/fields";

/** Start makes a new site, with or without signal, under a number the server gave ahead. */
export function Start() {
  const w = t().start;
  const [name, setName] = useState("");
  const [working, setWorking] = useState(false);
  const start = async () => {
    setWorking(true);
    const still = here();
    try {
      await job({ to: "born", name: name.trim() });
      await ask({ do: "edit", kind: "site", fields: { name: name.trim(), start: civil(new Date()).slice(0, 10), zone: Intl.DateTimeFormat().resolvedOptions().timeZone }, screen: "setup" });
      if (still()) swap("setup");
    } catch (e) {
      refused.value = troubleText(e);
    } finally {
      setWorking(false);
    }
  };
  return (
    <>
      <Title goBack={["sites"]} line={w.lead}>{w.title}</Title>
      <form onSubmit={(e) => { e.preventDefault(); if (name.trim()) void start(); }}>
        <Field label={t().field.name}><input value={name} required onInput={(e) => setName(e.currentTarget.value)} /></Field>
        <div class="foot"><Btn kind="main" off={!name.trim() || working} onPress={() => void start()}>{w.go}</Btn></div>
      </form>
      {status.value.spares === 0 && status.value.phase === "open" && <p class="note">{t().trouble.noSpare}</p>}
    </>
  );
}

/** TemplateForm fills an empty site from one of the conversion templates. */
export function TemplateForm({ templates, site }: { templates: Choice[]; site: Record<string, unknown> }) {
  const w = t().setup;
  const [key, setKey] = useState(templates[0]?.id ?? "");
  const fill = async () => {
    const still = here();
    if (await act({ do: "template", key, from, screen: "setup" }) && still()) { carry(); swap("strings"); }
  };
  const [from, setFrom] = useState(typeof site.start === "string" && site.start ? site.start : civil(new Date()).slice(0, 10));
  return (
    <section class="card">
      <h2>{w.useTemplate}</h2>
      <div class="stack">
        {templates.map((c) => (
          <button key={c.id} type="button" class="toggle" aria-pressed={c.id === key} onClick={() => setKey(c.id)}>{c.name}</button>
        ))}
      </div>
      <Field label={t().field.start}><input type="date" value={from} onInput={(e) => setFrom(e.currentTarget.value)} /></Field>
      <Btn changes off={!from} onPress={() => void fill()}>{w.fill}</Btn>
    </section>
  );
}

/** NameIt asks a site that has no name for one: it stands in every text. A site that came with the owner's link has none. */
export function NameIt() {
  const [needed] = useState(!head.value?.site);
  const [name, setName] = useState(head.value?.site ?? "");
  if (!needed || locked.value) return null;
  const keep = () => { if (name.trim() && name.trim() !== head.value?.site) void act({ do: "edit", kind: "site", id: "site", fields: { name: name.trim() } }); };
  return <Field label={t().setup.call}><input value={name} onInput={(e) => setName(e.currentTarget.value)} onChange={keep} /></Field>;
}
