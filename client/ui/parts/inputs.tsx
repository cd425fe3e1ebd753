// One input for each kind of value of the site file. Each takes the value as the file has it and gives
// it back the same way; null clears it.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import type { Choice, Range } from "../view";
import { clockMinutes, clockText } from "../clock";
import { CAUTIONS, TRADES, type Spec } from "../forms";
import { carried, carries, sixtyFourths, thickness } from "../thickness";
import { shown, weighed } from "../weight";
import { t } from "../words";
import { Btn } from "./kit";
import { Check, Field, Hours, Num, Pick } from "./fields";
import { Tel } from "./tel";

export interface Lists { crews: Choice[]; places: Choice[]; nodes: Choice[]; waits: Choice[]; units: string }
interface Props { spec: Spec; value: unknown; set: (value: unknown) => void; lists: Lists }
type Draw = (p: Props & { label: string }) => JSX.Element;

const text = (v: unknown) => (typeof v === "string" ? v : "");
const list = (v: unknown) => (Array.isArray(v) ? (v as string[]) : []);
const num = (v: unknown) => (typeof v === "number" ? v : 0);
/** plain spreads the type in, because the element's own types tie each input type to other rules. */
const plain = (kind: { type: string }): Draw => ({ label, value, set, spec }) => (
  <Field label={label}>
    <input {...(kind as object)} required={spec.must} value={text(value)} onInput={(e) => set(e.currentTarget.validity.badInput ? undefined : e.currentTarget.value || null)} />
  </Field>
);

/** halfDate is the label of a date or time that is only half there, or that no calendar has: the browser calls it empty. */
export function halfDate(form: HTMLFormElement | null): string {
  const input = [...(form?.querySelectorAll("input") ?? [])].find((i) => i.validity.badInput);
  return input ? input.getAttribute("aria-label") ?? input.closest("label")?.querySelector(".name")?.textContent ?? "" : "";
}

/** count shows value / unit as a number and stores number x unit; people, days and photos are whole, and said so when they are not. */
const count = (unit: number, thousands = false): Draw => ({ label, value, set, spec }) => (
  <Num label={label} must={spec.must} thousands={thousands} value={typeof value === "number" ? String(Math.round(value * 100 / unit) / 100) : text(value)}
    put={(n, typed) => set(typeof n !== "number" ? (n ?? (n === null ? null : typed)) : unit === 1 ? n : Math.round(n * unit))} />
);

const area: Draw = ({ label, value, set }) => (
  <Field label={label}><textarea rows={3} value={text(value)} onInput={(e) => set(e.currentTarget.value || null)} /></Field>
);

/** Lines keeps what is typed as it is typed, also a space or a new line at its end; the list made of it has neither. */
function Lines({ label, value, set }: { label: string; value: unknown; set: (value: unknown) => void }) {
  const [typed, setTyped] = useState<string>();
  return (
    <Field label={label}>
      <textarea rows={3} value={typed ?? list(value).join("\n")}
        onInput={(e) => { const v = e.currentTarget.value; setTyped(v); set(v ? v.split("\n").map((x) => x.trim()).filter(Boolean) : null); }} />
    </Field>
  );
}

const pick = (choices: (l: Lists) => Choice[], empty = true): Draw => ({ label, value, set, lists }) => (
  <Pick label={label} value={text(value) || (empty ? "" : choices(lists)[0]?.id ?? "")} choices={choices(lists)} empty={empty ? t().none : undefined} set={(id) => set(id || null)} />
);

const several = (choices: (l: Lists) => Choice[]): Draw => ({ label, value, set, lists }) => {
  const on = list(value);
  return (
    <details class="several">
      <summary>{label}{on.length ? ` (${on.length})` : ""}</summary>
      {choices(lists).map((c) => (
        <Check key={c.id} label={c.name} on={on.includes(c.id)} set={(yes) => { const next = yes ? [...on, c.id] : on.filter((x) => x !== c.id); set(next.length ? next : null); }} />
      ))}
    </details>
  );
};

/** quiet are the reminders a crew does not get; the boxes say which it does. */
const quiet: Draw = ({ label, value, set }) => {
  const off = list(value);
  return (
    <details class="several">
      <summary>{label}{off.length ? ` (${3 - off.length})` : ""}</summary>
      {["14", "7", "1"].map((d) => (
        <Check key={d} label={t().reminders[d]!} on={!off.includes(d)} set={(yes) => { const next = yes ? off.filter((x) => x !== d) : [...off, d]; set(next.length ? next : null); }} />
      ))}
    </details>
  );
};

const clock: Draw = ({ label, value, set }) => (
  <Field label={label}>
    <input type="time" value={value ? clockText(num(value)) : ""} onInput={(e) => { if (!e.currentTarget.validity.badInput) set(e.currentTarget.value ? clockMinutes(e.currentTarget.value) : null); }} />
  </Field>
);

const extra: Draw = ({ label, value, set }) => {
  const v = (value ?? undefined) as { from: number; to: number; cost?: number } | undefined;
  const put = (more: object) => set({ ...v, ...more });
  return (
    <fieldset class="group">
      <Check label={label} on={!!v} set={(on) => set(on ? { from: 8 * 60, to: 14 * 60 } : null)} />
      {v && (
        <div class="three">
          <Field label={t().field.from}><input type="time" value={clockText(v.from)} onInput={(e) => put({ from: clockMinutes(e.currentTarget.value) })} /></Field>
          <Field label={t().field.to}><input type="time" value={clockText(v.to)} onInput={(e) => put({ to: clockMinutes(e.currentTarget.value) })} /></Field>
          <Num label={t().field.cost} value={v.cost ? String(v.cost / 100) : ""} thousands put={(n, typed) => put({ cost: n === undefined ? typed : Math.round((n ?? 0) * 100) })} />
        </div>
      )}
    </fieldset>
  );
};

/** second is a crew's leave to come twice for one job, and what that costs. */
const second: Draw = ({ label, value, set }) => {
  const v = (value ?? undefined) as { cost?: number } | undefined;
  return (
    <fieldset class="group">
      <Check label={label} on={!!v} set={(on) => set(on ? {} : null)} />
      {v && (
        <Num label={t().field.twiceCost} value={v.cost ? String(v.cost / 100) : ""} thousands put={(n, typed) => set(n ? { cost: Math.round(n * 100) } : n === undefined ? { cost: typed } : {})} />
      )}
    </fieldset>
  );
};

/** lost is one share for the whole year; a file may have twelve, which are kept until one is typed. */
const lost: Draw = ({ label, value, set }) => {
  const v = Array.isArray(value) ? (value as number[]) : [];
  return <Num label={label} value={v.join(" ")} put={(n, typed) => set(n === null ? null : [n ?? typed])} />;
};

const HOUR = 60;

const range: Draw = ({ label, value, set }) => {
  const v = (value ?? {}) as Partial<Range>;
  const put = (key: keyof Range, hours: string, odd?: string) => {
    const next: Record<string, unknown> = { ...v, [key]: odd ?? Math.round(Number(hours) * HOUR) };
    if (!odd && (hours === "" || key !== "typical" && !next[key])) delete next[key];
    set(Object.keys(next).length ? { typical: 0, ...next } : null); // emptied is not nought: a milestone is written as 0
  };
  return (
    <fieldset class="group">
      <legend>{label}</legend>
      <div class="three">
        {(["low", "typical", "high"] as const).map((key) => (
          <Hours key={key} label={t().block[key]} minutes={v[key]} put={(hours, odd) => put(key, hours, odd)} />
        ))}
      </div>
    </fieldset>
  );
};

export const DEFAULT_WEEK = [...Array(5).fill(["08:00-12:00", "12:30-16:30"]), [], []] as string[][];

/** week edits the windows of each weekday, two at most; that is what crews say on the phone. */
const week = (usual: string[][], only?: () => { on: string; off: string; hint?: string }): Draw => ({ label, value, set }) => {
  const v = (Array.isArray(value) ? value : only ? undefined : usual) as string[][] | undefined;
  const may = only?.();
  const put = (day: number, windows: string[]) => set(v!.map((w, i) => (i === day ? windows : (w ?? []))));
  const first = v ? v.findIndex((w) => w?.length) : -1;
  return (
    <details class="several">
      <summary>{label}{may && !v ? `: ${may.off}` : ""}</summary>
      {may?.hint && <p class="soft">{may.hint}</p>}
      {may && <Check label={may.on} on={!!v} set={(on) => set(on ? usual : null)} />}
      {v && t().weekdays.map((name, day) => (
        <WeekDay key={name} name={name} windows={v[day] ?? []} usual={v[first] ?? usual[0]!} set={(w) => put(day, w)}
          same={day === first && v.some((w, i) => i > day && w?.length && w.join() !== v[day]!.join()) ? () => set(v.map((w) => (w?.length ? v[first]! : []))) : undefined} />
      ))}
    </details>
  );
};

const ownWeek = week(DEFAULT_WEEK, () => ({ on: t().field.ownHours, off: t().field.siteHours }));
const noiseWeek = week([...Array(5).fill(["09:00-17:00"]), [], []], () => ({ on: t().field.noiseOn, off: t().field.noiseOff, hint: t().field.noiseHint }));

const EMPTY = "-"; // holds the place of a span while the one after it is there

/** whole leaves the places out that were kept for spans nobody filled in. */
export function whole(fields: Record<string, unknown>): Record<string, unknown> {
  const out = { ...fields };
  for (const key of ["hours", "noise"]) if (Array.isArray(out[key])) out[key] = (out[key] as string[][]).map((w) => (w ?? []).filter((x) => x !== EMPTY));
  return out;
}

function WeekDay({ name, windows, usual, set, same }: { name: string; windows: string[]; usual: string[]; set: (w: string[]) => void; same?: () => void }) {
  const at = (i: number, end: 0 | 1) => windows[i]?.split("-")[end] ?? "";
  const put = (i: number, end: 0 | 1, value: string) => {
    const both = [at(i, 0), at(i, 1)];
    both[end] = value;
    const next = [windows[0] ?? EMPTY, windows[1] ?? EMPTY, ...windows.slice(2)];
    next[i] = both.join("-");
    while (next.length && next.at(-1) === EMPTY) next.pop();
    set(next);
  };
  const time = (i: number, end: 0 | 1) => (
    <input type="time" aria-label={`${name} ${i ? t().field.second : t().field.first} ${end ? t().field.to : t().field.from}`} value={at(i, end)}
      onInput={(e) => { if (!e.currentTarget.validity.badInput) put(i, end, e.currentTarget.value); }} />
  );
  return (
    <div class="weekday" role="group" aria-label={name}>
      <Check label={name} on={windows.length > 0} set={(on) => set(on ? usual : [])} />
      {windows.length > 0 && [0, 1].map((i) => <span key={i} class="span">{time(i, 0)} – {time(i, 1)}</span>)}
      {same && <Btn kind="quiet" onPress={same}>{t().field.sameDays}</Btn>}
    </div>
  );
}

interface Measure { read: (text: string, units: string) => number | null | undefined; show: (n: number, units: string) => string; us: string; metric: string }
const WEIGHT: Measure = { read: weighed, show: shown, us: "lb", metric: "kg" };
const THICK: Measure = { read: sixtyFourths, show: thickness, us: "in", metric: "mm" };
const CARRIES: Measure = { read: carried, show: carries, us: "lb/ft²", metric: "kg/m²" };

/** Measured keeps what was typed until it is a measure. What is none is handed on as it is, and refused with a reason. */
function Measured({ label, value, set, lists, of }: Props & { label: string; of: Measure }) {
  const [typed, setTyped] = useState<string>();
  return (
    <Field label={`${label}, ${lists.units === "metric" ? of.metric : of.us}`}>
      <input type="text" inputMode={of === THICK ? "text" : "decimal"} autocomplete="off" value={typed ?? (typeof value === "number" ? of.show(value, lists.units) : text(value))}
        onInput={(e) => { const v = e.currentTarget.value; setTyped(v); const n = of.read(v, lists.units); set(n === undefined ? v : n); }} />
    </Field>
  );
}

/** zone is a name of the time zone database; one that this phone does not know is said at once. */
const zone: Draw = ({ label, value, set }) => (
  <>
    <Field label={label}><input type="text" autocomplete="off" autocapitalize="off" value={text(value)} onInput={(e) => set(e.currentTarget.value || null)} /></Field>
    {!known(text(value)) && <p class="rust" role="alert">{t().field.zoneUnknown}</p>}
  </>
);

function known(name: string): boolean {
  try {
    return !name || !!new Intl.DateTimeFormat("en", { timeZone: name });
  } catch {
    return false;
  }
}

const flag: Draw = ({ label, value, set }) => <Check label={label} on={value === true} set={(on) => set(on || null)} />;
const named = (ids: string[], words: Record<string, string>) => ids.map((id) => ({ id, name: words[id] ?? id }));

const DRAW: Record<Spec["input"], Draw> = {
  text: plain({ type: "text" }), tel: ({ label, value, set, spec }) => <Tel label={label} value={text(value)} must={spec.must} set={set} />, day: plain({ type: "date" }), moment: plain({ type: "datetime-local" }), clock,
  area, lines: (p) => <Lines {...p} />, flag, range, extra, week: ownWeek, siteWeek: week(DEFAULT_WEEK), noiseWeek,
  count: count(1), percent: count(1), days: count(1), weight: (p) => <Measured {...p} of={WEIGHT} />, thick: (p) => <Measured {...p} of={THICK} />, carries: (p) => <Measured {...p} of={CARRIES} />, zone, money: count(100, true), lag: count(60),
  trade: pick(() => named(TRADES, t().trades)), lang: pick(() => named(["en", "es"], t().look.languages)),
  units: pick(() => named(["us", "metric"], t().questions.units), false), linkKind: pick(() => named(["FS", "SS", "FF", "SF"], t().linkKind), false),
  wait: pick((l) => l.waits), floor: pick(() => [{ id: "slab", name: t().trade.field.slab }, { id: "wood", name: t().trade.field.wood }]),
  crew: pick((l) => l.crews), place: pick((l) => l.places), node: pick((l) => l.nodes),
  quiet, second, lost, crews: several((l) => l.crews), cautions: several(() => named(CAUTIONS, t().cautions)),
};

export function InputOf(p: Props) {
  const Draw = DRAW[p.spec.input];
  return <Draw {...p} label={t().field[p.spec.word] as string} />;
}
