// A telephone number is typed as people write it and becomes global when the field is left: message
// programs know no other. What cannot be one stays as it was typed, with a word beside it.
import { useState } from "preact/hooks";
import { countryOf } from "../contacts/country";
import { head } from "../state";
import { t } from "../words";
import { Field } from "./fields";

/** rules are fetched while the number is being typed, so that leaving the field seldom waits for them. */
const rules = () => import("../contacts/phone");

export function Tel({ label, value, must, set }: { label: string; value: string; must?: boolean; set: (value: string | null) => void }) {
  const [note, setNote] = useState("");
  const check = async (input: HTMLInputElement) => {
    const text = input.value;
    setNote("");
    if (!text.trim()) return;
    const { global } = await rules();
    if (input.value !== text) return; // somebody typed on while the rules were fetched
    const n = global(text, countryOf(head.value?.country, head.value?.zone, navigator.languages));
    if (n && n.e164 !== text) set(n.e164);
    setNote(!n ? t().contacts.badTyped : n.sure ? "" : t().contacts.unsure);
  };
  return (
    <>
      <Field label={label}>
        <input type="tel" inputMode="tel" autocomplete="off" required={must} value={value} onInput={(e) => set(e.currentTarget.value || null)}
          onFocus={() => void rules().catch(() => undefined)} onChange={(e) => void check(e.currentTarget).catch(() => undefined)} />
      </Field>
      {note && <p class="rust" role="status">{note}</p>}
    </>
  );
}
