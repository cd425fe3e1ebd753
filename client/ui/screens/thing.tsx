import { useState } from "preact/hooks";
import type { ThingView } from "../view";
import { act, carry, head, locked, said, views } from "../state";
import { back, here, path, route, swap } from "../route";
import { forms } from "../forms";
import { Clashes } from "../parts/clash";
import { CrewLink } from "../parts/crewlink";
import { InputOf } from "../parts/inputs";
import { t } from "../words";
import { Btn, ReadOnly, Row, Section, Title } from "../parts/kit";
import { Pictures } from "../parts/photos";
import { Lines } from "./block";

/** One thing of the site to change, or a new one: #/thing/crew/anna, #/thing/crew. */
export function Thing() {
  const [kind = "", id = ""] = route.value.rest;
  const v = views.value.thing?.thing;
  if (!v || v.kind !== kind || (v.id ?? "") !== id) return <Title goBack={["setup"]}>{t().setup.one[kind] ?? ""}</Title>;
  return <Editor key={`${kind}/${id}`} v={v} />;
}

function fresh(kind: string, preset: string[]): Record<string, unknown> {
  const today = head.value!.now.slice(0, 10);
  switch (kind) {
    case "link": return { kind: "FS", ...(preset[0] && { to: preset[0] }) };
    case "away": case "shut": return { from: today, to: today };
    case "note": case "opening": return { day: today };
    default: return {};
  }
}

function Editor({ v }: { v: ThingView }) {
  const w = t().setup;
  const isNew = !v.id && v.kind !== "site";
  const [draft, setDraft] = useState<Record<string, unknown>>(isNew ? fresh(v.kind, route.value.rest.slice(2)) : {});
  const [bad, setBad] = useState("");
  const specs = forms[v.kind] ?? [];
  const valueOf = (key: string) => (key in draft ? draft[key] : v.fields[key]);
  const set = (key: string, value: unknown) => { setDraft((was) => ({ ...was, [key]: value })); setBad(""); };
  const input = (spec: (typeof specs)[number]) => (
    <InputOf key={spec.key} spec={spec} value={valueOf(spec.key)} set={(x) => set(spec.key, x)} lists={v} />
  );
  const save = async () => {
    const missing = specs.find((s) => s.must && (valueOf(s.key) ?? "") === "");
    if (missing) return setBad(w.missing(t().field[missing.word] as string));
    if (!Object.keys(draft).length) return back("setup");
    const still = here();
    const done = await act(isNew ? { do: "add", kind: v.kind, fields: draft } : { do: "edit", kind: v.kind, id: v.id, fields: draft });
    if (done && still()) { carry(); back("setup"); }
  };
  const remove = async () => {
    const still = here();
    if (await act({ do: "remove", kind: v.kind, id: v.id, screen: "setup", for: undefined }) && still()) {
      said.value = { text: w.removed, undo: true };
      carry();
      swap("setup"); // not back: that may be the very thing that is gone
    }
  };
  return (
    <>
      <Title goBack={["setup"]} line={isNew || v.kind === "site" ? undefined : v.name}>{isNew ? w.addOne(w.one[v.kind] ?? v.kind) : (w.one[v.kind] ?? v.kind)}</Title>
      <ReadOnly />
      <Clashes list={v.clashes} />
      <form onSubmit={(e) => { e.preventDefault(); void save(); }}>
        {specs.filter((s) => !s.later).map(input)}
        {specs.some((s) => s.later) && <details class="more"><summary>{t().tabs.more}</summary>{specs.filter((s) => s.later).map(input)}</details>}
        {bad && <p class="rust" role="alert"><b>{bad}</b></p>}
        <div class="foot acts">
          {!isNew && v.kind !== "site" && <Btn kind="bad" changes onPress={() => void remove()}>{t().remove}</Btn>}
          <Btn kind="main" changes onPress={() => void save()}>{isNew ? t().add : t().save}</Btn>
        </div>
      </form>
      {v.trust && v.trust.length > 0 && <Section name={w.trust}>{v.trust.map((line) => <p key={line} data-trust>{line}</p>)}</Section>}
      {v.kind === "crew" && !isNew && !v.fields.own && head.value?.role !== "viewer" && <CrewLink crew={v.id!} name={v.name ?? ""} />}
      {v.kind === "order" && !isNew && !locked.value && (
        <div class="stack">
          {!v.fields.arrived && <Row href={path("changed", "late", v.id)} name={t().changed.late} />}
          <Row href={path("changed", "short", v.id)} name={t().changed.short} />
        </div>
      )}
      {!isNew && (v.kind === "order" || v.kind === "note") && <Section name={t().photos.title}><Pictures on={v.id} list={v.pictures ?? []} papers={v.papers ?? []} all /></Section>}
      {v.links && !isNew && (
        <>
          <Lines name={w.links} lines={v.links} />
          <Row href={path("thing", "link", "", v.id)} name={w.newLink} />
        </>
      )}
    </>
  );
}
