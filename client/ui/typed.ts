// What was typed into a form and not saved yet. It outlives a reload, the way back and a tab that the phone closed:
// on site a form is seldom filled in without a call in between.
import { head, read, write } from "./state";

/** formOf names a form of the site that is open. It is asked before something is saved: after that another site may be open. */
export const formOf = (form: string) => `bb.typed.${head.value?.siteId ?? ""}.${form}`;

/** typedIn is what was typed into a form before; undefined is nothing. */
export function typedIn(form: string): Record<string, unknown> | undefined {
  try {
    const was: unknown = JSON.parse(read(form) || "null");
    return was && typeof was === "object" && !Array.isArray(was) && Object.keys(was).length ? (was as Record<string, unknown>) : undefined;
  } catch {
    return undefined; // written by another version
  }
}

export function keepTyped(form: string, draft: Record<string, unknown>) {
  write(form, JSON.stringify(draft));
}

export function dropTyped(form: string) {
  try { localStorage.removeItem(form); } catch { /* forbidden: then there is nothing */ }
}
