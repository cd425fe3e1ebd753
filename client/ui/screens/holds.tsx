import { useState } from "preact/hooks";
import type { HoldLine, HoldsView } from "../view";
import { act, locked, views } from "../state";
import { path, pathOf, route, swap } from "../route";
import { t } from "../words";
import { Swatch } from "../parts/hatch";
import { Btn, PhoneLink, ReadOnly, Title } from "../parts/kit";
import { Check, Field } from "../parts/fields";
import { Clashes } from "../parts/clash";
import { Pictures } from "../parts/photos";
import { Lines } from "./block";

export function Holds() {
  const v = views.value.holds?.holds;
  const w = t().holds;
  if (!v) return <Title>{w.title}</Title>;
  return (
    <>
      <Title line={v.line} goBack={route.value.rest[0] ? ["holds"] : undefined}>{w.title}</Title>
      <ReadOnly />
      {(v.name || v.choices.length > 0) && <Picker v={v} />}
      <Clashes list={v.clashes} />
      {v.holds.map((h) => <HoldCard key={h.id} h={h} />)}
      <Lines name={w.others} lines={v.others} />
      {v.foot && <p class="soft foot-note">{v.foot}</p>}
    </>
  );
}

/** Picker is the block on its hatch, and at the same time the way to another one. */
function Picker({ v }: { v: HoldsView }) {
  const here = v.choices.some((c) => c.id === v.for);
  return (
    <label class="cover-up">
      <Swatch trade={v.trade} />
      <select aria-label={t().holds.choose} value={v.for} onChange={(e) => swap("holds", e.currentTarget.value)}>
        {!here && <option value={v.for}>{v.name}</option>}
        {v.choices.map((c) => <option key={c.id} value={c.id}>{c.name}</option>)}
      </select>
    </label>
  );
}

function HoldCard({ h }: { h: HoldLine }) {
  const w = t().holds;
  const signed = h.state === "signed";
  const kept = h.pictures.length > 0 || h.papers.length > 0;
  return (
    <article class={`hold ${h.state}${h.late ? " late" : ""}`} data-hold={h.id}>
      <h2><span>{h.name}</span> <span class="status">{h.status}</span></h2>
      {!signed && (
        <div class="behind">
          {h.waits.map((l) => (
            <p key={l.link + l.id}>{w.waits} <a href={pathOf(l.kind, l.id)}><b>{l.name}</b></a> <span class="soft">{l.when}</span></p>
          ))}
          {h.ready.length > 0 && <><p>{w.ready}</p><ul class="ready">{h.ready.map((r) => <li key={r}>{r}</li>)}</ul></>}
          {h.photos > 0 && <p>{w.photos(h.taken, h.photos)}</p>}
          {h.visit && <p>{h.visit}</p>}
          {h.partsLine && <p><b>{h.partsLine}</b></p>}
          {h.fee && <p class="soft">{h.fee}</p>}
          {(h.agency || h.code) && <p class="soft">{[h.agency, h.code].filter(Boolean).join(" · ")}</p>}
          {h.said && <div class="said"><p class="soft">{w.said}</p><p class="list">{h.said}</p></div>}
          {h.effect && <p class="rust"><b>{h.effect}</b></p>}
          <Next h={h} />
          {!locked.value && h.state === "calledIn" && <a class="btn quiet" href={path("changed", "visit", h.id)} aria-label={`${w.moved}: ${h.name}`}>{w.moved}</a>}
        </div>
      )}
      {signed && h.said && <p class="said">{h.said}</p>}
      {(!signed || kept) && <Pictures on={h.id} list={h.pictures} papers={h.papers} add={!signed} />}
      {(!signed || kept) && <a class="btn quiet" href={path("photos", h.id)} aria-label={t().photos.titleOf(h.name)}>{t().photos.title}</a>}
    </article>
  );
}

/** Next is the next thing to do about a hold, as a button, and nothing else. */
function Next({ h }: { h: HoldLine }) {
  const w = t().holds;
  const [step, setStep] = useState<"" | "callIn" | "result">("");
  if (step === "callIn") return <CallIn h={h} close={() => setStep("")} />;
  if (step === "result") return <Result h={h} close={() => setStep("")} />;
  const photo = h.photos > h.taken && (
    <Btn changes label={`${w.onePhoto}: ${h.name}`} onPress={() => void act({ do: "photos", id: h.id, count: h.taken + 1 })}>{w.onePhoto}</Btn>
  );
  const result = h.state === "calledIn" && (
    <Btn changes kind={h.next === "result" ? "main" : "plain"} label={`${w.result} ${h.name}`} onPress={() => setStep("result")}>{w.result}</Btn>
  );
  return (
    <div class="stack">
      {result}
      <div class="acts">
        <PhoneLink phone={h.phone} who={h.agency || h.name} />
        {h.next === "callIn" && <Btn changes kind={h.late ? "main" : "plain"} label={`${w.callIn}: ${h.name}`} onPress={() => setStep("callIn")}>{w.callIn}</Btn>}
        {h.state === "calledIn" && h.visits.length > 0 && <Btn changes label={`${w.agreed}: ${h.name}`} onPress={() => setStep("callIn")}>{w.agreed}</Btn>}
        {photo}
      </div>
    </div>
  );
}

function CallIn({ h, close }: { h: HoldLine; close: () => void }) {
  const w = t().holds;
  const say = async (at?: string) => { if (await act({ do: "callIn", id: h.id, at })) close(); };
  return (
    <div class="step" role="group" aria-label={w.callInFor}>
      <h3>{w.callInFor}</h3>
      <div class="stack">
        {h.visits.map((v) => <Btn key={v.at} changes onPress={() => void say(v.at)}>{v.text}</Btn>)}
        <Btn changes onPress={() => void say()}>{w.notAgreed}</Btn>
        <Btn kind="quiet" onPress={close}>{t().cancel}</Btn>
      </div>
    </div>
  );
}

function Result({ h, close }: { h: HoldLine; close: () => void }) {
  const w = t().holds;
  const [list, setList] = useState("");
  const [parts, setParts] = useState(h.passed);
  const [ahead, setAhead] = useState(false);
  const say = async (key: string) => {
    const fields = key === "partial" && parts.length ? { passed: parts, ahead } : undefined;
    if (await act({ do: "result", id: h.id, key, said: list.trim() || undefined, fields })) close();
  };
  return (
    <div class="step" role="group" aria-label={w.result}>
      <h3>{w.result}</h3>
      <Field label={w.list}><textarea rows={3} value={list} onInput={(e) => setList(e.currentTarget.value)} /></Field>
      {h.parts.length > 0 && (
        <fieldset class="group">
          <legend>{t().trade.holds.parts}</legend>
          {h.parts.map((p) => <Check key={p} label={p} on={parts.includes(p)} set={(on) => setParts(on ? [...parts, p] : parts.filter((x) => x !== p))} />)}
          {parts.length > 0 && <Check label={t().trade.holds.ahead} on={ahead} set={setAhead} />}
        </fieldset>
      )}
      <div class="stack">
        <Btn kind="good" changes label={`${w.passed}: ${h.name}`} onPress={() => void say("pass")}>{w.passed}</Btn>
        <Btn changes label={`${w.partial}: ${h.name}`} onPress={() => void say("partial")}>{w.partial}</Btn>
        <Btn kind="bad" changes label={`${w.failed}: ${h.name}`} onPress={() => void say("fail")}>{w.failed}</Btn>
        <Btn kind="quiet" onPress={close}>{t().cancel}</Btn>
      </div>
    </div>
  );
}
