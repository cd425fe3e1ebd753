// What a careful planner would question. Each can be left as it is, with a reason for later.
import { useState } from "preact/hooks";
import type { ReviewLine } from "../view";
import { act, views } from "../state";
import { path, pathOf } from "../route";
import { t } from "../words";
import { Btn, ReadOnly, Title } from "../parts/kit";
import { Field } from "../parts/fields";

export function Review() {
  const v = views.value.review?.review;
  const w = t().trade.review;
  if (!v) return <Title goBack={["more"]}>{w.title}</Title>;
  return (
    <>
      <Title goBack={["more"]} line={v.line}>{w.title}</Title>
      <ReadOnly />
      {v.questions.map((q) => <Card key={q.id} q={q} />)}
      {v.settled.length > 0 && (
        <details class="group-list">
          <summary>{w.settled} <span class="count">{v.settled.length}</span></summary>
          {v.settled.map((q) => (
            <div key={q.id} class="acts spread">
              <span>{q.text} <span class="soft">{q.left}</span></span>
              <Btn changes label={`${w.again}: ${q.text}`} onPress={() => void act({ do: "settle", id: q.id })}>{w.again}</Btn>
            </div>
          ))}
        </details>
      )}
      <p class="soft foot-note">{v.foot}</p>
    </>
  );
}

function Card({ q }: { q: ReviewLine }) {
  const w = t().trade.review;
  const [why, setWhy] = useState<string>();
  return (
    <article class="card" data-question={q.id}>
      <p class="soft">{q.rule}</p>
      <p class="what"><b>{q.text}</b></p>
      <p>{q.why}</p>
      {why === undefined ? (
        <div class="acts">
          {(q.open || q.go) && <a class="btn plain" href={q.go ? path(q.go) : pathOf(q.kind, q.open!)} aria-label={`${w.look}: ${q.text}`}>{w.look}</a>}
          <Btn kind="quiet" changes label={`${w.leave}: ${q.text}`} onPress={() => setWhy("")}>{w.leave}</Btn>
        </div>
      ) : (
        <form onSubmit={(e) => { e.preventDefault(); void act({ do: "settle", id: q.id, said: why }); }}>
          <Field label={w.why}><input value={why} onInput={(e) => setWhy(e.currentTarget.value)} /></Field>
          <div class="acts">
            <Btn onPress={() => setWhy(undefined)}>{t().cancel}</Btn>
            <Btn kind="main" changes off={!why.trim()} onPress={() => void act({ do: "settle", id: q.id, said: why })}>{w.leave}</Btn>
          </div>
        </form>
      )}
    </article>
  );
}
