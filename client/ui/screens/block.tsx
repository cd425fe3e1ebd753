import { useState } from "preact/hooks";
import type { BlockView, LinkLine } from "../view";
import { act, head, show, views, wished } from "../state";
import { go, here, path, pathOf, route } from "../route";
import { findWays } from "../ways";
import { t } from "../words";
import { Btn, Named, Row, Section, Title } from "../parts/kit";
import { Clashes } from "../parts/clash";
import { Pictures } from "../parts/photos";
import { Check, Field, Hours, Pick, Toggles } from "../parts/fields";

export function Block() {
  const v = views.value.block?.block;
  if (!v || v.id !== route.value.rest[0]) return <Title goBack={["strings"]}>{t().strings.title}</Title>;
  return <BlockSheet key={v.id} v={v} goBack />;
}

export function BlockSheet({ v, goBack }: { v: BlockView; goBack?: boolean }) {
  const w = t().block;
  const done = !!v.finished;
  return (
    <>
      <Title goBack={goBack ? ["strings"] : undefined} line={v.when}>{v.name}</Title>
      <p class="block-head"><Named trade={v.trade}>{v.crewName || t().strings.nobody}</Named> <span class={`how ${v.booking || "pencilled"}`}>{t().booking[v.booking]}</span></p>
      {v.scope && <p>{v.scope}</p>}
      <dl class="facts-list">
        <dt>{w.why}</dt><dd>{v.because}</dd>
        <dt>{w.slack}</dt><dd>{v.slack}</dd>
        {v.told && <><dt>{w.told}</dt><dd>{v.told}</dd></>}
      </dl>
      <Clashes list={v.clashes} />
      <Cautions v={v} />
      {!done && <Facts v={v} />}
      {!v.frozen && <Step v={v} />}
      <Lines name={w.waits} lines={v.waitsFor} />
      <Lines name={w.behind} lines={v.behind} />
      {!done && <Who v={v} />}
      {!done && <Labour key={JSON.stringify(v.labour)} v={v} />}
      <Section name={t().photos.title}><Pictures on={v.id} list={v.pictures} papers={v.papers} all /></Section>
      <div class="stack">
        <Row href={path("holds", v.id)} name={w.holds} />
        {!done && v.waitsFor.some((l) => l.wait) && <Row href={path("readings")} name={t().trade.more.readings} note={t().trade.more.readingsNote} />}
        {v.crew && !done && <Row href={path("cant", v.crew, v.start.slice(0, 10), v.finish.slice(0, 10))} name={w.cant} />}
        {!done && <Row href={path("changed", "longer", v.id)} name={t().changed.longer} />}
        <Row href={path("changed", "found", v.id)} name={t().changed.found} />
        <Row href={path("thing", "activity", v.id)} name={w.edit} />
      </div>
    </>
  );
}

/** Step moves by half a day at a time: what a drag does, for a thumb or a keyboard. */
function Step({ v }: { v: BlockView }) {
  const w = t().block;
  const move = (at?: string) => { if (at) void act({ do: "move", id: v.id, at }); };
  return (
    <>
      <div class="acts">
        <Btn changes off={!v.earlier} onPress={() => move(v.earlier)}>↑ {w.earlier}</Btn>
        <Btn changes off={!v.later} onPress={() => move(v.later)}>↓ {w.later}</Btn>
      </div>
      {!v.earlier && v.notEarlier && v.notEarlier !== v.because && <p class="soft">{v.notEarlier}</p>}
      <Wish v={v} />
    </>
  );
}

/** Wish asks whether it could start on some day; only the button under a yes moves anything. */
function Wish({ v }: { v: BlockView }) {
  const w = t().block;
  const [day, setDay] = useState(v.wish?.day ?? "");
  const [open, setOpen] = useState(!!v.wish);
  const answer = v.wish?.day === day ? v.wish : undefined;
  return (
    <details class="more" open={open || !!answer} onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary>{w.wish}</summary>
      <div class="acts spread">
        <input type="date" aria-label={w.wishDay} value={day} onInput={(e) => setDay(e.currentTarget.value)} />
        <Btn off={!day} onPress={() => { wished.value = { id: v.id, day }; void show(); }}>{w.couldIt}</Btn>
      </div>
      {answer && (
        <div role="status">
          <p><b>{answer.line}</b></p>
          {answer.why.length > 0 && <ol class="chain">{answer.why.map((x) => <li key={x}>{x}</li>)}</ol>}
          {answer.change && <p class="soft">{answer.change}</p>}
          {answer.at && answer.at !== v.start && <Btn changes onPress={() => void act({ do: "move", id: v.id, at: answer.at })}>{w.moveThere}</Btn>}
        </div>
      )}
    </details>
  );
}

function Facts({ v }: { v: BlockView }) {
  const w = t().block;
  const now = head.value!.now;
  const steps = [0, 25, 50, 75].map((n) => ({ id: String(n), name: `${n} %` }));
  return (
    <>
      <div class="acts">
        {!v.started && <Btn kind="main" changes onPress={() => void act({ do: "start", id: v.id, at: now })}>{w.start}</Btn>}
        <Btn kind={v.started ? "main" : "plain"} changes onPress={() => void act({ do: "finish", id: v.id, at: now })}>{w.finish}</Btn>
      </div>
      {v.started && (
        <Section name={w.done}>
          <Toggles label={w.done} value={String(v.done)} choices={steps} set={(n) => void act({ do: "done", id: v.id, count: Number(n) })} />
        </Section>
      )}
    </>
  );
}

function Cautions({ v }: { v: BlockView }) {
  const w = t().block;
  const [name, setName] = useState("");
  const [read, setRead] = useState(false);
  if (!v.cautions.length) return null;
  const stops = v.cautions.some((c) => c.stop);
  return (
    <section class={stops ? "cautions stop" : "cautions"}>
      <h2>{w.caution}</h2>
      {v.cautions.map((c) => <div key={c.id} class="caution"><p><b>{c.text}</b></p><p class="soft">{c.defer}</p></div>)}
      {stops && v.acked && <p class="green">{w.acked(v.acked)}</p>}
      {stops && !v.acked && (
        <>
          <Check label={w.ack} on={read} set={setRead} />
          {read && <Field label={w.ackName}><input autocomplete="name" value={name} onInput={(e) => setName(e.currentTarget.value)} /></Field>}
          {read && <Btn changes off={!name.trim()} onPress={() => void act({ do: "ack", id: v.id, name: name.trim() })}>{t().save}</Btn>}
        </>
      )}
    </section>
  );
}

/** Came marks how the crew kept the day; when nobody came today the ways through are next. */
function Came({ v }: { v: BlockView }) {
  const w = t().block;
  const mark = async (key: string) => {
    const off = key === v.came!.mark ? "" : key;
    const still = here();
    if (await act({ do: "came", id: v.id, crew: v.crew, day: v.came!.day, key: off }) && off === "noShow" && v.came!.day === head.value!.now.slice(0, 10) && still()) go("cant", v.crew);
  };
  return (
    <>
      <h2>{w.came(v.came!.text)}</h2>
      <Toggles label={w.came(v.came!.text)} value={v.came!.mark} choices={[{ id: "cameLate", name: w.cameLate }, { id: "noShow", name: w.noShow }]} set={(key) => void mark(key)} />
    </>
  );
}

export function Lines({ name, lines }: { name: string; lines: LinkLine[] }) {
  if (!lines.length) return null;
  return (
    <Section name={name}>
      <ul class="plain">
        {lines.map((l) => (
          <li key={l.link + l.id} class={l.binds ? "binds" : ""}>
            <a class="line" href={pathOf(l.kind, l.id)}>
              <b>{l.name}</b> <span class={l.done ? "green" : "soft"}>{l.when}</span>
              {l.text && <span class="soft small">{l.text}</span>}
            </a>
          </li>
        ))}
      </ul>
    </Section>
  );
}

function Who({ v }: { v: BlockView }) {
  const w = t().block;
  const set = (crew: string) => void act({ do: "edit", kind: "activity", id: v.id, fields: { crew: crew || null } });
  const books = (["", "asked", "firm"] as const).map((id) => ({ id, name: t().booking[id]! }));
  return (
    <>
      <Pick label={w.crew} value={v.crew} choices={v.crews.map((c) => ({ id: c.id, name: [c.name, c.note].filter(Boolean).join(" · ") }))} empty={t().none} set={set} />
      {v.came && <Came v={v} />}
      {v.crew && <><h2>{w.booking}</h2><Toggles label={w.booking} value={v.booking} choices={books} set={(key) => void act({ do: "book", id: v.id, key })} /></>}
    </>
  );
}

const HOUR = 60;

/** Labour changes how long it takes: at once, or as a question with ways when others would have to move. */
function Labour({ v }: { v: BlockView }) {
  const w = t().block;
  const [hours, setHours] = useState({ low: v.labour.low ? v.labour.low / HOUR : 0, typical: v.labour.typical / HOUR, high: v.labour.high ? v.labour.high / HOUR : 0 });
  const input = (key: keyof typeof hours) => <Hours label={w[key]} minutes={v.labour[key] || undefined} put={(typed) => setHours({ ...hours, [key]: Number(typed) })} />;
  const labour = { low: Math.round(hours.low * HOUR) || undefined, typical: Math.round(hours.typical * HOUR), high: Math.round(hours.high * HOUR) || undefined };
  const changed = labour.typical !== v.labour.typical || (labour.low ?? 0) !== (v.labour.low ?? 0) || (labour.high ?? 0) !== (v.labour.high ?? 0);
  const ways = () => { void findWays({ kind: "longer", id: v.id, labour }); go("ways"); };
  return (
    <details class="more">
      <summary>{w.labour} · {v.days}</summary>
      {v.basis.map((b) => <p key={b} class="soft">{b}</p>)}
      <p class="soft">{w.labourNote}</p>
      <div class="three">{input("low")}{input("typical")}{input("high")}</div>
      {changed && (
        <div class="acts">
          <Btn changes onPress={() => void act({ do: "edit", kind: "activity", id: v.id, fields: { labour } })}>{t().save}</Btn>
          <Btn changes onPress={ways}>{w.longerWays}</Btn>
        </div>
      )}
    </details>
  );
}
