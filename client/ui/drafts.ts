// Answers that were tapped after the plan was made and are not taken yet: they belong to this screen alone
// until somebody takes them.
import { signal } from "@preact/signals";

export const drafts = signal<Record<string, string>>({});
