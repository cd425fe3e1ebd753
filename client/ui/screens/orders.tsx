// Goods: what the room takes, when it must be ordered, whether it may be, and where it stands.
import { useState } from "preact/hooks";
import type { NeedLine, OrderLine } from "../view";
import { act, views } from "../state";
import { path } from "../route";
import { t } from "../words";
import { Btn, PhoneLink, ReadOnly, Row, Section, Title } from "../parts/kit";
import { Field } from "../parts/fields";

export function Orders() {
  const v = views.value.orders?.orders;
  const w = t().trade.orders;
  if (!v) return <Title goBack={["more"]}>{w.title}</Title>;
  return (
    <>
      <Title goBack={["more"]} line={v.line}>{w.title}</Title>
      <ReadOnly />
      <Section name={w.list} count={v.orders.length}>
        {v.orders.map((o) => <OrderCard key={o.id} o={o} />)}
        <Row href={path("thing", "order", "")} name={w.add} />
      </Section>
      <Section name={w.needs}>
        {v.room ? <p class="soft">{v.room}</p> : <><p>{w.needsNone}</p><Row href={path("questions")} name={w.questions} /></>}
        {v.needs.map((n) => <Need key={n.order} n={n} />)}
      </Section>
      <p class="soft foot-note">{v.foot}</p>
    </>
  );
}

function OrderCard({ o }: { o: OrderLine }) {
  const w = t().trade.orders;
  const [step, setStep] = useState(false);
  const here = o.state === "arrived" || o.state === "short";
  return (
    <article class={o.late ? "card late" : "card"} data-order={o.id}>
      <p class="what"><b>{o.goods}</b> <span class="how">{w.state[o.state]}</span></p>
      <p><b class={o.late || o.state === "short" ? "rust" : ""}>{o.status}</b> <span class="soft">{[o.for, o.supplier].filter(Boolean).join(" · ")}</span></p>
      {!here && o.quantity && <p>{o.quantity}</p>}
      {!here && o.stands && <p class="soft">{o.stands}</p>}
      {o.heeds.map((h) => <p key={h} class="heed">{h}</p>)}
      {o.gate && <p class="rust"><b>{o.gate}</b></p>}
      {step ? <Ordered o={o} close={() => setStep(false)} /> : (
        <div class="acts">
          {!here && <PhoneLink phone={o.phone} who={o.supplier || o.goods} />}
          {o.next === "order" && <Btn changes kind={o.late ? "main" : "plain"} label={`${w.order}: ${o.goods}`} onPress={() => setStep(true)}>{w.order}</Btn>}
          {o.next === "reserve" && o.state !== "reserved" && <Btn changes label={`${w.reserve}: ${o.goods}`} onPress={() => void act({ do: "reserve", id: o.id })}>{w.reserve}</Btn>}
          {o.next === "arrive" && <Btn changes kind="main" label={`${w.here}: ${o.goods}`} onPress={() => void act({ do: "arrive", id: o.id })}>{w.here}</Btn>}
          {o.next === "arrive" && <a class="btn plain" href={path("changed", "short", o.id)} aria-label={`${w.short}: ${o.goods}`}>{w.short}</a>}
          {o.inBefore && <Btn changes label={`${w.inBefore}: ${o.goods}`} onPress={() => void act({ do: "add", kind: "link", fields: { from: o.id, to: o.inBefore } })}>{w.inBefore}</Btn>}
          <a class="btn quiet" href={path("thing", "order", o.id)} aria-label={`${w.open}: ${o.goods}`}>{w.open}</a>
        </div>
      )}
    </article>
  );
}

function Ordered({ o, close }: { o: OrderLine; close: () => void }) {
  const w = t().trade.orders;
  const [due, setDue] = useState(o.due);
  return (
    <>
      <Field label={w.due}><input type="date" value={due} onInput={(e) => setDue(e.currentTarget.value)} /></Field>
      <div class="acts">
        <Btn onPress={close}>{t().cancel}</Btn>
        <Btn kind="main" changes onPress={async () => { if (await act({ do: "order", id: o.id, from: due || undefined })) close(); }}>{w.order}</Btn>
      </div>
    </>
  );
}

function Need({ n }: { n: NeedLine }) {
  const w = t().trade.orders;
  return (
    <article class="card" data-need={n.order}>
      <p class="what"><b>{n.name}</b> <span class="soft">{[n.weight, n.lead].filter(Boolean).join(" · ")}</span></p>
      <ul class="ready">{n.lines.map((l) => <li key={l.text}>{l.text}{l.range && <span class="soft"> ({l.range})</span>}</li>)}</ul>
      {n.heeds.map((h) => <p key={h} class="heed">{h}</p>)}
      <details class="more">
        <summary>{w.details}</summary>
        {n.lines.map((l) => <p key={l.text}><b>{l.text}</b>: {l.how} <span class="soft">{l.source} · {l.mark}</span></p>)}
      </details>
      {n.locked ? <p class="soft">{w.locked}</p> : n.same ? <p class="green">{w.same}</p> : (
        <Btn changes label={`${n.on ? w.use : w.make}: ${n.name}`} onPress={() => void act({ do: "takeoff", id: n.order })}>{n.on ? w.use : w.make}</Btn>
      )}
    </article>
  );
}
