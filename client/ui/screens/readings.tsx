// What the meters said, and what it makes of the waits ahead. Nothing is moved before somebody takes it over.
import { useState } from "preact/hooks";
import type { ReadingsView, WaitLine } from "../view";
import { act, read, views, write } from "../state";
import { go } from "../route";
import { numeral } from "../number";
import { findWays } from "../ways";
import { t } from "../words";
import { Btn, ReadOnly, Section, Title } from "../parts/kit";
import { Field, Pick, Toggles } from "../parts/fields";

export function Readings() {
  const v = views.value.readings?.readings;
  const w = t().trade.readings;
  if (!v) return <Title goBack={["more"]}>{w.title}</Title>;
  return (
    <>
      <Title goBack={["more"]} line={v.line}>{w.title}</Title>
      <ReadOnly />
      {v.differ > 0 && <Proposed v={v} />}
      {v.checks.map((c) => <p key={c} class="note">{c}</p>)}
      <New v={v} />
      {v.waits.length > 0 && <Section name={w.waits} count={v.waits.length}>{v.waits.map((l) => <Wait key={l.link} l={l} />)}</Section>}
      {v.readings.length > 0 && (
        <Section name={w.past}>
          <ul class="plain">
            {v.readings.map((r) => (
              <li key={r.id} class="acts spread">
                <span class="grow"><b>{r.text}</b> <span class="soft">{[r.when, r.by, r.said].filter(Boolean).join(" · ")}</span></span>
                <Btn kind="quiet" changes label={`${w.gone}: ${r.text}`} onPress={() => void act({ do: "remove", kind: "reading", id: r.id })}>{w.gone}</Btn>
              </li>
            ))}
          </ul>
        </Section>
      )}
      <p class="soft foot-note">{v.foot}</p>
    </>
  );
}

function Proposed({ v }: { v: ReadingsView }) {
  const w = t().trade.readings;
  return (
    <div class="card best">
      {v.effect && <p><b>{w.effect}:</b> {v.effect}</p>}
      <div class="stack">
        <Btn kind="main" changes onPress={() => void act({ do: "waits" })}>{w.take}</Btn>
        <Btn changes onPress={() => { void findWays({ kind: "waits" }); go("ways"); }}>{w.ways}</Btn>
      </div>
    </div>
  );
}

function Wait({ l }: { l: WaitLine }) {
  const w = t().trade.readings;
  const say = (key: string | undefined) => void act({ do: "waits", id: l.link, key });
  return (
    <article class={l.differs ? "card late" : "card"} data-wait={l.link}>
      <p class="what"><b>{l.name}</b></p>
      <p>{w.now} <b>{l.now}</b> · {w.says} <b class={l.differs ? "rust" : ""}>{l.says}</b> <span class="soft">{l.when}</span></p>
      {l.basis && <p class="soft">{l.basis}</p>}
      {l.shorter.length > 0 && <p>{l.shorter.join(" ")}</p>}
      <details class="more">
        <summary>{w.how}</summary>
        <p>{l.rule}</p>
        {l.how && <p>{l.how}</p>}
        <p class="soft">{l.source} · {l.mark}</p>
        <div class="acts">
          {l.setting && <Btn changes label={`${w.setting}: ${l.name}`} onPress={() => say("setting")}>{w.setting}</Btn>}
          <Btn kind="quiet" changes label={`${w.own}: ${l.name}`} onPress={() => say("own")}>{w.own}</Btn>
        </div>
      </details>
      {l.differs && <Btn changes label={`${w.takeOne}: ${l.name}`} onPress={() => say(undefined)}>{w.takeOne}</Btn>}
    </article>
  );
}

const UNIT = "bb.warmth";
const DEGREES = [{ id: "f", name: "°F" }, { id: "c", name: "°C" }];
/** kept is a number as a reading keeps it. What is none is handed on as it was typed, and refused with a reason. */
function kept(typed: string, make: (n: number) => number): number | string | undefined {
  if (!typed.trim()) return undefined;
  const n = numeral(typed);
  return n === undefined ? typed.trim() : Math.round(make(n));
}

function New({ v }: { v: ReadingsView }) {
  const w = t().trade.readings;
  const [of, setOf] = useState("air");
  const [place, setPlace] = useState(v.places[0]?.id ?? "");
  const [unit, setUnit] = useState(read(UNIT) || (v.metric ? "c" : "f"));
  const [vals, setVals] = useState({ warm: "", damp: "", moist: "", said: "", at: "" });
  const put = (more: Partial<typeof vals>) => setVals({ ...vals, ...more });
  const air = of === "air";
  const keep = async () => {
    const fields = {
      of, place: place || undefined, at: vals.at || undefined, said: vals.said.trim() || undefined, temp: kept(vals.warm, (n) => (unit === "c" ? n * 10 : (n - 32) * 50 / 9)), // tenths of a degree Celsius; either unit goes in
      humidity: kept(vals.damp, (n) => n), moisture: air ? undefined : kept(vals.moist, (n) => n * 10),
    };
    if (await act({ do: "reading", fields })) setVals({ warm: "", damp: "", moist: "", said: "", at: "" });
  };
  const input = (label: string, key: "warm" | "damp" | "moist") => (
    <Field label={label}><input inputMode="decimal" value={vals[key]} onInput={(e) => put({ [key]: e.currentTarget.value })} /></Field>
  );
  return (
    <details class="group-list" open={!v.readings.length}>
      <summary>{w.add}</summary>
      <form onSubmit={(e) => { e.preventDefault(); void keep(); }}>
        <div class="two">
          <Pick label={w.of} value={of} choices={v.kinds} set={setOf} />
          <Pick label={w.where} value={place} choices={v.places} empty={t().none} set={setPlace} />
        </div>
        <Toggles label={w.warmth} value={unit} choices={DEGREES} set={(u) => { setUnit(u); write(UNIT, u); }} />
        <div class={air ? "two" : "three"}>
          {input(`${w.warmth}, ${unit === "c" ? "°C" : "°F"}`, "warm")}
          {input(w.humidity, "damp")}
          {!air && input(w.moisture, "moist")}
        </div>
        <Field label={w.at}><input type="datetime-local" value={vals.at} onInput={(e) => put({ at: e.currentTarget.value })} /></Field>
        <Field label={w.said}><input value={vals.said} onInput={(e) => put({ said: e.currentTarget.value })} /></Field>
        <Btn kind="main" changes onPress={() => void keep()}>{w.keep}</Btn>
      </form>
    </details>
  );
}
