import { t } from "../words";

/** Plain says what an address without encryption costs, and how to mend it; nothing where all is well. */
export function Plain() {
  if (globalThis.isSecureContext) return null;
  const w = t().plain;
  return (
    <details class="plain">
      <summary>{w.title}</summary>
      <p>{w.works}</p>
      <ul>{w.lacks.map((l) => <li key={l}>{l}</li>)}</ul>
      <p>{w.fix}</p>
    </details>
  );
}
