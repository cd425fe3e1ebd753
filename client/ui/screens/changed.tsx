// Something changed that is not a crew: what, on which thing, and the ways through are on their way.
// Every form ends in one question to the planner; nothing is written before a way is taken.
import { useState } from "preact/hooks";
import type { JSX } from "preact";
import type { Change, ChangedHold, ChangedOrder, ChangedView, ChangedWork, Choice, Day, Range } from "../view";
import { views } from "../state";
import { go, path, route } from "../route";
import { t } from "../words";
import { findWays } from "../ways";
import { Btn, Named, Row, Title } from "../parts/kit";
import { DayKey, Field, Pick, Toggles } from "../parts/fields";

const find = (change: Change) => { void findWays(change); go("ways"); };

type Form = (p: { v: ChangedView; id: string }) => JSX.Element;
const FORMS: Record<string, Form> = { longer: Longer, found: Found, late: Late, short: Short, visit: Visit, weather: Weather, by: By };

export function Changed() {
  const v = views.value.changed?.changed;
  const w = t().changed;
  const [door = "", id = ""] = route.value.rest;
  const Form = FORMS[door];
  if (!v) return <Title goBack={["today"]}>{w.title}</Title>;
  if (Form) return <Form key={`${door}/${id}`} v={v} id={id} />;
  return (
    <>
      <Title goBack={["today"]} line={w.lead}>{w.title}</Title>
      <div class="stack">
        <Row href={path("changed", "longer")} name={w.longer} />
        <Row href={path("changed", "found")} name={w.found} note={w.foundNote} />
        <Row href={path("changed", "late")} name={w.late} />
        <Row href={path("changed", "short")} name={w.short} />
        <Row href={path("changed", "visit")} name={w.visit} />
        <Row href={path("changed", "weather")} name={w.weather} />
        <Row href={path("changed", "by")} name={w.by} note={w.byNote} />
        <Row href={path("cant")} name={t().today.cant} />
      </div>
    </>
  );
}

interface Thing { id: string; name: string; who?: string; trade?: string; when: string }

/** Which is the list to choose the thing from; most doors are opened at the thing itself and skip it. */
function Which({ title, door, things, none }: { title: string; door: string; things: Thing[]; none: string }) {
  return (
    <>
      <Title goBack={["changed"]}>{title}</Title>
      <div class="stack">
        {things.map((x) => (
          <button key={x.id} type="button" class="pick" onClick={() => go("changed", door, x.id)}>
            {x.trade ? <Named trade={x.trade}>{x.name}</Named> : <b>{x.name}</b>}
            <span class="soft">{[x.who, x.when].filter(Boolean).join(" · ")}</span>
          </button>
        ))}
        {!things.length && <p class="soft">{none}</p>}
      </div>
    </>
  );
}

const HOUR = 60;

/** Effort is how much work it is: by the crew's days, or in hours of one person. */
function Effort({ label, perDay, steps, start, set, value }: {
  label: string; perDay: number; steps: number[]; start: number; value: number; set: (minutes: number) => void;
}) {
  const w = t().changed;
  const choices = steps.map((n) => ({ id: String(start + n * perDay), name: start ? `+ ${w.days(n)}` : w.days(n) }));
  return (
    <>
      <h2>{label}</h2>
      <Toggles label={label} value={String(value)} choices={choices} set={(id) => set(Number(id))} />
      <Field label={w.hours} note={w.onePerson}>
        <input type="number" inputMode="decimal" min="0" step="0.5" value={value ? value / HOUR : ""} onInput={(e) => set(Math.round(Number(e.currentTarget.value) * HOUR))} />
      </Field>
    </>
  );
}

function Longer({ v, id }: { v: ChangedView; id: string }) {
  const w = t().changed;
  const work = v.works.find((x) => x.id === id);
  if (!work) return <Which title={w.longerWhich} door="longer" things={v.works} none={w.nothing} />;
  return <LongerForm work={work} />;
}

function LongerForm({ work }: { work: ChangedWork }) {
  const w = t().changed;
  const was = work.labour.typical;
  const [typical, setTypical] = useState(was);
  return (
    <>
      <Title goBack={["changed", "longer"]} line={`${work.who} · ${work.when}`}>{work.name}</Title>
      <Effort label={w.howMuchLonger} perDay={work.perDay} steps={[0.5, 1, 2]} start={was} value={typical} set={setTypical} />
      <Ask off={!typical || typical === was} onPress={() => find({ kind: "longer", id: work.id, labour: { ...work.labour, typical } as Range })} />
    </>
  );
}

/** Ask is the one button of every form. */
const Ask = ({ off, onPress, name }: { off: boolean; onPress: () => void; name?: string }) => (
  <div class="foot"><Btn kind="main" changes off={off} onPress={onPress}>{name ?? t().cant.find}</Btn></div>
);

function Found({ v, id }: { v: ChangedView; id: string }) {
  const w = t().changed;
  const at = v.works.find((x) => x.id === id);
  const [name, setName] = useState("");
  const [crew, setCrew] = useState(at?.crew ?? "");
  const [labour, setLabour] = useState(0);
  const [place, setPlace] = useState(at?.place ?? "");
  const [after, setAfter] = useState<string[]>(at ? [at.id] : []);
  const [before, setBefore] = useState<string[]>(at?.behind.length === 1 ? at.behind : []);
  const who = v.crews.find((c) => c.id === crew);
  const send = () => find({ kind: "found", name: name.trim(), crew, place, after, before, labour: { typical: labour } });
  return (
    <>
      <Title goBack={["changed"]}>{w.found}</Title>
      <Field label={w.what}><input value={name} maxLength={80} onInput={(e) => setName(e.currentTarget.value)} /></Field>
      <Pick label={t().block.crew} value={crew} choices={v.crews} empty={t().none} set={setCrew} />
      <Effort label={w.howLong} perDay={who?.perDay ?? 8 * HOUR} steps={[0.5, 1, 2]} start={0} value={labour} set={setLabour} />
      <Several label={w.after} choices={v.all} on={after} set={setAfter} />
      <Several label={w.before} choices={v.ahead} on={before} set={setBefore} />
      {v.places.length > 0 && <Pick label={t().field.place} value={place} choices={v.places} empty={t().none} set={setPlace} />}
      <Ask off={!name.trim() || labour <= 0} onPress={send} />
    </>
  );
}

/** Several is one choice and, once that is made, room for another. */
function Several({ label, choices, on, set }: { label: string; choices: Choice[]; on: string[]; set: (ids: string[]) => void }) {
  const put = (i: number, id: string) => set([...on.slice(0, i), ...(id ? [id] : []), ...on.slice(i + 1)]);
  return (
    <>
      {[...on, ""].slice(0, 4).map((id, i) => (
        <Pick key={i} label={i ? t().changed.also(label) : label} value={id} empty={i ? t().none : t().changed.anywhere}
          choices={choices.filter((c) => c.id === id || !on.includes(c.id))} set={(x) => put(i, x)} />
      ))}
    </>
  );
}

function Late({ v, id }: { v: ChangedView; id: string }) {
  const w = t().changed;
  const order = v.orders.find((o) => o.id === id);
  if (!order) return <Which title={w.lateWhich} door="late" things={v.orders.filter((o) => !o.here)} none={w.nothing} />;
  return <LateForm order={order} />;
}

function LateForm({ order }: { order: ChangedOrder }) {
  const [day, setDay] = useState("");
  return (
    <>
      <Title goBack={["changed", "late"]} line={order.when}>{order.name}</Title>
      <h2>{t().changed.newDay}</h2>
      <DayKeys days={order.later} day={day} set={setDay} />
      <Ask off={!day} onPress={() => find({ kind: "slip", id: order.id, from: day })} />
    </>
  );
}

/** DayKeys are the likely days as keys, any other by date. */
function DayKeys({ days, day, set }: { days: Day[]; day: string; set: (day: string) => void }) {
  return (
    <>
      <div class="days">
        {days.map((d) => <DayKey key={d.day} day={d} on={d.day === day} press={set} />)}
      </div>
      <Field label={t().changed.otherDay}><input type="date" value={day} onInput={(e) => set(e.currentTarget.value)} /></Field>
    </>
  );
}

function Short({ v, id }: { v: ChangedView; id: string }) {
  const w = t().changed;
  const order = v.orders.find((o) => o.id === id);
  if (!order) return <Which title={w.shortWhich} door="short" things={v.orders} none={w.nothing} />;
  return <ShortForm order={order} />;
}

function ShortForm({ order }: { order: ChangedOrder }) {
  const w = t().changed;
  const [why, setWhy] = useState("");
  const [day, setDay] = useState("");
  const [later, setLater] = useState(false);
  const [need, setNeed] = useState(order.needs.map((n) => n.id));
  const flip = (id: string) => setNeed(need.includes(id) ? need.filter((x) => x !== id) : [...need, id]);
  const send = () => find({ kind: "short", id: order.id, why: why.trim(), from: day, later: later || undefined, before: need.length < order.needs.length ? need : undefined });
  return (
    <>
      <Title goBack={["changed", "short"]} line={order.when}>{order.name}</Title>
      {!order.here && <Toggles label={w.isHere} value={later ? "later" : "here"} choices={[{ id: "here", name: w.here }, { id: "later", name: w.notHere }]} set={(x) => setLater(x === "later")} />}
      <Field label={w.missing}><input value={why} maxLength={200} onInput={(e) => setWhy(e.currentTarget.value)} /></Field>
      <h2>{w.restDay}</h2>
      <DayKeys days={order.later} day={day} set={setDay} />
      {order.needs.length > 1 && (
        <>
          <h2>{w.needs}</h2>
          <div class="stack">
            {order.needs.map((n) => <button key={n.id} type="button" class="toggle" aria-pressed={need.includes(n.id)} onClick={() => flip(n.id)}>{n.name}</button>)}
          </div>
        </>
      )}
      <Ask off={!why.trim() || !day || (order.needs.length > 0 && !need.length)} onPress={send} />
    </>
  );
}

function Visit({ v, id }: { v: ChangedView; id: string }) {
  const w = t().changed;
  const hold = v.holds.find((h) => h.id === id);
  if (!hold) return <Which title={w.visitWhich} door="visit" things={v.holds} none={w.nothing} />;
  return <VisitForm hold={hold} />;
}

function VisitForm({ hold }: { hold: ChangedHold }) {
  const w = t().changed;
  const [list, setList] = useState("");
  const [how, setHow] = useState("moved");
  return (
    <>
      <Title goBack={["changed", "visit"]} line={hold.when}>{hold.name}</Title>
      <Toggles label={w.visit} value={how} choices={[{ id: "moved", name: w.moved }, { id: "failed", name: w.failed }]} set={setHow} />
      {how === "moved" ? (
        <>
          <h2>{w.newVisit}</h2>
          <div class="stack">
            {hold.visits.map((x) => <Btn key={x.at} changes onPress={() => find({ kind: "visit", id: hold.id, at: x.at })}>{x.text}</Btn>)}
          </div>
        </>
      ) : (
        <>
          <p class="soft">{w.failedNote}</p>
          <Field label={t().holds.list}><textarea rows={3} maxLength={400} value={list} onInput={(e) => setList(e.currentTarget.value)} /></Field>
          <Ask off={false} onPress={() => find({ kind: "fail", id: hold.id, why: list.trim() || undefined })} />
        </>
      )}
    </>
  );
}

function Weather({ v }: { v: ChangedView }) {
  const w = t().changed;
  const [picked, setPicked] = useState<string[]>([]);
  const [own, setOwn] = useState({ from: "", to: "", why: "" });
  const [rests, setRests] = useState("outdoor");
  const flip = (day: string) => setPicked(picked.includes(day) ? picked.filter((d) => d !== day) : [...picked, day].sort());
  const from = own.from || picked[0] || "";
  const to = own.to || own.from || picked.at(-1) || "";
  return (
    <>
      <Title goBack={["changed"]}>{w.weather}</Title>
      <Toggles label={w.rests} value={rests} choices={[{ id: "outdoor", name: w.outdoor }, { id: "all", name: w.everything }]} set={setRests} />
      <div class="days">
        {v.days.map((d) => <DayKey key={d.day.day} day={d.day} on={picked.includes(d.day.day)} note={rests === "outdoor" ? w.outside(d.outdoor) : undefined} press={flip} />)}
      </div>
      <details class="more">
        <summary>{t().cant.longer}</summary>
        <div class="two">
          <Field label={w.firstDay}><input type="date" value={own.from} onInput={(e) => setOwn({ ...own, from: e.currentTarget.value })} /></Field>
          <Field label={w.lastDay}><input type="date" value={own.to} min={own.from} onInput={(e) => setOwn({ ...own, to: e.currentTarget.value })} /></Field>
        </div>
        <Field label={t().field.why}><input value={own.why} maxLength={200} onInput={(e) => setOwn({ ...own, why: e.currentTarget.value })} /></Field>
      </details>
      <Ask off={!from} onPress={() => find({ kind: "shut", from, to, outdoor: rests === "outdoor" || undefined, why: own.why.trim() || undefined })} />
    </>
  );
}

function By({ v }: { v: ChangedView }) {
  const w = t().changed;
  const [day, setDay] = useState(v.back && v.back < v.finish! ? v.back : "");
  return (
    <>
      <Title goBack={["changed"]} line={views.value.changed?.head.finishLine}>{w.by}</Title>
      <Field label={w.byDay}><input type="date" value={day} onInput={(e) => setDay(e.currentTarget.value)} /></Field>
      <p class="soft">{w.byLead}</p>
      <Ask off={!day} name={w.byAsk} onPress={() => find({ kind: "by", from: day })} />
    </>
  );
}
