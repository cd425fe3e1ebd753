import { signal } from "@preact/signals";
import { act, head, locked, views } from "../state";
import { go, path } from "../route";
import { addable } from "../forms";
import { t } from "../words";
import { Btn, ReadOnly, Row, Title } from "../parts/kit";
import { NameIt, TemplateForm } from "./start";

/** opened are the groups that stand open: who adds one thing often adds another. */
const opened = signal<readonly string[]>([]);

export function Setup() {
  const v = views.value.setup?.setup;
  const w = t().setup;
  if (!v) return <Title goBack={["more"]}>{w.title}</Title>;
  const empty = v.groups.every((g) => !g.lines.length);
  const groups = [...new Set([...addable, ...v.groups.map((g) => g.kind)])].filter((k) => k in w.groups);
  return (
    <>
      <Title goBack={["more"]}>{w.title}</Title>
      <ReadOnly />
      {empty && <><p class="lead">{w.empty}</p><NameIt key={head.value?.siteId} /><Btn kind="main" changes onPress={() => go("questions")}>{t().questions.title}</Btn>{v.templates.length > 0 && <TemplateForm templates={v.templates} site={v.site} />}<h2>{w.oneByOne}</h2></>}
      {!empty && <Row href={path("questions")} name={t().questions.row} note={t().questions.rowNote} />}
      <Row href={path("thing", "site", "")} name={w.head} note={String(v.site.name ?? "")} />
      {groups.map((kind) => <GroupPart key={kind} kind={kind} lines={v.groups.find((g) => g.kind === kind)?.lines ?? []} />)}
      {v.gone.length > 0 && (
        <details class="group-list">
          <summary>{w.gone} <span class="count">{v.gone.length}</span></summary>
          {v.gone.map((g) => {
            const [kind = "", ...id] = g.id.split("/");
            return (
              <div key={g.id} class="acts spread">
                <span>{g.name} <span class="soft">{w.one[kind]}</span></span>
                <Btn changes label={`${t().restore}: ${g.name}`} onPress={() => void act({ do: "restore", kind, id: id.join("/") })}>{t().restore}</Btn>
              </div>
            );
          })}
        </details>
      )}
    </>
  );
}

function open(kind: string, on: boolean) {
  if (opened.value.includes(kind) !== on) opened.value = on ? [...opened.value, kind] : opened.value.filter((k) => k !== kind);
}

function GroupPart({ kind, lines }: { kind: string; lines: { id: string; name: string; note: string }[] }) {
  const w = t().setup;
  if (!lines.length && !addable.includes(kind)) return null;
  return (
    <details class="group-list" open={opened.value.includes(kind)} onToggle={(e) => open(kind, e.currentTarget.open)}>
      <summary>{w.groups[kind]} <span class="count">{lines.length}</span></summary>
      {addable.includes(kind) && !locked.value && <a class="btn plain" href={path("thing", kind, "")}>{w.addOne(w.one[kind] ?? kind)}</a>}
      {kind === "crew" && <Row href={path("contacts")} name={t().contacts.row} note={t().contacts.rowNote} />}
      {lines.map((l) => <Row key={l.id} href={path("thing", kind, l.id)} name={l.name} note={l.note} />)}
    </details>
  );
}
