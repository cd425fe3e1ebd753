import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type { Day } from "../view";

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

/** Hours keeps what is typed as it is typed: "0" is on its way to "0.5". */
export function Hours({ label, minutes, put }: { label: string; minutes?: number; put: (hours: string) => void }) {
  const [typed, setTyped] = useState(minutes === undefined ? "" : String(minutes / 60));
  return (
    <Field label={label}>
      <input type="number" inputMode="decimal" min="0" step="0.5" value={typed} onInput={(e) => { setTyped(e.currentTarget.value); put(e.currentTarget.value); }} />
    </Field>
  );
}
