// Which visits the department makes: a habit to start from, shown before it changes anything.
import { useState } from "preact/hooks";
import type { RulesView } from "../view";
import { act, ask, rulesDraft, views } from "../state";
import { path } from "../route";
import { forms } from "../forms";
import { t } from "../words";
import { Btn, ReadOnly, Row, Section, Title } from "../parts/kit";
import { Pick, Ticked } from "../parts/fields";
import { InputOf } from "../parts/inputs";

export function Rules() {
  const v = views.value.rules?.rules;
  const w = t().trade.rules;
  if (!v) return <Title goBack={["more"]}>{w.title}</Title>;
  return (
    <>
      <Title goBack={["more"]} line={v.line}>{w.title}</Title>
      <ReadOnly />
      <Choice v={v} />
      <section class="card" aria-live="polite">
        <h2>{w.changes}</h2>
        {v.same ? <p class="soft">{w.nothing}</p> : (
          <>
            <ul class="ready">{v.changes.map((c) => <li key={c}>{c}</li>)}</ul>
            {v.effect && <p><b>{v.effect}</b></p>}
            <Btn kind="main" changes onPress={() => void take()}>{w.take}</Btn>
          </>
        )}
      </section>
      <All />
      <Section name={w.holds} count={v.holds.length}>
        {v.holds.map((h) => <Row key={h.id} href={path("thing", "hold", h.id)} name={h.name} note={[h.code, h.terms, h.fixed ? w.fixed : h.source && `${h.source} · ${h.mark}`].filter(Boolean).join(" · ")} />)}
        <Row href={path("thing", "hold", "")} name={w.own} />
      </Section>
      {v.more.length > 0 && (
        <Section name={w.more}>
          <div class="stack">{v.more.map((m) => <Btn key={m.id} changes onPress={() => void act({ do: "rules", id: m.id })}>{w.add(m.name)}</Btn>)}</div>
        </Section>
      )}
    </>
  );
}

/** All gives every open visit the same terms: most towns have one office, one telephone, one hour. */
const ALL = ["agency", "phone", "notice", "cutoff", "hours", "fee", "feeAgain"];
const NO_LISTS = { crews: [], places: [], nodes: [], waits: [], units: "us" };

function All() {
  const w = t().trade.rules;
  const [draft, setDraft] = useState<Record<string, unknown>>({});
  const specs = forms.hold!.filter((s) => ALL.includes(s.key));
  return (
    <details class="group-list">
      <summary>{w.all}</summary>
      <form onSubmit={(e) => e.preventDefault()}>
        <p class="soft">{w.allNote}</p>
        {specs.map((s) => <InputOf key={s.key} spec={s} value={draft[s.key]} set={(x) => setDraft((was) => ({ ...was, [s.key]: x }))} lists={NO_LISTS} />)}
        <Btn changes off={!Object.keys(draft).length} onPress={async () => { if (await act({ do: "rules", key: "all", fields: draft })) setDraft({}); }}>{w.allTake}</Btn>
      </form>
    </details>
  );
}

async function take() {
  const fields = rulesDraft.value;
  if (await act({ do: "rules", fields }) && rulesDraft.value === fields) rulesDraft.value = {};
}

/** look shows what a choice would change; nothing is written. */
function look(more: Record<string, unknown>) {
  rulesDraft.value = { ...rulesDraft.value, ...more };
  return ask({ do: "show", screen: "rules", fields: rulesDraft.value });
}

function Choice({ v }: { v: RulesView }) {
  const w = t().trade.rules;
  const p = v.profiles.find((x) => x.id === v.chosen.profile);
  return (
    <form onSubmit={(e) => e.preventDefault()}>
      <Pick label={w.habit} value={v.chosen.profile} choices={v.profiles} empty={p ? undefined : t().none} set={(profile) => void look({ profile })} />
      {p && <p>{p.note} <span class="soft">{p.source} · {p.mark}</span></p>}
      <Pick label={w.board} value={v.chosen.board} choices={v.boards} set={(board) => void look({ board })} />
      <Ticked label={w.base} on={v.chosen.base} set={(base) => look({ base })} />
      <Pick label={w.edition} value={v.chosen.edition} choices={v.editions} set={(edition) => void look({ edition })} />
    </form>
  );
}
