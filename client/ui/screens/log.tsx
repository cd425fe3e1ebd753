import type { LogLine } from "../view";
import { act, views } from "../state";
import { pathOf } from "../route";
import { t } from "../words";
import { Btn, Section, Title } from "../parts/kit";
import { Clashes } from "../parts/clash";

export function Log() {
  const v = views.value.log?.log;
  const w = t().log;
  if (!v) return <Title goBack={["more"]}>{w.title}</Title>;
  return (
    <>
      <Title goBack={["more"]}>{w.title}</Title>
      {v.clashes.length > 0 && <Section name={w.clashes} count={v.clashes.length}><Clashes list={v.clashes} said /></Section>}
      {v.ways.length > 0 && (
        <Section name={w.ways} count={v.ways.length}>
          {v.ways.map((l) => (
            <article key={l.op} class="card"><Entry l={l} /><Btn changes label={`${w.again}: ${l.text}`} onPress={() => void act({ do: "again", op: l.op })}>{w.again}</Btn></article>
          ))}
        </Section>
      )}
      {v.repaired.length > 0 && (
        <Section name={w.repaired} count={v.repaired.length}>
          <p class="soft">{w.repairedNote}</p>
          <ul class="plain">{v.repaired.map((m) => <li key={m.id}><a class="line" href={pathOf(m.kind, m.id)}>{m.text}</a></li>)}</ul>
        </Section>
      )}
      {v.aside.length > 0 && (
        <Section name={w.aside}><ul class="plain">{v.aside.map((p, i) => <li key={i}>{p.open ? <a class="line" href={pathOf(p.kind, p.open)}>{p.text}</a> : <span class="line">{p.text}</span>}</li>)}</ul></Section>
      )}
      {v.refused.length > 0 && <Section name={w.refused} count={v.refused.length}><p class="soft">{w.refusedNote}</p>{v.refused.map((l) => <Entry key={l.op} l={l} />)}</Section>}
      <Section name={w.all}>{v.lines.map((l) => <Entry key={l.op} l={l} />)}</Section>
    </>
  );
}

const Entry = ({ l }: { l: LogLine }) => (
  <p class={l.undone ? "entry undone" : "entry"}>
    <span>{l.text}</span>
    <span class="soft">{[l.when, l.by, !l.sent && t().log.unsent, l.undone && t().log.undone].filter(Boolean).join(" · ")}</span>
  </p>
);
