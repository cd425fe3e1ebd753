import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type { Day } from "../view";
import { numeral } from "../number";
import { t } from "../words";

/** Field is a label with what it labels inside, so that a tap on the word is a tap on the field. */
export function Field({ label, note, children }: { label: string; note?: string; children: ComponentChildren }) {
  return (
    <label class="field">
      <span class="name">{label}{note && <span class="soft"> {note}</span>}</span>
      {children}
    </label>
  );
}

export function Check({ label, on, set }: { label: string; on: boolean; set: (on: boolean) => void }) {
  return (
    <label class="check">
      <input type="checkbox" checked={on} onChange={(e) => set(e.currentTarget.checked)} />
      <span>{label}</span>
    </label>
  );
}

/** Ticked is a Check whose answer the planner keeps. Until it has, the box stays as it was ticked, whatever else is drawn. */
export function Ticked({ label, on, set }: { label: string; on: boolean; set: (on: boolean) => Promise<unknown> }) {
  const [wish, setWish] = useState<{ on: boolean }>();
  const tick = (on: boolean) => {
    const mine = { on };
    setWish(mine);
    void set(on).finally(() => setWish((last) => (last === mine ? undefined : last)));
  };
  return <Check label={label} on={wish?.on ?? on} set={tick} />;
}

export function Pick({ label, value, choices, set, empty }: {
  label: string; value: string; choices: { id: string; name: string }[]; set: (id: string) => void; empty?: string;
}) {
  return (
    <Field label={label}>
      <select value={value} onChange={(e) => set(e.currentTarget.value)}>
        {empty !== undefined && <option value="">{empty}</option>}
        {value !== "" && !choices.some((c) => c.id === value) && <option value={value}>{t().field.isGone}</option>}
        {choices.map((c) => <option key={c.id} value={c.id}>{c.name}</option>)}
      </select>
    </Field>
  );
}

/** Toggles is a row of big keys of which one is down. */
export function Toggles({ label, value, choices, set }: {
  label: string; value: string; choices: { id: string; name: string }[]; set: (id: string) => void;
}) {
  return (
    <div class="toggles" role="group" aria-label={label}>
      {choices.map((c) => (
        <button key={c.id} type="button" class="toggle" aria-pressed={c.id === value} onClick={() => set(c.id)}>{c.name}</button>
      ))}
    </div>
  );
}

/** DayKey is one day as a big key, with a word below it where there is something to know. */
export const DayKey = ({ day, on, note, press }: { day: Day; on: boolean; note?: string; press: (day: string) => void }) => (
  <button type="button" class="day" aria-pressed={on} aria-label={`${day.short}${note ? ` ${note}` : ""}, ${day.long}`} onClick={() => press(day.day)}>
    <b>{day.short}</b>{note && <>{" "}<span>{note}</span></>}
  </button>
);

/** Num is a number as people type it. What is typed stays as it is typed; put hears the number, or what stands there instead of one. */
export function Num({ label, value, put, thousands, must }: {
  label: string; value: string; put: (n: number | null | undefined, typed: string) => void; thousands?: boolean; must?: boolean;
}) {
  const [typed, setTyped] = useState<string>();
  return (
    <Field label={label}>
      <input type="text" inputMode="decimal" autocomplete="off" required={must} value={typed ?? value} onInput={(e) => {
        const text = e.currentTarget.value;
        setTyped(text);
        put(text.trim() ? numeral(text, thousands) : null, text);
      }} />
    </Field>
  );
}

/** Hours are put as a plain number, empty where there is none; odd is what stands there instead of one. */
export const Hours = ({ label, minutes, put }: { label: string; minutes?: number | string; put: (hours: string, odd?: string) => void }) => (
  <Num label={label} value={typeof minutes === "number" ? String(Math.round(minutes / 0.6) / 100) : (minutes ?? "")}
    put={(n, typed) => put(typeof n === "number" ? String(n) : "", n === undefined ? typed : undefined)} />
);
