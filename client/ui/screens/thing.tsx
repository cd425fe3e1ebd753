import { useRef, useState } from "preact/hooks";
import type { ThingView } from "../view";
import { act, carry, head, locked, views } from "../state";
import { dropTyped, formOf, keepTyped, typedIn } from "../typed";
import { back, here, path, route, swap } from "../route";
import { forms } from "../forms";
import { Clashes } from "../parts/clash";
import { CrewLink } from "../parts/crewlink";
import { halfDate, InputOf, whole } from "../parts/inputs";
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

/** added is a new thing with what it goes behind and in front of. */
function added(kind: string, draft: Record<string, unknown>) {
  const { after, before, ...fields } = draft;
  const joins = kind === "link" ? undefined : { kind: "", after: after ? [String(after)] : [], before: before ? [String(before)] : [] };
  return { do: "add", fields: whole(fields), ...(joins && joins.after.length + joins.before.length > 0 && { change: joins }) };
}

function Editor({ v }: { v: ThingView }) {
  const w = t().setup;
  const isNew = !v.id && v.kind !== "site";
  const name = formOf(route.value.rest.join("/"));
  const [draft, setDraft] = useState<Record<string, unknown>>(() => typedIn(name) ?? (isNew ? fresh(v.kind, route.value.rest.slice(2)) : {}));
  const [round, setRound] = useState(0);
  const [kept, setKept] = useState(() => !!typedIn(name));
  const [bad, setBad] = useState("");
  const form = useRef<HTMLFormElement>(null);
  const specs = (forms[v.kind] ?? []).filter((s) => !s.fresh || (isNew && v.nodes.length > 0));
  const valueOf = (key: string) => (key in draft ? draft[key] : v.fields[key]);
  const set = (key: string, value: unknown) => {
    setDraft((was) => { const now = { ...was, [key]: value }; keepTyped(name, now); return now; });
    setBad("");
  };
  const input = (spec: (typeof specs)[number]) => (
    <InputOf key={spec.key + round} spec={spec} value={valueOf(spec.key)} set={(x) => set(spec.key, x)} lists={v} />
  );
  const anew = () => { dropTyped(name); setDraft(isNew ? fresh(v.kind, route.value.rest.slice(2)) : {}); setKept(false); setBad(""); setRound((n) => n + 1); };
  const save = async () => {
    const half = halfDate(form.current);
    if (half) return setBad(w.halfDate(half));
    const missing = specs.find((s) => s.must && (valueOf(s.key) ?? "") === "");
    if (missing) return setBad(w.missing(t().field[missing.word] as string));
    if (!Object.keys(draft).length) return back("setup");
    const still = here();
    if (await act({ kind: v.kind, ...(isNew ? added(v.kind, draft) : { do: "edit", id: v.id, fields: whole(draft) }) })) {
      dropTyped(name);
      if (still()) { carry(); back("setup"); }
    }
  };
  const remove = async () => {
    const still = here();
    if (await act({ do: "remove", kind: v.kind, id: v.id, screen: "setup", for: undefined })) {
      dropTyped(name);
      if (still()) { carry(); swap("setup"); } // not back: that may be the very thing that is gone
    }
  };
  return (
    <>
      <Title goBack={["setup"]} line={isNew || v.kind === "site" ? undefined : v.name}>{isNew ? w.addOne(w.one[v.kind] ?? v.kind) : (w.one[v.kind] ?? v.kind)}</Title>
      <ReadOnly />
      <Clashes list={v.clashes} />
      {kept && <div class="note acts spread"><span class="grow">{w.typed}</span><Btn kind="quiet" onPress={anew}>{w.anew}</Btn></div>}
      <form ref={form} onSubmit={(e) => { e.preventDefault(); void save(); }}>
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
